"""The points of a GPX file, taken as they come by: no tree is built that a hostile file could break."""

import math
from datetime import datetime, timezone
from xml.parsers import expat

_DEEPEST = 50  # elements within each other; a ride needs five, and a device's own remarks a few more
_TRACKS, _ROUTES = ("gpx", "trk", "trkseg", "trkpt"), ("gpx", "rte", "rtept")


class GpxPoints:
    """What a GPX file holds, noted as its elements come by.

    tracks, routes: a list each of points [latitude (deg), longitude (deg), elevation (m), time (s,
    since 1970); nan where an elevation or time is not given]; places: how many single ones there are.
    """

    def __init__(self):
        self.version, self.tracks, self.routes, self.places = "", [], [], 0
        self._within, self._said = (), None  # elements; what one says that is read

    def start(self, name, about):
        """An element begins."""
        if len(self._within) == _DEEPEST:
            raise ValueError(f"more than {_DEEPEST} elements stand within each other")
        self._within += (name.rpartition(":")[2],)
        match self._within:
            case ("gpx",):
                self.version = about.get("version", "")
            case ("gpx", "trk"):
                self.tracks.append([])
            case ("gpx", "rte"):
                self.routes.append([])
            case ("gpx", "wpt"):
                self.places += 1
            case ("gpx", "trk", "trkseg", "trkpt"):
                self.tracks[-1].append(_place(about))
            case ("gpx", "rte", "rtept"):
                self.routes[-1].append(_place(about))
            case (*point, name) if name in _READ and tuple(point) in (_TRACKS, _ROUTES):
                self._said = ""

    def text(self, text):
        """It says something."""
        if self._said is not None:
            self._said += text

    def end(self, _):
        """It ends."""
        name = self._within[-1]
        if self._said is not None and name in _READ:
            points = (self.tracks if self._within[1] == "trk" else self.routes)[-1]
            place, read = _READ[name]
            points[-1][place] = read(name, self._said)
            self._said = None
        self._within = self._within[:-1]


def gpx_points(text):
    """Read GPX, with a prefix for its namespace or without; what a ride does not need is passed over.

    Parameters
    ----------
    text : str
        Without a document type; `road.read_gpx` refuses one.

    Returns
    -------
    GpxPoints

    Raises
    ------
    ValueError
        Where the text is no XML, or a point has no place, in words.

    Source: COMMON_PRACTICE
    """
    found = GpxPoints()
    parser = expat.ParserCreate("utf-8")
    parser.buffer_text = True
    parser.StartElementHandler, parser.EndElementHandler = found.start, found.end
    parser.CharacterDataHandler = found.text
    try:
        parser.Parse(text.encode("utf-8", errors="replace"), True)
    except expat.ExpatError as error:
        raise ValueError(str(error)) from None
    return found


def _place(about):
    if not {"lat", "lon"} <= about.keys():
        raise ValueError("a point has no latitude or longitude, which are mandatory")
    return [_number("lat", about["lat"]), _number("lon", about["lon"]), math.nan, math.nan]


def _number(name, text):
    try:
        return float(text.replace("_", "x"))
    except ValueError:
        raise ValueError(f"Invalid value of {name}, '{text.strip()[:20]}'") from None


def _moment(name, text):
    """Seconds since 1970; nan where a clock wrote what no reader knows, for a ride needs no time."""
    try:
        moment = datetime.fromisoformat(text.strip().replace("Z", "+00:00"))
    except ValueError:
        return math.nan
    return (moment if moment.tzinfo else moment.replace(tzinfo=timezone.utc)).timestamp()


_READ = {"ele": (2, _number), "time": (3, _moment)}  # place in a point, and how it is read

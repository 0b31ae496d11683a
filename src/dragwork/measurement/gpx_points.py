"""The points of a GPX file, taken as they come by: no tree is built that a hostile file could break."""

import math
from dataclasses import dataclass, field
from xml.parsers import expat

_DEEPEST = 50  # elements within each other; a ride needs five, and a device's own remarks a few more
_TRACKS, _ROUTES = ("gpx", "trk", "trkseg", "trkpt"), ("gpx", "rte", "rtept")


@dataclass
class GpxPoints:
    """What a GPX file holds.

    tracks, routes: a list each of points (latitude [deg], longitude [deg], elevation [m], nan where
    none is given); places: how many single ones there are.
    """

    version: str = ""
    tracks: list = field(default_factory=list)
    routes: list = field(default_factory=list)
    places: int = 0


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
    reader = _Reader()
    parser = expat.ParserCreate("utf-8")
    parser.buffer_text = True
    parser.StartElementHandler, parser.EndElementHandler = reader.start, reader.end
    parser.CharacterDataHandler = reader.text
    try:
        parser.Parse(text.encode("utf-8", errors="replace"), True)
    except expat.ExpatError as error:
        raise ValueError(str(error)) from None
    return reader.found


class _Reader:
    """Knows within which elements it is, and notes the points of tracks and routes."""

    def __init__(self):
        self.found, self._within, self._elevation = GpxPoints(), (), None

    def start(self, name, about):
        if len(self._within) == _DEEPEST:
            raise ValueError(f"more than {_DEEPEST} elements stand within each other")
        self._within += (name.rpartition(":")[2],)
        match self._within:
            case ("gpx",):
                self.found.version = about.get("version", "")
            case ("gpx", "trk"):
                self.found.tracks.append([])
            case ("gpx", "rte"):
                self.found.routes.append([])
            case ("gpx", "wpt"):
                self.found.places += 1
            case ("gpx", "trk", "trkseg", "trkpt"):
                self.found.tracks[-1].append(_place(about))
            case ("gpx", "rte", "rtept"):
                self.found.routes[-1].append(_place(about))
            case (*point, "ele") if tuple(point) in (_TRACKS, _ROUTES):
                self._elevation = ""

    def text(self, text):
        if self._elevation is not None:
            self._elevation += text

    def end(self, name):
        if self._elevation is not None and self._within[-1] == "ele":
            points = (self.found.tracks if self._within[1] == "trk" else self.found.routes)[-1]
            points[-1] = (*points[-1][:2], _number("ele", self._elevation))
            self._elevation = None
        self._within = self._within[:-1]


def _place(about):
    if not {"lat", "lon"} <= about.keys():
        raise ValueError("a point has no latitude or longitude, which are mandatory")
    return _number("lat", about["lat"]), _number("lon", about["lon"]), math.nan


def _number(name, text):
    try:
        return float(text.replace("_", "x"))
    except ValueError:
        raise ValueError(f"Invalid value of {name}, '{text.strip()[:20]}'") from None

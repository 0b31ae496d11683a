"""A course from a recorded ride (GPX) or from a table of legs, and back into a table.

No place stays in a course: it holds lengths, slopes and compass headings alone.
"""

import csv
import io
import re
from dataclasses import dataclass, fields

import numpy as np

from dragwork import units
from dragwork.measurement import track
from dragwork.measurement.gpx_points import gpx_points
from dragwork.measurement.sheet_reading import (
    Column,
    SheetError,
    as_number,
    file_content,
    read_text,
)
from dragwork.physics.course import Course, Leg
from dragwork.quantities import QUANTITIES, Quantity, needs, one_number, whole_number

MOST_LEGS = 200
HOME = 300.0  # m at each end: where a ride starts and stops tells where somebody lives

_LARGEST = 30_000_000  # bytes
_MOST_POINTS = 100_000  # more than a day at one a second
_SHORTEST, _LONGEST = 200.0, 1_000_000.0  # m
_GAP = 500.0  # m from one point to the next
_ELEVATIONS = (-450.0, 9000.0)  # m: outside there is no road
_STEEPEST = QUANTITIES["gradient"].high
_FORBIDDEN = re.compile(r"<!\s*(DOCTYPE|ENTITY)", re.IGNORECASE)
_ROOT = re.compile(r"<(?:[\w.-]+:)?gpx\b")
_POINT = re.compile(r"<(?:[\w.-]+:)?(?:trkpt|rtept|wpt)\b")
_DECLARATION = re.compile(r"^\s*<\?xml[^>]*\?>")


class RoadError(ValueError):
    """The file cannot be read as a road; the message says why and what to do."""


@dataclass(frozen=True)
class RoadRecord:
    """What was done to a recorded ride until it was a course.

    Parameters
    ----------
    points : int
        Read from the file.
    length : float [m]
        Of the course.
    ascent : float [m]
        All climbs of the course added up.
    gaps : int
        Places without a point for more than 500 m, bridged by a straight line.
    dropped : float [m]
        Left out at each end.
    notes : tuple of str
        What was wrong or uncertain, in words.
    """

    points: int
    length: float
    ascent: float
    gaps: int
    dropped: float
    notes: tuple = ()

    def __str__(self):
        ends = f" The first and last {self.dropped:.0f} m are left out." if self.dropped else ""
        said = (
            f"{self.points} points read: {units.to_kilometres(self.length):.1f} km with "
            f"{self.ascent:.0f} m of climbing.{ends}"
        )
        return " ".join([said, *self.notes])


@dataclass(frozen=True)
class RecordedCourse(Course):
    """A course that was read from a recorded ride; `.record` says what was done."""

    record: RoadRecord | None = None


# -- a recorded ride ----------------------------------------------------------------------------------


def read_gpx(path, drop_ends=0.0, most_legs=MOST_LEGS):
    """Read a ride recorded as GPX 1.1 (or 1.0) into a course.

    Positions and elevations are smoothed along the road, then neighbouring stretches with like
    slope and heading are joined to legs. The longest track counts, all its segments in a row; a
    file without a track gives its longest route.

    Parameters
    ----------
    path : str, path or open file
    drop_ends : float [m]
        Left out at the start and at the end, so that a home does not show; `HOME` is 300 m.
    most_legs : int
        1 to 200.

    Returns
    -------
    RecordedCourse
        A Course of legs [m, fraction, rad]; .record tells points, length, ascent, gaps and notes.
        Ascent is good to about 5 % where hills are 10 m and more and over 1 km long; a receiver
        whose elevation drifts by metres within minutes makes hills that nobody rode.

    Raises
    ------
    RoadError
        Where there is no road in the file, or something in it that no GPX needs, in words.

    Source: WGS84
    """
    whole_number("most_legs", most_legs, 1, MOST_LEGS)
    if not 0 <= one_number("drop_ends", drop_ends) < _LONGEST:
        raise ValueError(f"drop_ends {drop_ends} m is outside the allowed range, 0 to {_LONGEST:g} m.")
    latitude, longitude, elevation, notes = _points(_parsed(_text(path)))
    number = latitude.size
    latitude, longitude, elevation = _sound(latitude, longitude, elevation, notes)
    east, north = track.on_a_plane(latitude, longitude)
    off = track.strays(east, north)
    if off.any():
        notes.append(f"{_count(off.sum(), 'point')} far off the road left out.")
    east, north, elevation = east[~off], north[~off], elevation[~off]
    step = np.hypot(np.diff(east), np.diff(north))
    gaps = int((step > _GAP).sum())
    if gaps:
        notes.append(
            f"{_count(gaps, 'gap')} longer than {_GAP:.0f} m, the longest {step.max():.0f} m, "
            "bridged by a straight line."
        )
    _long_enough(step.sum())
    samples = track.measured_out(*track.without_crowds(east, north, elevation))
    if samples.length - 2 * drop_ends < _SHORTEST:
        raise RoadError(
            f"The road is {samples.length:.0f} m long. Without {drop_ends:.0f} m at each end less "
            f"than {_SHORTEST:.0f} m are left."
        )
    legs = _legs(track.in_pieces(samples.without_ends(drop_ends), most_legs), notes)
    course = Course(legs)
    record = RoadRecord(number, course.distance, course.ascent, gaps, float(drop_ends), tuple(notes))
    return RecordedCourse(legs, record)


def _legs(pieces, notes):
    steep = abs(pieces.gradient) > _STEEPEST
    if steep.any():
        notes.append(
            f"{_count(steep.sum(), 'leg')} steeper than {_STEEPEST:.0%} counted as that steep: the "
            "elevation there is not to be trusted."
        )
    gradient = np.clip(pieces.gradient, -_STEEPEST, _STEEPEST)
    return tuple(
        Leg(*(float(value) for value in leg))
        for leg in zip(pieces.distance, gradient, pieces.heading)
    )


def _long_enough(length):
    if length < _SHORTEST:
        raise RoadError(f"The points span {length:.0f} m of road; {_SHORTEST:.0f} m are needed.")
    if length > _LONGEST:
        raise RoadError(
            f"The points span {length / 1e3:.0f} km, more than {_LONGEST / 1e3:.0f} km: that is no "
            "ride. Are the coordinates in degrees, and do all points belong to one ride?"
        )


def _text(source):
    """The file's text, without what no GPX needs and what could be used for harm."""
    try:
        data = file_content(source, _LARGEST)
    except SheetError as error:
        raise RoadError(str(error)) from None
    wide = data[:2] in (b"\xff\xfe", b"\xfe\xff")
    for encoding in ("utf-16",) if wide else ("utf-8-sig", "cp1252"):
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            break
    else:
        raise RoadError("The file is not text. A GPX file is; export the ride again as GPX.")
    if not text.strip():
        raise RoadError("The file is empty. Export the ride again as GPX.")
    if _FORBIDDEN.search(text):
        raise RoadError(
            "The file declares a document type or entities. No GPX needs them and they can do harm, "
            "so it is not read."
        )
    return _DECLARATION.sub("", text, count=1)


def _parsed(text):
    if not _ROOT.search(text):
        raise RoadError("This is no GPX file: it has no element 'gpx'. Export the ride as GPX 1.1.")
    points = sum(1 for _ in _POINT.finditer(text))
    if points > _MOST_POINTS:
        raise RoadError(
            f"The file has {points} points; at most {_MOST_POINTS} are read. Take one ride of it."
        )
    try:
        return gpx_points(text)
    except ValueError as error:
        raise RoadError(
            f"The file is damaged and cannot be read as GPX: {error}. Export the ride again."
        ) from None


def _points(gpx):
    """Latitudes and longitudes [deg], elevations [m, nan where none] and what there is to say."""
    notes = []
    if gpx.version == "1.0":
        notes.append("The file is GPX 1.0, which is read as 1.1 is.")
    found, kind = (gpx.tracks, "track") if any(gpx.tracks) else (gpx.routes, "route")
    found = sorted((points for points in found if len(points) > 1), key=_extent, reverse=True)
    if not found:
        also = " It holds single places alone." if gpx.places else ""
        raise RoadError(f"The file holds no track or route of two points or more.{also}")
    if kind == "route":
        notes.append("The file holds a planned route, no ride: its points may lie far apart.")
    if len(found) > 1:
        notes.append(f"Of {len(found)} {kind}s the longest is taken.")
    return *np.array(found[0]).T, notes


def _extent(points):
    """A rough length, to tell which track is the longest [deg]."""
    places = np.array(points)[:, :2]
    return float(np.nansum(np.hypot(*np.diff(places, axis=0).T)))


def _sound(latitude, longitude, elevation, notes):
    """The points that are on the earth, each with an elevation."""
    sound = (abs(latitude) <= 90) & (abs(longitude) <= 180) & ~((latitude == 0) & (longitude == 0))
    if not sound.all():
        notes.append(f"{_count((~sound).sum(), 'point')} without a place on the earth left out.")
    latitude, longitude, elevation = latitude[sound], longitude[sound], elevation[sound]
    if latitude.size < 2:
        raise RoadError("Fewer than two points have a place on the earth.")
    low, high = _ELEVATIONS
    known = (elevation >= low) & (elevation <= high)
    if known.mean() < 0.5:
        notes.append(
            "Most of the points have no elevation, so the road counts as flat. Fill in the gradients if you "
            "know them: without them the minutes of the climbs are missing."
        )
        return latitude, longitude, np.zeros_like(latitude)
    if not known.all():
        notes.append(f"{_count((~known).sum(), 'point')} without elevation, filled in between.")
        places = np.arange(elevation.size)
        elevation = np.interp(places, places[known], elevation[known])
    return latitude, longitude, elevation


def _count(number, word):
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


# -- a table of legs ----------------------------------------------------------------------------------

_SHARE = Quantity("", 0.0, 3.0)
COLUMNS = (
    Column("distance", "length", {"km": units.kilometres, "m": float}, QUANTITIES["distance"]),
    Column("gradient", "gradient", {"%": units.percent}, QUANTITIES["gradient"]),
    Column("heading", "heading", {"deg": units.deg}, QUANTITIES["heading"]),
    Column("speed_limit", "limit", {"km/h": units.kmh, "m/s": float}, QUANTITIES["speed_limit"],
           optional=True, blank=True),
    Column("power_factor", "share of power", {"%": units.percent}, _SHARE, optional=True, blank=True),
    Column("wind_speed", "wind", {"m/s": float, "km/h": units.kmh}, QUANTITIES["wind_speed"],
           optional=True, blank=True),
    Column("wind_from", "wind from", {"deg": units.deg}, QUANTITIES["wind_from"],
           optional=True, blank=True),
)  # fmt: skip
_LEFT_EMPTY = {"power_factor": 1.0, "wind_speed": 0.0, "wind_from": 0.0}
_OUT = {
    "distance": units.to_kilometres, "gradient": units.to_percent, "heading": units.to_deg,
    "speed_limit": units.to_kmh, "power_factor": units.to_percent, "wind_speed": float,
    "wind_from": units.to_deg,
}  # fmt: skip


@dataclass(frozen=True, eq=False)
class TableOfLegs:
    """A course with what the rider and the wind do on each leg.

    Parameters
    ----------
    course : Course
    power_factor : (n,) array
        Share of the rider's power, 1 where nothing is said.
    wind_speed : (n,) array [m/s]
    wind_from : (n,) array [rad]
    """

    course: Course
    power_factor: np.ndarray
    wind_speed: np.ndarray
    wind_from: np.ndarray


def read_legs(source):
    """Read a course from a table of legs, as CSV.

    Columns: `length [km]`, `gradient [%]`, `heading [deg]`, and where wanted `limit [km/h]`,
    `share of power [%]`, `wind [m/s]`, `wind from [deg]`. Commas, semicolons or tabs part them;
    decimal commas are understood.

    Parameters
    ----------
    source : str, path or open file
        Text with more than one line is the table itself.

    Returns
    -------
    TableOfLegs
        .course .power_factor .wind_speed [m/s] .wind_from [rad]

    Raises
    ------
    RoadError
        Where the table, or any cell of it, is not clear: a road needs all its legs.

    Source: COMMON_PRACTICE
    """
    if isinstance(source, str) and "\n" in source:
        source = io.StringIO(source)
    try:
        sheet = read_text(source, COLUMNS)
    except SheetError as error:
        raise RoadError(str(error)) from None
    read = {column.field: sheet.read(column) for column in COLUMNS}
    faults = [*sheet.faults, *(fault for _, found in read.values() for fault in found)]
    if faults:
        more = f" And {len(faults) - 3} more." if len(faults) > 3 else ""
        raise RoadError(" ".join(map(str, faults[:3])) + more)
    return table_of({name: values for name, (values, _) in read.items()})


def table_of(columns):
    """A table of legs from columns in SI; nan where a cell is empty.

    Parameters
    ----------
    columns : dict of str to array

    Returns
    -------
    TableOfLegs

    Raises
    ------
    ValueError
        Outside the ranges, in words.

    Source: COMMON_PRACTICE
    """
    names = [field.name for field in fields(Leg)]
    legs = [
        Leg(*(None if np.isnan(value) else float(value) for value in leg))
        for leg in zip(*(columns[name] for name in names))
    ]
    rest = {
        name: np.where(np.isnan(columns[name]), usual, columns[name])
        for name, usual in _LEFT_EMPTY.items()
    }
    return TableOfLegs(Course(legs), **rest)


def legs_table(course, power_factor=1.0, wind_speed=0.0, wind_from=0.0):
    """A course as a table of legs, which `read_legs` reads back.

    Parameters
    ----------
    course : Course
    power_factor : float or array
        Share of the rider's power: one number, or one a leg.
    wind_speed : float or array [m/s]
    wind_from : float or array [rad]

    Returns
    -------
    str
        CSV text, nine significant figures.

    Raises
    ------
    ValueError
        Where arrays do not fit the number of legs, in words.

    Source: COMMON_PRACTICE
    """
    needs(Course, course=course)
    rows = rows_of(course, power_factor, wind_speed, wind_from)
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow([column.heading for column in COLUMNS])
    writer.writerows(row.values() for row in rows)
    return text.getvalue()


def rows_of(course, power_factor=1.0, wind_speed=0.0, wind_from=0.0, figures=9):
    """The legs as cells of text, a dict of field to cell for each; '' where there is no limit.

    Parameters
    ----------
    course : Course
    power_factor, wind_speed, wind_from
        As in `legs_table`.
    figures : int
        Significant figures.

    Returns
    -------
    list of dict
        In the units of the headings [km, %, deg, km/h, %, m/s, deg].

    Raises
    ------
    ValueError
        Where arrays do not fit the number of legs, in words.

    Source: COMMON_PRACTICE
    """
    number = len(course.legs)
    day = {"power_factor": power_factor, "wind_speed": wind_speed, "wind_from": wind_from}
    for name, value in day.items():
        try:
            value = np.asarray(value, dtype=float)
        except (TypeError, ValueError):  # words, or lists of unequal lengths
            value = np.array(np.nan)
        if not np.all(np.isfinite(value)):
            raise ValueError(f"{name} {day[name]!r:.40} is not a number; give one, or one a leg.")
        if np.ndim(value) and np.shape(value) != (number,):
            raise ValueError(f"{name} has the shape {np.shape(value)}; the course has {number} legs.")
        day[name] = np.broadcast_to(value, number)
    return [
        {
            column.field: _cell(column.field, day[column.field][i] if column.field in day
                                else getattr(leg, column.field), figures)
            for column in COLUMNS
        }
        for i, leg in enumerate(course.legs)
    ]  # fmt: skip


def _cell(name, value, figures):
    if value is None:
        return ""
    shown = f"{float(_OUT[name](value)):.{figures}g}"
    return "0" if as_number(shown) == 0 else shown

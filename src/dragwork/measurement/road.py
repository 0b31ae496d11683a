"""A course from a recorded ride (GPX) or from a table of legs, and back into a table.

No place stays in a course: it holds lengths, slopes and compass headings alone.
"""

import io
import re
from dataclasses import dataclass, fields, replace
from pathlib import Path

import numpy as np

from dragwork import units
from dragwork.files import fingerprint
from dragwork.measurement import track
from dragwork.measurement.gpx_points import gpx_points
from dragwork.measurement.sentences import say
from dragwork.measurement.sheet_columns import csv_of, read_columns
from dragwork.measurement.sheet_file import SheetError, decoded, file_content
from dragwork.measurement.sheet_reading import read_text
from dragwork.physics.course import Course, Leg
from dragwork.quantities import QUANTITIES, checked, in_words, needs, number_within

HOME = 300.0  # m at each end: where a ride starts and stops tells where somebody lives
DESCENT = units.percent(2)  # from here on a descent gets a limit; common practice, no source
DESCENDING = units.kmh(50)  # and this one is proposed; common practice, no source
SIDEWAYS = 3.0  # m/s2 in a bend, as riders take them on dry roads; common practice, no source

_LARGEST = 30_000_000  # bytes
_MOST_POINTS = 100_000  # more than a day at one a second
_SHORTEST, _LONGEST = 200.0, 1_000_000.0  # m
_GAP = 500.0  # m from one point to the next
_REST = units.hours(12)  # from one track to the next of the same ride, at most
_MANY_BENDS = 5  # so many that are too tight for the points are worth a word
_TIGHTEST = 3.0  # m: bends tighter than this are how a receiver wanders
_ELEVATIONS = (-450.0, 9000.0)  # m: outside there is no road
_STEEPEST = QUANTITIES["gradient"].high
_FORBIDDEN = re.compile(r"<!\s*(DOCTYPE|ENTITY)", re.IGNORECASE)
_ROOT = re.compile(r"<(?:[\w.-]+:)?gpx\b")
_POINT = re.compile(r"<(?:[\w.-]+:)?(?:trkpt|rtept|wpt)\b")
_DECLARATION = re.compile(r"^\s*<\?xml[^>]*\?>")


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
    file : str
        Its name, without the folder; empty where it has none.
    fingerprint : str
        Of its content: the same file has the same one.
    heights : bool
        False where the file has no elevations, or all the same: the road then counts as flat.
    """

    points: int
    length: float
    ascent: float
    gaps: int
    dropped: float
    notes: tuple = ()
    file: str = ""
    fingerprint: str = ""
    heights: bool = True

    def __str__(self):
        ends = f" The first and last {self.dropped:.0f} m are left out." if self.dropped else ""
        return " ".join([say("road", "record", **vars(self), ends=ends), *self.notes])


@dataclass(frozen=True)
class RecordedCourse(Course):
    """A course that was read from a recorded ride.

    Parameters
    ----------
    legs : sequence of Leg
        Without limits: see `with_limits`.
    record : RoadRecord
        What was done.
    radius : tuple of float [m]
        Of the bend that each leg is in, as the recording shows it; infinite where it is in none.
    """

    record: RoadRecord | None = None
    radius: tuple = ()

    def with_limits(self, descents=DESCENDING, sideways=SIDEWAYS):
        """The same road with the speed limits that are proposed for it.

        On descents one speed; in a bend of radius r the speed at which the sideways acceleration
        is a, v = sqrt(a r). A descent is somewhere steeper than 2 %, and goes on for as long as it
        falls by more than 1 %.

        Parameters
        ----------
        descents : float [m/s], optional
            None for no limit on descents.
        sideways : float [m/s2], optional
            None for no limit in bends.

        Returns
        -------
        RecordedCourse
            A limit that a leg has already stays, if it is lower.

        Source: COMMON_PRACTICE
        """
        limit = self.column("speed_limit")
        if descents is not None:
            down = _descents(self.column("gradient"))
            limit = np.where(down, np.minimum(limit, checked(speed_limit=descents)), limit)
        if sideways is not None:
            number_within("sideways", sideways, 0.5, 10, "m/s2")
            limit = np.minimum(limit, np.sqrt(sideways * np.maximum(self.radius, _TIGHTEST)))
        return replace(self, legs=tuple(
            replace(leg, speed_limit=float(most) if np.isfinite(most) else None)
            for leg, most in zip(self.legs, limit)
        ))  # fmt: skip

    def limits_in_words(self):
        """Where the road has limits, and which: a sentence."""
        limit, distance = self.column("speed_limit"), self.column("distance")
        bend = np.isfinite(self.radius) & np.isfinite(limit)
        down = np.isfinite(limit) & ~bend
        said = []
        if down.any():
            where = {"descents": _count(_runs(down), "descent"), "length": distance[down].sum()}
            said.append(say("road", "limits on descents", speed=limit[down].max(), **where))
        if bend.any():
            low, high = (f"{units.to_kmh(v):.0f}" for v in (limit[bend].min(), limit[bend].max()))
            said.append(f"{low if low == high else f'{low} to {high}'} km/h in {_count(_runs(bend), 'bend')}")
        return f"Limits: {' and '.join(said)}." if said else "No speed limits."


# -- a recorded ride ----------------------------------------------------------------------------------


def read_gpx(path, drop_ends=0.0):
    """Read a ride recorded as GPX 1.1 (or 1.0) into a course.

    Positions and elevations are smoothed along the road. Then neighbouring stretches are joined to
    legs for as long as these keep within 0.2 m of the road in height and 4 m in plan, more where
    the elevations are noisy: some 25 to 100 m where it rolls, longer where nothing changes. A
    bend that slows a rider has legs of its own. Tracks that follow each other are one ride; a file
    without a track gives its longest route.

    Parameters
    ----------
    path : str, path or open file
    drop_ends : float [m]
        Left out at the start and at the end, so that a home does not show; `HOME` is 300 m.

    Returns
    -------
    RecordedCourse
        A Course of legs [m, fraction, rad]; .record tells points, length, ascent, gaps and notes,
        .radius the bends. Ascent is good to about 5 % where hills are 10 m and more and over 1 km
        long; a receiver whose elevation drifts by metres within minutes makes hills that nobody
        rode. The time of a ride over it is good to about 1 %, hairpins to 3 % of their length.

    Raises
    ------
    SheetError
        Where there is no road in the file, or something in it that no GPX needs, in words.

    Source: WGS84
    """
    number_within("Left out at each end:", drop_ends, 0, _LONGEST, "m")
    content = file_content(path, _LARGEST)
    points, notes = _points(_gpx(content))
    number = points.shape[1]
    points = _sound(points, notes)
    line, gaps = _line(points, notes)
    road, noise = track.measured_out(*track.without_crowds(*line))
    along, length = road[0], road[0, -1]
    if length - 2 * drop_ends < _SHORTEST:
        raise SheetError(say("road", "nothing left", length=length, ends=drop_ends, least=_SHORTEST))
    pieces = track.in_pieces(road[:, (along >= drop_ends) & (along <= length - drop_ends)], noise)
    steep = (abs(pieces.gradient) > _STEEPEST).sum()
    if steep:
        notes.append(say("road", "steep", legs=_count(steep, "leg"), most=_STEEPEST))
    gradient = np.clip(pieces.gradient, -_STEEPEST, _STEEPEST)
    legs = tuple(map(Leg, pieces.distance.tolist(), gradient.tolist(), pieces.heading.tolist()))
    coarse = _runs(pieces.radius < length / number)
    if coarse >= _MANY_BENDS:
        notes.append(say("road", "coarse", apart=length / number, bends=_count(coarse, "bend")))
    course = RecordedCourse(legs, radius=tuple(pieces.radius.tolist()))
    name, heights = getattr(path, "name", path), bool(points[2].any())
    record = RoadRecord(
        number, course.distance, course.ascent, gaps, float(drop_ends), tuple(notes),
        Path(name).name if isinstance(name, (str, Path)) else "", fingerprint(content), heights,
    )  # fmt: skip
    return replace(course, record=record)


def _descents(gradient):
    """Which legs belong to a descent: it goes on for as long as it falls half as steeply."""
    stretch = np.cumsum(np.diff(gradient < -DESCENT / 2, prepend=False))
    steepest = np.full(stretch[-1] + 1, np.inf)
    np.minimum.at(steepest, stretch, gradient)
    return steepest[stretch] < -DESCENT


def _runs(where):
    return int(np.diff(where.astype(int), prepend=0).clip(0).sum())


def _gpx(content):
    """The points in a file's text, which is refused where it holds what could be used for harm."""
    text = decoded(content)
    if text is None:
        raise SheetError("The file is not text. A GPX file is; export the ride again as GPX.")
    if not text.strip():
        raise SheetError("The file is empty. Export the ride again as GPX.")
    if _FORBIDDEN.search(text):
        raise SheetError(say("road", "forbidden"))
    if not _ROOT.search(text):
        raise SheetError("This is no GPX file: it has no element 'gpx'. Export the ride as GPX 1.1.")
    points = sum(1 for _ in _POINT.finditer(text))
    if points > _MOST_POINTS:
        raise SheetError(say("road", "too many points", points=points, most=_MOST_POINTS))
    try:
        return gpx_points(_DECLARATION.sub("", text, count=1))
    except ValueError as error:
        raise SheetError(say("road", "damaged", error=error)) from None


def _points(gpx):
    """The points of the longest ride, and what there is to say of it.

    Rows of latitude and longitude [deg], elevation [m, nan where none], and the number of the track
    that each point is from.
    """
    notes = []
    if gpx.version == "1.0":
        notes.append("The file is GPX 1.0, which is read as 1.1 is.")
    kind, found = ("track", gpx.tracks) if any(gpx.tracks) else ("route", gpx.routes)
    found = [points for points in found if len(points) > 1]
    if not found:
        also = " It has single places only." if gpx.places else ""
        raise SheetError(f"The file holds no track or route of two points or more.{also}")
    if kind == "route":
        notes.append("The file holds a planned route, not a ride: its points may be far apart.")
    rides = _rides(found, notes) if kind == "track" else [[points] for points in found]
    ride = max(rides, key=lambda tracks: sum(map(_extent, tracks)))
    if len(rides) > 1:
        word = "ride" if len(ride) > 1 else kind
        notes.append(f"Of {len(rides)} {word}s the longest is used.")
    if len(ride) > 1:
        notes.append(say("road", "joined", number=len(ride)))
    return np.array([(*point[:3], i) for i, points in enumerate(ride) for point in points]).T, notes


def _rides(tracks, notes):
    """The tracks that follow each other, together; without those that repeat another."""
    rides, seen, copies = [], set(), 0
    for points in tracks:
        places = {tuple(point[:2]) for point in points}
        if places <= seen:
            copies += 1
            continue
        seen |= places
        rest = points[0][3] - rides[-1][-1][-1][3] if rides else -1.0
        if rest < 0 or rest > _REST:  # tracks without times follow each other
            rides.append([])
        rides[-1].append(points)
    if copies:
        notes.append(f"{_count(copies, 'track')} left out: all its points are in another.")
    return rides


def _extent(points):
    """A rough length, to tell which track is the longest [deg]."""
    return float(np.nansum(np.hypot(*np.diff(np.array(points)[:, :2], axis=0).T)))


def _sound(points, notes):
    """The points that are on the earth, each with an elevation: all 0 where these say nothing."""
    latitude, longitude = points[:2]
    sound = (abs(latitude) <= 90) & (abs(longitude) <= 180) & points[:2].any(axis=0)
    if not sound.all():
        notes.append(f"{_count((~sound).sum(), 'point')} without a place on the earth left out.")
    points = points[:, sound]
    if points.shape[1] < 2:
        raise SheetError("Fewer than two points have a place on the earth.")
    elevation = points[2]
    known = (elevation >= _ELEVATIONS[0]) & (elevation <= _ELEVATIONS[1])
    mostly = known.mean() >= 0.5
    if not mostly or np.ptp(elevation[known]) == 0:
        what = "All elevations in the file are the same" if mostly else "Most of the points have no elevation"
        notes.append(say("road", "flat", what=what))
        elevation[:] = 0.0
    elif not known.all():
        notes.append(f"{_count((~known).sum(), 'point')} without elevation, filled in between.")
        places = np.arange(elevation.size)
        elevation[~known] = np.interp(places[~known], places[known], elevation[known])
    return points


def _line(points, notes):
    """Metres east, north and up of the points, one row each, and how many gaps are between them.

    The way from one track to the next, where nobody recorded it, is left out.
    """
    line, part = np.array([*track.on_a_plane(*points[:2]), points[2]]), points[3]
    off = track.strays(*line[:2])
    if off.any():
        notes.append(f"{_count(off.sum(), 'point')} far off the road left out.")
        line, part = line[:, ~off], part[~off]
    steps = np.diff(line)
    length = np.hypot(*steps[:2])
    away = (np.diff(part) > 0) & (length > _GAP)
    if away.any():
        notes.append(say("road", "not recorded", length=length[away].sum()))
        steps, length = np.where(away, 0.0, steps), np.where(away, 0.0, length)
    gaps = int((length > _GAP).sum())
    if gaps:
        notes.append(say("road", "gap", gaps=_count(gaps, "gap"), most=_GAP, longest=length.max()))
    if length.sum() < _SHORTEST:
        raise SheetError(f"The points span {length.sum():.0f} m of road; {_SHORTEST:.0f} m are needed.")
    if length.sum() > _LONGEST:
        raise SheetError(say("road", "too long", length=length.sum(), most=_LONGEST))
    return np.cumsum(np.hstack([line[:, :1], steps]), axis=1), gaps


def _count(number, word):
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


# -- a table of legs ----------------------------------------------------------------------------------

COLUMNS = read_columns("leg_columns.csv")
_LEFT_EMPTY = {"power_factor": 1.0, "wind_speed": 0.0, "wind_from": 0.0}


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
    SheetError
        Where the table, or any cell of it, is not clear: a road needs all its legs.

    Source: COMMON_PRACTICE
    """
    if isinstance(source, str) and "\n" in source:
        source = io.StringIO(source)
    sheet = read_text(source, COLUMNS)
    columns, of_cells = sheet.table(COLUMNS)
    faults = [*sheet.faults, *(fault for found in of_cells.values() for fault in found)]
    if faults:
        more = f" And {len(faults) - 3} more." if len(faults) > 3 else ""
        raise SheetError(" ".join(map(str, faults[:3])) + more)
    return table_of(columns)


def table_of(columns):
    """A table of legs from columns in SI; nan where a cell is empty.

    Parameters
    ----------
    columns : dict of str to array

    Returns
    -------
    TableOfLegs

    Source: COMMON_PRACTICE
    """
    names = [field.name for field in fields(Leg) if field.name in columns]  # no table has shelter
    legs = [
        Leg(*(None if np.isnan(value) else float(value) for value in leg))
        for leg in zip(*(columns[name] for name in names))
    ]
    given = {name: (columns[name], usual) for name, usual in _LEFT_EMPTY.items()}
    rest = {name: np.where(np.isnan(column), usual, column) for name, (column, usual) in given.items()}
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
    return csv_of(COLUMNS, rows_of(course, power_factor, wind_speed, wind_from))


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
        value = checked(**{name: value})
        if value.shape not in ((), (number,)):
            raise ValueError(f"{in_words(name)} has the shape {value.shape}; the course has {number} legs.")
        day[name] = np.broadcast_to(value, number)
    rows = [{} for _ in range(number)]
    for column in COLUMNS:
        values = day[column.field] if column.field in day else course.column(column.field)
        for row, value in zip(rows, column.out_of_si(values, column.units[0])):
            row[column.field] = f"{value + 0.0:.{figures}g}" if np.isfinite(value) else ""
    return rows

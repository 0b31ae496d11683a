"""A road of one's own: legs as a table of boxes, or a recorded ride.

What is typed stays, whatever it is. Each row that cannot be used says what would help; the road is
the last one that could be read. No widgets here: they are in `course_editor_view`.
"""

import json
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import numpy as np

from dragwork import units
from dragwork.escaping import in_markdown
from dragwork.files import free_path
from dragwork.measurement.road import (
    HOME,
    legs_table,
    read_gpx,
    read_legs,
    rows_of,
    table_of,
)
from dragwork.physics.course import Course, Leg, ride
from dragwork.scenario.roads import BRICKFIELD_LOOP, Road
from dragwork.teaching.answers import UNITS, parse_quantity
from dragwork.teaching.figures.road_strip import unmeasured
from dragwork.teaching.forms.flow import File
from dragwork.teaching.forms.form import Form
from dragwork.teaching.forms.mine import my_rider
from dragwork.teaching.profile import Profile
from dragwork.teaching.telling import table

MOST_ROWS = 30  # of boxes; a recorded ride is joined to so many legs, so that they can be edited
DESCENT = units.percent(-2)  # from here on a descent of a recorded ride gets its speed limit
KEEP, DROP = "keep", "drop"
TYPED = "Typed in, leg by leg."
KEPT_AS = "my road"  # in the learner's file
FILE_NAME = "my_road.csv"
_POINTS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")


@dataclass(frozen=True)
class Cell:
    """What stands in one column of boxes: its field, words, unit and range in that unit."""

    field: str
    label: str
    unit: str
    low: float
    high: float
    empty: str = ""

    @property
    def heading(self):
        return f"{self.label} {UNITS[self.unit].printed}"

    def read(self, text):
        """What was typed, into SI; nan where the box may be empty and is."""
        text = str(text).strip()
        if not text and self.empty:
            return np.nan
        if self.unit == "deg" and text.upper() in _POINTS:
            return float(units.deg(45 * _POINTS.index(text.upper())))
        number = parse_quantity(text, self.unit)
        if not self.low <= number <= self.high:
            unit = UNITS[self.unit].printed
            raise ValueError(f"{number:g} {unit} is outside {self.low:g} to {self.high:g} {unit}.")
        return float(UNITS[self.unit].into_si(number))


CELLS = (
    Cell("distance", "Length", "km", 0.01, 1000),
    Cell("gradient", "Gradient", "%", -40, 40),
    Cell("heading", "Heading", "deg", -360, 360),
    Cell("speed_limit", "Limit", "km/h", 5, 160, "none"),
    Cell("power_factor", "Power", "%", 0, 200, "100"),
    Cell("wind_speed", "Wind", "m/s", 0, 20, "calm"),
    Cell("wind_from", "Wind from", "deg", -360, 360, "north"),
)
_BY_FIELD = {cell.field: cell for cell in CELLS}


class CourseEditor(Form):
    """A course as a table of legs. By code: `editor.set(...)`, then `editor.road`.

    Parameters
    ----------
    member : Member
        Who rides it, for the minutes.
    profile : Profile
    road : Road
        What stands in the table at first.

    Attributes
    ----------
    rows : list of dict
        Field to what stands in the box, for each leg.
    remarks : dict
        Row to a sentence that helps, where the row cannot be used.
    note : str
        What was done last, or what would help where it could not be done.
    road : Road
        As it last could be read: for `ride`, `my_road` and the page of notebook 12.
    """

    def __init__(self, member, profile, road):
        super().__init__(profile)
        self.member = member
        self.name, self.note, self.remarks, self.about = road.name, "", {}, road.about
        self._first_name = road.name
        self.rows = _rows_of(road)
        self._read()
        kept = profile.typed(KEPT_AS)
        if kept:
            self._take_kept(kept)

    # -- what it says -------------------------------------------------------------------------------

    @property
    def ridden(self):
        """The road as the member rides it."""
        return _ridden(self.road, self.member)

    @property
    def sentence(self):
        """The road in words, and how long it takes."""
        course = self.road.course
        climbs = f"{course.ascent:.0f} m of climbing" if course.ascent >= 1 else "no climbing"
        legs = "1 leg" if len(course.legs) == 1 else f"{len(course.legs)} legs"
        said = (
            f"{self.road.name}: {legs}, {units.to_kilometres(course.distance):.1f} km with {climbs}. "
            f"{self.member.name} at {self.member.power:.0f} W needs {units.clock(self.ridden.time)}."
            f"{unmeasured(self.ridden)}"
        )
        return f"{said} This is the road as it last could be read." if self.remarks else said

    def new_view(self):
        from dragwork.teaching.forms.course_editor_view import CourseEditorView

        return CourseEditorView(self)

    def markdown(self):
        """The legs as a table, and the road in words."""
        lines = [
            {"Leg": number} | {cell.heading: row[cell.field] or "–" for cell in CELLS}
            for number, row in enumerate(self.rows, 1)
        ]
        remarks = [self.remarks[row] for row in sorted(self.remarks)]
        said = map(in_markdown, [*remarks, *filter(None, [self.note]), self.sentence])
        return "\n\n".join([table(lines).markdown, *said])

    def csv(self):
        """The road as a table of legs, which `read_legs` and the editor read again."""
        road = self.road
        return legs_table(road.course, road.power_factor, road.wind_speed, road.wind_from)

    # -- what changes it ----------------------------------------------------------------------------

    def type(self, row, field, text):
        """Note what stands in a box, and read the table again."""
        self.about = TYPED
        self.rows[row][field] = str(text)
        self._changed()

    def call(self, name):
        """Give the road a name."""
        self.name = str(name).strip() or "My road"
        self._changed()

    def add(self, after=None):
        """A new leg after a row, by default at the end: like that one, but flat and without limit."""
        after = len(self.rows) - 1 if after is None else after
        if len(self.rows) >= MOST_ROWS:
            self.note = f"There are {MOST_ROWS} legs, which is all that the table holds."
            return self.follow()
        new = {**self.rows[after], "gradient": "0", "speed_limit": "", "power_factor": ""}
        self.rows.insert(after + 1, new)
        self._changed()

    def remove(self, row):
        """Take a leg away; the last one stays."""
        if len(self.rows) == 1:
            self.note = "A road needs one leg at least. Change this one instead."
            return self.follow()
        del self.rows[row]
        self._changed()

    def blow(self, wind_speed, wind_from):
        """Put the same wind on every leg."""
        for row in self.rows:
            row["wind_speed"], row["wind_from"] = str(wind_speed), str(wind_from)
        self._changed()

    def load(self, file, ends=None, descents="50"):
        """Take a recorded ride (GPX), or a table of legs (CSV).

        Parameters
        ----------
        file : File, str or path
        ends : str
            'drop' leaves out the first and last 300 m of a recorded ride, 'keep' keeps them.
        descents : str
            What the rider brakes to on descents of a recorded ride, in km/h; '' for no limit.

        Returns
        -------
        bool
            True if it was taken. Otherwise `note` says what would help, and all stays as it was.
        """
        try:
            rows, note = _rows_from(file, ends, descents)
        except ValueError as error:
            self.note = str(error)
            self.follow()
            return False
        before = self.rows, self.about, self.name
        self.rows, self.about = rows, note
        if self.name == self._first_name:  # nobody has named it yet
            self.name = Path(getattr(file, "name", file)).stem.replace("_", " ")
        self._changed(note)
        if self.remarks and rows:
            first = self.remarks[min(self.remarks)]
            self.rows, self.about, self.name = before
            self._changed(f"This road cannot be ridden as it stands. {first}")
            return False
        return True

    def set(self, legs=None, name=None, file=None, ends=None, descents="50", wind=None):
        """Change it by code, as a person would by hand.

        Parameters
        ----------
        legs : sequence of dict, optional
            Field to text or number, in the units that the table shows: `{"distance": 20,
            "gradient": 4, "heading": "N", "wind_speed": 3}`. What is left out is empty, or 0.
        name : str, optional
        file, ends, descents
            As `load` takes them.
        wind : (speed, from), optional
            The same on every leg: `("3 m/s", "W")`.

        Raises
        ------
        ValueError
            Where it cannot be used, in words; what was typed stays.
        """
        if file is not None and not self.load(file, ends, descents):
            raise ValueError(self.note)
        if legs is not None:
            unknown = [field for leg in legs for field in leg if field not in _BY_FIELD]
            if unknown:
                raise ValueError(f"'{unknown[0]}' is no field; there are {', '.join(_BY_FIELD)}.")
            if not 1 <= len(legs) <= MOST_ROWS:
                raise ValueError(f"{len(legs)} legs are given; the table holds 1 to {MOST_ROWS}.")
            plain = {**dict.fromkeys(_BY_FIELD, ""), "gradient": "0", "heading": "0"}
            self.rows = [plain | {key: str(value) for key, value in leg.items()} for leg in legs]
            self.about = TYPED
        if wind is not None:
            for row in self.rows:
                row["wind_speed"], row["wind_from"] = map(str, wind)
        if name is not None:
            self.name = name
        self._changed()
        if self.remarks:
            raise ValueError(" ".join(self.remarks[row] for row in sorted(self.remarks)))

    def save(self, folder="."):
        """Write the legs as CSV beside the notebook, never over an earlier file.

        Returns
        -------
        Path
        """
        content = self.csv().encode("utf-8")
        path = free_path(Path(folder, FILE_NAME), content)
        path.write_bytes(content)
        return path

    # -- reading ------------------------------------------------------------------------------------

    def _changed(self, note=""):
        self.note = note
        self._read()
        self.profile.keep_typed(KEPT_AS, json.dumps([self.name, self.about, self.rows]))
        self.follow()

    def _take_kept(self, kept):
        self.name, self.about, self.rows = json.loads(kept)
        self._read()

    def _read(self):
        """Read all boxes; the road follows if all of them can be used."""
        values, self.remarks = {cell.field: [] for cell in CELLS}, {}
        for number, row in enumerate(self.rows):
            troubles = []
            for cell in CELLS:
                try:
                    values[cell.field].append(cell.read(row[cell.field]))
                except ValueError as error:
                    troubles.append(f"{cell.label.lower()}: {error}")
            if troubles:
                self.remarks[number] = f"Leg {number + 1}, {' '.join(troubles)}"
        if self.remarks:
            return
        found = table_of({name: np.array(column) for name, column in values.items()})
        road = Road(
            self.name, found.course, self.about, found.power_factor, found.wind_speed, found.wind_from
        )
        try:
            _ridden(road, self.member)
        except ValueError as error:
            said = str(error).replace("speed_limit", "limit")
            self.remarks[_leg_in(said)] = said[:1].upper() + said[1:]
        else:
            self.road = road


def _leg_in(sentence):
    """The row that a sentence about `leg 3` speaks of; the first where it names none."""
    _, _, after = sentence.partition("leg ")
    number = after.split(" ")[0].rstrip(",")
    return int(number) - 1 if number.isdigit() else 0


def _ridden(road, member):
    return ride(road.course, member.rider, **road.day(member.power))


def _rows_of(road):
    rows = rows_of(road.course, road.power_factor, road.wind_speed, road.wind_from, figures=4)
    return [_plain(row) for row in rows]


def _plain(row):
    """A row with its usual entries left empty."""
    usual = {"power_factor": "100", "wind_speed": "0"}
    row = {field: "" if usual.get(field) == text else text for field, text in row.items()}
    return row if row["wind_speed"] else {**row, "wind_from": ""}


def _rows_from(file, ends, descents):
    """The rows that a file gives, and what there is to say about it; ValueError in words."""
    if file in ("", None):
        raise ValueError("No file chosen yet. Choose a GPX file of a ride, or a CSV table of legs.")
    if not isinstance(file, File):
        path = Path(file)
        try:
            file = File(path.name, path.read_bytes())
        except OSError as error:
            raise ValueError(f"{path.name} cannot be opened: {error.strerror}.") from None
    if file.name.lower().endswith((".csv", ".txt", ".tsv")):
        found = read_legs(BytesIO(file.content))
        number = len(found.course.legs)
        if number > MOST_ROWS:
            raise ValueError(f"{file.name} has {number} legs; the table holds {MOST_ROWS}.")
        rows = rows_of(found.course, found.power_factor, found.wind_speed, found.wind_from, figures=6)
        return [_plain(row) for row in rows], f"{number} legs read from {file.name}."
    if ends not in (KEEP, DROP):
        raise ValueError(
            f"First choose whether to leave out the first and last {HOME:.0f} m. Where a ride starts "
            "and stops may tell where you live."
        )
    limit = _BY_FIELD["speed_limit"]
    try:
        limit.read(descents)
    except ValueError as error:
        raise ValueError(f"Limit on descents: {error}") from None
    course = read_gpx(BytesIO(file.content), HOME if ends == DROP else 0.0, MOST_ROWS)
    rows = [_plain(row) for row in rows_of(Course([_rounded(leg) for leg in course.legs]))]
    for row, leg in zip(rows, course.legs):
        row["speed_limit"] = str(descents).strip() if leg.gradient < DESCENT else ""
    return rows, f"{file.name}: {course.record}"


def _rounded(leg):
    """A leg as one would type it: whole metres, hundredths of a percent, whole degrees."""
    heading = units.deg(round(float(units.to_deg(leg.heading))) % 360)
    return Leg(round(leg.distance), round(leg.gradient, 4), float(heading))


def course_editor(member=None, road=BRICKFIELD_LOOP):
    """The editor, with the learner's own road where they have typed one before.

    Parameters
    ----------
    member : Member, optional
        Who rides it; by default the learner's own rider, or Tobin.
    road : Road
        What stands in it at first.

    Returns
    -------
    CourseEditor
    """
    return CourseEditor(member or my_rider(), Profile(), road)


def my_own_road():
    """The road that the learner has typed or loaded in the editor; None where it cannot be read.

    Returns
    -------
    Road or None
    """
    editor = course_editor()
    return editor.road if editor.profile.typed(KEPT_AS) and not editor.remarks else None

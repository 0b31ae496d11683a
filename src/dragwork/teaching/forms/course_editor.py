"""A road of one's own: legs as a table of boxes, or a recorded ride.

A row is a leg, or on a road of many legs a stretch of them, which can be opened. The legs stay
behind their row: what is typed changes that stretch and nothing else. What is typed stays, whatever
it is. Each row that cannot be used says what would help; the road is the last one that could be
read. What a column of boxes may hold is in `leg_columns`, the widgets in `course_editor_view`.
"""

import json
import re
from functools import lru_cache
from io import BytesIO
from pathlib import Path

import numpy as np
import pandas as pd

from dragwork import units
from dragwork.escaping import in_markdown
from dragwork.files import fingerprint
from dragwork.measurement.road import HOME, SIDEWAYS, legs_table, read_gpx, read_legs, table_of
from dragwork.measurement.track import summed_up
from dragwork.physics.course import ride
from dragwork.scenario.roads import BRICKFIELD_LOOP, Road
from dragwork.teaching.figures.road_strip import unmeasured
from dragwork.teaching.forms.course_editor_view import CourseEditorView
from dragwork.teaching.forms.fields import Typed, in_unit, opened
from dragwork.teaching.forms.flow import FormWords
from dragwork.teaching.forms.form import Form, write_beside
from dragwork.teaching.forms.learner_rider import my_rider
from dragwork.teaching.forms.leg_columns import BY_FIELD, CELLS, DROP, KEEP, LIMIT, MOST_ROWS
from dragwork.teaching.profile import ROAD, Profile
from dragwork.teaching.telling import capital, table

SUMMARY = 12  # a road of more than MOST_ROWS legs: at most so many stretches, and each opens into as many
_MOST_OPEN = 60  # rows, opened ones included
MIXED = "mixed"  # in a box: the legs of the stretch differ
FILE_NAME, CHANGED = "my_road.csv", " Changed by hand."
WORDS = FormWords("course_editor.json")
_DESCENTS = Typed("descents", "Limit on descents", read=BY_FIELD["speed_limit"].read)


class Row(dict):
    """What stands in the boxes of a row, field to text, and the legs behind them.

    Parameters
    ----------
    cells : dict
        Field to text; by default a summary of the legs.
    legs : DataFrame, optional
        A column a field, in SI, nan for no limit. Without them the row is the one leg that its boxes say.

    Attributes
    ----------
    number : int
        Of the legs behind the row.
    """

    def __init__(self, cells=None, legs=None):
        self.shown = {} if legs is None else _summary(legs)
        self.legs = pd.DataFrame(index=[0]) if legs is None else legs
        self.number = len(self.legs)
        super().__init__(self.shown if cells is None else cells)

    def read(self):
        """The legs as the row has them now, and what would help where a box cannot be used."""
        legs, troubles = self.legs.copy(), []
        for cell in CELLS:
            if self[cell.field] == self.shown.get(cell.field):
                continue
            try:
                legs[cell.field] = self._changed(cell, cell.read(self[cell.field]))
            except ValueError as error:
                troubles.append(f"{cell.label.lower()}: {error}")
        return legs, troubles

    def _changed(self, cell, value):
        """One field of the legs after a value was typed for all of them together."""
        if self.number == 1 or cell.field not in _SHAPE:
            return value
        old, together = self.legs[cell.field], _together(self.legs)[cell.field]
        if cell.field == "distance":
            return old * value / together
        changed = old + value - together
        if cell.field == "heading":
            return np.mod(changed, 2 * np.pi)
        if max(abs(changed)) > units.percent(cell.high):
            raise ValueError(WORDS("too steep"))
        return changed


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
        As it last could be read, with all its legs: for `ride`, `my_road` and the page of
        notebook 12.
    ridden : Ride
        That road as the member rides it.
    flat_asked : bool
        Whether a file without elevations waits for the word that its road is flat.
    follower : callable, optional
        Called without arguments after each change of the road.
    """

    view = CourseEditorView

    def __init__(self, member, profile, road):
        super().__init__(profile)
        self.member, self.follower = member, lambda: None
        self.note, self.remarks, self.flat_asked = "", {}, False
        self._take(road)
        self._read()
        self._kept = profile.typed(ROAD)
        if self._kept:
            self._take_kept(self._kept)

    # -- what it says -------------------------------------------------------------------------------

    @property
    def sentence(self):
        """The road in words, and how long it takes."""
        course = self.road.course
        climbs = f"{course.ascent:.0f} m of climbing" if course.ascent >= 1 else "no climbing"
        legs = "1 leg" if len(course.legs) == 1 else f"{len(course.legs)} legs"
        if len(course.legs) > len(self.rows):
            legs += f" in {len(self.rows)} rows"
        time, beyond = units.clock(self.ridden.time), unmeasured(self.ridden)
        said = WORDS("road", editor=self, legs=legs, climbs=climbs, time=time, unmeasured=beyond)
        last = [WORDS("last read")] if self.remarks else []
        return " ".join([said, *self.road.questions(self.ridden.time), *last])

    @property
    def noun(self):
        """What a row is: a leg, or a stretch of them."""
        return "Leg" if all(row.number == 1 for row in self.rows) else "Stretch"

    def markdown(self):
        """The legs as a table, and the road in words."""
        lines = [
            {self.noun: number} | {cell.heading: row[cell.field] or "–" for cell in CELLS}
            for number, row in enumerate(self.rows, 1)
        ]
        said = map(in_markdown, filter(None, [*self.remarks.values(), self.note, self.sentence]))
        return "\n\n".join([table(lines).markdown, *said])

    # -- what changes it ----------------------------------------------------------------------------

    def type(self, row, field, text):
        """Note what stands in a box, and read the table again."""
        self.rows[row][field] = in_unit(str(text), BY_FIELD[field].unit)
        self._by_hand()

    def call(self, name):
        """Give the road a name."""
        self.name = str(name).strip() or "My road"
        self._changed()

    def add(self, after=None):
        """A new leg after a row, by default at the end: like that one, but flat and without limit."""
        after = len(self.rows) - 1 if after is None else after
        if len(self.rows) >= MOST_ROWS:
            return self._tell(WORDS("too many rows", len(self.rows), MOST_ROWS))
        cells = {field: "" if text == MIXED else text for field, text in self.rows[after].items()}
        new = Row(cells | {"gradient": "0", "speed_limit": "", "power_factor": ""})
        self.rows.insert(after + 1, new)
        self._by_hand()

    def remove(self, row):
        """Take a row away, with the legs behind it; the last one stays."""
        if len(self.rows) == 1:
            return self._tell(WORDS("last leg"))
        del self.rows[row]
        self._by_hand()

    def open(self, row):
        """Show what is behind a row: its legs, or shorter stretches of them."""
        legs, troubles = self.rows[row].read()
        if troubles or self.rows[row].number == 1:
            return self._tell(self.remarks.get(row) or WORDS("one leg", row + 1))
        if len(self.rows) + SUMMARY > _MOST_OPEN:
            return self._tell(WORDS("too many open", len(self.rows)))
        self.rows[row : row + 1] = _summed_up(legs, SUMMARY)
        return self._changed()

    def sum_up(self):
        """Show the whole road in a few rows again."""
        if self.remarks:
            return self._tell(WORDS("first", next(iter(self.remarks.values()))))
        self.rows = _summed_up(_legs_of(self.road))
        return self._changed()

    def blow(self, wind_speed, wind_from):
        """Put the same wind on every leg."""
        for row in self.rows:
            row["wind_speed"], row["wind_from"] = in_unit(str(wind_speed), "m/s"), str(wind_from)
        self._by_hand()

    def load(self, file, ends=None, descents=LIMIT, bends=True, flat=False):
        """Take a recorded ride (GPX), or a table of legs (CSV), with all its legs.

        Parameters
        ----------
        file : File, str or path
        ends : str
            'drop' leaves out the first and last 300 m of a recorded ride, 'keep' keeps them.
        descents : str
            What the rider brakes to on descents of a recorded ride, in km/h; '' for no limit.
        bends : bool
            Whether the rider brakes for bends of a recorded ride.
        flat : bool
            That a ride recorded without elevations is flat.

        Returns
        -------
        bool
            True if it was taken. Otherwise `note` says what would help, and all stays as it was.
        """
        try:
            road = self._road_of(file, ends, descents, bends, flat)
        except ValueError as error:
            self._tell(str(error))
            return False
        note = [road.about]
        if hasattr(road.course, "record"):
            note.append(road.course.limits_in_words())
            if np.isfinite(road.course.column("speed_limit")).any():
                note.append(WORDS("proposed"))
        self._take(road)
        self._changed(" ".join(note))
        return True

    def _road_of(self, file, ends, descents, bends, flat):
        """The road that a file gives; ValueError in words."""
        if not file:
            raise ValueError(WORDS("no file"))
        file = opened(file)
        if _is_recorded(file) and ends not in (KEEP, DROP):
            raise ValueError(WORDS("ends", HOME))
        road = road_from(file, ends, _DESCENTS.check(descents, {}), bends)
        self.flat_asked = has_no_heights(road)
        if self.flat_asked and not flat:
            raise ValueError(WORDS("no heights", road.file))
        try:
            self._ride(road)
        except ValueError as error:
            raise ValueError(WORDS("not ridden", error)) from None
        return road

    def _ride(self, road):
        """How the member rides a road; ValueError in words."""
        try:
            return ride(road.course, self.member.rider, **road.day(self.member.power))
        except ValueError as error:
            raise ValueError(capital(str(error).replace("speed limit", "limit"))) from None

    def set(self, legs=None, name=None, file=None, wind=None, **how):
        """Change it by code, as a person would by hand.

        Parameters
        ----------
        legs : sequence of dict, optional
            Field to text or number, in the units that the table shows: `{"distance": 20,
            "gradient": 4, "heading": "N", "wind_speed": 3}`. What is left out is empty, or 0.
        name : str, optional
        file, **how
            As `load` takes them.
        wind : (speed, from), optional
            The same on every leg: `("3 m/s", "W")`.

        Raises
        ------
        ValueError
            Where it cannot be used, in words; what was typed stays.
        """
        if file is not None and not self.load(file, **how):
            raise ValueError(self.note)
        if legs is not None:
            unknown = [field for leg in legs for field in leg if field not in BY_FIELD]
            if unknown:
                raise ValueError(WORDS("no field", unknown[0], ", ".join(BY_FIELD)))
            if not 1 <= len(legs) <= MOST_ROWS:
                raise ValueError(WORDS("number of legs", len(legs), MOST_ROWS))
            plain = {**dict.fromkeys(BY_FIELD, ""), "gradient": "0", "heading": "0"}
            self.rows = [Row(plain | {key: str(value) for key, value in leg.items()}) for leg in legs]
            self.about, self._file = WORDS("typed"), {}
        if name is not None:
            self.name = name
        if wind is not None:
            self.blow(*wind)
        else:
            self._changed(self.note if file is not None and legs is None else "")
        if self.remarks:
            raise ValueError(" ".join(self.remarks.values()))

    def save(self, folder="."):
        """Write the legs as CSV beside the notebook, never over an earlier file.

        `read_legs` and the editor read it again.

        Returns
        -------
        Path
        """
        road = self.road
        legs = legs_table(road.course, road.power_factor, road.wind_speed, road.wind_from)
        return write_beside(folder, FILE_NAME, legs)

    # -- reading ------------------------------------------------------------------------------------

    def _take(self, road):
        self.name, self.about = road.name, road.about
        self._file = {name: getattr(road, name) for name in ("file", "fingerprint", "dropped")}
        self.rows = _summed_up(_legs_of(road))

    def _tell(self, note):
        self.note = note
        self.follow()

    def _by_hand(self):
        from_file = self._file.get("file")
        self.about = self.about.removesuffix(CHANGED) + CHANGED if from_file else WORDS("typed")
        self._changed()

    def _changed(self, note=""):
        self.note = note
        self._read()
        kept = {
            "name": self.name, "about": self.about, "file": self._file, "rows": self.rows,
            "legs": [_kept(row.legs) or None for row in self.rows],
        }  # fmt: skip
        text = json.dumps(kept)
        self.profile.keep_road(text, self.name, self._kept)
        self._kept = text
        self.follow()

    def _take_kept(self, kept):
        kept = json.loads(kept)
        if isinstance(kept, list):  # as it was kept when a row was always one leg
            name, about, rows = kept
            kept = {"name": name, "about": about, "file": {}, "rows": rows, "legs": [None] * len(rows)}
        self.name, self.about, self._file = kept["name"], kept["about"], kept["file"]
        self.rows = [Row(cells, legs and _unpacked(legs)) for cells, legs in zip(kept["rows"], kept["legs"])]
        self._read()

    def _read(self):
        """Read all boxes; the road follows if all of them can be used."""
        read, self.remarks = [], {}
        for number, row in enumerate(self.rows):
            legs, troubles = row.read()
            read.append(legs)
            if troubles:
                self.remarks[number] = f"{self.noun} {number + 1}, {' '.join(troubles)}"
        if self.remarks:
            return
        found = table_of(pd.concat(read))
        road = Road(name=self.name, about=self.about, **vars(found), **self._file)
        try:
            ridden = self._ride(road)
        except ValueError as error:
            named = re.search(r"leg (\d+)", str(error), re.I)  # the first leg where it names none
            behind = [place for place, row in enumerate(self.rows) for _ in range(row.number)]
            self.remarks[behind[int(named[1]) - 1 if named else 0]] = str(error)
        else:
            self.road, self.ridden = road, ridden
            self.follower()


_SHAPE = ("distance", "gradient", "heading")


def _legs_of(road):
    """The legs of a road in SI, nan for no limit."""
    legs = {name: road.course.column(name) for name in (*_SHAPE, "speed_limit")}
    legs |= {name: getattr(road, name) for name in ("power_factor", "wind_speed", "wind_from")}
    return pd.DataFrame(legs).replace(np.inf, np.nan)


def _summed_up(legs, most=MOST_ROWS):
    """Legs as rows: one each, or where they are too many one for each of a few stretches."""
    row = np.arange(len(legs))
    if row.size > most:
        run = legs.distance / np.hypot(1, legs.gradient)
        way = run * np.sin(legs.heading), run * np.cos(legs.heading)
        *_, number = summed_up(np.array([run, run * legs.gradient, *way, 0 * run, 0 * run + 1]), SUMMARY)
        row = np.repeat(np.arange(number.size), number.astype(int))
    return [Row(legs=stretch.reset_index(drop=True)) for _, stretch in legs.groupby(row)]


def _together(legs):
    """Legs as one: length and net gradient and heading, and the others of the first."""
    one = dict(legs.iloc[0])
    if len(legs) > 1:
        run = legs.distance / np.hypot(1, legs.gradient)
        way = np.sum(run * np.exp(1j * legs.heading))
        one["distance"] = np.sum(legs.distance)
        one["gradient"] = np.sum(run * legs.gradient) / np.sum(run)
        one["heading"] = np.mod(np.angle(way), 2 * np.pi)
    return one


def _summary(legs):
    """What stands in the boxes of a row for its legs."""
    one = _together(legs)
    row = {cell.field: cell.text(one[cell.field]) for cell in CELLS}
    if not row["wind_speed"]:
        row["wind_from"] = ""
    return row | {name: MIXED for name in legs if name not in _SHAPE and legs[name].nunique(dropna=False) > 1}


def _kept(legs):
    """Legs for the learner's file: one value where all are the same, None for no limit."""
    columns = legs.astype(object).where(legs.notna(), None).to_dict("list")
    alike = {name for name, column in columns.items() if len(set(column)) == 1} - {"distance"}
    return {name: column[:1] if name in alike else column for name, column in columns.items()}


def _unpacked(legs):
    number = len(legs["distance"])
    return pd.DataFrame({name: column * number if len(column) == 1 else column for name, column in legs.items()}, dtype=float)


def has_no_heights(road):
    """Whether a road was recorded without elevations."""
    record = getattr(road.course, "record", None)
    return record is not None and not record.heights


def _is_recorded(file):
    """Whether a file is, or would be, a recorded ride: whatever its name, XML begins with a bracket."""
    return file.name.lower().endswith(".gpx") or file.content.lstrip(b"\xef\xbb\xbf\xff\xfe\0 \t\r\n")[:1] == b"<"


def road_from(file, ends, descents, bends, wind_speed=0.0, wind_from=0.0, name=""):
    """The road of a table of legs, or of a recorded ride with the limits that are proposed for it.

    Parameters
    ----------
    file : File
    ends : str
        'drop' or 'keep': the first and last 300 m of a recorded ride, like what follows.
    descents : float [m/s]
        Limit on descents; not a number for none.
    bends : bool
        Whether the rider brakes for them.
    wind_speed : float [m/s]
    wind_from : float [rad]
    name : str
        By default that of the file.

    Returns
    -------
    Road

    Raises
    ------
    SheetError
        Where it cannot be read, in words.
    """
    name = name or Path(file.name).stem.replace("_", " ")
    if not _is_recorded(file):
        found = read_legs(BytesIO(file.content))
        about, mark = WORDS("from a table", file.name, in_legs(found.course)), fingerprint(file.content)
        return Road(name=name, about=about, **vars(found), file=file.name, fingerprint=mark)
    course = _recorded(file.content, HOME if ends == DROP else 0.0)
    course = course.with_limits(None if np.isnan(descents) else descents, SIDEWAYS if bends else None)
    legs = len(course.legs)
    return Road(
        name, course, WORDS("from a ride", file.name, course.record, in_legs(course)), np.ones(legs),
        np.full(legs, wind_speed), wind_from, file.name, course.record.fingerprint, course.record.dropped,
    )  # fmt: skip


@lru_cache(4)  # it is asked about its limits, its ends and its name
def _recorded(content, left_out):
    return read_gpx(BytesIO(content), left_out)


def in_legs(course):
    """'one leg', '12 legs'."""
    return "one leg" if len(course.legs) == 1 else f"{len(course.legs)} legs"


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
    kept = Profile().typed(ROAD)
    return _road_kept(kept) if kept else None


def _road_kept(kept):
    editor = course_editor()
    editor._take_kept(kept)
    return None if editor.remarks else editor.road


def own_roads():
    """The learner's roads: the one in the editor first, then those kept from other pages.

    Returns
    -------
    list of Road
    """
    roads = [my_own_road(), *(_road_kept(each["kept"]) for each in Profile().named("road").values())]
    return [road for road in roads if road is not None]

"""The question behind the page: on which road? The club's, the learner's own, legs, or a file."""

import numpy as np

from dragwork import units
from dragwork.escaping import a_name
from dragwork.measurement import road as files
from dragwork.measurement.sheet_file import SheetError
from dragwork.physics.course import Course, Leg, ride
from dragwork.scenario.roads import ROADS, Road
from dragwork.teaching.answers import entries_of, read_line
from dragwork.teaching.forms.course_editor import has_no_heights, in_legs, own_roads, road_from
from dragwork.teaching.forms.flow import FormWords
from dragwork.teaching.forms.learner_rider import by_choice
from dragwork.teaching.forms.leg_columns import CELLS, LIMIT

WORDS = FormWords("report_roads.json")
TYPED, TRACK = "legs", "track"
_WIND_FROM = next(cell for cell in CELLS if cell.field == "wind_from")
_LIMIT = next(cell for cell in CELLS if cell.field == "speed_limit")


def read_legs(text):
    """Legs as somebody types them: `20 km 3 m/s; 10 km 4 %; 10 km -4 % 50 km/h`.

    Each has a length, and may have a gradient in %, a headwind in m/s (with a minus from behind)
    and a speed limit in km/h. A semicolon or a new line parts them.

    Parameters
    ----------
    text : str

    Returns
    -------
    (legs, head_wind) : tuple of Leg, (n,) array [m/s]

    Raises
    ------
    ValueError
        Where a leg cannot be read, in words.

    Source: COMMON_PRACTICE
    """
    lines = entries_of(text)
    if not lines:
        raise ValueError(WORDS("no leg"))
    legs, wind = [], []
    for number, line in enumerate(lines, 1):
        try:
            leg, along = _read_leg(line)
        except ValueError as error:
            raise ValueError(f"leg {number}, '{line}': {error}") from None
        legs.append(leg)
        wind.append(along)
    return tuple(legs), np.array(wind)


def _read_leg(line):
    words, numbers = read_line(line, ("km", "%", "km/h", "m/s"))
    if words:
        raise ValueError(f"'{words}' is not understood; give numbers with their units.")
    if "km" not in numbers:
        raise ValueError("its length in km is missing.")
    wind = numbers.get("m/s", 0.0)
    if abs(wind) > 20:
        raise ValueError(WORDS("no wind", wind))
    limit = numbers.get("km/h")
    return Leg(
        units.kilometres(numbers["km"]),
        units.percent(numbers.get("%", 0.0)),
        speed_limit=None if limit is None else units.kmh(limit),
    ), wind


def _options(answers):
    mine = {key: f"{own.name}, from notebook 09: {own.about}" for key, own in by_choice(own_roads()).items()}
    return mine | {name: f"{name}: {road.about}" for name, road in ROADS.items()} | {
        TYPED: "legs that I type",
        TRACK: "a file of my own: a GPX track, or legs as CSV",
    }


def _read(values, answers):
    if values["road"] in ROADS:
        return ROADS[values["road"]]
    if values["road"] in (mine := by_choice(own_roads())):
        return mine[values["road"]]
    name = values["road_name"].strip()
    if values["road"] == TYPED:
        legs, wind = values["legs"]
        course, wind_from = Course(legs), np.where(wind < 0, units.deg(180), 0.0)
        about = f"Typed in as {in_legs(course)}."
        return Road(name or "My road", course, about, np.ones(len(legs)), np.abs(wind), wind_from)
    file = values["track"]
    try:
        road = road_from(
            file, values["ends"], values["descents"], values["bends"] == "brake", values["wind_speed"],
            np.nan_to_num(values["wind_from"]), name,
        )  # fmt: skip
    except SheetError as error:
        raise ValueError(f"{file.name} could not be used. {error}") from None
    if has_no_heights(road) and values["heights"] != "flat":
        raise ValueError(WORDS("no heights", file.name))
    return road


def _in_words(road, answers):
    distance, ascent = units.to_kilometres(road.course.distance), road.course.ascent
    climbing = f"{ascent:.0f} m of climbing" if ascent >= 1 else "no climbing"
    recorded = isinstance(road.course, files.RecordedCourse)
    limits = [road.course.limits_in_words()] if recorded else []
    said = f"{road.name}: {distance:.4g} km with {climbing}. {road.about}"
    return " ".join([said, *limits, *road.questions(_time(road, answers.get("rider")))])


def _time(road, member):
    """How long the rider needs; None where there is none yet, or who cannot ride it."""
    try:
        return ride(road.course, member.rider, **road.day(member.power)).time
    except (AttributeError, ValueError):
        return None


(QUESTION,) = WORDS.questions(
    {"road": (_read, _in_words)},
    reads={"road_name": a_name, "legs": read_legs, "descents": _LIMIT.read, "wind_from": _WIND_FROM.read},
    options={"road": _options},
    numbers={"home": files.HOME, "limit": LIMIT},
)

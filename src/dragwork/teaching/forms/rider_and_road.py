"""What several forms ask of a rider, a road and the air: the limits of each number, the questions."""

from contextlib import suppress

import numpy as np

from dragwork import units
from dragwork.escaping import a_name
from dragwork.measurement import road as files
from dragwork.measurement.sheet_file import SheetError
from dragwork.physics import Rider, density
from dragwork.physics.course import Course, Leg, ride
from dragwork.scenario.riders import MEMBERS, Member
from dragwork.scenario.roads import ROADS, Road
from dragwork.teaching.answers import read_entries, read_line
from dragwork.teaching.forms.course_editor import has_no_heights, in_legs, own_roads, road_from
from dragwork.teaching.forms.fields import form_knob
from dragwork.teaching.forms.flow import FormWords
from dragwork.teaching.forms.learner_rider import by_choice, my_riders
from dragwork.teaching.forms.leg_columns import BY_FIELD, LIMIT
from dragwork.teaching.telling import capital

OWN, TYPED = "own", "legs"
USUAL_AIR = 1.2  # kg/m3

WORDS = FormWords("rider_and_road.json")
MASS, POWER, ROLLING, AREA = map(form_knob, ("all_up_mass", "power", "rolling_coefficient", "drag_area"))
_WEATHER = ("temperature", "pressure", "relative_humidity")


# -- the rider ----------------------------------------------------------------------------------------


def _riders(answers):
    mine = {key: f"{me.name}, my own file: {POWER.words(me.power)}" for key, me in by_choice(my_riders()).items()}
    club = {name: f"{name}, who {m.about}: {POWER.words(m.power)}" for name, m in MEMBERS.items()}
    return mine | club


def _read_rider(values, answers):
    if values["rider"] != OWN:
        return (MEMBERS | by_choice(my_riders()))[values["rider"]]
    area = values["drag_area"] if "drag_area" in values else answers["sheet"].curve(answers["set-ups"][0])
    mass, rolling = values["all_up_mass"], values["rolling_coefficient"]
    rider = Rider(all_up_mass=mass, drag_area=area, rolling_coefficient=rolling)
    return Member(values["name"].strip() or "the rider", rider, values["power"], "own numbers")


def rider_in_words(member, answers):
    """Who rides: all-up mass, rolling coefficient, power."""
    rider, name = member.rider, capital(member.name)
    mass, rolling = MASS.words(rider.all_up_mass), ROLLING.words(rider.rolling_coefficient)
    return WORDS("rider", name=name, mass=mass, rolling=rolling, power=POWER.words(member.power))


# -- the road -----------------------------------------------------------------------------------------


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
    legs, wind = zip(*read_entries(text, _read_leg, WORDS("no leg"), "leg {number}, '{line}'"))
    return legs, np.array(wind)


def _read_leg(line):
    words, numbers = read_line(line, ("km", "%", "km/h", "m/s"))
    if words:
        raise ValueError(f"'{words}' is not understood; give numbers with their units.")
    if "km" not in numbers:
        raise ValueError("its length in km is missing.")
    wind = numbers.get("m/s", 0.0)
    if abs(wind) > 20:
        raise ValueError(WORDS("no wind", wind))
    gradient = units.percent(numbers.get("%", 0.0))
    limit = units.kmh(numbers["km/h"]) if "km/h" in numbers else None
    return Leg(units.kilometres(numbers["km"]), gradient, speed_limit=limit), wind


def _roads(answers):
    mine = {key: f"{own.name}, from notebook 09: {own.about}" for key, own in by_choice(own_roads()).items()}
    return mine | {name: f"{name}: {road.about}" for name, road in ROADS.items()}


def _read_road(values, answers):
    if known := (ROADS | by_choice(own_roads())).get(values["road"]):
        return known
    name = values["road_name"].strip()
    if values["road"] == TYPED:
        legs, wind = values["legs"]
        course, wind_from = Course(legs), np.where(wind < 0, units.deg(180), 0.0)
        about = f"Typed in as {in_legs(course)}."
        return Road(name or "My road", course, about, np.ones(len(legs)), np.abs(wind), wind_from)
    file, limits = values["track"], (values["descents"], values["bends"] == "brake")
    wind = values["wind_speed"], np.nan_to_num(values["wind_from"])
    try:
        road = road_from(file, values["ends"], *limits, *wind, name)
    except SheetError as error:
        raise ValueError(f"{file.name} could not be used. {error}") from None
    if has_no_heights(road) and values["heights"] != "flat":
        raise ValueError(WORDS("no heights", file.name))
    return road


def _road_in_words(road, answers):
    course, time = road.course, None
    climbing = f"{course.ascent:.0f} m of climbing" if course.ascent >= 1 else "no climbing"
    said = f"{road.name}: {units.to_kilometres(course.distance):.4g} km with {climbing}. {road.about}"
    limits = [course.limits_in_words()] if isinstance(course, files.RecordedCourse) else []
    if member := answers.get("rider"):
        with suppress(ValueError):  # a rider who cannot ride it
            time = ride(course, member.rider, **road.day(member.power)).time
    return " ".join([said, *limits, *road.questions(time)])


# -- the air ------------------------------------------------------------------------------------------


def read_air(values, answers):
    """The air density [kg/m3] from what the fields of the air hold, and the weather behind it."""
    if values["air"] == "usual":
        return {"air_density": USUAL_AIR}
    weather = {name: values[name] for name in _WEATHER}
    # Rounded to what the page prints, so that the page can be made again from its settings.
    return {"air_density": round(float(density(**weather)), 4), **weather}


def _air_in_words(air, answers):
    if "temperature" not in air:
        return WORDS("usual air", air["air_density"])
    weather = {name: WORDS.value(name, air[name]) for name in _WEATHER}
    return WORDS("air", density=air["air_density"], **weather)


RIDER, ROAD, AIR = WORDS.questions(
    {"rider": _read_rider, "road": _read_road, "air": read_air},
    {"rider": rider_in_words, "road": _road_in_words, "air": _air_in_words},
    reads={"name": a_name, "road_name": a_name, "legs": read_legs}
    | {"descents": BY_FIELD["speed_limit"].read, "wind_from": BY_FIELD["wind_from"].read},
    options={"rider": _riders, "road": _roads},
    numbers={"home": files.HOME, "limit": LIMIT, "usual_air": USUAL_AIR},
)

"""What several forms ask of a rider, a road and the air: the limits of each number, the questions."""

from dragwork.escaping import a_name
from dragwork.physics.air import density
from dragwork.physics.power import Rider
from dragwork.scenario.riders import MEMBERS, Member
from dragwork.teaching.forms.fields import form_knob
from dragwork.teaching.forms.form_words import FormWords
from dragwork.teaching.forms.learner_rider import my_riders
from dragwork.teaching.forms.report_roads import QUESTION as ROAD  # noqa: F401

MINE, OWN = "mine", "own"
USUAL_AIR = 1.2  # kg/m3

MASS, POWER, ROLLING, AREA, TEMPERATURE, PRESSURE, HUMIDITY = map(form_knob, (
    "all_up_mass", "power", "rolling_coefficient", "drag_area", "temperature", "pressure", "relative_humidity",
))  # fmt: skip


# -- the rider ----------------------------------------------------------------------------------------


def _riders(answers):
    mine = {_key(place): f"{me.name}, my own file: {POWER.words(me.power)}" for place, me in enumerate(my_riders())}
    club = {name: f"{name}, who {m.about}: {POWER.words(m.power)}" for name, m in MEMBERS.items()}
    return mine | club | {OWN: "numbers of my own"}


def _key(place):
    return MINE if place == 0 else f"{MINE} {place + 1}"


def _read_rider(values, answers):
    chosen = values["rider"]
    mine = {_key(place): me for place, me in enumerate(my_riders())}
    if chosen != OWN:
        return (MEMBERS | mine)[chosen]
    area = values["drag_area"] if "drag_area" in values else answers["sheet"].curve(answers["set-ups"][0])
    rider = Rider(
        all_up_mass=values["all_up_mass"], drag_area=area, rolling_coefficient=values["rolling_coefficient"]
    )
    return Member(values["name"].strip() or "the rider", rider, values["power"], "own numbers")


def rider_in_words(member, answers):
    """Who rides: all-up mass, rolling coefficient, power."""
    rider, name = member.rider, member.name[:1].upper() + member.name[1:]
    return (
        f"{name}: {MASS.words(rider.all_up_mass)} all up, rolling coefficient "
        f"{ROLLING.words(rider.rolling_coefficient)}, {POWER.words(member.power)} at the crank."
    )


def read_air(values, answers):
    """The air density [kg/m3] from what the fields of the air hold, and the weather behind it."""
    if values["air"] == "usual":
        return {"air_density": USUAL_AIR}
    weather = {name: values[name] for name in ("temperature", "pressure", "relative_humidity")}
    # Rounded to what the page prints, so that the page can be made again from its settings.
    return {"air_density": round(float(density(**weather)), 4), **weather}


def _air_in_words(air, answers):
    said = "The air has a density of"
    if "temperature" not in air:
        return f"{said} {air['air_density']:.2f} kg/m³."
    return (
        f"{said} {air['air_density']:.4f} kg/m³ at {TEMPERATURE.words(air['temperature'])}, "
        f"{PRESSURE.words(air['pressure'])} and {HUMIDITY.words(air['relative_humidity'])} humidity."
    )


RIDER, AIR = FormWords("rider_and_road.json").questions(
    {"rider": (_read_rider, rider_in_words), "air": (read_air, _air_in_words)},
    reads={"name": a_name},
    options={
        "rider": _riders,
        "air": {"usual": f"{USUAL_AIR:.2f} kg/m³, an ordinary day near sea level", "weather": "from temperature and pressure"},
    },
)  # fmt: skip

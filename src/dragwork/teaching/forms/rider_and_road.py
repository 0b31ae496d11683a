"""What several forms ask of a rider, a road and the air: the limits of each number, the questions."""

from dragwork.escaping import a_name
from dragwork.physics.air import density
from dragwork.physics.power import Rider
from dragwork.scenario.riders import MEMBERS, Member
from dragwork.teaching.forms.fields import Choice, Typed, knob_box
from dragwork.teaching.forms.flow import FlowQuestion
from dragwork.teaching.forms.learner_rider import my_riders
from dragwork.teaching.forms.report_roads import QUESTION as ROAD  # noqa: F401
from dragwork.teaching.panels.knobs import knob

MINE, OWN = "mine", "own"
USUAL_AIR = 1.2  # kg/m3

MASS = knob("all_up_mass", low=20, high=250)
POWER = knob("power", low=10, high=1500)
ROLLING = knob("rolling_coefficient", low=0.001, high=0.02)
AREA = knob("drag_area", low=0.10, high=0.90)
TEMPERATURE = knob("temperature", low=-25, high=50)
PRESSURE = knob("pressure", low=600, high=1085)
HUMIDITY = knob("relative_humidity")


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


def rider_question(sentence=rider_in_words, drag_area=True):
    """The question for whom the numbers are: the learner's riders, the club's, or numbers of one's own.

    Parameters
    ----------
    sentence : callable
        As of a `FlowQuestion`.
    drag_area : bool
        Whether the drag area is asked; else it is that of the sheet.

    Returns
    -------
    FlowQuestion
    """
    own = ("rider", OWN)
    area = (knob_box(AREA, when=own),) if drag_area else ()
    return FlowQuestion(
        "rider",
        "For whom?",
        "Mass is all-up mass: rider, bicycle, bottles and clothing. Power is power at the crank. Your own "
        "rider is offered once you have answered the questions of notebook 00.",
        (
            Choice("rider", "The rider", options=_riders),
            Typed("name", "Name on the page", "May stay empty", read=a_name, when=own),
            knob_box(MASS, when=own),
            knob_box(ROLLING, "0.004", own, "0.004 is usual for road tyres on asphalt"),
            knob_box(POWER, when=own),
            *area,
        ),
        _read_rider,
        sentence,
    )


RIDER = rider_question()


# -- the air ------------------------------------------------------------------------------------------


_AIRS = {"usual": f"{USUAL_AIR:.2f} kg/m³, an ordinary day near sea level", "weather": "from temperature and pressure"}
_WEATHER = ("air", "weather")
AIR_FIELDS = (
    Choice("air", "The air", options=_AIRS),
    knob_box(TEMPERATURE, when=_WEATHER),
    knob_box(PRESSURE, when=_WEATHER),
    knob_box(HUMIDITY, "50", _WEATHER, "50 does where it is not known"),
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


AIR = FlowQuestion(
    "air",
    "Which air?",
    "Pressure is what a barometer reads at the place, not the forecast's sea-level pressure.",
    AIR_FIELDS,
    read_air,
    _air_in_words,
)

"""What several forms ask of a rider, a road and the air: the limits of each number, the questions."""

from dragwork.escaping import a_name
from dragwork.physics import Rider, density
from dragwork.scenario.riders import MEMBERS, Member
from dragwork.teaching.forms.fields import form_knob
from dragwork.teaching.forms.flow import FormWords
from dragwork.teaching.forms.learner_rider import by_choice, my_riders
from dragwork.teaching.forms.report_roads import QUESTION as ROAD  # noqa: F401
from dragwork.teaching.telling import capital

OWN = "own"
USUAL_AIR = 1.2  # kg/m3

WORDS = FormWords("rider_and_road.json")
MASS, POWER, ROLLING, AREA = map(form_knob, ("all_up_mass", "power", "rolling_coefficient", "drag_area"))
_WEATHER = ("temperature", "pressure", "relative_humidity")


# -- the rider ----------------------------------------------------------------------------------------


def _riders(answers):
    mine = {key: f"{me.name}, my own file: {POWER.words(me.power)}" for key, me in by_choice(my_riders()).items()}
    club = {name: f"{name}, who {m.about}: {POWER.words(m.power)}" for name, m in MEMBERS.items()}
    return mine | club | {OWN: "numbers of my own"}


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


RIDER, AIR = WORDS.questions(
    {"rider": (_read_rider, rider_in_words), "air": (read_air, _air_in_words)},
    reads={"name": a_name},
    options={
        "rider": _riders,
        "air": {"usual": f"{USUAL_AIR:.2f} kg/m³, an ordinary day near sea level", "weather": "from temperature and pressure"},
    },
)  # fmt: skip

"""A first drag area from one steady ride that a rider knows: ride, power, rider, air."""

from dataclasses import dataclass

from dragwork.measurement.one_ride import STEEPEST, WINDIEST, OneRide, RideDoubts, from_one_ride
from dragwork.teaching.forms.flow import Flow, FormWords
from dragwork.teaching.forms.learner_rider import keep_rider, my_riders
from dragwork.teaching.forms.rider_and_road import AIR, MASS, ROLLING, read_air
from dragwork.teaching.report import Found, Table

CONFIDENCE = 0.95
GUESSED_POWER = 0.10  # relative standard uncertainty of an honest guess; common practice, no source
NAMED_WIND = 1.0  # m/s, standard uncertainty of a wind that was felt; common practice, no source

WORDS = FormWords("one_ride_flow.json")
# Cause, as `from_one_ride` names it: in words, and what would narrow it.
CAUSES = WORDS.table["causes"]


# -- what is asked ------------------------------------------------------------------------------------


def _read_ride(values, answers):
    ride = {"ground_speed": values["ground_speed"], "returns": values["way"] == "returns"}
    if not ride["returns"]:
        return ride | {"gradient": values["gradient"]}
    ascent, distance, climbs = values["ascent"], values["distance"], values["climbs"]
    if ascent and not distance:
        raise ValueError(WORDS("length"))
    climbs = 1 if climbs is None else climbs
    if climbs % 1:
        raise ValueError(WORDS("part of a climb", climbs=climbs))
    effort = None if values["effort"] == "unknown" else values["effort"]
    return ride | {"ascent": ascent, "distance": distance, "climbs": int(climbs), "effort": effort}


def _ride_in_words(ride, answers):
    speed = WORDS.value("ground_speed", ride["ground_speed"])
    if not ride["returns"]:
        return WORDS("one way", speed=speed, gradient=WORDS.value("gradient", ride["gradient"]))
    climbed = "metres climbed not known" if ride["ascent"] is None else f"{ride['ascent']:.0f} m climbed"
    even = f"the {ride['effort']} was even" if ride["effort"] else "how even the effort was is not known"
    return WORDS("returns", speed=speed, climbed=climbed, effort=even.replace("the power", "the effort"))


def _read_power(values, answers):
    guessed = values["source"] == "guess"
    return {"power": values["power"], "doubt": GUESSED_POWER if guessed else RideDoubts().power}


def _read_air(values, answers):
    rho = read_air(values, answers)["air_density"]
    if values["wind"] == "still":
        return {"air_density": rho, "head_wind": 0.0, "doubt": RideDoubts().head_wind}
    if values["wind_speed"] == 0:
        raise ValueError(WORDS("no wind"))
    return {"air_density": rho, "head_wind": values["wind_speed"], "doubt": NAMED_WIND}


def _air_in_words(air, answers):
    wind = "still air"
    if air["head_wind"]:
        where = " on the way out" if answers["ride"]["returns"] else ""
        wind = f"{WORDS.value('wind_speed', air['head_wind'])} against the rider{where}"
    return WORDS("air", density=air["air_density"], wind=wind, sd=air["doubt"])


QUESTIONS = WORDS.questions(
    {
        "ride": (_read_ride, _ride_in_words),
        "power": (_read_power, None),
        "air": (_read_air, _air_in_words),
    },
    shared={"the air": AIR.fields},
    numbers={"climb": 1000 * STEEPEST / 2, "wind": WINDIEST},
)


# -- together -----------------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class FirstDragArea(Found):
    """The drag area that one ride gives."""

    found: OneRide

    @property
    def sentence(self):
        """The drag area with its range, and where the width comes from."""
        found = self.found
        cause, mend = CAUSES[found.dominant]
        return WORDS("found", found=found, share=found.shares[found.dominant], cause=cause, mend=mend)

    @property
    def notes(self):
        """What was not known about the ride, in sentences."""
        return self.found.notes

    @property
    def rows(self):
        """The causes of the width, widest first."""
        causes = ({"cause": CAUSES[name][0], "share": share} for name, share in self.found.shares.items() if share >= 0.005)
        return WORDS.rows("causes", causes)

    @property
    def pieces(self):
        return (self.sentence, *self.notes, Table(self.rows, "Where the width of the range comes from"))


class OneRideFlow(Flow):
    """Four questions, then a drag area with its range. As the last line of a cell it shows itself.

    By code: `flow.answer(ground_speed="31", way="returns", distance="20", ascent="60",
    effort="power", power="180", source="guess", all_up_mass="82", rolling_coefficient="0.005", air="usual", wind="still")`, then `flow.result`,
    and `flow.save()` keeps the rider in the learner's file.
    """

    words = WORDS.table
    questions = QUESTIONS

    def __init__(self):
        super().__init__()
        mine = my_riders()
        if mine:  # an offer, to be looked at: the ride may have been on other tyres
            rider = mine[0].rider
            self.typed["all_up_mass"] = MASS.number(rider.all_up_mass)
            self.typed["rolling_coefficient"] = ROLLING.number(rider.rolling_coefficient)

    def finish(self, answers):
        ride, power, rider, air = (dict(answers[name]) for name in ("ride", "power", "rider", "air"))
        doubts = RideDoubts(power=power["doubt"], head_wind=air.pop("doubt"))
        given = rider | air | ride | {"doubts": doubts, "confidence": CONFIDENCE}
        return FirstDragArea(from_one_ride(power["power"], **given))

    def save(self):
        """Keep the rider in the learner's file; the other notebooks then use it.

        Returns
        -------
        Path
            The learner's file.

        Raises
        ------
        ValueError
            While a question is open, where the ride leaves too much open, or where the file cannot
            be written.
        """
        result = self.found("There is no drag area")
        if result.found.dominant in ("ascent", "effort"):
            raise ValueError(WORDS("too open"))
        known = self.answers["rider"] | {"power": float(self.answers["power"]["power"])}
        return keep_rider(self.profile, result.found.drag_area, "from one known ride", **known)

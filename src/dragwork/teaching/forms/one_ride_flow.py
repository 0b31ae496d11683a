"""A first drag area from one steady ride that a rider knows: ride, power, rider, air."""

from dragwork.measurement.one_ride import STEEPEST, WINDIEST, RideDoubts, from_one_ride
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


# -- together -----------------------------------------------------------------------------------------


class OneRideFlow(Flow):
    """Four questions, then a drag area with its range. As the last line of a cell it shows itself.

    By code: `flow.answer(ground_speed="31", way="returns", distance="20", ascent="60",
    effort="power", power="180", source="guess", all_up_mass="82", rolling_coefficient="0.005", air="usual", wind="still")`, then `flow.result`,
    and `flow.save()` keeps the rider in the learner's file.
    """

    words = WORDS.table
    questions = WORDS.questions(
        {"ride": _read_ride, "power": _read_power, "air": _read_air},
        {"ride": _ride_in_words, "air": _air_in_words},
        shared={"the air": AIR.fields},
        numbers={"climb": 1000 * STEEPEST / 2, "wind": WINDIEST},
    )

    def __init__(self):
        super().__init__()
        for mine in my_riders()[:1]:  # an offer, to be looked at: the ride may have been on other tyres
            self.typed["all_up_mass"] = MASS.number(mine.rider.all_up_mass)
            self.typed["rolling_coefficient"] = ROLLING.number(mine.rider.rolling_coefficient)

    def finish(self, answers):
        ride, power, rider, air = (dict(answers[name]) for name in ("ride", "power", "rider", "air"))
        doubts = RideDoubts(power=power["doubt"], head_wind=air.pop("doubt"))
        given = rider | air | ride | {"doubts": doubts, "confidence": CONFIDENCE}
        found = from_one_ride(power["power"], **given)
        cause, mend = CAUSES[found.dominant]
        share = found.shares[found.dominant]
        sentence = WORDS("found", found=found, share=share, cause=cause, mend=mend)
        causes = ({"cause": CAUSES[name][0], "share": s} for name, s in found.shares.items() if s >= 0.005)
        table = Table(WORDS.rows("causes", causes), "Where the width of the range comes from")
        return Found((sentence, *found.notes, table), found=found, sentence=sentence)

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

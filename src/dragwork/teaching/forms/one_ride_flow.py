"""A first drag area from one steady ride that a rider knows: ride, power, rider, air."""

from dataclasses import dataclass

from dragwork import units
from dragwork.measurement.one_ride import STEEPEST, WINDIEST, OneRide, RideDoubts, from_one_ride
from dragwork.teaching.forms.fields import Choice, Typed, knob_box, maybe, number_in
from dragwork.teaching.forms.flow import Action, Flow, FlowQuestion
from dragwork.teaching.forms.learner_rider import keep_rider, kept_in_words, my_riders
from dragwork.teaching.forms.rider_and_road import AIR_FIELDS, MASS, POWER, ROLLING, read_air
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.report import Found, Table
from dragwork.teaching.telling import words_in

CONFIDENCE = 0.95
GUESSED_POWER = 0.10  # relative standard uncertainty of an honest guess; common practice, no source
NAMED_WIND = 1.0  # m/s, standard uncertainty of a wind that was felt; common practice, no source

_SPEED = knob("ground_speed", low=8, high=70)
_GRADIENT = knob("gradient", label="Mean gradient", low=-6, high=6)
_WIND = knob("wind_speed", label="Headwind, minus from behind", low=-8, high=8)

# Cause, as `from_one_ride` names it: in words, and what would narrow it.
CAUSES = words_in(__package__, "causes.json")["one ride"]


# -- 1 the ride ---------------------------------------------------------------------------------------


EFFORTS = {"power": "the effort was even", "speed": "the speed was even", "unknown": "I do not know"}


_WAYS = {"returns": "it came back to its start", "one way": "it went one way"}


def _read_ride(values, answers):
    ride = {"ground_speed": values["ground_speed"], "returns": values["way"] == "returns"}
    if not ride["returns"]:
        return ride | {"gradient": values["gradient"]}
    ascent, distance, climbs = values["ascent"], values["distance"], values["climbs"]
    if ascent and not distance:
        raise ValueError("How long was the ride? Metres climbed say how steep the road was only with its length.")
    climbs = 1 if climbs is None else max(round(climbs), 1)
    effort = None if values["effort"] == "unknown" else values["effort"]
    return ride | {"ascent": ascent, "distance": distance, "climbs": climbs, "effort": effort}


def _ride_in_words(ride, answers):
    speed = f"A ride at {_SPEED.words(ride['ground_speed'])}"
    if not ride["returns"]:
        return f"{speed}, one way, {_GRADIENT.words(ride['gradient'])} on average."
    climbed = "metres climbed not known" if ride["ascent"] is None else f"{ride['ascent']:.0f} m climbed"
    return f"{speed}, back to its start, {climbed}; {EFFORTS[ride['effort'] or 'unknown'].replace('I do not know', 'how even the effort was is not known')}."


# -- 2 the power --------------------------------------------------------------------------------------


_METERS = {"meter": "a power meter said so", "guess": "it is an honest guess"}


def _read_power(values, answers):
    guessed = values["source"] == "guess"
    return {"power": values["power"], "doubt": GUESSED_POWER if guessed else RideDoubts().power}


def _power_in_words(power, answers):
    doubt = units.to_percent(power["doubt"])
    return f"{POWER.words(power['power'])} at the crank, give or take {doubt:.0f} % (one standard deviation)."


# -- 3 the rider --------------------------------------------------------------------------------------


def _rider_in_words(rider, answers):
    return (
        f"{MASS.words(rider['all_up_mass'])} all up, rolling coefficient "
        f"{ROLLING.words(rider['rolling_coefficient'])}."
    )


# -- 4 the air ----------------------------------------------------------------------------------------


_WINDS = {"still": "still, as far as I could feel", "wind": "wind along the road"}


def _read_air(values, answers):
    rho = read_air(values, answers)["air_density"]
    if values["wind"] == "still":
        return {"air_density": rho, "head_wind": 0.0, "doubt": RideDoubts().head_wind}
    if values["wind_speed"] == 0:
        raise ValueError("Wind along the road, and 0 m/s of it: type how strong it was, or choose still air.")
    return {"air_density": rho, "head_wind": values["wind_speed"], "doubt": NAMED_WIND}


def _air_in_words(air, answers):
    wind = f"{_WIND.words(air['head_wind'])} against the rider" if air["head_wind"] else "still air"
    if air["head_wind"] and answers["ride"]["returns"]:
        wind += " on the way out"
    return (
        f"{air['air_density']:.3f} kg/m³ and {wind}, give or take {air['doubt']:.1f} m/s "
        "(one standard deviation)."
    )


# -- together -----------------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class FirstDragArea(Found):
    """The drag area that one ride gives, and the rider that it makes."""

    found: OneRide
    all_up_mass: float
    rolling_coefficient: float
    power: float

    @property
    def sentence(self):
        """The drag area with its range, and where the width comes from."""
        found = self.found
        cause, mend = CAUSES[found.dominant]
        share = units.to_percent(found.shares[found.dominant])
        return (
            f"The drag area is {found.drag_area:.3f} m², with a {units.to_percent(found.confidence):.0f} % "
            f"range from {found.low:.3f} to {found.high:.3f} m². Most of the width, {share:.0f} %, "
            f"comes from {cause}. {mend}"
        )

    @property
    def notes(self):
        """What was not known about the ride, in sentences."""
        return self.found.notes

    @property
    def rows(self):
        """The causes of the width, widest first."""
        return [
            {
                "where the width comes from": CAUSES[name][0],
                "share of it (of the variance)": f"{units.to_percent(share):.0f} %",
            }
            for name, share in self.found.shares.items()
            if share >= 0.005
        ]

    @property
    def pieces(self):
        return (self.sentence, *self.notes, Table(self.rows, "Where the width of the range comes from"))


def _finish(answers):
    ride, power, rider, air = (answers[name] for name in ("ride", "power", "rider", "air"))
    found = from_one_ride(
        power["power"],
        all_up_mass=rider["all_up_mass"],
        air_density=air["air_density"],
        rolling_coefficient=rider["rolling_coefficient"],
        head_wind=air["head_wind"],
        **ride,
        doubts=RideDoubts(power=power["doubt"], head_wind=air["doubt"]),
        confidence=CONFIDENCE,
    )
    return FirstDragArea(found, rider["all_up_mass"], rider["rolling_coefficient"], power["power"])


_BACK = ("way", "returns")

QUESTIONS = (
    FlowQuestion(
        "ride",
        "Which ride do you know?",
        f"Ten minutes or more without braking, and no rider close in front. At most {1000 * STEEPEST / 2:.0f} m "
        f"climbed in each kilometre, and {WINDIEST:.0f} m/s of wind along the road.",
        (
            knob_box(_SPEED, hint="Distance over time"),
            Choice("way", "The road", options=_WAYS),
            knob_box(_GRADIENT, "0", ("way", "one way"), "Metres up for each hundred metres forward"),
            Typed("distance", "Whole distance", "Can stay empty on a flat road", "", _BACK, "km",
                  maybe(number_in("km", units.kilometres))),
            Typed("ascent", "Metres climbed", "0 on the flat; empty if not known", "", _BACK, "m",
                  maybe(number_in("m"))),
            Typed("climbs", "Over how many climbs", "1: up on the way out, down on the way back", "1", _BACK, "",
                  maybe(number_in("1"))),
            Choice("effort", "How you rode", options=EFFORTS, start="unknown", when=_BACK),
        ),
        _read_ride,
        _ride_in_words,
    ),
    FlowQuestion(
        "power",
        "How many watts?",
        "Mean power at the crank. A guess will do, but it makes the range wider.",
        (knob_box(POWER), Choice("source", "How do you know", options=_METERS)),
        _read_power,
        _power_in_words,
    ),
    FlowQuestion(
        "rider",
        "What rolled?",
        "Mass is all-up mass: rider, bicycle, bottles and clothing. Numbers that you gave in notebook 00 are filled in: "
        "change them if the ride was another.",
        (
            knob_box(MASS),
            knob_box(ROLLING, "0.005", hint="0.004 for supple tyres on smooth asphalt, 0.006 on rough"),
        ),
        lambda values, answers: dict(values),
        _rider_in_words,
    ),
    FlowQuestion(
        "air",
        "Which air?",
        "Pressure is what a barometer reads at the place. Wind is the wind at the rider's height.",
        (
            *AIR_FIELDS,
            Choice("wind", "The wind", options=_WINDS),
            knob_box(_WIND, "", ("wind", "wind"), "On the way out, if the ride came back"),
        ),
        _read_air,
        _air_in_words,
    ),
)


class OneRideFlow(Flow):
    """Four questions, then a drag area with its range. As the last line of a cell it shows itself.

    By code: `flow.answer(ground_speed="31", way="returns", distance="20", ascent="60",
    effort="power", power="180", source="guess", all_up_mass="82", rolling_coefficient="0.005", air="usual", wind="still")`, then `flow.result`,
    and `flow.save()` keeps the rider in the learner's file.
    """

    title = "Questions for a first drag area"
    made = "The drag area is below."
    draft = "one ride"

    def __init__(self):
        super().__init__(QUESTIONS, _finish)
        mine = my_riders()
        if mine:  # an offer, to be looked at: the ride may have been on other tyres
            rider = mine[0].rider
            self.typed["all_up_mass"] = MASS.number(rider.all_up_mass)
            self.typed["rolling_coefficient"] = ROLLING.number(rider.rolling_coefficient)

    @property
    def actions(self):
        keep = "Keep the rider in your own file, for all notebooks"
        return (Action("Keep this as my rider", keep, lambda: kept_in_words(self.save())),)

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
            raise ValueError(
                "This ride leaves too much open to go by in other notebooks. Enter the metres climbed, the "
                "distance and how even the effort was, or take a ride on a flat road."
            )
        return keep_rider(
            self.profile, result.found.drag_area, "from one known ride", result.all_up_mass,
            result.rolling_coefficient, power=float(result.power),
        )  # fmt: skip

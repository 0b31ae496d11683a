"""What a claim comes to for one rider on one road: drawn once, judged once, for every page.

The claim's open conditions, how much of it holds on this rider, and the day are drawn together.
Lesson, form and report call `Claim.for_rider`, which is `judge`, and print what it returns.
"""

from dataclasses import dataclass, replace
from operator import itemgetter

import numpy as np

from dragwork.decisions import PLANNING
from dragwork.decisions.conditions import MORE_RUNS, TEST_SPEEDS, YAW_HOLDS, between
from dragwork.decisions.options import Option, break_even_power
from dragwork.decisions.rides import CAREFUL, DRAWS, SEED, drawn_days, outside_riding, ride_on
from dragwork.decisions.sentences import say
from dragwork.files import rows_of_table
from dragwork.physics.course import ride
from dragwork.physics.power import Conditions
from dragwork.physics.savings import watts_saved
from dragwork.physics.wind import angle_to_road, apparent_wind
from dragwork.quantities import Estimate
from dragwork.units import clock, deg, to_kmh, to_percent

ADOPT, TEST, IGNORE, ASK = "adopt", "test it yourself", "ignore", "ask for data"

TELLABLE = 0.005  # m2: the smallest difference that a usual test can tell, COMMON_PRACTICE
WHOLE_STEP = 0.070  # m2: more than all from the hoods to a time-trial bike, COMMON_PRACTICE
ON_ME = (0.8, 1.0, 1.2)  # of the test's drag area, on another body: COMMON_PRACTICE

_YAW_APART = deg(5)  # from here on a test at another yaw says less
_MOST_OF_OWN = 0.8  # of the rider's drag area: beyond it the numbers stop
_TINY = 3.0  # s: below, a tenth is told
_SHORT = 120.0  # s: below, times are told in seconds
_WIDE = 1.5  # a range whose ends are further apart than this hangs on what is open
# A line a rule: the verdict, the one question, the reason, what to say to a friend; with gaps.
_RULES = {row["rule"]: row for row in rows_of_table("dragwork.decisions", "verdict_words.csv")}
_THINGS = {"wheels": "wheels save", "frame": "a frame saves"}


@dataclass(frozen=True, eq=False)
class Judgement:
    """What a claim comes to for one rider on one course.

    .drag_area_change [m2], .watts [W at the crank, mean over the ride at the speeds before],
    .seconds [s at the same power]: each an `Estimate` at 80 %, positive where it helps; .areas,
    the draws of the first. .dominant, the condition that causes most of the width, in words, empty
    where there is none; .missing, what the claim leaves out; .ask, the one question to the seller;
    .verdict, one of 'adopt', 'test it yourself', 'ignore', 'ask for data'; .reasons, in words;
    .spoken, what to say to a friend; .break_even [W], what a new position may cost before its
    seconds are gone, None for other claims.
    """

    drag_area_change: Estimate
    watts: Estimate
    seconds: Estimate
    areas: np.ndarray
    dominant: str
    missing: tuple
    ask: str
    verdict: str
    reasons: tuple
    spoken: str
    break_even: float | None = None

    @property
    def sentence(self):
        """The verdict and its reasons."""
        return f"{self.verdict.capitalize()}. {' '.join(self.reasons)}"


def judge(
    claim, rider, course, power, air_density=1.2, wind_speed=0.0, wind_from=0.0, worthwhile=0.0,
    carried=ON_ME, tellable=TELLABLE, unstated=CAREFUL, draws=DRAWS, seed=SEED,
):  # fmt: skip
    """What a claim comes to for a rider on a course, and a verdict.

    The verdict, by the first rule that fits:

    - It saves no time: 'ignore'.
    - It takes more drag area than the rider has, or, shelter apart, more than the whole step from
      the hoods to a time-trial bike: 'ask for data', because no single item does that.
    - Watts or grams without a speed: 'ask for data', because they hang on the speed cubed or
      squared. They are counted at 60 km/h, so that leaving the speed out never pays.
    - Even its best is below the learner's own threshold: 'ignore'. What is small is not invisible;
      only the rider says what is worth having.
    - A mass that its own runs do not show: 'test it yourself', because scales settle it.
    - One end of the range is more than one and a half times the other: 'ask for data', for more
      runs where its own runs are to blame (chance could give as much), else for what is not stated,
      because that decides it.
    - As wide for any other reason, computed, fewer than two runs, no spread, or silent about
      how it was found: 'test it yourself', because nothing yet shows what it is worth here.
    - Else 'adopt': its own runs show it, however small it is.

    Parameters
    ----------
    claim : Claim
    rider : Rider
    course : Course
    power, air_density, wind_speed, wind_from
        As in `physics.course.ride`.
    worthwhile : float [s]
        The learner's own threshold: fewer seconds do not matter to them.
    carried : (low, mid, high)
        What share of the test's drag area holds on this rider.
    tellable : float [m2]
        The smallest difference that a usual test can tell.
    unstated : Unstated
        Uncertainty of the day.
    draws, seed : int

    Returns
    -------
    Judgement

    Source: MARTIN1998, JCGM101, COMMON_PRACTICE
    """
    day = {"air_density": air_density, "wind_speed": wind_speed, "wind_from": wind_from}
    days = drawn_days(course, rider, power, **day, unstated=unstated, draws=draws, seed=seed)
    as_told = ride(course, rider, power, **day)
    held, aside = _held(claim, as_told, course, carried, wind_speed, wind_from)
    aside += tuple(filter(None, [outside_riding(course.distance / float(as_told.time))]))
    own = float(np.min(getattr(rider.drag_area, "drag_area", rider.drag_area)))
    tested = claim.draws(draws, seed)
    areas = tested * held.drawn(held.stream(seed), draws)
    beyond = bool(own <= np.median(areas))
    if own <= areas.max():
        areas = np.minimum(areas, _MOST_OF_OWN * own)
        aside += () if beyond else (say("aside", "at its widest", own=own, most=_MOST_OF_OWN),)
    mass = _masses(claim, draws, seed)
    was = ride_on(days, days.rider)
    seconds = Estimate.of(was.time - ride_on(days, _changed(days.rider, areas, mass)).time, PLANNING)
    area, watts = (Estimate.of(x, PLANNING) for x in (areas, _mean_watts(days, was, areas, mass)))
    dominant, break_even = _dominant(claim, held), None
    if claim.about == "position" and seconds.mid > 0:
        lower = Option("position", _changed(rider, area.mid, 0.0))
        break_even = break_even_power(lower, rider, course, power, **day) * float(as_told.mean_power)
        aside += (say("aside", "break even", watts=break_even),)
    middle, in_words = float(np.median(tested)), _words_for(seconds)
    rule = _RULES[_rule(claim, dominant, area, seconds, middle, beyond, tellable, worthwhile)]
    ask = rule["question"].format(
        first_question=claim.first_question,
        open_question=dominant.question if dominant else "",
        speed_question="".join(c.question for c in claim.conditions if c.name == "speed"),
    )
    gaps = {
        "span": seconds_in_words(seconds), "best": in_words(seconds.high),
        "threshold": in_words(worthwhile), "own": own, "tested": middle,
        "least": area.low, "tellable": tellable, "unproved": claim.unproved,
        "most_of_own": to_percent(_MOST_OF_OWN), "whole_step": WHOLE_STEP,
        "fastest_test": to_kmh(TEST_SPEEDS[-1]), "ask_first": f" Ask first: {ask}" if ask else "",
        "and_ask": f" and ask: {ask}" if ask else ".",
    }  # fmt: skip
    reason, spoken = (rule[words].format(**gaps).strip() for words in ("reason", "spoken"))
    return Judgement(
        area, watts, seconds, areas, dominant.words if dominant else "", claim.missing, ask,
        rule["verdict"], (reason, *aside), spoken, break_even,
    )  # fmt: skip


def seconds_in_words(found):
    """`31 to 49 s saved`, `8 s lost to 30 s saved`; from two minutes on `1:58 to 2:40 min saved`; below
    3 s with a tenth."""
    ends = {name: round(getattr(found, name), _digits(found)) + 0.0 for name in ("low", "mid", "high")}
    return replace(found, **ends).in_words(_words_for(found))


def middle_in_words(found):
    """The middle of an estimate of seconds, written as its range is: `40 s`.

    Where the range holds losses and savings the word is with it: `11 s saved`.
    """
    middle, words = round(found.mid, _digits(found)) + 0.0, ("", "") if found.sign else ("saved", "lost")
    alone = replace(found, low=middle, mid=middle, high=middle)
    return alone.in_words(_words_for(found), *words).strip()


def _rule(claim, dominant, area, seconds, tested, beyond, tellable, worthwhile):
    """The first rule of `judge` that fits, by its name in `verdict_words.csv`.

    tested: the middle of the drag areas [m2] before they are carried to the rider; beyond: whether
    the claim takes more than the rider has.
    """
    wide = area.high > _WIDE * max(area.low, 0.0)
    if seconds.high <= 0:
        return "saves nothing"
    if beyond:
        return "more than you have"
    if claim.about != "shelter" and tested > WHOLE_STEP:
        return "more than a whole step"
    if claim.asks_for_a_speed:
        return f"{claim.kind} without a speed"
    if seconds.high < worthwhile:
        return "not worth it"
    if claim.kind == "mass" and claim.unproved:
        return "scales tell"
    if wide and dominant.question == MORE_RUNS:
        return "runs too far apart"
    if wide and dominant.question and not dominant.stated:
        return "left open"
    if wide or claim.unproved:
        return "unproved and small" if area.low < tellable else "unproved but large"
    return "shown by its runs"


# -- parts ----------------------------------------------------------------------------------------


def _held(claim, as_told, course, carried, wind_speed, wind_from):
    """How much of the test holds here, with remarks where the yaws are not alike."""
    low, mid, high = (float(end) for end in carried)
    if not 0 <= low <= mid <= high <= 5:
        raise ValueError(f"carried {carried} must be three rising shares, from 0.")
    if claim.kind == "mass":
        return between("carried", 1.0, 1.0, 1.0), ()
    aside = ()
    if claim.yaw is not None:
        angle = angle_to_road(wind_from, course.column("heading"))
        yaws = apparent_wind(as_told.legs.speed, wind_speed, angle).yaw
        usual = float(np.average(np.abs(yaws), weights=as_told.legs.time))
        if abs(abs(claim.yaw) - usual) > _YAW_APART:
            holds = YAW_HOLDS["other"]
            aside = (say("aside", "another yaw", tested=abs(claim.yaw), yours=usual),)
            if abs(claim.yaw) > usual and claim.about in _THINGS:
                holds = YAW_HOLDS[claim.about]
                aside += (say("aside", "little left", things=_THINGS[claim.about], least=holds[0]),)
            low, mid, high = low * holds[0], mid * holds[1], high * holds[2]
    return between("carried", low, mid, high), aside


def _masses(claim, draws, seed):
    """The mass that a claim takes off [kg], drawn where it is a range."""
    if claim.kind != "mass":
        return 0.0
    said = next((c for c in claim.conditions if c.name == "saved"), None)
    return said.drawn(said.stream(seed), draws) if said else claim.saved


def _dominant(claim, held):
    """The condition that causes most of the width; None where nothing does."""
    widths = [(dial.width, dial.condition) for dial in claim.dials]
    widths.append((abs(claim.drag_area_change.mid) * (held.high - held.low), held))
    width, condition = max(widths, key=itemgetter(0))
    return condition if width > 0 else None


def _mean_watts(days, was, areas, mass):
    """Crank watts saved at the speeds before, a mean over the time of each drawn ride (n,) [W]."""
    course, drawn = days.course, days.rider
    angle = angle_to_road(days.wind_from, course.column("heading"))
    legs = {name: course.column(name) for name in ("gradient", "shelter")}
    road = Conditions(days.air_density, days.wind_speed, angle, **legs)
    names = ("all_up_mass", "rolling_coefficient")
    before = replace(drawn, **{name: getattr(drawn, name)[:, None] for name in names})
    by_leg = watts_saved(before, _changed(before, areas[:, None], np.asarray(mass)[..., None]), road, was.legs.speed)
    return np.average(by_leg, axis=-1, weights=was.legs.time)


def _changed(rider, areas, mass):
    """The rider with that much less drag area, a number or an array, and less mass."""
    less = {"drag_area": rider.drag_area - areas, "all_up_mass": rider.all_up_mass - mass}
    return replace(rider, **less)


def _digits(found):
    return 1 if found.sign and max(abs(found.low), abs(found.high)) < _TINY else 0


def _words_for(found):
    """How seconds of that size are written."""
    if max(abs(found.low), abs(found.high)) < _SHORT:
        return lambda seconds: f"{seconds:.{_digits(found)}f} s"
    return lambda seconds: f"{clock(seconds)} min"

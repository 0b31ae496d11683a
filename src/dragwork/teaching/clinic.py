"""What a claim comes to, in words that can be repeated: one ending for each sort of claim.

The form of notebook 10 prints it, the options of notebook 11 rank the same changes.
"""

from dataclasses import dataclass, replace

import numpy as np

from dragwork.constants import STANDARD_GRAVITY
from dragwork.decisions import PLANNING
from dragwork.decisions.claims import Claim, span
from dragwork.decisions.conditions import USUAL
from dragwork.decisions.options import DOUBTS, Option, rank
from dragwork.decisions.verdicts import ASK, IGNORE, TEST, WHOLE_STEP, seconds_in_words
from dragwork.measurement.plan import plan_session
from dragwork.physics import angle_to_road, apparent_wind, ride
from dragwork.quantities import Estimate, true_minus
from dragwork.scenario import barrow_lane
from dragwork.scenario.roads import CINDER_LANE, LONG_HILL
from dragwork.teaching.report import Part, Table, listed
from dragwork.teaching.told import claim_of
from dragwork.teaching.verdicts import estimates, judged_on, outcome, saved_in_words, watts_in_words
from dragwork.units import deg, kmh, minutes, to_deg, to_kilometres, to_kmh, to_minutes, to_percent
from dragwork.wording import Sentences

USUAL_SPEED = USUAL["speed"][1]
SIDE_WIND = 3.0  # m/s, a breeze at the rider: COMMON_PRACTICE
_CALM = 0.05  # m/s: less of it is called none
_FASTER = 1.25  # power of the faster rider over the rider's own, all else alike
_AN_ITEM = 0.04  # of the drag area, where a claim names no number
_MOST_RUNS = 40  # of each thing, in a test of one's own
_A_SITTING = minutes(120)
_DETECTED = 0.8  # of such tests shall detect it
_said = Sentences(__package__, "clinic.json")


@dataclass(frozen=True, eq=False)
class Ending:
    """How a claim ends for a rider on a road.

    .spoken, what to say to a friend; .outcome, the range; .ask, the one question to the seller;
    .verdict; .reasons; .lines, what stands with the range; .parts, the rest of the reasoning; .seconds
    and .watts, estimates or None; .judged, the `Judgement` of a claim of drag or mass.
    """

    spoken: str
    outcome: str
    ask: str
    verdict: str
    reasons: tuple
    parts: tuple = ()
    lines: tuple = ()
    seconds: Estimate | None = None
    watts: Estimate | None = None
    judged: object = None


def _ended(sort, gaps, verdict, reasons, **more):
    """An ending in the words of `clinic.json` for a sort of claim."""
    said = (_said(sort, what, **gaps) for what in ("spoken", "outcome", "ask"))
    return Ending(*said, verdict, reasons, **more)


def ending(told, member, road, worthwhile=0.0, **evidence):
    """What a claim comes to for a member on a road.

    Parameters
    ----------
    told : Told
    member : Member
    road : Road
    worthwhile : float [s]
        The learner's own threshold.
    **evidence
        As `told.claim_of` takes it.

    Returns
    -------
    Ending

    Raises
    ------
    ValueError
        Where it cannot be worked out, in words.
    """
    if told.is_claim:
        return _of_claim(told, member, road, worthwhile, evidence)
    if told.sort in ("power", "rolling"):
        return _of_option(told, member, road, worthwhile)
    by_sort = {"sense": _of_sense, "crosswind": _of_crosswind, "share": _of_share}
    return by_sort[told.sort](told, member, road)


# -- drag and mass ----------------------------------------------------------------------------------


def _of_claim(told, member, road, worthwhile, evidence):
    claim = claim_of(told, **evidence)
    judged = judged_on(claim, member, road, worthwhile)
    plain = Ending(
        judged.spoken, outcome(judged, member, road), judged.ask, judged.verdict, judged.reasons,
        seconds=judged.seconds, watts=judged.watts, judged=judged,
    )  # fmt: skip
    if claim.kind == "mass":
        return _with_other_roads(plain, claim, member, worthwhile)
    others = [claim_of(told, kind) for kind in told.numbers if kind not in (told.sort, "mass")]
    found = list(map(claim.consistency_with, others))
    agreements = (Part("Its two numbers", tuple(each.sentence for each in found)),) if found else ()
    plain = replace(plain, parts=(*agreements, _own_test(judged.drag_area_change)))
    apart = [each for each in found if not each.agree]
    if apart:
        said = _said("two numbers", needed=apart[0].needed)
        return replace(plain, spoken=said, ask="Which of the two numbers was measured?", verdict=ASK)
    if told.parts:
        return _with_sum(plain, told)
    return _with_side_wind(plain, claim, member, road, worthwhile) if told.crosswind else plain


def _with_other_roads(plain, claim, member, worthwhile):
    """A mass, on this road, on the flat and on the climb."""
    others = {road: judged_on(claim, member, road) for road in (CINDER_LANE, LONG_HILL)}
    middles = (abs(judged.seconds.mid) for judged in (plain, *others.values()))
    here, flat, climb = (f"{x:.1f} s" if x < 9.95 else f"{x:.0f} s" for x in middles)
    little = plain.seconds.high < worthwhile
    rows = tuple(
        {"road": road.name, "what it is": road.about, "seconds": outcome(judged, member, road)}
        for road, judged in others.items()
    )
    spoken = _said(
        "mass", claim=claim.words, verb="saves" if claim.saved >= 0 else "costs", here=here, flat=flat, climb=climb,
        flat_way=to_kilometres(CINDER_LANE.course.distance), climb_way=to_kilometres(LONG_HILL.course.distance),
        slope=to_percent(LONG_HILL.course.legs[0].gradient),
        end=_said("little", worthwhile=worthwhile) if little else "Scales settle what it weighs.",
    )  # fmt: skip
    parts = (Part("On the flat and on the climb", (Table(rows, f"{claim.words}, on two other roads."),)),)
    return replace(plain, parts=parts, spoken=spoken)


def _with_sum(plain, told):
    """Percentages that add."""
    added, left = (to_percent(x) for x in (sum(told.parts), told.numbers["percent"][1]))
    most = told.numbers["percent"][1] > WHOLE_STEP / USUAL["drag_area"][1]
    body = "That is more than any one body gives." if most else f"On your road that is {seconds_in_words(plain.seconds)}."
    factors = " × ".join(f"{1 - part:g}" for part in told.parts)
    gaps = dict(added=added, left=left, rest=100 - left, body=body, factors=factors)
    spoken, ask, why = (_said("sum", what, **gaps) for what in ("spoken", "ask", "why"))
    return replace(plain, spoken=spoken, ask=ask, verdict=ASK, reasons=(why, *plain.reasons))


def _with_side_wind(plain, claim, member, road, worthwhile):
    """A claim about a crosswind: on the road's usual day, and with the wind from the side."""
    windy = judged_on(claim, member, road, worthwhile, **side_wind(road))
    gaps = dict(
        plain=plain.outcome, usual=seconds_in_words(plain.seconds), side=seconds_in_words(windy.seconds),
        watts=watts_in_words(windy.watts), wind=SIDE_WIND,
    )  # fmt: skip
    parts = (Part("The wind", _winds(member, road)[-1]), *plain.parts)
    ask = plain.ask or _said("side wind", "ask")
    return replace(plain, spoken=_said("side wind", "spoken", **gaps), outcome=_said("side wind", "outcome", **gaps), ask=ask, parts=parts)


def _own_test(area):
    """What a test of one's own would have to look like, by the planner of notebook 05."""
    heading = "A test of your own"
    if area.mid <= 0:
        return Part(heading, ("There is nothing to look for: in the middle it saves nothing.",))
    for each in range(2, _MOST_RUNS // 2 + 1):  # in two sittings, to see what changes from day to day
        plan = plan_session(("old", "new"), [kmh(45)], [0.0], 2 * each, run_time=60, change_time=300)
        tells = plan.smallest_difference(power=_DETECTED)
        if tells <= area.mid:
            break
    else:
        return Part(heading, (f"Not even {_MOST_RUNS} runs of each would detect it: ask for theirs.",))
    sittings = max(2, int(np.ceil(plan.time / _A_SITTING)))
    said = _said(
        "own test", runs=2 * each, sittings=sittings, length=to_minutes(plan.time) / sittings, detected=_DETECTED,
        tells=tells, middle=area.mid,
    )  # fmt: skip
    return Part(heading, (said,))


# -- what is an option: power, tyres, and any claim -------------------------------------------------


def option_of(told, member, road, evidence=None, **asked):
    """The change that a line tells, as an option of notebook 11, worth there what it is worth here.

    Parameters
    ----------
    told : Told
    member : Member
    road : Road
    evidence : dict, optional
        As `told.claim_of` takes it.
    **asked
        cost, cost_unit, of `Option`.

    Returns
    -------
    Option

    Raises
    ------
    ValueError
        Where it is no change of drag, mass, power or rolling, in words.
    """
    rider = member.rider
    if told.sort == "power":
        share, amount = float(np.mean(told.numbers.get("percent", (0.01, 0.01)))), ""
        if watts := told.numbers.get("watts"):
            share, amount = float(np.mean(watts)) / member.power, span(tuple(map(abs, watts)), "W")
        elif not -0.5 <= share <= 1:
            raise ValueError(f"{to_percent(share):g} % more power is outside −50 to 100 %. Is the number right?")
        return power_option(share, rider, told.drivetrain, amount, **asked)
    if told.sort == "rolling":  # watts at a speed, for an all-up mass as riders usually have
        weight, speed = USUAL["all_up_mass"][1] * STANDARD_GRAVITY, told.speed or USUAL_SPEED
        return tyre_option(float(np.mean(told.numbers["watts"])) / (weight * speed), rider, **asked)
    claim = claim_of(told.only(), **(evidence or {}))
    judged = judged_on(claim, member, road)
    asked["note"] = f"The verdict on this claim, as in notebook 10: {judged.verdict}."
    if claim.kind == "mass":
        return mass_option(claim.saved, rider, **asked)
    middle, own = float(np.median(judged.areas)), float(np.min(own_areas(rider)))
    if claim.drag_area_change.mid >= own:
        raise ValueError(
            f"{claim.words} means {claim.drag_area_change.mid:.3f} m², and you have {own:.3f} m² in all. Is the number right?"
        )
    return Option(
        claim.words, replace(rider, drag_area=rider.drag_area - middle), scales=judged.areas / middle if middle else None,
        kind="position" if claim.about == "position" else "equipment", **asked,
    )  # fmt: skip


def power_option(share, rider, drivetrain=False, amount="", **asked):
    """A share of power more, by training, or by a drivetrain that takes less; amount: as it is told."""
    where = " from the drivetrain" if drivetrain else " power"
    name = f"{amount or f'{abs(to_percent(share)):.3g} %'} {'more' if share >= 0 else 'less'}{where}"
    kind = "equipment" if drivetrain else "training"
    return Option(name, rider, kind=kind, power_factor=1 + share, doubt=DOUBTS[kind], **asked)


def tyre_option(less, rider, **asked):
    """A rolling coefficient that is so much less."""
    if not -0.01 <= less < rider.rolling_coefficient:
        raise ValueError(f"Rolling coefficient less by {span(less, '').strip()}: yours is {rider.rolling_coefficient:g} in all.")
    after = replace(rider, rolling_coefficient=rider.rolling_coefficient - less)
    return Option("tyres", after, kind="tyres", doubt=DOUBTS["tyres"], **asked)


def mass_option(kilograms, rider, **asked):
    """Kilograms off the bicycle. Scales settle them: no uncertainty."""
    name = true_minus(f"{kilograms:g} kg off the bicycle")
    after = replace(rider, all_up_mass=rider.all_up_mass - kilograms)
    return Option(name, after, kind="mass", doubt=0.0, **asked)


def own_areas(rider):
    """The rider's drag area, or those of their yaw curve [m2]."""
    return getattr(rider.drag_area, "drag_area", rider.drag_area)


def _of_option(told, member, road, worthwhile):
    """More power or less rolling: never judged as drag; notebook 11 ranks the same option."""
    option = option_of(told, member, road)
    (seconds,) = estimates(rank([option], member.rider, road.course, **road.day(member.power)))
    rolling = told.sort == "rolling"
    sort = "training" if not told.numbers else "drivetrain" if told.drivetrain else "rolling" if rolling else "power"
    gaps = dict(option=option.name, said=saved_in_words(seconds), member=member.name, road=road.name, percent=seconds.percent)
    if rolling:
        gaps["name"] = f"{span(told.numbers['watts'], 'W')} on tyres"
    start, ask = _said("option", sort, **gaps)
    little = seconds.high < worthwhile or seconds.high <= 0
    end = "Weigh it in seconds, against your other options."
    if little:
        end = _said("little", worthwhile=worthwhile) if seconds.high > 0 else "By itself it loses time."
    at = "" if told.speed else f" at {to_kmh(USUAL_SPEED):.0f} km/h"
    tyres = [_said("option", "tyres", mass=USUAL["all_up_mass"][1], at=at)] if rolling else []
    how = (_said("option", "how", doubt=option.doubt, **gaps), *tyres, _said("option", "next"))
    return Ending(
        f"{start} {end}", _said("option", "outcome", **gaps), "At which speed and load?" if rolling and told.speed else ask,
        IGNORE if little else TEST, how, seconds=seconds,
    )  # fmt: skip


# -- the faster gain more ---------------------------------------------------------------------------


def _of_sense(told, member, road):
    """In which sense the faster gain more: watts, seconds over the road, seconds an hour."""
    cut = float(np.mean(told.numbers["percent"])) if "percent" in told.numbers else _AN_ITEM
    claim = Claim.percent(cut, drag_area=float(np.min(own_areas(member.rider))), yaw=0.0)
    faster = replace(member, name="a faster rider", power=member.power * _FASTER)
    found = [judged_on(claim, each, road) for each in (member, faster)]
    times = [float(ride(road.course, each.rider, **road.day(each.power)).time) for each in (member, faster)]
    lines = (
        ("watts at the crank", [e.watts.mid for e in found], "{:.1f} W"),
        ("seconds over this road", [e.seconds.mid for e in found], "{:.0f} s"),
        ("seconds for each hour ridden", [3600 * e.seconds.mid / t for e, t in zip(found, times)], "{:.0f} s"),
    )
    said, where = [], {"more": [], "less": [], "as much": []}
    for what, numbers, form in lines:
        mine, theirs = map(form.format, numbers)
        compared = "as much" if mine == theirs else "more" if numbers[1] > numbers[0] else "less"
        where[compared].append(what)
        said.append(_said("sense", "each", what=what, name=member.name, mine=mine, theirs=theirs, compared=compared))
    gains = ", and ".join(f"{word} in {listed(where[word])}" for word in ("more", "less") if where[word])
    gaps = dict(found=gains, outcome=outcome(found[0], member, road))
    about = _said("sense", "about", cut=to_percent(cut), name=member.name, road=road.name, more=to_percent(_FASTER - 1))
    return _ended("sense", gaps, ASK, (about,), lines=tuple(said), seconds=found[0].seconds, watts=found[0].watts)


# -- a crosswind ------------------------------------------------------------------------------------


def side_wind(road):
    """A day on which the wind comes from the side on every leg: what `ride` needs."""
    return {"wind_speed": SIDE_WIND, "wind_from": road.course.column("heading") + deg(90)}


def side_part(member, road, **day):
    """The part of the wind across the road [m/s] and the yaw [rad], means over the time of a ride."""
    day = road.day(member.power) | day
    rode = ride(road.course, member.rider, **day)
    angle = angle_to_road(day["wind_from"], road.course.column("heading"))
    air = apparent_wind(rode.legs.speed, day["wind_speed"], angle)
    return tuple(float(np.average(np.abs(part), weights=rode.legs.time)) for part in (air.across, air.yaw))


def _winds(member, road):
    """The yaw on the road's usual day as it is shown, None where there is no side part of the wind; the
    yaw [rad] with the wind from the side; sentences on both."""
    across, yaw = side_part(member, road)
    most_across, most_yaw = side_part(member, road, **side_wind(road))
    usual = None if across < _CALM else f"{to_deg(yaw):.0f}°"
    first = f"has a side part of {across:.1f} m/s on average: the air comes in at {usual}" if usual else "has no side part"
    said = _said("winds", road=road.name, first=first, wind=SIDE_WIND, across=most_across, yaw=most_yaw)
    return usual, most_yaw, tuple(said)


def _of_crosswind(told, member, road):
    usual, yaw, said = _winds(member, road)
    here = f"brings the air in at {usual}" if usual else "has no wind from the side"
    gaps = dict(here=here, wind=SIDE_WIND, yaw=yaw, name=member.name, road=road.name)
    return _ended("crosswind", gaps, ASK, said)


# -- most of a step ---------------------------------------------------------------------------------


def share_of_step(member, road):
    """The share of the step from hoods to time-trial bike that clip-ons give, on the club's sheet BL-7, over its draws.

    Returns
    -------
    (Estimate, Estimate, Estimate)
        The share, and the seconds of the item and of the whole step, at 80 %.
    """
    day, areas = road.day(member.power), barrow_lane.bl7().draws(400, seed=1)
    hoods, bars, bike = (ride(road.course, replace(member.rider, drag_area=areas[name]), **day).time for name in ("hoods", "clip-ons", "time-trial"))
    part, step = hoods - bars, hoods - bike
    return tuple(Estimate.of(found, PLANNING) for found in (part / step, part, step))


def _of_share(told, member, road):
    share, bars, step = share_of_step(member, road)
    low, mid, high = (to_percent(end) for end in (share.low, share.mid, share.high))
    said = told.numbers.get("percent")
    true = low <= to_percent(said[1]) and to_percent(said[0]) <= high if said else 50 <= mid <= 100
    gaps = dict(
        verdict="Yes, on the club's sheet" if true else "Not on the club's sheet", low=low, mid=mid, high=high,
        name=member.name, road=road.name, bars=seconds_in_words(bars), step=seconds_in_words(step), percent=share.percent,
    )  # fmt: skip
    return _ended("share", gaps, TEST, tuple(_said("share", "why", **gaps)), seconds=bars)

"""What to change first: every option in the same unit, seconds on my course, with a range.

An option is the rider after it. The same days are drawn for all options, so that what the day
does to all of them cancels in their order.
"""

from dataclasses import dataclass, fields, replace
from itertools import pairwise
from zlib import crc32

import numpy as np
import pandas as pd

from dragwork.constants import STANDARD_GRAVITY
from dragwork.decisions import PLANNING
from dragwork.decisions.rides import CAREFUL, DRAWS, EXACT, SEED, drawn_days, in_parts, ride_on
from dragwork.decisions.search import crossing
from dragwork.measurement.uncertainty import check_confidence
from dragwork.physics.course import Course, ride
from dragwork.physics.drag import YawCurve, drag_force
from dragwork.physics.power import Rider
from dragwork.quantities import (
    QUANTITIES,
    Estimate,
    checked,
    needs,
    number_within,
    one_number,
    refuse,
)

KINDS = ("equipment", "position", "training", "pacing", "tyres", "mass")
DOUBT = 0.25  # of what an option changes, relative: COMMON_PRACTICE
# How far an item or a season of training may be off; scales settle a mass: COMMON_PRACTICE.
DOUBTS = {"equipment": 0.4, "position": DOUBT, "training": 0.5, "tyres": DOUBT, "mass": 0.0}
MOST_DOUBT = 0.5  # with more of it nothing is known of the change, not even its direction

_STEPS = 60  # of a search for where an order flips


@dataclass(frozen=True, eq=False)
class Option:
    """One thing that a rider could change.

    Parameters
    ----------
    name : str
    after_rider : Rider
        The rider after it, fields as those of the rider before but for what changes.
    cost : float, optional
        In the learner's own unit; 0 is free, None is not told.
    kind : str
        'equipment', 'position', 'training', 'pacing', 'tyres' or 'mass'.
    power_factor : float or (legs,) array
        Power after over power before: training above 1, a position that costs power below 1,
        pacing one value a leg.
    held : float
        Share of the road's length ridden so, the rest as before.
    doubt : float
        Standard uncertainty of the change, relative to the change, 0 to 0.5; usual: a quarter.
    scales : (draws,) array, optional
        Draws of the change over the change, in place of `doubt`: those of a judged claim, so that
        it is worth the same here as there.
    cost_unit : str
        What the cost is counted in: 'EUR', 'hours'; '' for budget units.
    note : str
        A sentence that goes with it, such as the verdict on its claim.

    Source: COMMON_PRACTICE
    """

    name: str
    after_rider: Rider
    cost: float | None = None
    kind: str = "equipment"
    power_factor: object = 1.0
    held: float = 1.0
    doubt: float = DOUBT
    scales: np.ndarray | None = None
    cost_unit: str = ""
    note: str = ""

    def __post_init__(self):
        needs(str, name=self.name)
        needs(Rider, after_rider=self.after_rider)
        if self.kind not in KINDS:
            raise ValueError(f"kind {self.kind!r} is not known; give one of {', '.join(KINDS)}.")
        checked(power_factor=self.power_factor)
        number_within("held", self.held, 0, 1)
        number_within("doubt", self.doubt, 0, MOST_DOUBT)
        if self.cost is not None and not 0 <= one_number("cost", self.cost) < np.inf:
            raise ValueError(f"cost {self.cost:g} is not a cost, at least 0.")


def rank(
    options, rider, course, power, air_density=1.2, wind_speed=0.0, wind_from=0.0, unstated=CAREFUL,
    draws=DRAWS, seed=SEED, confidence=PLANNING, progress=None,
):  # fmt: skip
    """Put options in order: seconds saved on one course by one rider, with a range.

    The days are drawn once for all options and are those on which a claim is judged; the change
    of each option is drawn by its name, so that its place in the list does not matter. The middle
    is the median of the draws: an unexpected wind, or a leg at its speed limit, pulls to one side.

    Parameters
    ----------
    options : sequence of Option
    rider : Rider
        Before.
    course : Course
    power, air_density, wind_speed, wind_from
        As in `physics.course.ride`.
    unstated : Unstated
        Doubt about the day.
    draws, seed : int
    confidence : float
        Of the range.
    progress : callable, optional
        Told the share of the work that is done, 0 to 1.

    Returns
    -------
    pandas.DataFrame
        Most seconds first: option, kind, low, seconds (the median), high [s], as_assumed [s] (on
        the day as it is told, the change as it is named), cost, seconds_per_unit (nan without a
        cost, inf where it is free and saves), first (share of the draws in which the option comes
        first, a tie shared evenly), confidence.

    Raises
    ------
    ValueError
        Outside the ranges, without an option, or with two of one name, in words.

    Source: MARTIN1998, JCGM101
    """
    options = tuple(options) if np.iterable(options) else ()
    if not options:
        raise ValueError("options is empty: give one at least.")
    for option in options:
        needs(Option, option=option)
    names = [option.name for option in options]
    for name in names:
        if names.count(name) > 1:
            raise ValueError(f"options: '{name}' is there twice. Give each a name of its own.")
    check_confidence(confidence)
    told = (course, rider, power, air_density, wind_speed, wind_from)
    days = drawn_days(*told, EXACT, 1, seed).together(drawn_days(*told, unstated, draws, seed))
    first, *parts = in_parts(progress, 1 + len(options))
    was = ride_on(days, days.rider, progress=first).time
    saved = np.array([_saved_on(days, was, o, rider, seed, part) for o, part in zip(options, parts)])
    as_assumed, drawn = saved[:, 0], saved[:, 1:]
    found = [Estimate.of(each, confidence) for each in drawn]
    seconds = np.array([each.mid for each in found])
    leads = drawn == drawn.max(axis=0)
    cost = np.array([np.nan if o.cost is None else o.cost for o in options])
    with np.errstate(divide="ignore", invalid="ignore"):
        per_unit = np.where(seconds == 0, 0.0, seconds / cost)
    table = pd.DataFrame(
        {
            "option": names,
            "kind": [o.kind for o in options],
            "low": [each.low for each in found],
            "seconds": seconds,
            "high": [each.high for each in found],
            "as_assumed": as_assumed,
            "cost": cost,
            "seconds_per_unit": np.where(np.isnan(cost), np.nan, per_unit),
            "first": np.mean(leads / leads.sum(axis=0), axis=1),
            "confidence": confidence,
        }
    )
    return table.sort_values("seconds", ascending=False, kind="stable", ignore_index=True)


def seconds_saved(option, rider, course, power, **day):
    """Seconds that an option saves on a course, as it is told.

    Parameters
    ----------
    option : Option
    rider : Rider
    course : Course
    power, **day
        Power, air_density, wind_speed and wind_from, as in `physics.course.ride`.

    Returns
    -------
    float or array [s]

    Source: MARTIN1998
    """
    return _saved(option, ride(course, rider, power, **day).time, course, power, **day)


def mixed_time(time_in, time_out, share):
    """Time over a road of which a share of the length is ridden one way, the rest another.

    The times mix in step with the share; the speeds therefore by their harmonic mean.

    Parameters
    ----------
    time_in, time_out : float or array [s]
        Over the whole road, all of it ridden the one way, or the other.
    share : float
        Of the length, 0 to 1.

    Returns
    -------
    float or array [s]
    """
    return share * time_in + (1 - share) * time_out


def mixed_speed(speed_in, speed_out, share):
    """Mean speed over a road of which a share of the length is ridden at one speed: harmonic.

    Parameters
    ----------
    speed_in, speed_out : float or array [m/s]
    share : float
        Of the length, 0 to 1.

    Returns
    -------
    float or array [m/s]
    """
    return 1 / mixed_time(1 / np.asarray(speed_in), 1 / np.asarray(speed_out), share)


# -- where two options weigh the same -----------------------------------------------------------------


def power_worth(air_share, drag_area_cut):
    """Share of the power that a cut of the drag area sets free at the same speed: s x, exactly.

    A position that costs more than this share of the power makes the rider slower. In small
    changes it reads s dln CdA = dln P; at the same speed, in still air, it holds for any cut.

    Parameters
    ----------
    air_share : float or array
        Share s of the air in the resisting power before the cut, 0 to 1.
    drag_area_cut : float or array
        Relative cut x of the drag area, 0 to 1.

    Returns
    -------
    float or array
        A fraction of the power.
    """
    s, x = checked(air_share=air_share, drag_area_cut=drag_area_cut)
    return (s * x)[()]


def break_even_gradient(drag_area_saved, mass_saved, ground_speed, rolling_coefficient=0.004,
                        air_density=1.2):  # fmt: skip
    """The gradient at which a drag area and a mass spare the same watts, at the same speed.

    Below it the drag area spares more, above it the mass. Still air. Exact: with
    k = rho v^2 dCdA/(2 g dm), C_rr cos + sin = k is solved for the slope.

    Parameters
    ----------
    drag_area_saved : float or array [m2]
    mass_saved : float or array [kg]
        Above 0.
    ground_speed : float or array [m/s]
    rolling_coefficient : float or array
    air_density : float or array [kg/m3]

    Returns
    -------
    float or array
        A fraction, rise over run. Negative: already on the flat the mass spares more. It may lie
        above 0.4, where no road is and the rest of the library refuses it.

    Raises
    ------
    ValueError
        Outside the ranges, or where no slope is steep enough, in words.
    """
    mass = checked(all_up_mass=mass_saved)
    C_rr = checked(rolling_coefficient=rolling_coefficient)
    k = drag_force(drag_area_saved, air_density, ground_speed) / (mass * STANDARD_GRAVITY)
    refuse(k >= 1, "The drag area saved outweighs the mass on any slope, even a wall ({:g}).", k)
    steep = np.arcsin(k / np.hypot(1, C_rr)) - np.arctan(C_rr)
    return np.tan(steep)[()]


def break_even_power(option, rider, course, power, **day):
    """The share of the power that may be lost to an option before its seconds are gone.

    As `power_worth`, but over a whole course, solved in full: hills and braked descents pay less.

    Parameters
    ----------
    option : Option
        Its own power_factor is left out.
    rider : Rider
    course : Course
    power, **day
        Power, air_density, wind_speed and wind_from, as in `physics.course.ride`.

    Returns
    -------
    float
        A fraction of the power; negative where the option costs time as it is.

    Raises
    ------
    ValueError
        Outside the ranges, or where half or twice the power does not make up for it, in words.

    Source: MARTIN1998
    """
    needs(Option, option=option)
    power = checked(power=power)
    was = ride(course, rider, power, **day).time

    def saved(factor):
        return float(was - ride(course, option.after_rider, power * factor, **day).time)

    unsettled = "half or twice the power does not make up for this option."
    return 1 - crossing(saved, 0.5, 2.0, unsettled, settled=1e-8)


def held_enough(option, other, rider, course, power, **day):
    """Share of the road on which an option must be held to save as much as another one.

    Parameters
    ----------
    option, other : Option
    rider : Rider
    course : Course
    power, **day
        Power, air_density, wind_speed and wind_from, as in `physics.course.ride`.

    Returns
    -------
    float
        A fraction of the road's length; above 1 it never gets there; inf where it saves nothing.
    """
    whole = float(seconds_saved(replace(option, held=1.0), rider, course, power, **day))
    wanted = float(seconds_saved(other, rider, course, power, **day))
    return max(wanted / whole, 0.0) if whole > 0 else np.inf


def same_mean_power(factors, rider, course, power, **day):
    """Pacing that costs no more: the factors, scaled so that the mean crank power stays.

    Parameters
    ----------
    factors : (legs,) sequence of float
        Power on each leg over the power now, up to a common factor.
    rider : Rider
    course : Course
    power, **day
        Power, air_density, wind_speed and wind_from, as in `physics.course.ride`.

    Returns
    -------
    (legs,) array
        Factors for `Option.power_factor`.

    Raises
    ------
    ValueError
        Outside the ranges, or where no scale gives that mean, in words.

    Source: MARTIN1998
    """
    factors, power = np.asarray(factors, dtype=float), checked(power=power)
    if factors.shape != (len(course.legs),) or not np.all(factors > 0):
        raise ValueError(f"factors must be {len(course.legs)} numbers above 0, one a leg.")
    mean = ride(course, rider, power, **day).mean_power

    def excess(scale):
        return float(ride(course, rider, power * factors * scale, **day).mean_power - mean)

    return factors * crossing(excess, 0.2, 2.0, "no scale of these factors keeps the mean power.")


@dataclass(frozen=True)
class Flip:
    """Where the order flips: the value at which the first place goes from one option to another."""

    at: float
    before: str
    after: str


def flips(options, rider, course, power, along, low, high, **day):
    """Where the option that saves most seconds gives its place to another one.

    Parameters
    ----------
    options : sequence of Option
    rider : Rider
    course : Course
        For along='gradient' all its legs take the gradient.
    power : float [W]
    along : str
        'gradient' or 'power': what is turned from low to high.
    low, high : float
        A fraction, or [W].
    **day
        air_density, wind_speed and wind_from, as in `physics.course.ride`.

    Returns
    -------
    tuple of Flip
        In rising order; empty where one option leads all the way. Found on a grid of 60 steps
        and narrowed down: two flips between two steps are missed.

    Source: MARTIN1998
    """
    if along not in ("gradient", "power"):
        raise ValueError(f"along {along!r} is not known; give 'gradient' or 'power'.")
    if not low < high:
        raise ValueError(f"low {low:g} must be below high {high:g}.")
    options = tuple(options)

    def saved(at):
        road, watts = course, at
        if along == "gradient":
            road, watts = Course([replace(leg, gradient=at) for leg in course.legs]), power
        was = ride(road, rider, watts, **day).time
        return np.array([float(_saved(o, was, road, watts, **day)) for o in options])

    values = np.linspace(low, high, _STEPS + 1)
    leaders = [int(np.argmax(saved(at))) for at in values]
    found = []
    for (start, one), (end, two) in pairwise(zip(values, leaders)):
        if one != two:
            both, none = [one, two], "the order does not flip there."
            at = crossing(lambda at, both=both: np.subtract(*saved(at)[both]), start, end, none)
            found.append(Flip(float(at), options[one].name, options[two].name))
    return tuple(found)


# -- parts --------------------------------------------------------------------------------------------


def _saved(option, was, course, power, **day):
    """Seconds that an option saves on a course; was: the time without it."""
    needs(Option, option=option)
    changed = checked(power=power) * np.asarray(option.power_factor)
    return was - mixed_time(ride(course, option.after_rider, changed, **day).time, was, option.held)


def _saved_on(days, was, option, rider, seed, progress):
    """Seconds that an option saves on each of some days: on the first of them as it is told, on the
    others as its change is drawn. was: the times without it."""
    scale, n = option.scales, was.size - 1
    if scale is None or len(scale) != n:
        rng = np.random.default_rng([seed, crc32(option.name.encode())])  # its own, by its name
        scale = 1 + option.doubt * rng.standard_normal(n)
    scale = np.append(1.0, scale)
    after = _moved(days.rider, rider, option.after_rider, scale)
    factor = 1 + (np.asarray(option.power_factor) - 1) * scale[:, None]
    now = ride_on(days, after, np.maximum(factor, 0.0), progress).time
    return was - mixed_time(now, was, option.held)


def _moved(drawn, before, after, scale):
    """The drawn riders with the change from before to after, scaled for each draw."""
    changed = {}
    for field in fields(Rider):
        one, two = getattr(before, field.name), getattr(after, field.name)
        if isinstance(one, YawCurve) or isinstance(two, YawCurve):
            changed[field.name] = _between(one, two, scale)
        elif np.any(np.asarray(one) != np.asarray(two)):
            allowed, now = QUANTITIES[field.name], getattr(drawn, field.name)
            changed[field.name] = np.clip(now + (two - one) * scale, allowed.low, allowed.high)
    return replace(drawn, **changed)


def _between(one, two, scale):
    """Yaw curves from one (scale 0) to two (scale 1), on the angles of the finer table."""
    if not isinstance(one, YawCurve):
        one = YawCurve(two.yaw, np.full(two.yaw.shape, one))
    if not isinstance(two, YawCurve):
        two = YawCurve(one.yaw, np.full(one.yaw.shape, two))
    if not np.array_equal(one.yaw, two.yaw):
        raise ValueError("the drag areas before and after have different angles; give them the same.")
    step = two.drag_area - one.drag_area
    return YawCurve(one.yaw, np.maximum(one.drag_area + step * scale[:, None], 0.0))

"""Panels of lesson 6: what a hidden wind does to a road test, and the regression of a field sheet."""

from dataclasses import replace
from functools import partial
from types import SimpleNamespace

import numpy as np

from dragwork import units
from dragwork.measurement.roadtest import fit
from dragwork.physics.power import Conditions, power_balance
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.figures.curves import Axis, Line, at, curve, plot
from dragwork.teaching.figures.style import BLACK, BLUE, GREY, VERMILLION, bare
from dragwork.teaching.panels.knobs import Knob, knob, signed
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import sentence

# The two legs of an out-and-back, each alone and both together: in words, and their look.
LEGS = {
    "out": ("out alone", {"color": VERMILLION, "linestyle": "--", "linewidth": 2.0, "marker": "^"}),
    "back": ("back alone", {"color": BLUE, "linestyle": "-.", "linewidth": 2.0, "marker": "v"}),
    "pair": ("both, averaged", {"color": BLACK, "linestyle": "-", "linewidth": 2.2, "marker": "o"}),
}


@model(ground_speed=units.kmh(np.linspace(15, 60, 91)))
def tested_twice(head_wind, gradient, ground_speed, rider=TOBIN.rider):
    """Ride out and back at one speed, and work out the drag area as if wind and slope were 0.

    A road test as an analyst sees it who notes neither wind nor slope. SI.

    out, back, pair: the apparent drag areas at the ground speed; truth: the rider's.
    """
    out = power_balance(rider, Conditions(1.2, head_wind, 0.0, gradient), ground_speed).wheel
    back = power_balance(rider, Conditions(1.2, head_wind, np.pi, -gradient), ground_speed).wheel
    # At the wheel, where a leg that is coasted counts as what it is: negative.
    legs = {"out": out, "back": back, "pair": (out + back) / 2}
    rolling = power_balance(replace(rider, drag_area=0.0), Conditions(1.2), ground_speed).wheel
    air = power_balance(replace(rider, drag_area=1.0, rolling_coefficient=0.0), Conditions(1.2), ground_speed)
    return dict(truth=rider.drag_area, **{leg: (power - rolling) / air.wheel for leg, power in legs.items()})


def hidden_wind():
    """The panel: turn a wind and a slope that the analyst does not know, and the speed."""
    truth = {"color": GREY, "linestyle": "-", "linewidth": 5.0, "marker": "None", "alpha": 0.35}
    picture = plot(
        "Apparent drag area over speed: out alone, back alone, both averaged, and the truth",
        Axis("Speed on the road, km/h", "km/h", 15, 60),
        Axis("Apparent drag area, m²", "m2", 0.15, 0.65),
        Line(None, "truth", truth, "the truth"),
        *(line for leg, (name, look) in LEGS.items()
          for line in curve("ground_speed", leg, look, partial(_number, leg), name)),
        guesses=at("ground_speed"),
    )
    speed = knob("ground_speed", low=15, reference=39.6, step=0.1)
    wind = knob("head_wind", label="Hidden wind, against you on the way out", low=0)
    knobs = wind, _slope("Hidden slope of the road, up on the way out"), speed
    return Panel(knobs, tested_twice, picture, twice_in_words, observed="out")


def _slope(label):
    """The knob of a road's slope, which hardly anyone sees."""
    return knob("gradient", label=label, low=-0.3, high=0.3, step=0.05, digits=2)


_APART = 0.02  # m2; marks nearer than this to each other share one number


def _number(leg, result):
    """The drag area at a leg's point, unless it shares the number of the pair."""
    area = getattr(result, leg)
    return f"{area:.3f}" if leg == "pair" or abs(area - result.pair) > _APART else ""


@sentence
def twice_in_words(result):
    """At {ground_speed:.1f km/h}, with a hidden wind of {head_wind:.1f m/s} against you on the way out and a hidden
    slope of {gradient:.2f %}: the way out alone gives {out:.3f m2} ({out_off}), the way back alone {back:.3f m2}
    ({back_off}), both averaged {pair:.4f m2} ({pair_off}). The truth is {truth:.3f m2}."""
    off = {leg: units.to_percent(getattr(result, leg) / result.truth - 1) for leg in LEGS}
    return {f"{leg}_off": f"{signed(percent, 1)} %" for leg, percent in off.items()}


# -- the regression of a field sheet --------------------------------------------------------------------

FEWEST = 4  # pairs: two unknowns, and two more to see any scatter


def first_pairs(sheet, position, pairs):
    """The sheet with the first pairs alone of a position, and all pairs of the others."""
    used = sheet.used
    later = [n for n in used[used.position == position].pair.unique() if n > 0][pairs:]
    return sheet.without(*used.lap[used.pair.isin(later) | (used.pair == 0)])


@model
def fitted(sheet, position, most_pressure, head_wind, gradient, pairs):
    """Fit the pairs of a test, of one position the first alone, with wind and slope as given.

    A road test fitted in pairs, and from the legs one way alone. SI.

    out, back, pair: of each leg and of the pairs the pressure, the force, the line of a fit over `grid`, its
    drag area and its rolling coefficient; low and high: 95 % band for one more pair.
    """
    chosen = first_pairs(sheet, position, round(pairs))
    taken = {"head_wind": head_wind, "gradient": gradient}
    fits = {leg: fit(chosen.choose(leg), pairs=False, **taken) for leg in ("out", "back")}
    found = fit(chosen, **taken)
    tables = {leg: found.legs[found.legs.direction == leg] for leg in fits} | {"pair": found.observations}
    grid, legs = np.linspace(0, most_pressure, 41), {}
    for leg, one in (fits | {"pair": found}).items():
        points = tables[leg][tables[leg].position == position]
        legs[leg] = SimpleNamespace(
            pressure=points.dynamic_pressure, force=points.force,
            line=one.prediction(grid, position, new=False).mid,
            drag_area=one.values[one.place_of(position)], rolling=one.rolling_coefficient,
        )  # fmt: skip
    new = found.prediction(grid, position)
    interval = found.intervals[found.names[found.place_of(position)]]
    band = dict(grid=grid, low=new.low, high=new.high)
    return dict(pairs=len(legs["pair"].force), fit=found, interval=interval, **band, **legs)


def field_fit(sheet, position):
    """The panel for one position of a field sheet; all positions are fitted together, as on the page.

    Knobs: the headwind and the slope that the fit takes for the way out, and how many pairs, from
    the first one on, it uses. Drag area and rolling coefficient are no knobs: the fit finds them.
    In the picture the steepness of a line is a drag area; where it starts, at no air, is the rolling resistance.
    """
    whole = fit(sheet)
    kept = sheet.without(*set(sheet.used.lap) - set(whole.legs.lap))
    most = 5 * float(np.ceil(1.15 * whole.legs.dynamic_pressure.max() / 5))
    force = 5 * float(np.ceil(1.3 * whole.legs.force.max() / 5))
    band = {"color": GREY, "linestyle": ":", "linewidth": 1.8, "marker": "None"}
    picture = plot(
        "Wheel force over dynamic pressure, with the line through the averaged pairs",
        Axis("Dynamic pressure of the air along the road, Pa", "Pa", 0, most),
        Axis("Wheel force of air and tyres, N", "N", 0, force),
        Line("grid", "low", band),
        Line("grid", "high", band, "95 % band for one more pair"),
        *(line for leg, (name, look) in LEGS.items() for line in _leg_lines(leg, name, look)),
    )
    number = int(kept.choose(position=position).used.pair.nunique())
    pairs = Knob("pairs", "Pairs used, from the first on", "", "1", FEWEST, number, number, 1, 0)
    wind = knob("head_wind", label="Headwind assumed on the way out", high=1)
    knobs = wind, _slope("Road's slope assumed on the way out"), pairs
    return Panel(knobs, partial(fitted, kept, position, most), picture, fitted_in_words)


def _leg_lines(leg, name, look):
    pair = leg == "pair"
    thin, hollow = ({}, {}) if pair else ({"linewidth": 1.3}, {"fillstyle": "none"})
    return (
        Line("grid", f"{leg}.line", bare(look, **thin), name, trace=pair),
        Line(f"{leg}.pressure", f"{leg}.force", {**look, "linestyle": "None", **hollow}),
    )


@sentence
def fitted_in_words(result):
    """{pairs} pairs of position {position}: the line's steepness is a drag area of {pair.drag_area:.3f m2} (95 % range
    {interval[0]:.3f} to {interval[1]:.3f m2}), and where it starts is the coefficient of rolling resistance, one for
    all positions, of {pair.rolling:.4f}. The pairs scatter by {fit.residual_spread:.2f N} about it. The legs out alone
    would give {out.drag_area:.3f m2} and {out.rolling:.4f}, the legs back alone {back.drag_area:.3f m2} and
    {back.rolling:.4f}."""
    return {}

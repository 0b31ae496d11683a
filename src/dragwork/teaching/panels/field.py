"""Panels of lesson 6: what a hidden wind does to a road test, and the regression of a field sheet."""

from dataclasses import replace
from functools import partial

import numpy as np

from dragwork import units
from dragwork.measurement.roadtest import fit
from dragwork.physics.power import Conditions, power_balance
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.figures.curves import Axis, Curves, Line, Plane, at
from dragwork.teaching.figures.style import BLACK, BLUE, GREY, VERMILLION, bare
from dragwork.teaching.panels.knobs import Knob, knob, signed
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import sentence

# The two legs of an out-and-back, each alone and both together.
WORDS = {"out": "out alone", "back": "back alone", "pair": "both, averaged"}
LOOKS = {
    "out": {"color": VERMILLION, "linestyle": "--", "linewidth": 2.0, "marker": "^"},
    "back": {"color": BLUE, "linestyle": "-.", "linewidth": 2.0, "marker": "v"},
    "pair": {"color": BLACK, "linestyle": "-", "linewidth": 2.2, "marker": "o"},
}


@model(ground_speed=units.kmh(np.linspace(15, 60, 91)))
def tested_twice(head_wind, gradient, ground_speed, rider=TOBIN.rider):
    """Ride out and back at one speed, and work out the drag area as if wind and slope were 0.

    A road test as an analyst sees it who notes neither wind nor slope. SI.

    apparent: drag area by 'out', 'back' and 'pair' at the ground speed.
    """
    out = power_balance(rider, Conditions(1.2, head_wind, 0.0, gradient), ground_speed).wheel
    back = power_balance(rider, Conditions(1.2, head_wind, np.pi, -gradient), ground_speed).wheel
    # At the wheel, where a leg that is coasted counts as what it is: negative.
    legs = {"out": out, "back": back, "pair": (out + back) / 2}
    rolling = power_balance(replace(rider, drag_area=0.0), Conditions(1.2), ground_speed).wheel
    air = power_balance(replace(rider, drag_area=1.0, rolling_coefficient=0.0), Conditions(1.2), ground_speed)
    return dict(truth=rider.drag_area, apparent={leg: (power - rolling) / air.wheel for leg, power in legs.items()})


def hidden_wind():
    """The panel: turn a wind and a slope that the analyst does not know, and the speed."""
    truth = {"color": GREY, "linestyle": "-", "linewidth": 5.0, "marker": "None", "alpha": 0.35}
    picture = Curves(
        "Apparent drag area over speed: out alone, back alone, both averaged, and the truth",
        Plane(
            Axis("Speed on the road, km/h", "km/h", 15, 60),
            Axis("Apparent drag area, m²", "m2", 0.15, 0.65),
            (
                Line(None, "truth", truth, "the truth"),
                *(line for leg, look in LOOKS.items() for line in _of_leg(leg, look)),
            ),
            guesses=at("ground_speed"),
        ),
    )
    speed = knob("ground_speed", low=15, reference=39.6, step=0.1)
    wind = knob("head_wind", label="Hidden wind, against you on the way out", low=0)
    knobs = wind, _slope("Hidden slope of the road, up on the way out"), speed
    return Panel(knobs, tested_twice, picture, twice_in_words, lambda result: result.apparent["out"])


def _slope(label):
    """The knob of a road's slope, which hardly anyone sees."""
    return knob("gradient", label=label, low=-0.3, high=0.3, step=0.05, digits=2)


_APART = 0.02  # m2; marks nearer than this to each other share one number


def _of_leg(leg, look):
    """A leg's curve, and the point with its drag area, unless it shares the number of the pair."""

    def number(result):
        area, both = result.apparent[leg], result.apparent["pair"]
        return f"{area:.3f}" if leg == "pair" or abs(area - both) > _APART else ""

    return (
        Line("along.ground_speed", lambda r: r.along.apparent[leg], bare(look), WORDS[leg], trace=True),
        Line("ground_speed", lambda r: r.apparent[leg], look, number),
    )


@sentence
def twice_in_words(result):
    """At {ground_speed:.1f km/h}, with a hidden wind of {head_wind:.1f m/s} against you on the way out and a hidden
    slope of {gradient:.2f %}: the way out alone gives {out:.3f m2} ({out_off}), the way back alone {back:.3f m2}
    ({back_off}), both averaged {pair:.4f m2} ({pair_off}). The truth is {truth:.3f m2}."""
    apparent = result.apparent
    off = {f"{leg}_off": f"{signed(units.to_percent(a / result.truth - 1), 1)} %" for leg, a in apparent.items()}
    return apparent | off


# -- the regression of a field sheet --------------------------------------------------------------------

FEWEST = 4  # pairs: two unknowns, and two more to see any scatter


def first_pairs(sheet, position, pairs):
    """The sheet with the first pairs alone of a position, and all pairs of the others."""
    used = sheet.used
    of_position = used[used.position == position]
    later = [n for n in of_position.pair.unique() if n > 0][pairs:]
    return sheet.without(*used.lap[used.pair.isin(later) | (used.pair == 0)])


@model
def fitted(sheet, position, most_pressure, head_wind, gradient, pairs):
    """Fit the pairs of a test, of one position the first alone, with wind and slope as given.

    A road test fitted in pairs, and from the legs one way alone. SI.

    pressure and force: of the legs 'out', 'back' and of the 'pair's; line: forces of the three
    fits over `grid`; low and high: 95 % band for one more pair; one_way: (drag area, rolling coefficient) by leg.
    """
    chosen = first_pairs(sheet, position, round(pairs))
    taken = {"head_wind": head_wind, "gradient": gradient}
    found = fit(chosen, **taken)
    alone = {leg: fit(chosen.choose(leg), pairs=False, **taken) for leg in ("out", "back")}
    grid, place = np.linspace(0, most_pressure, 41), found.positions.index(position)
    bands = {
        leg: one.prediction(grid, position, new=False)
        for leg, one in (alone | {"pair": found}).items()
    }
    new = found.prediction(grid, position)
    legs = {leg: found.legs[found.legs.direction == leg] for leg in alone}
    points = {
        leg: table[table.position == position]
        for leg, table in (legs | {"pair": found.observations}).items()
    }
    return dict(
        pairs=len(points["pair"]),
        drag_area=float(found.values[place]),
        interval=found.intervals[found.names[place]],
        rolling_coefficient=found.rolling_coefficient,
        residual_spread=found.residual_spread,
        one_way={
            leg: (float(one.values[one.positions.index(position)]), one.rolling_coefficient)
            for leg, one in alone.items()
        },
        pressure={leg: table.dynamic_pressure.to_numpy() for leg, table in points.items()},
        force={leg: table.force.to_numpy() for leg, table in points.items()},
        grid=grid,
        line={leg: band.mid for leg, band in bands.items()},
        low=new.low,
        high=new.high,
    )


def field_fit(sheet, position):
    """The panel for one position of a field sheet; all positions are fitted together, as on the page.

    Knobs: the headwind and the slope that the fit takes for the way out, and how many pairs, from
    the first one on, it uses. Drag area and rolling coefficient are no knobs: the fit finds them.
    """
    whole = fit(sheet)
    kept = sheet.without(*set(sheet.used.lap) - set(whole.legs.lap))
    most = 5 * float(np.ceil(1.15 * whole.legs.dynamic_pressure.max() / 5))
    force = 5 * float(np.ceil(1.3 * whole.legs.force.max() / 5))
    number = int(kept.choose(position=position).used.pair.nunique())
    pairs = Knob("pairs", "Pairs used, from the first on", "", "1", FEWEST, number, number, 1, 0)
    wind = knob("head_wind", label="Headwind assumed on the way out", high=1)
    knobs = wind, _slope("Road's slope assumed on the way out"), pairs
    return Panel(knobs, partial(fitted, kept, position, most), _fit_picture(most, force), fitted_in_words)


def _fit_picture(most_pressure, most_force):
    """The steepness of a line is a drag area; where it starts, at no air, is the rolling resistance."""
    band = {"color": GREY, "linestyle": ":", "linewidth": 1.8, "marker": "None"}
    return Curves(
        "Wheel force over dynamic pressure, with the line through the averaged pairs",
        Plane(
            Axis("Dynamic pressure of the air along the road, Pa", "Pa", 0, most_pressure),
            Axis("Wheel force of air and tyres, N", "N", 0, most_force),
            (
                Line("grid", "low", band),
                Line("grid", "high", band, "95 % band for one more pair"),
                *(line for leg, look in LOOKS.items() for line in _leg_lines(leg, look)),
            ),
        ),
    )


def _leg_lines(leg, look):
    thin = {} if leg == "pair" else {"linewidth": 1.3}
    hollow = {} if leg == "pair" else {"fillstyle": "none"}
    return (
        Line("grid", lambda r: r.line[leg], bare(look, **thin), WORDS[leg], trace=leg == "pair"),
        Line(lambda r: r.pressure[leg], lambda r: r.force[leg], {**look, "linestyle": "None", **hollow}),
    )


@sentence
def fitted_in_words(result):
    """{pairs} pairs of position {position}: the line's steepness is a drag area of {drag_area:.3f m2} (95 % range
    {low:.3f} to {high:.3f m2}), and where it starts is the coefficient of rolling resistance, one for all
    positions, of {rolling_coefficient:.4f}. The pairs scatter by {residual_spread:.2f N} about it. The legs out
    alone would give {out}, the legs back alone {back}."""
    low, high = result.interval
    alone = {leg: f"{area:.3f} m² and {tyres:.4f}" for leg, (area, tyres) in result.one_way.items()}
    return dict(low=low, high=high, **alone)

"""Panel: the regression of a field sheet. Turn what is assumed of wind and slope, choose laps."""

from functools import partial

import numpy as np

from dragwork.measurement.roadtest import fit
from dragwork.teaching.figures.curves import Axis, Curves, Line, Plane
from dragwork.teaching.figures.legs import LOOKS, WORDS
from dragwork.teaching.figures.style import GREY, bare
from dragwork.teaching.panels.knobs import Knob, knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import sentence

HEAD_WIND = Knob("head_wind", "Headwind assumed on the way out", "w", "m/s", -1, 0, 1, 0.1, 1)
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
        line={leg: band.value for leg, band in bands.items()},
        low=new.low,
        high=new.high,
    )


_BAND = {"color": GREY, "linestyle": ":", "linewidth": 1.8, "marker": "None"}


def _leg_lines(leg, look):
    thin = {} if leg == "pair" else {"linewidth": 1.3}
    hollow = {} if leg == "pair" else {"fillstyle": "none"}
    return (
        Line("grid", lambda r: r.line[leg], bare(look, **thin), WORDS[leg], trace=leg == "pair"),
        Line(lambda r: r.pressure[leg], lambda r: r.force[leg], {**look, "linestyle": "None", **hollow}),
    )


def _picture(most_pressure, most_force):
    """The steepness of a line is a drag area; where it starts, at no air, is the rolling resistance."""
    return Curves(
        "Wheel force over dynamic pressure, with the line through the averaged pairs",
        Plane(
            Axis("Dynamic pressure of the air along the road, Pa", "Pa", 0, most_pressure),
            Axis("Wheel force of air and tyres, N", "N", 0, most_force),
            (
                Line("grid", "low", _BAND),
                Line("grid", "high", _BAND, "95 % band for one more pair"),
                *(line for leg, look in LOOKS.items() for line in _leg_lines(leg, look)),
            ),
        ),
    )


@sentence
def in_words(result):
    """{pairs} pairs of position {position}: the line's steepness is a drag area of {drag_area:.3f m2} (95 % range
    {low:.3f} to {high:.3f m2}), and where it starts is the coefficient of rolling resistance, one for all
    positions, of {rolling_coefficient:.4f}. The pairs scatter by {residual_spread:.2f N} about it. The legs out
    alone would give {out}, the legs back alone {back}."""
    low, high = result.interval
    alone = {leg: f"{area:.3f} m² and {tyres:.4f}" for leg, (area, tyres) in result.one_way.items()}
    return dict(low=low, high=high, **alone)


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
    slope = knob("gradient", label="Road's slope assumed on the way out", low=-0.3, high=0.3, step=0.05, digits=2)

    fits = partial(fitted, kept, position, most)
    return Panel((HEAD_WIND, slope, pairs), fits, _picture(most, force), in_words)

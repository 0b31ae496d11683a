"""Panel: watts that each set-up of a tunnel sheet saves against the first one, at a speed."""

import numpy as np

from dragwork import units
from dragwork.measurement.tunnel import compare
from dragwork.physics.drag import dynamic_pressure
from dragwork.teaching.figures.tunnel_savings import TunnelSavings
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import sentence

AIR_DENSITY, CONFIDENCE = 1.2, 0.95  # kg/m3
PARTS = ("difference", "low", "high")


def tunnel_savings(sheet):
    """The panel for a sheet: turn the speed. Reference: 36 km/h; the first set-up is the baseline.

    Predictions are the watts that the next set-up saves.
    """
    baseline, *others = sheet.set_ups
    found = {name: compare(sheet, baseline, name, confidence=CONFIDENCE) for name in others}
    speed = knob("ground_speed", low=15, high=60)
    speeds = units.kmh(np.linspace(speed.low, speed.high, 181))
    used = sheet.rows.speed_setting[sheet.rows.used]

    def at(ground_speed, part):
        watts_a_square_metre = dynamic_pressure(AIR_DENSITY, ground_speed) * ground_speed
        return {name: getattr(one, part) * watts_a_square_metre for name, one in found.items()}

    curve, low_curve, high_curve = (at(speeds, part) for part in PARTS)

    @model
    def saved(ground_speed):
        """Watts saved at the wheel in still air, by set-up, with the ends of their ranges; curves too.

        .measured: slowest and fastest air of the sheet [m/s].
        """
        watts, low, high = (at(ground_speed, part) for part in PARTS)
        return dict(
            baseline=baseline, watts=watts, low=low, high=high, speeds=speeds, curve=curve,
            low_curve=low_curve, high_curve=high_curve, measured=(float(used.min()), float(used.max())),
        )  # fmt: skip

    return Panel(
        (speed,), saved, TunnelSavings(saved(speed.at(0))), in_words,
        observed=lambda result: result.watts[others[0]],
    )  # fmt: skip


@sentence
def in_words(result):
    """At {ground_speed:.1f km/h} in still air, saved at the wheel against {baseline}, with 95 % ranges: {each}. The
    tunnel measured {where}."""
    each = (f"{name} {w:.1f} W ({result.low[name]:.1f} to {result.high[name]:.1f} W)" for name, w in result.watts.items())
    slowest, fastest = result.measured
    ends = f"{units.to_kmh(slowest):.0f} to {units.to_kmh(fastest):.0f} km/h"
    where = f"from {ends}; here its drag areas are carried beyond that"
    if 0.99 * slowest <= result.ground_speed <= 1.01 * fastest:
        where = f"at speeds like this, {ends}"
    return dict(each="; ".join(each), where=where)

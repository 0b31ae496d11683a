"""Panel: watts that each set-up of a tunnel sheet saves against the first one, at a speed."""

from dataclasses import dataclass, replace

import numpy as np

from dragwork import units
from dragwork.measurement.tunnel import compare
from dragwork.physics.drag import dynamic_pressure
from dragwork.teaching.figures.tunnel_savings import TunnelSavings
from dragwork.teaching.panels.knobs import CATALOGUE
from dragwork.teaching.panels.panel import Panel

AIR_DENSITY, CONFIDENCE = 1.2, 0.95  # kg/m3


@dataclass(frozen=True, eq=False)
class WattsSaved:
    """Watts saved at the wheel in still air, by set-up, with the ends of their ranges; curves too."""

    baseline: str
    ground_speed: float
    watts: dict
    low: dict
    high: dict
    measured: tuple  # slowest and fastest air of the sheet
    speeds: np.ndarray
    curve: dict
    low_curve: dict
    high_curve: dict


def tunnel_savings(sheet, baseline=None):
    """The panel for a sheet: turn the speed. Reference: 36 km/h; the first set-up is the baseline.

    Predictions are the watts that the next set-up saves.
    """
    baseline = baseline or sheet.set_ups[0]
    others = [name for name in sheet.set_ups if name != baseline]
    found = {name: compare(sheet, baseline, name, confidence=CONFIDENCE) for name in others}
    knob = replace(CATALOGUE["ground_speed"], low=15, high=60)
    speeds = units.kmh(np.linspace(knob.low, knob.high, 181))
    used = sheet.rows.speed_setting[sheet.rows.used]

    def at(ground_speed, part):
        watts_a_square_metre = dynamic_pressure(AIR_DENSITY, ground_speed) * ground_speed
        return {name: getattr(one, part) * watts_a_square_metre for name, one in found.items()}

    curves = [at(speeds, part) for part in ("difference", "low", "high")]

    def saved(ground_speed):
        here = [at(ground_speed, part) for part in ("difference", "low", "high")]
        measured = (float(used.min()), float(used.max()))
        return WattsSaved(baseline, ground_speed, *here, measured, speeds, *curves)

    return Panel(
        (knob,), saved, TunnelSavings(saved(knob.at(0))), in_words,
        observed=lambda result: result.watts[others[0]],
    )  # fmt: skip


def in_words(result):
    """Watts and range of each set-up, and whether the tunnel measured at that speed."""
    each = "; ".join(
        f"{name} {watts:.1f} W ({result.low[name]:.1f} to {result.high[name]:.1f} W)"
        for name, watts in result.watts.items()
    )
    speed, (slowest, fastest) = result.ground_speed, result.measured
    inside = 0.99 * slowest <= speed <= 1.01 * fastest
    ends = f"{units.to_kmh(slowest):.0f} to {units.to_kmh(fastest):.0f} km/h"
    where = (
        f"The tunnel measured at speeds like this, {ends}." if inside else
        f"The tunnel measured from {ends}; here its drag areas are carried beyond that."
    )  # fmt: skip
    return (
        f"At {units.to_kmh(speed):.1f} km/h in still air, saved at the wheel against "
        f"{result.baseline}, with 95 % ranges: {each}. {where}"
    )

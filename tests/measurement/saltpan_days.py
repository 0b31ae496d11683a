"""On how many of 300 days of each kind the ranges of the road-test fit hold the truth: the table in lesson 06.

`python tests/measurement/saltpan_days.py` tries the fit on days like that of Saltpan Lane and writes
`src/dragwork/scenario/data/saltpan_days.json` again, byte for byte. It takes a minute.
"""

import json
from dataclasses import replace

import numpy as np
from field_days import AREA, CALM, ROLLING, laps_of

from dragwork.measurement.roadtest import FieldErrors, fit
from dragwork.scenario.writing import write_again

SEED, DAYS = 18, 300

# The kind in words, what it has besides, and the order of the positions.
KINDS = {
    "as the fit expects": ({}, "PKKP"),
    "wind from the side, 2 m/s (one standard deviation), and a drag area that rises by 17 % at 10 degrees": (
        {"side_wind_sd": 2.0, "rise_with_yaw": 1.0}, "PKKP"
    ),
    "a meter that shows 5 W too much, and the zero does not show it": ({"offset": 5.0}, "PKKP"),
    "a drag area that falls by 0.002 m² for each m/s": ({"fall_with_speed": 0.002}, "PKKP"),
    "P P K K in place of P K K P, and a drift of 0.008 m²": ({"drift": 0.008}, "PPKK"),
}  # fmt: skip
# What is drawn for each day, in this order: fields of `FieldErrors`.
DRAWN = (
    "power_scale", "drivetrain_efficiency", "speed_scale", "air_density", "all_up_mass", "head_wind", "gradient",
    "rolling_coefficient", "meter_offset", "constant_force", "drift",
)  # fmt: skip


def any_day(kind, number, seed=SEED):
    """The laps of one day: wind, slope and instruments as far off as the fit expects, and what its kind has besides."""
    rng, (more, blocks) = np.random.default_rng([seed, number]), KINDS[kind]
    side = rng.standard_normal() if "side_wind_sd" in more else 0.0
    z, usual = {name: rng.standard_normal() for name in DRAWN}, FieldErrors()
    drawn = {"offset": z["meter_offset"] * usual.meter_offset, "drift": z["drift"] * usual.drift}
    of_day = [
        z["speed_scale"], z["head_wind"], side, z["all_up_mass"], z["air_density"], z["gradient"],
        z["drivetrain_efficiency"], z["power_scale"],
    ]  # fmt: skip
    leg = rng.standard_normal((6, 8 * len(blocks)))
    return laps_of(of_day, [*leg, 0.0], replace(CALM, **drawn | more), blocks)


def tried(kind, days=DAYS):
    """On how many days of a kind the 95 % ranges hold the drag area of P, the rolling coefficient and P less K."""
    held = np.zeros(3, dtype=int)
    for number in range(days):
        found = fit(any_day(kind, number))
        gap = found.difference("P", "K")
        ranges = found.intervals["drag_area P"], found.intervals["rolling_coefficient"], (gap.low, gap.high)
        truth = AREA["P"], ROLLING, AREA["P"] - AREA["K"]
        held += [low <= true <= high for (low, high), true in zip(ranges, truth)]
    return {"kind": kind, "days": days, "drag area": held[0], "rolling coefficient": held[1], "difference": held[2]}


if __name__ == "__main__":
    write_again({"saltpan_days.json": json.dumps([tried(kind) for kind in KINDS], indent=1, default=int) + "\n"})

"""The field day at Saltpan Lane: an invented road test, made by a seeded script.

`python -m dragwork.scenario.saltpan_lane` writes `data/saltpan_lane.csv` and its manifest again,
byte for byte. The truth stands here, so that an analysis can be held against it: two positions
under blind codes, a light wind and a slope that nobody noted, and laps that are no test.
"""

import json

import numpy as np
import pandas as pd

from dragwork.measurement import field_sheet
from dragwork.measurement.field_sheet import read_laps
from dragwork.measurement.sheet_columns import csv_of
from dragwork.physics.air import density
from dragwork.physics.power import Conditions, Rider, power_balance
from dragwork.scenario import data_file
from dragwork.scenario.writing import lines_of, manifest_text, write_again
from dragwork.units import celsius, hectopascal, kmh, percent

SEED = 18

# The analyst sees K and P alone; the key lies in an envelope until the fit is done.
KEY = {"K": "hands in the drops", "P": "hands on the hoods"}
TRUE_DRAG_AREA = {"K": 0.304, "P": 0.320}  # m2
TRUE_ROLLING = 0.0046
MASS, EFFICIENCY = 84.0, 0.975
LENGTH = 1200.0  # m, one leg
SPEEDS = kmh(np.array([22.0, 29.0, 36.0, 43.0]))
BLOCKS = ("P", "K", "K", "P")  # ABBA, so that a slow change of the day meets both alike
LAPS = 2 * len(SPEEDS) * len(BLOCKS)

HIDDEN_WIND = 0.5  # m/s, against the rider on the way out; nobody had an anemometer
HIDDEN_GRADIENT = 0.001  # up on the way out; the road looks flat

WIND_OF_A_LEG = 0.12  # m/s, along the road, from leg to leg
POWER_OF_A_LEG = 0.008  # of a lap's mean power: pedalling that the meter does not follow
SPEED_HELD = 0.008  # how near to the speed asked for a lap is ridden, as a fraction
SPEED_AT_ENDS = 0.15  # m/s, between start and end speed and the mean

NOTES = (
    "Field sheet of Saltpan Lane, rider Tobin of the Quillhaven Wheelers",
    "Invented for teaching: no such road, club or rider is meant to exist, and nothing here was measured",
    "Out = towards the pans, back = towards the church; positions under blind codes, key in an envelope",
    "Closed to cars for the morning, marshals at both ends, dry; no anemometer",
)


def make_laps(noise):
    """The laps of the day as a table in SI, one out and one back at each speed of each block.

    Parameters
    ----------
    noise : (6, LAPS) array
        Of the laps, in standard deviations: speed, start and end speed, wind, power, the
        meter's zero.

    Returns
    -------
    pandas.DataFrame
        As `LapSheet.laps`, before pairs are found. Nothing is rounded.

    Source: MARTIN1998
    """
    position = np.repeat(np.asarray(BLOCKS, dtype=object), 2 * len(SPEEDS))
    way, part = np.tile([1.0, -1.0], LAPS // 2), np.linspace(0, 1, LAPS)
    speed = np.tile(np.repeat(SPEEDS, 2), len(BLOCKS)) * (1 + SPEED_HELD * noise[0])
    start, end = speed + SPEED_AT_ENDS * noise[1], speed + SPEED_AT_ENDS * noise[2]
    weather = {
        "temperature": celsius(14 + 3 * part),
        "pressure": hectopascal(1017 - part),
        "relative_humidity": percent(62 - 8 * part),
    }
    air, wind = density(**weather), way * HIDDEN_WIND + WIND_OF_A_LEG * noise[3]
    rider = Rider(MASS, [TRUE_DRAG_AREA[code] for code in position], TRUE_ROLLING, EFFICIENCY)
    conditions = Conditions(air, np.abs(wind), np.where(wind < 0, np.pi, 0.0), way * HIDDEN_GRADIENT)
    crank = power_balance(rider, conditions, speed, (end**2 - start**2) / (2 * LENGTH)).total
    zero = np.round(1.5 + noise[5])
    return pd.DataFrame(
        {
            "row": np.arange(LAPS) + len(NOTES) + 2, "lap": [str(i + 1) for i in range(LAPS)],
            "order": np.arange(LAPS) + 1.0, "direction": np.where(way > 0, "out", "back"),
            "position": position, "distance": LENGTH, "start_speed": start, "end_speed": end,
            "speed": speed, "power": crank * (1 + POWER_OF_A_LEG * noise[4]) + zero, "zero": zero,
            "head_wind": np.nan, **weather, "all_up_mass": MASS, "tyre": "28 mm",
            "tyre_pressure": 550e3, "surface": "smooth asphalt", "gradient": np.nan,
            "traffic": "no", "brake": "no", "remarks": "", "used": True, "air_density": air,
        }
    )  # fmt: skip


def days_tried():
    """On how many days of each kind the 95 % ranges held the truth, as it was stored.

    `tests/measurement/saltpan_days.py` tries them.

    Returns
    -------
    list of dict

    Source: COMMON_PRACTICE
    """
    return json.loads(data_file("saltpan_days.json").read_text(encoding="utf-8"))


# Laps that are no test: why, what is left of their power, and what else is written down.
_SPOILT = {
    3: ("brake flag", 0.78, {"brake": "yes", "remarks": "dog at the edge, braked"}),
    10: ("traffic flag", 0.86, {"traffic": "yes", "remarks": "van ahead for half the leg"}),
    15: ("speed change", 1.0, {"start_speed": kmh(30.0), "remarks": "started too slowly"}),
    22: ("not flagged: an outlier", 0.76, {}),  # a lorry passed and nobody noted it
}
SPOILT = {str(number): why for number, (why, *_) in _SPOILT.items()} | {"33": "no way back"}


def _spoilt(laps):
    """The day's laps, some of them no test, and one leg ridden without its way back."""
    for number, (_, share, cells) in _SPOILT.items():
        for name, value in {"power": laps.power[number - 1] * share, **cells}.items():
            laps.loc[number - 1, name] = value
    last = laps.iloc[[-2]].assign(
        lap="33", order=33.0, row=laps.row.max() + 1, remarks="rain began, rode home"
    )
    return pd.concat([laps, last], ignore_index=True)


def sheet(seed=SEED):
    """The sheet as CSV text; with the usual seed it is `data/saltpan_lane.csv`.

    Parameters
    ----------
    seed : int

    Returns
    -------
    str

    Source: COMMON_PRACTICE
    """
    laps = _spoilt(make_laps(np.random.default_rng(seed).standard_normal((6, LAPS))))
    return csv_of(field_sheet.COLUMNS, lines_of(field_sheet.COLUMNS, laps), NOTES)


def saltpan_lane():
    """The sheet of the day at Saltpan Lane, read.

    Returns
    -------
    LapSheet

    Source: COMMON_PRACTICE
    """
    return read_laps(data_file("saltpan_lane.csv"))


def manifest():
    """What the data file is, column by column, and its truth, as JSON text.

    Returns
    -------
    str

    Source: COMMON_PRACTICE
    """
    return manifest_text(
        "saltpan_lane",
        SEED,
        invented=NOTES[1],
        files={"saltpan_lane.csv": "laps out and back at four speeds in two positions"},
        columns={column.heading: column.meaning for column in field_sheet.COLUMNS},
        truth={
            "key": KEY,
            "drag_area [m2]": TRUE_DRAG_AREA,
            "rolling coefficient": TRUE_ROLLING,
            "head wind on the way out [m/s]": HIDDEN_WIND,
            "gradient on the way out": HIDDEN_GRADIENT,
        },
        laps_that_are_no_test=SPOILT,
    )


if __name__ == "__main__":
    write_again({"saltpan_lane.csv": sheet(), "saltpan_lane_manifest.json": manifest()})

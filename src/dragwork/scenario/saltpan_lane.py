"""The field day at Saltpan Lane: an invented road test, made by a seeded script.

`python -m dragwork.scenario.saltpan_lane` writes `data/saltpan_lane.csv` and its manifest again,
byte for byte. The truth stands here, so that an analysis can be held against it: two positions
under blind codes, a light wind and a slope that nobody noted, and laps that are no test.
"""

import json
from dataclasses import dataclass

import numpy as np
import pandas as pd

from dragwork.measurement import field_sheet
from dragwork.measurement.field_sheet import read_laps, sort_out
from dragwork.measurement.roadtest import FieldErrors, fit
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

HIDDEN_WIND = 0.5  # m/s, against the rider on the way out; nobody had an anemometer
HIDDEN_GRADIENT = 0.001  # up on the way out; the road looks flat

SPEED_HELD = 0.008  # how near to the speed asked for a lap is ridden, as a fraction
SPEED_AT_ENDS = 0.15  # m/s, between start and end speed and the mean

NOTES = (
    "Field sheet of Saltpan Lane, rider Tobin of the Quillhaven Wheelers",
    "Invented for teaching: no such road, club or rider is meant to exist, and nothing here was measured",
    "Out = towards the pans, back = towards the church; positions under blind codes, key in an envelope",
    "Closed to cars for the morning, marshals at both ends, dry; no anemometer",
)

MEANINGS = {column.field: column.meaning for column in field_sheet.COLUMNS}


@dataclass(frozen=True)
class FieldDay:
    """What a field day truly is, beyond what stands on its sheet. SI.

    drag_area: by position code; wind_of_a_leg, power_of_a_leg: standard deviations of the noise;
    power_scale and so on: how far each instrument is off, as a fraction, all day. side_wind [m/s]:
    across the road, all day; rise_with_yaw: of the drag area, a radian; fall_with_speed: m2 for
    each m/s; meter_offset [W]: not shown by the zero; drift [m2]: of the drag area, over the day.
    """

    drag_area: dict
    rolling_coefficient: float = TRUE_ROLLING
    head_wind: float = HIDDEN_WIND
    gradient: float = HIDDEN_GRADIENT
    wind_of_a_leg: float = 0.12  # m/s, along the road, from leg to leg
    power_of_a_leg: float = 0.008  # of a lap's mean power: pedalling that the meter does not follow
    power_scale: float = 0.0
    speed_scale: float = 0.0
    air_density: float = 0.0
    drivetrain_efficiency: float = EFFICIENCY
    mass_off: float = 0.0
    side_wind: float = 0.0
    rise_with_yaw: float = 0.0
    fall_with_speed: float = 0.0
    meter_offset: float = 0.0
    drift: float = 0.0


def any_day(rng, **more):
    """A day as it may be: wind, slope and instruments drawn from their uncertainties.

    Parameters
    ----------
    rng : numpy.random.Generator
    **more
        Of `FieldDay`, over what was drawn.

    Returns
    -------
    FieldDay

    Source: COMMON_PRACTICE
    """
    off = {name: u * rng.standard_normal() for name, u in vars(FieldErrors()).items()}
    same = ("head_wind", "gradient", "power_scale", "speed_scale", "air_density", "meter_offset", "drift")
    drawn = {name: off[name] for name in same} | {
        "drivetrain_efficiency": min(EFFICIENCY + off["drivetrain_efficiency"], 1.0),
        "mass_off": off["all_up_mass"],
    }
    return FieldDay(TRUE_DRAG_AREA, **drawn | more)


def make_laps(day, rng, blocks=BLOCKS, speeds=SPEEDS):
    """The laps of a day as a table in SI, one out and one back at each speed of each block.

    Parameters
    ----------
    day : FieldDay
    rng : numpy.random.Generator
        Of the noise; it is drawn also where the day's noise is 0.
    blocks : sequence of str
        Position codes in the order ridden.
    speeds : (k,) array [m/s]

    Returns
    -------
    pandas.DataFrame
        As `LapSheet.laps`, before pairs are found. Nothing is rounded.

    Source: MARTIN1998
    """
    position = np.repeat(np.asarray(blocks, dtype=object), 2 * len(speeds))
    asked = np.tile(np.repeat(speeds, 2), len(blocks))
    n = len(asked)
    way, part = np.tile([1.0, -1.0], n // 2), np.linspace(0, 1, n)
    noise = rng.standard_normal((6, n))
    speed = asked * (1 + SPEED_HELD * noise[0])
    start, end = speed + SPEED_AT_ENDS * noise[1], speed + SPEED_AT_ENDS * noise[2]
    weather = {
        "temperature": celsius(14 + 3 * part),
        "pressure": hectopascal(1017 - part),
        "relative_humidity": percent(62 - 8 * part),
    }
    true_speed, scale = speed * (1 + day.speed_scale), 1 + day.speed_scale
    wind = way * day.head_wind + day.wind_of_a_leg * noise[3]
    yaw = np.arctan2(np.abs(day.side_wind), true_speed + wind)
    area = np.array([day.drag_area[code] for code in position]) + day.drift * (part - 0.5)
    area = area * (1 + day.rise_with_yaw * yaw) - day.fall_with_speed * (true_speed - speeds.mean())
    rider = Rider(
        MASS + day.mass_off,
        area / np.cos(yaw),  # a plain number falls with the cosine of the yaw
        day.rolling_coefficient,
        day.drivetrain_efficiency,
    )
    air = density(**weather) * (1 + day.air_density)
    conditions = Conditions(
        air, np.hypot(wind, day.side_wind), np.arctan2(np.abs(day.side_wind), wind), way * day.gradient
    )
    acceleration = (end**2 - start**2) * scale / (2 * LENGTH)
    crank = power_balance(rider, conditions, true_speed, acceleration).total
    zero = np.round(1.5 + 1.0 * noise[5])
    return pd.DataFrame(
        {
            "row": np.arange(n) + len(NOTES) + 2, "lap": [str(i + 1) for i in range(n)],
            "order": np.arange(n) + 1.0, "direction": np.where(way > 0, "out", "back"),
            "position": position, "distance": LENGTH, "start_speed": start, "end_speed": end,
            "speed": speed,
            "power": crank * (1 + day.power_scale) * (1 + day.power_of_a_leg * noise[4]) + day.meter_offset + zero,
            "zero": zero, "head_wind": np.nan, **weather, "all_up_mass": MASS, "tyre": "28 mm",
            "tyre_pressure": 550e3, "surface": "smooth asphalt", "gradient": np.nan,
            "traffic": "no", "brake": "no", "remarks": "", "used": True,
            "air_density": density(**weather),
        }
    )  # fmt: skip


# Days to try the fit on: the kind in words, what is drawn besides, and the order of the positions.
KINDS = {
    "as the fit expects": (lambda rng: {}, BLOCKS),
    "wind from the side, 2 m/s (one standard deviation), and a drag area that rises by 17 % at 10 degrees":
        (lambda rng: {"side_wind": 2 * rng.standard_normal(), "rise_with_yaw": 1.0}, BLOCKS),
    "a meter that shows 5 W too much, and the zero does not show it": (lambda rng: {"meter_offset": 5.0}, BLOCKS),
    "a drag area that falls by 0.002 m² for each m/s": (lambda rng: {"fall_with_speed": 0.002}, BLOCKS),
    "P P K K in place of P K K P, and a drift of 0.008 m²": (lambda rng: {"drift": 0.008}, tuple("PPKK")),
}  # fmt: skip
DAYS = 300


def tried(kind, days=DAYS, seed=SEED):
    """On how many days of a kind the 95 % ranges hold the truth.

    Parameters
    ----------
    kind : str
        Of `KINDS`.
    days, seed : int

    Returns
    -------
    dict
        kind, days, and days on which the range of the drag area of P, of the rolling coefficient
        and of the difference P less K held it.

    Source: COMMON_PRACTICE
    """
    more, blocks = KINDS[kind]
    held = np.zeros(3, dtype=int)
    for number in range(days):
        rng = np.random.default_rng([seed, number])
        found = fit(sort_out(make_laps(any_day(rng, **more(rng)), rng, blocks=blocks)))
        gap = found.difference("P", "K")
        ranges = (found.intervals["drag_area P"], found.intervals["rolling_coefficient"], (gap.low, gap.high))
        truth = (TRUE_DRAG_AREA["P"], TRUE_ROLLING, TRUE_DRAG_AREA["P"] - TRUE_DRAG_AREA["K"])
        held += [low <= true <= high for (low, high), true in zip(ranges, truth)]
    return {"kind": kind, "days": days, "drag area": held[0], "rolling coefficient": held[1], "difference": held[2]}


def days_tried():
    """`tried` for each kind, as it was stored by this script.

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
    laps = laps.copy()
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
    laps = _spoilt(make_laps(FieldDay(TRUE_DRAG_AREA), np.random.default_rng(seed)))
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
    days = json.dumps([tried(kind) for kind in KINDS], indent=1, default=int) + "\n"
    write_again(
        {"saltpan_lane.csv": sheet(), "saltpan_lane_manifest.json": manifest(), "saltpan_days.json": days}
    )

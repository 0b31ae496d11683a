"""The capstone's brief: Hana, sheet BL-9 of two handlebar positions, her road, and a claim.

`python -m dragwork.scenario.hana` writes the sheet and its manifest in `data/` again, byte for
byte. Tunnel, club, rider, item and numbers are invented. The true drag areas stand here, so that
whoever marks the capstone knows what there was to find.
"""

from dataclasses import replace

import numpy as np
import pandas as pd

from dragwork.decisions.claims import Claim
from dragwork.decisions.options import DOUBTS, Option
from dragwork.measurement.sheet_columns import csv_of
from dragwork.measurement.tunnel import read_sheet
from dragwork.physics.air import density
from dragwork.physics.drag import drag_force
from dragwork.physics.power import Rider
from dragwork.scenario import data_file
from dragwork.scenario.barrow_lane import WRITTEN, written_down
from dragwork.scenario.riders import Member
from dragwork.scenario.roads import THREE_KILNS
from dragwork.scenario.writing import manifest_text, write_again
from dragwork.units import celsius, hectopascal, kmh, percent, to_kmh

SEED = 22
SHEET = "BL-9.csv"

HANA = Member(
    "Hana", Rider(all_up_mass=66, drag_area=0.310, rolling_coefficient=0.0045), 165,
    "rides to the coast and back on Sundays",
)  # fmt: skip
ROAD = THREE_KILNS
CLAIM = Claim.watts(24, speed=kmh(50), at=None, who="the maker of the bars", compared_with=None)
BUDGET = 60  # the club's budget units

BEFORE, AFTER = "drops", "low-bars"
ORDER = (BEFORE, AFTER, AFTER, BEFORE) * 2
TRUE_DRAG_AREA = {BEFORE: 0.310, AFTER: 0.2975}  # m2, straight ahead
TRUE_STAND = 0.0265  # m2
PASS_SPREAD = 0.003  # m2, standard deviation of a pass
SETTING = kmh(45)

NOTES = (
    "Sheet BL-9, Barrow Lane tunnel, rider Hana of the Quillhaven Wheelers",
    "Invented for teaching: no such tunnel, club or rider is meant to exist, and nothing here was measured",
    "Set-ups: drops = hands in the drops; low-bars = the same bicycle with the maker's low bars",
    "Tare is the empty stand at the same speed and yaw; order = run order of the day",
)
SLIPS = {
    3: "one reading honestly in grams-force",
    5: "the tunnel speed in km/h under the heading m/s",
    6: "no tare written down",
}


def sheet(seed=SEED):
    """The sheet as CSV text: eight runs, A B B A twice, three of them with something to see.

    Parameters
    ----------
    seed : int

    Returns
    -------
    str

    Source: COMMON_PRACTICE
    """
    noise = np.random.default_rng(seed).standard_normal((len(ORDER), 2)).T
    runs = pd.DataFrame({"run": np.arange(len(ORDER)) + 1, "set_up": ORDER, "yaw": 0.0})
    weather = {
        "temperature": celsius(19.0 + 0.1 * runs.run), "pressure": hectopascal(1012.0),
        "relative_humidity": percent(48),
    }  # fmt: skip
    air, speed = density(**weather), SETTING * (1 + 0.002 * noise[0])
    area = runs.set_up.map(TRUE_DRAG_AREA) + PASS_SPREAD * noise[1]
    tare = drag_force(TRUE_STAND, air, speed)
    runs = runs.assign(
        repeat=runs.groupby("set_up").cumcount() + 1, **weather, speed=speed, remarks="",
        speed_kmh=[f"{each:.1f}" for each in to_kmh(speed)], tare=tare,
        drag=drag_force(area, air, speed) + tare, drag_unit=np.where(runs.run == 3, "g", "N"),
        photo=runs.run.map("BL9-{:03d}".format),
    )  # fmt: skip
    lines = written_down(runs)
    lines[4]["speed"] = lines[4]["speed_kmh"]
    lines[5]["tare"] = ""
    return csv_of(WRITTEN, lines, NOTES)


def rows():
    """The sheet's rows as a page shows them: column to text, without what is the same in all.

    Returns
    -------
    list of dict

    Source: COMMON_PRACTICE
    """
    table = pd.read_csv(data_file(SHEET), skiprows=len(NOTES), dtype=str, keep_default_na=False)
    shown = ["run", "set-up", "speed [m/s]", "speed [km/h]", "temperature [degC]", "drag", "drag unit", "tare"]
    return table[shown].to_dict("records")


def bl9():
    """The sheet, read.

    Returns
    -------
    TunnelSheet

    Source: COMMON_PRACTICE
    """
    return read_sheet(data_file(SHEET))


def options(drag_area_saved):
    """What Hana could change first; the bars save what was measured.

    Parameters
    ----------
    drag_area_saved : float [m2]

    Returns
    -------
    tuple of Option

    Source: COMMON_PRACTICE
    """
    rider = HANA.rider
    return (
        Option("low bars", replace(rider, drag_area=rider.drag_area - drag_area_saved), 45,
               "position", power_factor=0.99, held=0.7),
        Option("better tyres",
               replace(rider, rolling_coefficient=rider.rolling_coefficient - 0.0006), 12, "tyres"),
        Option("a winter of training", rider, 20, "training", power_factor=1.02, doubt=DOUBTS["training"]),
    )  # fmt: skip


def manifest():
    """What the file is and what there is to find in it, as JSON text.

    Returns
    -------
    str

    Source: COMMON_PRACTICE
    """
    return manifest_text(
        "hana",
        SEED,
        invented=NOTES[1],
        files={SHEET: "eight runs of two handlebar positions, straight ahead, at one speed"},
        columns="as of BL-7.csv, see manifest.json",
        slips={f"run {number}": what for number, what in SLIPS.items()},
        **{"true drag areas [m2]": TRUE_DRAG_AREA},
    )


if __name__ == "__main__":
    write_again({SHEET: sheet(), "BL-9_manifest.json": manifest()})

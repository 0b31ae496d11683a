"""Sheet BL-7: an invented day in the invented Barrow Lane tunnel, made by a seeded script.

`python -m dragwork.scenario.barrow_lane` writes the two sheets and the manifest in `data/` again,
byte for byte. The true drag areas stand here, so that a reader of the sheet can be held against
them. Tunnel, club, rider and numbers are invented; no yaw curve here is a measurement.
"""

import numpy as np
import pandas as pd

from dragwork.measurement import tunnel, tunnel_columns
from dragwork.measurement.sheet_columns import csv_of
from dragwork.physics.air import density
from dragwork.physics.drag import YawCurve, drag_force, dynamic_pressure
from dragwork.scenario import data_file
from dragwork.scenario.writing import lines_of, manifest_text, write_again
from dragwork.units import celsius, deg, hectopascal, kmh, percent, to_deg, to_grams_force, to_kmh

SEED = 7

SET_UPS = {
    "hoods": "road bike, hands on the hoods",
    "clip-ons": "the same road bike, forearms on clip-on bars",
    "time-trial": "time-trial bike with a deep rear wheel",
}
YAW = deg(np.array([-10.0, 0.0, 5.0, 10.0]))
SPEED = kmh(np.array([36.0, 45.0, 54.0]))
REPEATS = 3

# m2, one value an angle of YAW, the same at all three speeds. The road bike's rises with yaw, the
# time-trial bike's falls, so that the gap between them grows in a crosswind. Left and right differ
# a little: the chain is on one side only.
TRUE_DRAG_AREA = {
    "hoods": np.array([0.3290, 0.3200, 0.3225, 0.3300]),
    "clip-ons": np.array([0.2875, 0.2850, 0.2855, 0.2870]),
    "time-trial": np.array([0.2640, 0.2740, 0.2710, 0.2630]),
}
TRUE_STAND = np.array([0.0290, 0.0265, 0.0275, 0.0290])  # m2, the empty stand at each angle of YAW

PASS_SPREAD = 0.0012  # m2, standard deviation of a pass: nobody takes up a position twice alike
REPEAT_SPREAD = 0.0025  # m2, standard deviation of a run within a pass: nobody sits quite still
BALANCE_NOISE = 0.02  # N, standard deviation of one reading
SPEED_WOBBLE = 0.002  # standard deviation of a run's speed about the setting, as a fraction

NOTES = (
    "Sheet BL-7, Barrow Lane tunnel, rider Tobin of the Quillhaven Wheelers{copy}",
    "Invented for teaching: no such tunnel, club or rider is meant to exist, and nothing here was measured",
    "Set-ups: " + "; ".join(f"{code} = {words}" for code, words in SET_UPS.items()),
    "Yaw is positive when the air comes from the rider's right; axis body = along the bicycle",
    "Tare is the empty stand at the same speed and yaw; order = run order of the day",
)

WRITTEN = tuple(column for column in tunnel_columns.OUR_COLUMNS if column.meaning)


def make_runs(seed=SEED):
    """The day's runs in the order run, with noise and with errors that the whole session shares.

    Three passes over the set-ups, the middle one backwards (A B C, C B A, A B C), so that a slow
    drift meets all alike; within each block the angles in random order, and at each angle the
    speeds in random order, because a turntable takes longer to settle than a fan. Before each
    block the rider gets off and takes up the position anew: how he sits is his for the block.

    Parameters
    ----------
    seed : int

    Returns
    -------
    pandas.DataFrame
        A line a run, its columns those fields of the sheet that change, in SI, weather and speed
        rounded as they are written down; drag_unit is that of the balance's display.

    Source: COMMON_PRACTICE
    """
    rng, names, shared = np.random.default_rng(seed), list(SET_UPS), tunnel.SharedErrors()
    sitting = PASS_SPREAD * np.random.default_rng([seed, 1]).standard_normal((len(names), REPEATS))
    errors = shared.balance_scale, shared.speed, shared.air_density
    balance_error, speed_error, air_error = 1 + np.array(errors) * rng.standard_normal(3)

    def reading(drag_area, rho, speed, noise):
        """What the balance shows [N]: the true air is not quite what the instruments say."""
        force = drag_force(drag_area, rho * air_error, speed * speed_error)
        return force * balance_error + BALANCE_NOISE * noise

    noise = rng.standard_normal((SPEED.size, YAW.size))
    tare = reading(TRUE_STAND, 1.2, SPEED[:, None], noise)
    order = range(len(names))
    plan = [
        (set_up, repeat, angle, speed)
        for repeat, block in enumerate((order, order[::-1], order))
        for set_up in block
        for angle in rng.permutation(YAW.size)
        for speed in rng.permutation(SPEED.size)
    ]
    set_up, repeat, angle, setting = np.array(plan).T
    noise, part_of_day = rng.standard_normal((len(plan), 6)).T, np.linspace(0, 1, len(plan))
    weather = {
        "temperature": celsius(np.round(19.0 + 2.5 * part_of_day + 0.15 * noise[0], 1)),
        "pressure": hectopascal(np.round(1009.0 - 1.5 * part_of_day + 0.1 * noise[1], 1)),
        "relative_humidity": percent(np.round(52 - 6 * part_of_day + noise[2])),
    }
    speed = kmh(np.round(to_kmh(SPEED[setting]) * (1 + SPEED_WOBBLE * noise[3]), 2))
    rider = np.array([*TRUE_DRAG_AREA.values()])[set_up, angle]
    area = rider + (sitting[set_up, repeat] + REPEAT_SPREAD * noise[4]) + TRUE_STAND[angle]
    number = np.arange(len(plan)) + 1
    runs = pd.DataFrame({
        "run": number, "set_up": [names[place] for place in set_up], "repeat": repeat + 1,
        "speed": speed, "speed_kmh": speed, "yaw": YAW[angle], **weather,
        "drag": reading(area, density(**weather), speed, noise[5]), "drag_unit": "N", "remarks": "",
        "tare": tare[setting, angle], "photo": [f"BL7-{each:03d}" for each in number],
    })  # fmt: skip
    in_grams = _cell(runs, "hoods", SPEED[1], YAW[3])[-1]
    runs.loc[in_grams, ["drag_unit", "remarks"]] = "g", "display left in grams"
    return runs


def written_down(runs):
    """What is written down of runs, one after the other: field of the sheet to text.

    Parameters
    ----------
    runs : pandas.DataFrame
        As of `make_runs`.

    Returns
    -------
    list of dict

    Source: COMMON_PRACTICE
    """
    same = {"tare_unit": "N", "axis": "body", "wheels": "yes", "rider": "pedalling"}
    in_grams = [f"{drag:.0f}" for drag in to_grams_force(runs.drag)]
    drag = np.where(runs.drag_unit == "g", in_grams, runs.drag.astype(object))
    return lines_of(WRITTEN, runs.assign(order=runs.run, drag=drag, **same))


def sheet(seed=SEED):
    """The sound sheet as CSV text; with the usual seed it is `data/BL-7.csv`.

    Parameters
    ----------
    seed : int

    Returns
    -------
    str

    Source: COMMON_PRACTICE
    """
    return _sheet(written_down(make_runs(seed)))


def _sheet(lines, copy=""):
    """The sheet's text from its lines of cells."""
    return csv_of(WRITTEN, lines, [note.format(copy=copy) for note in NOTES])


def sheet_with_faults(seed=SEED):
    """The same day with five slips in it, and where they are.

    Grams-force labelled N; a speed left over from the run before; a tare not written down; three
    repeats that climb by five standard deviations from each to the next; a yaw without its sign.

    Parameters
    ----------
    seed : int

    Returns
    -------
    (str, list of dict)
        The CSV text; with the usual seed it is `data/BL-7_faulty.csv`. And of each fault its kind,
        and the rows and the column where a reader finds it.

    Source: COMMON_PRACTICE
    """
    runs = make_runs(seed)
    drifting = _cell(runs, "clip-ons", SPEED[1], YAW[1])
    cell = runs.loc[drifting]
    air = density(cell.temperature, cell.pressure, cell.relative_humidity)
    pressure = dynamic_pressure(air, cell.speed)
    net = (cell.drag - cell.tare).to_numpy()
    areas = net[0] / pressure[0] + 5 * REPEAT_SPREAD * np.arange(REPEATS)
    runs.loc[drifting, "drag"] = areas * pressure + cell.tare
    lines = written_down(runs)

    grams = _cell(runs, "hoods", SPEED[0], YAW[2])[0]
    lines[grams]["drag"] = f"{to_grams_force(runs.drag[grams]):.0f}"

    after_another = runs.speed.pct_change().abs() > 0.05
    speeds = [i for i in _cell(runs, "hoods", SPEED[2], YAW[1]) if after_another[i]][-1]
    lines[speeds]["speed"] = lines[speeds - 1]["speed"]

    no_tare = _cell(runs, "time-trial", SPEED[1], YAW[2])[1]
    lines[no_tare]["tare"] = ""

    # the lowest angle, before and after it too
    among_its_own = (runs.yaw.rolling(3, center=True).max() == YAW[0]) & (runs.repeat == 2)
    unsigned = runs.index[among_its_own & (runs.set_up == "time-trial")][0]
    lines[unsigned]["yaw"] = lines[unsigned]["yaw"].removeprefix("-")

    planted = (
        ("grams-force labelled N", [grams], tunnel_columns.DRAG_UNIT),
        ("speeds that disagree", [speeds], tunnel_columns.SPEED),
        ("no tare", [no_tare], tunnel_columns.TARE),
        ("repeats that climb", drifting, tunnel_columns.DRAG),
        ("lost sign", [unsigned], tunnel_columns.YAW),
    )
    first = len(NOTES) + 2  # row of the first run, as a spreadsheet counts
    return _sheet(lines, "; a copy with slips in it"), [
        {"kind": kind, "rows": [first + int(index) for index in rows], "column": column.heading}
        for kind, rows, column in planted
    ]


def _cell(runs, set_up, speed, yaw):
    """Indices of the repeats of a cell, in the order run."""
    near = abs(runs.speed / speed - 1) < 0.05
    return runs.index[(runs.set_up == set_up) & (runs.yaw == yaw) & near]


def true_curve(set_up):
    """The drag area that a set-up of BL-7 truly has, as the script made it.

    Parameters
    ----------
    set_up : str

    Returns
    -------
    YawCurve [m2]

    Source: COMMON_PRACTICE
    """
    return YawCurve(YAW, TRUE_DRAG_AREA[set_up])


def bl7():
    """The sound sheet BL-7, read.

    Returns
    -------
    TunnelSheet

    Source: COMMON_PRACTICE
    """
    return tunnel.read_sheet(data_file("BL-7.csv"))


def bl7_with_faults():
    """The copy of BL-7 with slips in it, read.

    Returns
    -------
    TunnelSheet

    Source: COMMON_PRACTICE
    """
    return tunnel.read_sheet(data_file("BL-7_faulty.csv"))


def manifest():
    """What the data files are, column by column, as JSON text.

    Returns
    -------
    str

    Source: COMMON_PRACTICE
    """
    _, planted = sheet_with_faults()
    return manifest_text(
        "barrow_lane",
        SEED,
        invented=NOTES[1],
        files={
            "BL-7.csv": "the day as it was run; one reading honestly in grams-force",
            "BL-7_faulty.csv": "the same day with planted faults",
        },
        columns={column.heading: column.meaning for column in WRITTEN},
        true_drag_areas={
            "yaw [deg]": np.round(to_deg(YAW)).tolist(),
            **{f"{code} [m2]": areas.tolist() for code, areas in TRUE_DRAG_AREA.items()},
        },
        planted_faults=planted,
    )


if __name__ == "__main__":
    faulty, _ = sheet_with_faults()
    write_again({"BL-7.csv": sheet(), "BL-7_faulty.csv": faulty, "manifest.json": manifest()})

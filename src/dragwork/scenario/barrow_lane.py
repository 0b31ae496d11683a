"""Sheet BL-7: an invented day in the invented Barrow Lane tunnel, made by a seeded script.

`python -m dragwork.scenario.barrow_lane` writes the two sheets and the manifest in `data/` again,
byte for byte. The true drag areas stand here, so that a reader of the sheet can be held against
them. Tunnel, club, rider and numbers are invented; no yaw curve here is a measurement.
"""

from dataclasses import dataclass, replace

import numpy as np

from dragwork.measurement import tunnel, tunnel_columns
from dragwork.measurement.sheet_columns import csv_of
from dragwork.physics.air import density
from dragwork.physics.drag import YawCurve, drag_force
from dragwork.scenario import data_file
from dragwork.scenario.writing import manifest_text, write_again
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
COPY = "; a copy with slips in it"

MEANINGS = {column.field: column.meaning for column in tunnel_columns.COLUMNS if column.meaning}
WRITTEN = tuple(column for column in tunnel_columns.OUR_COLUMNS if column.meaning)


@dataclass(frozen=True)
class Run:
    """One run of the day, in SI."""

    number: int
    set_up: str
    repeat: int
    speed: float
    yaw: float
    temperature: float
    pressure: float
    relative_humidity: float
    drag: float
    tare: float
    unit: str = "N"  # of the balance's display, as written down


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
    list of Run

    Source: COMMON_PRACTICE
    """
    rng = np.random.default_rng(seed)
    session = _Session(rng, sitting=np.random.default_rng([seed, 1]))
    names = list(SET_UPS)
    plan = [
        (set_up, repeat, speed, angle)
        for repeat, block in enumerate((names, names[::-1], names), start=1)
        for set_up in block
        for angle in rng.permutation(YAW.size)
        for speed in rng.permutation(SPEED)
    ]
    share = np.linspace(0, 1, len(plan))
    runs = [
        session.run(number, *place, part)
        for number, (place, part) in enumerate(zip(plan, share), start=1)
    ]
    in_grams = _cell(runs, "hoods", SPEED[1], YAW[3])[-1]
    runs[in_grams] = replace(runs[in_grams], unit="g")
    return runs


class _Session:
    """The tunnel on that day: errors that stay, weather that moves, and a balance with noise."""

    def __init__(self, rng, sitting):
        shared = tunnel.SharedErrors()
        self.rng = rng
        self.sitting = {
            (set_up, repeat): PASS_SPREAD * sitting.standard_normal()
            for set_up in SET_UPS
            for repeat in range(1, REPEATS + 1)
        }
        self.balance = 1 + shared.balance_scale * rng.standard_normal()
        self.speed = 1 + shared.speed * rng.standard_normal()
        self.air_density = 1 + shared.air_density * rng.standard_normal()
        self.tare = {
            (speed, angle): self.reading(TRUE_STAND[angle], 1.2, speed)
            for speed in SPEED
            for angle in range(YAW.size)
        }

    def reading(self, drag_area, rho, speed):
        """What the balance shows [N]: the true air is not quite what the instruments say."""
        force = drag_force(drag_area, rho * self.air_density, speed * self.speed)
        return force * self.balance + BALANCE_NOISE * self.rng.standard_normal()

    def run(self, number, set_up, repeat, speed, angle, share_of_day):
        """One run; the numbers written down are rounded as the sheet rounds them."""
        noise = self.rng.standard_normal(5)
        temperature = celsius(np.round(19.0 + 2.5 * share_of_day + 0.15 * noise[0], 1))
        pressure = hectopascal(np.round(1009.0 - 1.5 * share_of_day + 0.1 * noise[1], 1))
        humidity = percent(np.round(52 - 6 * share_of_day + noise[2]))
        speed_run = kmh(np.round(to_kmh(speed) * (1 + SPEED_WOBBLE * noise[3]), 2))
        rider = self.sitting[set_up, repeat] + REPEAT_SPREAD * noise[4]
        area = TRUE_DRAG_AREA[set_up][angle] + rider + TRUE_STAND[angle]
        rho = density(temperature, pressure, humidity)
        return Run(
            number, set_up, repeat, speed_run, YAW[angle], temperature, pressure, humidity,
            self.reading(area, rho, speed_run), self.tare[speed, angle],
        )  # fmt: skip


def cells_of(run, **over):
    """What is written down for a run: field of the sheet to text.

    Parameters
    ----------
    run : Run
    **over
        What is written otherwise than it was, by field.

    Returns
    -------
    dict of str to str

    Source: COMMON_PRACTICE
    """
    known = {
        **vars(run), "run": run.number, "order": run.number, "speed_kmh": run.speed, "drag_unit": run.unit,
        "tare_unit": "N", "axis": "body", "wheels": "yes", "rider": "pedalling",
        "photo": f"BL7-{run.number:03d}", "remarks": "", **over,
    }  # fmt: skip
    if run.unit == "g":
        known["drag"] = f"{to_grams_force(run.drag):.0f}"
    return {column.field: column.written(known[column.field]) for column in WRITTEN}


def _written(run):
    return cells_of(run, remarks="display left in grams" if run.unit == "g" else "")


def _sheet(lines, copy=""):
    """The sheet's text from its lines of cells."""
    return csv_of(WRITTEN, lines, [note.format(copy=copy) for note in NOTES])


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
    return _sheet(map(_written, make_runs(seed)))


@dataclass(frozen=True)
class Planted:
    """A fault put into the copy: its kind, and the rows and the column where a reader finds it."""

    kind: str
    rows: tuple
    column: str


def sheet_with_faults(seed=SEED):
    """The same day with five slips in it, and where they are.

    Grams-force labelled N; a speed left over from the run before; a tare not written down; three
    repeats that climb by five standard deviations from each to the next; a yaw without its sign.

    Parameters
    ----------
    seed : int

    Returns
    -------
    (str, tuple of Planted)
        The CSV text; with the usual seed it is `data/BL-7_faulty.csv`.

    Source: COMMON_PRACTICE
    """
    runs = make_runs(seed)
    drifting = _cell(runs, "clip-ons", SPEED[1], YAW[1])
    runs = _climbing(runs, drifting)
    lines = [_written(run) for run in runs]

    grams = _cell(runs, "hoods", SPEED[0], YAW[2])[0]
    lines[grams]["drag"] = f"{to_grams_force(runs[grams].drag):.0f}"

    speeds = _after_another_speed(runs, _cell(runs, "hoods", SPEED[2], YAW[1]))
    lines[speeds]["speed"] = lines[speeds - 1]["speed"]

    no_tare = _cell(runs, "time-trial", SPEED[1], YAW[2])[1]
    lines[no_tare]["tare"] = ""

    unsigned = _among_its_own(runs, "time-trial", YAW[0])
    lines[unsigned]["yaw"] = lines[unsigned]["yaw"].removeprefix("-")

    planted = (
        Planted("grams-force labelled N", (grams,), tunnel_columns.DRAG_UNIT.heading),
        Planted("speeds that disagree", (speeds,), tunnel_columns.SPEED.heading),
        Planted("no tare", (no_tare,), tunnel_columns.TARE.heading),
        Planted("repeats that climb", drifting, tunnel_columns.DRAG.heading),
        Planted("lost sign", (unsigned,), tunnel_columns.YAW.heading),
    )
    first = len(NOTES) + 2  # row of the first run, as a spreadsheet counts
    planted = tuple(replace(p, rows=tuple(first + index for index in p.rows)) for p in planted)
    return _sheet(lines, COPY), planted


def _cell(runs, set_up, speed, yaw):
    """Indices of the repeats of a cell, in the order run."""
    return tuple(
        index
        for index, run in enumerate(runs)
        if run.set_up == set_up and run.yaw == yaw and abs(run.speed / speed - 1) < 0.05
    )


def _climbing(runs, cell):
    """The runs with a cell in which each repeat lies five standard deviations above the last."""
    runs = list(runs)
    rho = [density(r.temperature, r.pressure, r.relative_humidity) for r in runs]
    first = cell[0]
    lowest = (runs[first].drag - runs[first].tare) / drag_force(1, rho[first], runs[first].speed)
    for step, index in enumerate(cell):
        area = lowest + 5 * REPEAT_SPREAD * step
        drag = drag_force(area, rho[index], runs[index].speed) + runs[index].tare
        runs[index] = replace(runs[index], drag=drag)
    return runs


def _after_another_speed(runs, cell):
    """The last run of a cell whose predecessor was run at another speed."""
    return [i for i in cell if abs(runs[i].speed / runs[i - 1].speed - 1) > 0.05][-1]


def _among_its_own(runs, set_up, yaw):
    """A run of the second pass with a neighbour on both sides at the same angle."""
    block = [i for i, run in enumerate(runs) if run.set_up == set_up and run.repeat == 2]
    return next(i for i in block if runs[i - 1].yaw == runs[i].yaw == runs[i + 1].yaw == yaw)


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
        planted_faults=[{"kind": p.kind, "rows": list(p.rows), "column": p.column} for p in planted],
    )


def write():
    """Write both sheets and the manifest again."""
    faulty, _ = sheet_with_faults()
    write_again({"BL-7.csv": sheet(), "BL-7_faulty.csv": faulty, "manifest.json": manifest()})


if __name__ == "__main__":
    write()

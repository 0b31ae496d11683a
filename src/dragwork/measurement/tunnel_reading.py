"""From a tunnel sheet's text to rows in SI: units, settings, sittings, tares, density, drag areas.

Each is worked out where the cells are clear; a cell that is not, or that another cell contradicts, is
a fault. What the reader assumes because the sheet does not say it is a remark among the notes.
"""

from itertools import chain

import numpy as np
import pandas as pd

from dragwork.measurement import tunnel_columns as c
from dragwork.measurement.checks import densities, one_spelling, without
from dragwork.measurement.passes import CELL, sittings
from dragwork.measurement.sentences import say
from dragwork.measurement.sheet_columns import plain, split_heading
from dragwork.measurement.sheet_reading import Fault
from dragwork.measurement.tunnel_checks import speeds_disagree
from dragwork.physics.drag import body_from_wind_axes, dynamic_pressure
from dragwork.quantities import QUANTITIES
from dragwork.units import deg, to_deg, to_kmh

# Runs whose speeds, sorted, are nearer than this to each other belong to one setting of the fan: it
# wobbles by a few tenths of a percent, and settings worth running are 5 % apart (COMMON_PRACTICE).
SAME_SPEED = 0.02
# Yaw is set by a turntable; readings within a quarter of a degree belong to one setting
# (COMMON_PRACTICE).
YAW_STEP = deg(0.5)

NO_SPEED = 0.0  # m/s: the setting of all runs where a sheet of drag areas names no speed

_OF_THE_STAND = {"set_up", "speed", "speed_kmh", "yaw", "drag", "drag_unit", "axis"}


def rows_of(text, how):
    """Runs, usable readings of the empty stand, and the faults of cells. All in SI.

    Parameters
    ----------
    text : SheetText
    how : Taken

    Returns
    -------
    (pandas.DataFrame, pandas.DataFrame, list of Fault)

    Source: COMMON_PRACTICE
    """
    rows, faults = _cells(text, how)
    if text.beside and not how.by_areas:
        table, found = _stand_table(text.beside)
        rows, faults = pd.concat([rows, table], ignore_index=True), faults + found
    rows = _with_settings(rows, how)
    if not how.by_areas:
        rows = _in_newtons(rows, text)
    if how.net:
        rows = rows.assign(tare=0.0, tare_step=0.0, side_tare=rows.side_tare.fillna(0.0))
    rows = _in_order(rows, text)
    stand = without(rows[rows.stand & rows.drag.notna()], faults)
    stand = stand[stand.used].reset_index(drop=True)
    runs = rows[~rows.stand].drop(columns=["stand", "column"]).reset_index(drop=True)
    if how.by_areas or how.net:
        runs = runs.assign(tare_rows=[()] * len(runs), tare_column="")
    else:
        runs, found = _with_tares(runs, stand, text)
        faults = faults + found
    runs["side_force"] -= runs.side_tare
    return _with_runs_behind(_with_areas(runs, text, how)), stand, faults


def _with_settings(rows, how):
    """The speed by whichever column has it, and the settings of fan and turntable that runs share."""
    speed = rows.speed.fillna(rows.speed_kmh)
    rising = speed.dropna().sort_values()
    setting = (rising.diff() > SAME_SPEED * rising).cumsum()
    unnamed = rising.empty and how.by_areas
    return rows.assign(
        speed=speed,
        speed_setting=NO_SPEED if unnamed else rising.groupby(setting).transform("median"),
        yaw_setting=np.round(rows.yaw / YAW_STEP) * YAW_STEP + 0.0,  # + 0.0: no minus zero
    )


def _in_order(rows, text):
    """The repeat, the place in the order run and the sitting of each run."""
    if not text.has(c.REPEAT):  # a day's plan goes over all cells, then again
        rows = rows.assign(repeat=rows.sort_values("order").groupby(CELL).cumcount() + 1.0)
    if not text.has(c.ORDER) and not rows.duplicated(CELL).any():  # set-up after set-up, at the worst
        places = pd.Series(pd.factorize(rows.set_up)[0], rows.index)
        rows = rows.assign(order=places.rank(method="first"))
    return rows.assign(sitting=sittings(rows))


def _with_areas(rows, text, how):
    """Density, dynamic pressure and drag area of each run, nan where one of its cells is not clear; or
    the drag area that its line gives."""
    if how.by_areas:
        nothing = dict.fromkeys(("air_density", "dynamic_pressure", "drag_step", "tare_step"), np.nan)
        return rows.assign(**nothing, area_step=text.last_digit(c.DRAG_AREA))
    force = rows.drag - rows.tare
    # A force beyond those of the library is no rider's along any axis, and is refused later.
    turned = (rows.axis == "wind") & (rows.yaw != 0) & QUANTITIES["force"].allows(force)
    turned &= rows.side_force.notna() & rows.yaw.notna()
    force[turned], _ = body_from_wind_axes(force[turned], rows.side_force[turned], rows.yaw[turned])
    rho = densities(rows).where(rows.speed.notna())
    clear = rho.notna()
    q = pd.Series(dynamic_pressure(rho[clear], rows.speed[clear]), rows.index[clear], dtype=float)
    q = q.reindex(rows.index)
    step = rows.drag_step / q
    return rows.assign(air_density=rho, dynamic_pressure=q, drag_area=force / q, area_step=step)


def _with_runs_behind(rows):
    """How many runs are behind each line: more than one where a line that is alone in its cell has a
    standard deviation; two at the least, then."""
    is_mean = rows.spread.notna() & ~(rows.runs <= 1) & (not rows.duplicated(CELL).any())
    behind = rows.runs.fillna(LEAST_BEHIND_A_MEAN).where(is_mean, 1.0)
    return rows.assign(spread=rows.spread.where(is_mean), runs_behind=behind)


LEAST_BEHIND_A_MEAN = 2.0  # runs; one has no standard deviation


def _in_newtons(rows, text):
    """Forces in N, with the steps in which the balance shows them."""
    forces = {}
    for column, unit in ((c.DRAG, rows.drag_unit), (c.TARE, rows.tare_unit)):
        name, newtons = column.field, unit.map(c.NEWTONS).astype(float)
        finest = text.last_digit(column) if text.has(column) else 0.0
        read = rows[name] if column is c.DRAG else rows[name].drop_duplicates()  # a tare is copied
        steps = read.groupby(unit).agg(_step, finest)
        forces |= {name: rows[name] * newtons, f"{name}_step": unit.map(steps) * newtons}
    return rows.assign(**forces)


def _cells(text, how):
    """The table of rows as the file has it, in SI but for the forces, and the faults of cells."""
    rows, of_cells = text.table(c.COLUMNS)
    rows = rows.assign(**how.stated)
    rows["stand"] = [plain(name) in c.EMPTY_STAND for name in rows.set_up]
    rows["set_up"] = rows.set_up.map(one_spelling(rows.set_up))
    nobody = set(rows.row[rows.stand])
    faults = list(text.faults)
    for name, found in of_cells.items():
        faults += [f for f in found if f.row not in nobody or name in _OF_THE_STAND]
    if not how.by_areas:
        faults += _unit_of(rows, text, c.DRAG, c.DRAG_UNIT)
    if not (how.by_areas or how.net):
        faults += _unit_of(rows, text, c.TARE, c.TARE_UNIT)
    disagree = speeds_disagree(rows, text)
    rows.loc[rows.row.isin([fault.row for fault in disagree]), ["speed", "speed_kmh"]] = np.nan
    if not text.has(c.ORDER) or _order_twice(text):
        rows["order"] = np.arange(1.0, len(rows) + 1)
    rows["column"] = text.heading(c.DRAG)  # where a reading of the empty stand is
    return rows, faults + disagree


def _order_twice(text):
    """Whether two runs have one number in the order: counted anew for each set-up, perhaps."""
    runs = zip(text.cells.get("order", ()), text.cells["set_up"])
    numbers = [number for number, name in runs if number and plain(name or "") not in c.EMPTY_STAND]
    return len(set(numbers)) < len(numbers)


def _unit_of(rows, text, reading, unit):
    """The unit of a reading from its heading, from its column, or both; rows where they clash."""
    heading = text.heading(reading)
    named = reading.unit_in(heading)
    if not text.has(unit):
        rows[unit.field] = named or ""
        return []
    there = rows[reading.field].notna() & ~(rows.stand & (reading.field == "tare"))
    empty = there & np.array([cell == "" for cell in text.cells[unit.field]])
    if named:
        name, clash = "unit of the reading", there & ~rows[unit.field].isin(["", named])
        rows.loc[empty, unit.field] = named
    else:  # a unit that must be there has been named already
        name, clash = "unit empty", empty & unit.blank
    gaps = {"heading": heading, "units": " or ".join(c.NEWTONS)}
    return [
        Fault.of(row, text.heading(unit), name, word=word, **gaps)
        for row, word in zip(rows.row[clash], rows[unit.field][clash])
    ]


def _stand_table(text):
    """The rows of a small table of tares, as rows of the empty stand."""
    rows, of_cells = text.table(c.STAND_COLUMNS)
    faults = [*text.faults, *chain.from_iterable(of_cells.values())]
    if not text.has(c.TARE_UNIT):
        rows["tare_unit"] = c.STAND_DRAG.unit_in(text.heading(c.STAND_DRAG)) or ""
    bare = rows.row[rows.tare.notna() & (rows.tare_unit == "")]
    faults += [Fault.of(row, text.heading(c.STAND_DRAG), "tare without a unit") for row in bare]
    return rows.assign(
        drag=rows.tare, drag_unit=rows.tare_unit, tare=np.nan, tare_unit="", axis="", stand=True,
        side_force=rows.side_tare, side_tare=0.0, column=text.heading(c.STAND_DRAG),
    ), faults  # fmt: skip


def _step(readings, finest):
    """The step in which a balance shows its readings: the last digit printed, or a coarser one.

    The largest of 1, 2, 5, 10 ... tenths, hundredths ... that fits them all, if chance alone does
    that once in 4,000 sheets at most.
    """
    known = readings.dropna().to_numpy()
    for step in np.outer(10.0 ** np.arange(1, -5, -1), [5, 2, 1]).ravel() if finest else ():
        likely = (known.size - 1) * np.log(step / finest) > np.log(4000)
        if step > 1.5 * finest and likely and np.all(np.abs(known / step - np.round(known / step)) < 1e-6):
            return step
    return finest


def _with_tares(rows, stand, text):
    """Runs with where each tare is, and faults; an empty one is that of the empty stand at its speed
    and yaw."""
    cells = text.cells.get("tare", [""] * len(text.rows))
    empty = {row for row, cell in zip(text.rows, cells) if cell == ""}
    readings = dict(list(stand.groupby(["speed_setting", "yaw_setting"])))
    rows = rows.assign(tare_rows=[(row,) for row in rows.row], tare_column=text.heading(c.TARE))
    faults = []
    for index, run in rows[rows.row.isin(empty)].iterrows():
        there = readings.get((run.speed_setting, run.yaw_setting), stand[:0])
        there = there[there.axis.isin([run.axis, ""])]
        if there.empty:
            place = ""
            if c.has_stand(text) and not np.isnan([run.speed_setting, run.yaw_setting]).any():
                speed, yaw = to_kmh(run.speed_setting), to_deg(run.yaw_setting)
                place = f", and no reading of the empty stand fits {speed:.1f} km/h and {yaw:.3g} deg"
            faults.append(Fault.of(run.row, text.heading(c.TARE), "no tare", place=place))
            continue
        found = {
            "tare": there.drag.mean(), "tare_unit": there.drag_unit.iloc[0], "tare_step": there.drag_step.max(),
            "side_tare": there.side_force.mean(), "tare_rows": tuple(int(row) for row in there.row),
            "tare_column": there.column.iloc[0],
        }  # fmt: skip
        for name, value in found.items():
            rows.at[index, name] = value
    return rows, faults


# -- what was assumed ---------------------------------------------------------------------------------


def remarks_on(text, rows, how):
    """What was assumed of the sheet as a whole, in sentences."""
    yield from (*how.remarks, *text.assumed)
    if guesses := text.guesses(c.COLUMNS, "'{}' in {}"):
        yield say("tunnel", "units guessed", guesses=", ".join(guesses))
    if (rows.runs_behind > 1).any() and not text.has(c.RUNS):
        yield say("tunnel", "two behind a mean")
    repeated = rows.duplicated(CELL).any()
    if not text.has(c.REPEAT) and repeated:
        yield say("tunnel", "no repeat")
    if not text.has(c.ORDER):
        yield say("tunnel", "no order" if repeated else "neither order nor repeat")
    if _order_twice(text):
        yield say("tunnel", "order twice")
    named = plain(split_heading(text.heading(c.PRESSURE))[0])
    if "pressure" in text.cells and named != c.PRESSURE.name:
        yield say("tunnel", "pressure there", heading=text.heading(c.PRESSURE))
    if text.unread:
        yield say("tunnel", "not read", unread=", ".join(text.unread))
    borrowed = rows[[there not in ((row,), ()) for there, row in zip(rows.tare_rows, rows.row)]]
    if len(borrowed):
        where = ", ".join(map(str, sorted({r for there in borrowed.tare_rows for r in there})))
        yield say("tunnel", "tares of the stand", number=len(borrowed), where=where)

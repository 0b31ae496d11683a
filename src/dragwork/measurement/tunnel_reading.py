"""From a tunnel sheet's cells to runs in SI: units, settings, tares, density, drag areas, faults.

What the reader takes for granted because the sheet does not say it stands as a remark among the
notes; what it cannot trust stands as a fault, and the rows named there are not used.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from dragwork.measurement import tunnel_checks as checks
from dragwork.measurement import tunnel_columns as c
from dragwork.measurement.sheet_reading import Fault, SheetError, plain, read_text, split_heading
from dragwork.measurement.tunnel_checks import CELL
from dragwork.physics.air import density
from dragwork.physics.drag import body_from_wind_axes, dynamic_pressure
from dragwork.quantities import QUANTITIES
from dragwork.units import deg, to_deg, to_kmh

# Runs whose speeds, sorted, lie nearer than this to each other belong to one setting of the fan: it
# wobbles by a few tenths of a percent, and settings worth running lie 5 % apart (COMMON_PRACTICE).
SAME_SPEED = 0.02
# Yaw is set by a turntable; readings within a quarter of a degree belong to one setting
# (COMMON_PRACTICE).
YAW_STEP = deg(0.5)

REMARK = "Remark of the reader: "
NO_REPEAT = (
    f"{REMARK}the sheet has no column 'repeat'. The first run of a set-up, speed and yaw was taken "
    "as part of its first pass, the second of its second, and so on, in the order run."
)
NO_ORDER = f"{REMARK}the sheet has no column 'order'. The runs were taken in the order of its lines."
STATION = (
    f"{REMARK}'{{}}' was taken as the pressure at the tunnel, not reduced to sea level as forecasts are."
)

_FORCES = {"drag": c.DRAG, "drag_unit": c.DRAG_UNIT, "tare_unit": c.TARE_UNIT}
_OF_THE_STAND = {"set_up", "speed", "speed_kmh", "yaw", "drag", "drag_unit", "axis"}


@dataclass(frozen=True, eq=False)
class Reading:
    """What a file holds: runs, faults, notes with remarks, empty-stand readings, and headings."""

    rows: pd.DataFrame
    faults: tuple
    notes: tuple
    stand: pd.DataFrame
    headings: dict


def read_runs(path):
    """Read a sheet's runs; see `tunnel.read_sheet`.

    Parameters
    ----------
    path : str, path or open file

    Returns
    -------
    Reading

    Raises
    ------
    SheetError
        Where the file cannot be understood as a whole, in words.

    Source: COMMON_PRACTICE
    """
    text = read_text(path, c.COLUMNS, c.STAND_COLUMNS)
    _refuse_unclear(text)
    rows, faults = _cells(text)
    disagree = checks.speeds_disagree(rows, text, c.SPEED, c.SPEED_KMH)
    faults += _set_aside(rows, disagree)
    if text.beside:
        table, found = _stand_table(text.beside)
        rows, faults = pd.concat([rows, table], ignore_index=True), faults + found
    _find_settings(rows, disagree)
    _into_newtons(rows)
    stand = rows[rows.stand].reset_index(drop=True)
    rows = rows[~rows.stand].drop(columns=["stand", "column"]).reset_index(drop=True)
    notes = [*text.notes, *_remarks(text)]
    if not text.has(c.REPEAT):
        _number_the_passes(rows)
    faults += _set_aside(rows, _find_tares(rows, stand, text))
    notes += _tares_from_the_stand(rows)
    rows["side_force"] -= rows.side_tare
    faults += _set_aside(rows, checks.wind_axes_without_side_force(rows, text, c.AXIS))
    faults += _set_aside(rows, checks.weather_unlike_its_neighbours(rows, text, _WEATHER))
    faults += _set_aside(rows, checks.lost_signs_and_doubled_repeats(rows, text, c.YAW, c.REPEAT))
    faults += _set_aside(rows, checks.angles_that_stand_alone(rows, text, c.YAW))
    faults += _set_aside(rows, checks.speeds_that_stand_alone(rows, text, c.SPEED, c.SPEED_KMH))
    _find_drag_areas(rows)
    faults += _set_aside(rows, checks.tares_unlike_the_others(rows, text, c.TARE))
    faults += _set_aside(rows, checks.implausible_drag_areas(rows, text, _FORCES, c.NEWTONS))
    faults += _set_aside(rows, checks.steady_drifts(rows, text, c.DRAG))
    faults += _set_aside(rows, checks.repeats_that_stand_apart(rows, text, c.DRAG))
    faults.sort(key=lambda fault: fault.row)
    headings = {column.field: text.heading(column) for column in c.COLUMNS if text.has(column)}
    return Reading(rows, tuple(faults), tuple(notes), _usable(stand), headings)


_WEATHER = {"temperature": c.TEMPERATURE, "pressure": c.PRESSURE, "relative_humidity": c.HUMIDITY}


def _refuse_unclear(text):
    """Refuse a sheet whose header leaves out what no row can say."""
    if not (text.has(c.SPEED) or text.has(c.SPEED_KMH)):
        raise SheetError(
            f"The header lacks a speed: add the column {c.SPEED.heading} or {c.SPEED_KMH.heading}."
        )
    stands = any(plain(name or "") in c.EMPTY_STAND for name in text.cells["set_up"])
    if not (text.has(c.TARE) or text.beside or stands):
        found = f" Not understood: {', '.join(text.unread)}." if text.unread else ""
        raise SheetError(
            f"The header lacks the column tare.{found} Add it, with its unit in square brackets, or "
            "add the readings of the empty stand as rows with the set-up 'empty stand'."
        )
    for reading, unit in ((c.DRAG, c.DRAG_UNIT), (c.TARE, c.TARE_UNIT)):
        if text.has(reading) and not (text.has(unit) or reading.unit_in(text.heading(reading))):
            raise SheetError(
                f"Nothing says the unit of '{text.heading(reading)}'. Write it into the heading, "
                f"{reading.name} [N], or add the column {unit.name}."
            )


def _cells(text):
    """The table of rows as the file has it, in SI but for the forces, and the faults of cells."""
    read = {column.field: text.read(column) for column in c.COLUMNS}
    rows = pd.DataFrame({"row": text.rows} | {name: values for name, (values, _) in read.items()})
    rows["stand"] = [plain(name) in c.EMPTY_STAND for name in rows.set_up]
    nobody = set(rows.row[rows.stand])
    faults = list(text.faults)
    for name, (_, found) in read.items():
        faults += [f for f in found if f.row not in nobody or name in _OF_THE_STAND]
    for reading, unit in ((c.DRAG, c.DRAG_UNIT), (c.TARE, c.TARE_UNIT)):
        faults += _unit_of(rows, text, reading, unit)
    if not text.has(c.ORDER):
        rows["order"] = np.arange(1.0, len(rows) + 1)
    rows["column"] = text.heading(c.DRAG)  # where a reading of the empty stand stands
    rows["used"] = True
    return rows, _set_aside(rows, faults)


def _unit_of(rows, text, reading, unit):
    """The unit of a reading from its heading, from its column, or both; rows where they clash."""
    heading = text.heading(reading)
    named = reading.unit_in(heading)
    there = rows[reading.field].notna() & ~(rows.stand & (reading.field == "tare"))
    if not text.has(unit):
        rows[unit.field] = named or ""
        return []
    cells = text.cells[unit.field]
    empty = there & np.array([cell == "" for cell in cells])
    if named:
        clash = there & (rows[unit.field] != "") & (rows[unit.field] != named)
        what = f"{{}} does not agree with the heading, {heading}."
        rows.loc[empty, unit.field] = named
        return [
            Fault(int(row), text.heading(unit), what.format(word), "Write the unit that was read.")
            for row, word in zip(rows.row[clash], rows[unit.field][clash])
        ]
    blank = empty if unit.blank else np.zeros(len(rows), bool)  # else named already
    return [
        Fault(int(row), text.heading(unit), "is empty.", f"Write {' or '.join(c.NEWTONS)}.")
        for row in rows.row[blank]
    ]


def _stand_table(text):
    """The rows of a small table of tares, as rows of the empty stand."""
    read = {column.field: text.read(column) for column in c.STAND_COLUMNS}
    faults = [*text.faults, *(fault for _, found in read.values() for fault in found)]
    rows = pd.DataFrame({"row": text.rows} | {name: values for name, (values, _) in read.items()})
    if not text.has(c.TARE_UNIT):
        rows["tare_unit"] = c.STAND_DRAG.unit_in(text.heading(c.STAND_DRAG)) or ""
    faults += [
        Fault(int(row), text.heading(c.STAND_DRAG), "has no unit.", "Write tare [N] in the heading.")
        for row in rows.row[rows.tare.notna() & (rows.tare_unit == "")]
    ]
    rows = rows.assign(
        drag=rows.tare, drag_unit=rows.tare_unit, tare=np.nan, tare_unit="", axis="", stand=True,
        side_force=rows.side_tare, side_tare=0.0, used=True,
    )  # fmt: skip
    return rows.assign(column=text.heading(c.STAND_DRAG)), _set_aside(rows, faults)


def _set_aside(rows, faults):
    """Take the rows that faults name out of use; returns the faults."""
    if faults:
        rows.loc[rows.row.isin([row for fault in faults for row in fault.rows]), "used"] = False
    return faults


def _find_settings(rows, disagree):
    """The one speed of each run, and the settings of fan and turntable that runs belong to."""
    unclear = rows.row.isin([fault.row for fault in disagree])
    rows["speed"] = rows.speed.fillna(rows.speed_kmh).mask(unclear)
    rising = rows.speed.dropna().sort_values()
    setting = (rising.diff() > SAME_SPEED * rising).cumsum()
    rows["speed_setting"] = rising.groupby(setting).transform("median")
    rows["yaw_setting"] = np.round(rows.yaw / YAW_STEP) * YAW_STEP + 0.0  # + 0.0: no minus zero


def _into_newtons(rows):
    """Drag and tare in N."""
    rows["drag"] *= rows.drag_unit.map(c.NEWTONS)
    rows["tare"] *= rows.tare_unit.map(c.NEWTONS)


def _remarks(text):
    """What was taken for granted of the sheet as a whole."""
    if not text.has(c.REPEAT):
        yield NO_REPEAT
    if not text.has(c.ORDER):
        yield NO_ORDER
    if plain(split_heading(text.heading(c.PRESSURE))[0]) != c.PRESSURE.name:
        yield STATION.format(text.heading(c.PRESSURE))
    if text.unread:
        yield f"{REMARK}columns that were not read: {', '.join(text.unread)}."


def _number_the_passes(rows):
    """Number the runs of each cell in the order run: a day's plan goes over all cells, then again."""
    rows["repeat"] = rows.sort_values("order").groupby(CELL).cumcount() + 1.0


def _find_tares(rows, stand, text):
    """Name where each tare stands; an empty one is that of the empty stand at its speed and yaw."""
    rows["tare_rows"] = [(row,) for row in rows.row]
    rows["tare_column"] = text.heading(c.TARE)
    cells = text.cells.get("tare", [""] * len(text.rows))
    empty = {row for row, cell in zip(text.rows, cells) if cell == ""}
    readings = dict(list(_usable(stand).groupby(["speed_setting", "yaw_setting"])))
    faults = []
    for index, run in rows[rows.row.isin(empty)].iterrows():
        there = readings.get((run.speed_setting, run.yaw_setting), stand[:0])
        there = there[there.axis.isin([run.axis, ""])]
        if there.empty:
            faults.append(_no_tare(run, text, bool(len(stand))))
            continue
        rows.at[index, "tare"] = there.drag.mean()
        rows.at[index, "tare_unit"] = there.drag_unit.iloc[0]
        rows.at[index, "side_tare"] = there.side_force.mean()
        rows.at[index, "tare_rows"] = tuple(int(row) for row in there.row)
        rows.at[index, "tare_column"] = there.column.iloc[0]
    return faults


def _no_tare(run, text, stands):
    mend = "Fill it in, with its unit, or run the empty stand at this speed and yaw."
    if not stands or np.isnan(run.speed_setting) or np.isnan(run.yaw_setting):
        return Fault(int(run.row), text.heading(c.TARE), "is empty.", mend)
    place = f"{to_kmh(run.speed_setting):.1f} km/h and {to_deg(run.yaw_setting):.3g} deg"
    what = f"is empty, and no reading of the empty stand fits {place}."
    return Fault(int(run.row), text.heading(c.TARE), what, mend)


def _tares_from_the_stand(rows):
    """A remark that names the readings of the empty stand which served as tares."""
    borrowed = rows[[there != (row,) for there, row in zip(rows.tare_rows, rows.row)]]
    if borrowed.empty:
        return []
    where = ", ".join(str(row) for row in sorted({r for there in borrowed.tare_rows for r in there}))
    return [
        f"{REMARK}the tares of {len(borrowed)} runs are the readings of the empty stand at the same "
        f"speed and yaw, in rows {where}."
    ]


def _usable(stand):
    return stand[stand.used & stand.drag.notna()]


def _find_drag_areas(rows):
    """Density, dynamic pressure and drag area of the rows in use; nan in the others."""
    used = rows[rows.used]
    rho = density(used.temperature, used.pressure, used.relative_humidity)
    q = dynamic_pressure(rho, used.speed)
    force = used.drag - used.tare
    # A force beyond those of the library is no rider's along any axis, and is refused later.
    turned = (used.axis == "wind") & (used.yaw != 0) & QUANTITIES["force"].allows(force)
    force = force.mask(turned, _along_the_bicycle(force[turned], used[turned]))
    rows["air_density"] = pd.Series(rho, used.index, dtype=float)
    rows["dynamic_pressure"] = pd.Series(q, used.index, dtype=float)
    rows["drag_area"] = force / rows.dynamic_pressure


def _along_the_bicycle(drag, runs):
    axial, _ = body_from_wind_axes(drag, runs.side_force, runs.yaw)
    return pd.Series(axial, drag.index, dtype=float)

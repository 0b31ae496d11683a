"""The faults of a tunnel sheet that its own data betray.

Each check takes the table of rows (as `tunnel.read_sheet` builds it, see there), the sheet's text
for its headings, and looks at the rows that are still `used`. It returns Faults and changes
nothing.
"""

import numpy as np
from scipy import stats

from dragwork.measurement.sheet_reading import Fault
from dragwork.measurement.uncertainty import repeatability
from dragwork.quantities import Quantity
from dragwork.units import to_deg, to_kmh

# Half of the last printed digit is what rounding explains; but a sheet that prints whole metres a
# second must not hide more than this share. 1 % of speed is 2 % of a drag area, the size of
# disagreement that is looked into between repeats (COMMON_PRACTICE).
SPEED_AGREEMENT = 0.01

# From a rider tucked as small as can be to a loaded touring bicycle (COMMON_PRACTICE), and less
# than a factor of 9.8 wide: N, grams-force and kilograms-force lie factors of 9.8, 102 and 1000
# apart, so a reading under the wrong one of them always falls out of this range.
PLAUSIBLE_DRAG_AREA = Quantity("m2", 0.10, 0.90)

# How near to its like a drag area must come, as a fraction, before another unit is suggested as the
# slip behind it. Repeats lie within 2 % (COMMON_PRACTICE); the next unit is a factor of 9.8 away.
LIKE_ITS_REPEATS = 0.1
MIDDLING_DRAG_AREA = 0.3  # m2; the measure where a row has no like

# The stand is the same all day, so its tare over the dynamic pressure is one number an angle, but
# for noise (a few hundredths of a newton, 0.0005 m2 at 36 km/h) and some change with speed. A gap
# this wide is many times that, and large beside what set-ups differ by (COMMON_PRACTICE).
LARGEST_TARE_GAP = 0.01  # m2
LEAST_TARES = 3  # with two, nothing tells which is the odd one

# How often, in sound sheets, chance alone may look like a drifting cell: once in 5,000 sheets.
# The limit follows from it by Student's t, for the number of cells and repeats of the sheet. For
# 36 cells of three it lies near 5 standard deviations of a climb, 7 of a single repeat.
FALSE_ALARMS_PER_SHEET = 1 / 5000

# With six runs at some angle (two set-ups at three speeds, say) the sheet has a plan, and an angle
# run once falls out of it; so for speeds. A smaller sheet may well hold single ones on purpose.
LEAST_RUNS_OF_A_PLAN = 6

LEAST_REPEATS_FOR_DRIFT = 3  # two repeats always climb or fall
# A drift climbs a little every time; where one step makes more than this share of the whole climb,
# one repeat is off, not all of them.
LARGEST_STEP_OF_A_DRIFT = 0.8

# Weather does not jump between runs: it is held against the middle of the runs around it. Sheets
# whose weather wanders get as many times their own wandering (COMMON_PRACTICE).
WEATHER_JUMP = {"temperature": 3.0, "pressure": 500.0, "relative_humidity": 0.15}
TIMES_ITS_WANDERING = 10.0
NEIGHBOURS = 5  # runs, the middle one among them

CELL = ["set_up", "speed_setting", "yaw_setting"]  # what was run under the same conditions


def speeds_disagree(rows, text, metres, kilometres):
    """Rows whose speed in m/s and in km/h cannot be one speed, rounded twice."""
    if not (text.has(metres) and text.has(kilometres)):
        return []
    a, b = rows.speed.to_numpy(), rows.speed_kmh.to_numpy()
    rounding = text.half_digit(metres) + text.half_digit(kilometres)
    tolerance = np.minimum(rounding, SPEED_AGREEMENT * np.fmax(a, b)) + 1e-9
    wrong = np.abs(a - b) > tolerance  # False where one of them is missing
    return [
        Fault(
            int(row),
            text.heading(metres),
            f"{a:.6g} m/s is {to_kmh(a):.4g} km/h, but '{text.heading(kilometres)}' says "
            f"{to_kmh(b):.4g}.",
            f"Look up which one was set; {to_kmh(b):.4g} km/h is {b:.2f} m/s.",
        )
        for row, a, b in zip(rows.row[wrong], a[wrong], b[wrong])
    ]


def wind_axes_without_side_force(rows, text, axis):
    """Rows in wind axes that cannot be turned: drag alone does not tell the force along the bike."""
    wrong = rows.used & (rows.axis == "wind") & (rows.yaw != 0) & rows.side_force.isna()
    return [
        Fault(
            int(row),
            text.heading(axis),
            "is wind, at a yaw other than 0, without side force or side tare.",
            "Give both, or the force in body axes.",
        )
        for row in rows.row[wrong]
    ]


def implausible_drag_areas(rows, text, columns, newtons):
    """Rows whose drag area no rider has; mostly a reading under another force's unit.

    `columns` maps drag, drag_unit, tare_unit to their Column; `newtons` maps a unit of force to
    its size in N.
    """
    plausible = PLAUSIBLE_DRAG_AREA.allows(rows.drag_area.to_numpy())
    sound = rows[rows.used & plausible]
    faults = []
    for _, run in rows[rows.used & ~plausible].iterrows():
        alike = sound[(sound.set_up == run.set_up) & (sound.yaw_setting == run.yaw_setting)]
        if len(alike):
            slip = _unit_slip(run, alike.drag_area.median(), LIKE_ITS_REPEATS, newtons)
        else:
            slip = _unit_slip(run, MIDDLING_DRAG_AREA, np.inf, newtons)
        what = f"gives a drag area of {run.drag_area:.3g} m2: no rider has that."
        if slip is None:
            mend = "Look up the reading, the tare and their units."
            faults.append(Fault(int(run.row), text.heading(columns["drag"]), what, mend))
            continue
        field, unit, area = slip
        mend = f"Were the unit {unit}, it would be {area:.3f} m2. Look it up."
        what = f"'{run[field]}' " + what
        faults.append(Fault(int(run.row), text.heading(columns[field]), what, mend))
    return faults


def _unit_slip(run, reference, closest, newtons):
    """The one changed unit that makes the drag area plausible: (field, unit, drag area) or None.

    Where more than one would do, the one nearest to the reference wins, if it is near enough.
    """
    found = []
    for unit, size in newtons.items():
        drag = run.drag / newtons[run.drag_unit] * size
        tare = run.tare / newtons[run.tare_unit] * size
        changes = [("drag_unit", drag - run.tare), ("tare_unit", run.drag - tare)]
        if unit not in (run.drag_unit, run.tare_unit):
            changes.append(("drag_unit", drag - tare))  # the same slip in both
        for field, force in changes:
            area = force / run.dynamic_pressure * _turned(run)
            if run[field] != unit and PLAUSIBLE_DRAG_AREA.allows(area):
                found.append((abs(np.log(area / reference)), field, unit, area))
    miss, *slip = min(found, default=(np.inf,))
    return slip if miss < closest else None


def _turned(run):
    """Share of a wind-axis drag along the bicycle; the side force is left out of this guess."""
    return np.cos(run.yaw) if run.axis == "wind" else 1.0


def angles_that_stand_alone(rows, text, yaw):
    """Rows at an angle that nothing else in the sheet was run at, where the others were repeated.

    A plan runs each angle for more than one set-up, speed or repeat; an angle met once is a slip
    of the pen, a lost sign or a digit too many.
    """
    return _alone(rows, rows.yaw_setting, text.heading(yaw), lambda run: f"{to_deg(run.yaw):.4g} deg")


def speeds_that_stand_alone(rows, text, metres, kilometres):
    """Rows at a speed that nothing else in the sheet was run at, where the others were repeated."""
    column = text.heading(metres if text.has(metres) else kilometres)
    return _alone(
        rows, rows.speed_setting, column, lambda run: f"{run.speed:.4g} m/s ({to_kmh(run.speed):.4g} km/h)"
    )


def _alone(rows, settings, column, in_words):
    runs = settings[rows.used].value_counts()
    if runs.empty or runs.max() < LEAST_RUNS_OF_A_PLAN:
        return []
    alone = rows[rows.used & settings.isin(runs.index[runs == 1])]
    return [
        Fault(
            int(run.row),
            column,
            f"{in_words(run)} was run once in the whole sheet; others up to {runs.max()} times.",
            "Look it up in the run plan.",
        )
        for run in alone.itertuples()
    ]


def tares_unlike_the_others(rows, text, tare):
    """Rows whose tare is not that of the same stand: another unit, a slip of the pen, a zero.

    Two looks. Over all speeds of a set-up and angle, tare over dynamic pressure is one number, but
    for noise. And where one reading of the stand serves its speed and yaw, the same force stands in
    all those rows: one that differs was copied wrongly.
    """
    used = rows[rows.used]
    stand = used.tare / used.dynamic_pressure
    alike = stand.groupby([used.set_up, used.yaw_setting])
    expected = alike.transform("median") * used.dynamic_pressure
    off = (stand * used.dynamic_pressure - expected).abs() > LARGEST_TARE_GAP * used.dynamic_pressure
    wrong = off & (alike.transform("size") >= LEAST_TARES)
    served = _served_by_one_reading(used)
    bad = wrong | served.notna()
    return [
        Fault(
            int(run.row),
            text.heading(tare),
            f"is {run.tare:.3g} N{_from_elsewhere(run)}; the other runs at "
            f"{_degrees(run.yaw_setting)} say {common if not np.isnan(common) else guess:.3g} N for "
            "this speed.",
            "Look it up, with its unit.",
        )
        for (_, run), guess, common in zip(used[bad].iterrows(), expected[bad], served[bad])
    ]


def _served_by_one_reading(used):
    """For a tare that differs from the one that all others at its speed and yaw share: that one."""
    place = [used.speed_setting, used.yaw_setting, used.axis]
    written = used.tare.round(9)
    same = written.groupby([*place, written]).transform("size")
    there = written.groupby(place).transform("size")
    common = written.groupby(place).transform("median")
    all_but_one_alike = same.groupby(place).transform("max") == there - 1
    return common.where((same == 1) & (there > LEAST_TARES) & all_but_one_alike)


def _from_elsewhere(run):
    """Where the tare stands, if not in the run's own row."""
    if run.tare_rows == (run.row,):
        return ""
    return f" (from {_rows_in_words(run.tare_rows)})"


def weather_unlike_its_neighbours(rows, text, columns):
    """Rows whose temperature, pressure or humidity jumps away from the runs before and after.

    `columns` maps each of the three fields to its Column.
    """
    ordered = rows[rows.used].sort_values("order", kind="stable")
    faults = []
    for name, column in columns.items():
        values = ordered[name]
        middle = values.rolling(NEIGHBOURS, center=True, min_periods=3).median()
        gap = (values - middle).abs()
        limit = max(WEATHER_JUMP[name], TIMES_ITS_WANDERING * gap.median())
        faults += [
            Fault(
                int(ordered.row[index]),
                text.heading(column),
                f"is {text.in_words(column, values[index])}; the runs around it say "
                f"{text.in_words(column, middle[index])}.",
                "Look it up: a slip of the pen?",
            )
            for index in ordered.index[gap > limit]
        ]
    return faults


def lost_signs_and_doubled_repeats(rows, text, yaw, repeat):
    """Cells in which a repeat stands twice; where the mirrored angle lacks it, a sign was lost.

    Every row with a readable place in the plan counts, also one that another fault has taken out
    of use: an empty tare leaves its cell filled.
    """
    placed = rows[
        (rows.set_up != "")
        & rows.speed_setting.notna()
        & rows.yaw_setting.notna()
        & rows["repeat"].notna()
    ]
    key = ["set_up", "speed_setting", "yaw_setting", "repeat"]
    doubled = placed[placed.duplicated(key, keep=False)]
    faults = []
    for (set_up, speed, angle, number), pair in doubled.groupby(key, sort=False):
        place = f"{set_up}, {to_kmh(speed):.1f} km/h, repeat {number:.0f}"
        same_pass = placed[(placed.set_up == set_up) & (placed["repeat"] == number)]
        mirrored = np.isclose(same_pass.yaw_setting, -angle)
        filled = (mirrored & (same_pass.speed_setting == speed)).any()
        planned = angle != 0 and np.isclose(placed.yaw_setting, -angle).any()
        if len(pair) == 2 and planned and not filled:
            faults.append(_lost_sign(pair, same_pass, angle, place, text.heading(yaw)))
        elif pair.used.any():
            faults.append(
                _fault_over(
                    pair.row,
                    text.heading(repeat),
                    f"{place} at {_degrees(angle)} stands {len(pair)} times, in "
                    f"{_rows_in_words(pair.row)}.",
                    "Number the repeats 1, 2, 3, or delete the copy.",
                )
            )
    return faults


def _lost_sign(pair, block, angle, place, column):
    what = (
        f"{place} stands twice at {_degrees(angle)} ({_rows_in_words(pair.row)}) and is missing at "
        f"{_degrees(-angle)}"
    )
    odd = _odd_one_out(pair, block, angle)
    if odd is None:
        return _fault_over(
            pair.row,
            column,
            f"{what}: one has lost its sign, and nothing tells which.",
            "Look at photos or run plan; neither is used until then.",
        )
    return Fault(
        int(odd.row),
        column,
        f"{what}. This row was run among those at {_degrees(-angle)}.",
        f"If photo or run plan agree, write {_degrees(-angle).removesuffix(' deg')}.",
    )


def _odd_one_out(pair, block, angle):
    """The row of the pair that was run among the runs at the mirrored angle, if that is clear.

    Clear only where the pass was run angle by angle, so that most runs share the angle of the
    run before; then a row's neighbours tell where it belongs.
    """
    ordered = block.sort_values("order")
    steps = ordered.yaw_setting.to_numpy()
    if steps.size < 3 or np.mean(steps[1:] == steps[:-1]) <= 0.5:
        return None
    rest = block[~block.row.isin(pair.row)]

    def belongs_elsewhere(order):
        near = rest[(rest.order - order).abs() == 1].yaw_setting
        return np.sum(np.isclose(near, -angle)) - np.sum(np.isclose(near, angle))

    first, second = (belongs_elsewhere(order) for order in pair.order)
    if first == second:
        return None
    return pair.iloc[0 if first > second else 1]


def steady_drifts(rows, text, drag):
    """Cells whose repeats climb, or fall, steadily in the order run, further than chance explains.

    The climb, last less first, has the standard deviation sqrt(2) times that of a repeat; the
    spread of a repeat is taken from all OTHER cells. Student's t sets the limit.
    """
    in_order = rows[rows.used].sort_values("order", kind="stable")
    cells, areas = _repeated(in_order)
    tested = [len(cell) >= LEAST_REPEATS_FOR_DRIFT for cell in cells]
    faults = []
    for index in np.flatnonzero(tested):
        steps = np.diff(areas[index])
        others = areas[:index] + areas[index + 1 :]
        if not others or not (np.all(steps > 0) or np.all(steps < 0)):
            continue
        if np.abs(steps).max() > LARGEST_STEP_OF_A_DRIFT * abs(steps.sum()):
            continue
        spread = repeatability(others)
        if abs(steps.sum()) > drift_limit(sum(tested), spread.degrees_of_freedom) * spread.s_r:
            cell = in_order.iloc[cells[index]]
            faults.append(_drift(cell, steps.sum(), spread.s_r, text.heading(drag)))
    return faults


def _repeated(runs):
    """The cells with more than one run: their places in the table, and their drag areas."""
    found = runs.groupby(CELL, sort=False).indices.values()
    cells = [places for places in found if len(places) > 1]
    return cells, [runs.drag_area.to_numpy()[places] for places in cells]


def drift_limit(cells, degrees_of_freedom):
    """Largest climb or fall left to chance [standard deviations of a repeat].

    Two-sided, for the number of cells tested in one sheet. That the repeats between must lie in
    order as well is not counted on.
    """
    tail = FALSE_ALARMS_PER_SHEET / cells / 2
    return float(np.sqrt(2) * stats.t.isf(tail, degrees_of_freedom))


def _drift(cell, climb, spread, column):
    run = cell.iloc[-1]
    way = "climb" if climb > 0 else "fall"
    values = ", ".join(f"{area:.4f}" for area in cell.drag_area)
    size = f"{abs(climb) / spread:.0f} times" if spread > 0 else "far beyond"
    return _fault_over(
        cell.row.iloc[::-1],
        column,
        f"the repeats of {_cell_in_words(run)} {way} in the order run, {values} m2 in "
        f"{_rows_in_words(cell.row)}: {size} the spread of a repeat.",
        "See what changed (position, clothing, balance zero) and run the cell again.",
    )


def repeats_that_stand_apart(rows, text, drag):
    """Single runs that lie further from the other repeats of their cell than chance explains.

    A slip of the pen that leaves a likely number shows here, if anywhere. The spread of a repeat
    comes from all OTHER cells; Student's t sets the limit for the number of runs in the sheet.
    """
    used = rows[rows.used]
    cells, areas = _repeated(used)
    runs, within = sum(map(len, cells)), sum(np.var(area) * area.size for area in areas)
    faults = []
    for cell, area in zip(cells, areas):
        dof = runs - len(cells) - (area.size - 1)  # of all other cells
        if dof < 1:
            continue
        spread = np.sqrt(max(within - np.var(area) * area.size, 0.0) / dof)
        gaps = np.abs(area - area.mean()) * area.size / (area.size - 1)  # to the others' mean
        if max(gaps) > apart_limit(runs, area.size, dof) * spread:
            faults.append(_apart(used.iloc[cell], gaps, text.heading(drag)))
    return faults


def apart_limit(runs, repeats, degrees_of_freedom):
    """Largest gap between a run and the mean of its other repeats [standard deviations of a repeat].

    Two-sided, for the number of runs in one sheet.
    """
    tail = FALSE_ALARMS_PER_SHEET / runs / 2
    return float(np.sqrt(1 + 1 / (repeats - 1)) * stats.t.isf(tail, degrees_of_freedom))


def _apart(cell, gaps, column):
    run = cell.iloc[int(np.argmax(gaps))]
    others = cell[cell.row != run.row]
    if len(others) == 1:
        return _fault_over(
            cell.row,
            column,
            f"the repeats of {_cell_in_words(run)} give {run.drag_area:.4f} and "
            f"{others.drag_area.iloc[0]:.4f} m2 ({_rows_in_words(cell.row)}): too far apart.",
            "Look up both readings, or run the cell again.",
        )
    return Fault(
        int(run.row),
        column,
        f"gives {run.drag_area:.4f} m2, its repeats {others.drag_area.mean():.4f} m2 "
        f"({_rows_in_words(others.row)}): too far apart for chance.",
        "Look up the reading (a slip of the pen?), or run it again.",
    )


def _cell_in_words(run):
    return f"{run.set_up}, {to_kmh(run.speed_setting):.1f} km/h, {_degrees(run.yaw_setting)}"


def _fault_over(rows, column, what, mend):
    first, *others = (int(row) for row in rows)
    return Fault(first, column, what, mend, tuple(others))


def _rows_in_words(rows):
    *most, last = (str(int(row)) for row in rows)
    return f"rows {', '.join(most)} and {last}" if most else f"row {last}"


def _degrees(angle):
    return f"{to_deg(angle):+.3g} deg" if angle else "0 deg"

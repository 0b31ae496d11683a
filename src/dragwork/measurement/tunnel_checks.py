"""The checks of a tunnel sheet: what its own data betray, each with its threshold and its reason.

`FAULTS` name rows, which are then not used; `NOTES` ask about the sheet as a whole, and repair
nothing. See `checks` for how a table of checks is gone through.
"""

import numpy as np
from scipy.special import stdtrit

from dragwork.measurement import checks
from dragwork.measurement import tunnel_columns as c
from dragwork.measurement.checks import Check, rows_in_words
from dragwork.measurement.passes import CELL, PLACE
from dragwork.measurement.sentences import say
from dragwork.measurement.sheet_columns import plain
from dragwork.measurement.sheet_reading import Fault
from dragwork.quantities import Quantity
from dragwork.units import celsius, to_deg, to_kmh, to_percent

# How near to its like a drag area must come, as a fraction, before another unit is suggested as the
# slip behind it. Repeats are within 2 % (COMMON_PRACTICE); the next unit is a factor of 9.8 away.
LIKE_ITS_REPEATS = 0.1
MIDDLING_DRAG_AREA = 0.3  # m2; the measure where a row has no like
LEAST_TARES = 3  # with two, nothing tells which is the odd one
LEAST_REPEATS_FOR_DRIFT = 3  # two repeats always climb or fall
# A drift climbs a little every time; where one step makes more than this share of the whole climb,
# one repeat is off, not all of them.
LARGEST_STEP_OF_A_DRIFT = 0.8
# A set-up may scatter so many times as much as the others (COMMON_PRACTICE) before one of its runs
# is called a slip, if no other cell of its own tells.
WILDEST = 4.0
CLEARLY_WILDER = 1.5  # times the others' spread; of two dozen repeats chance makes 1.3 at most

# -- contradictions between cells ---------------------------------------------------------------------

# Half of the last printed digit is what rounding explains; but a sheet that prints whole metres a
# second must not hide more than this share. 1 % of speed is 2 % of a drag area, the size of
# disagreement that is looked into between repeats (COMMON_PRACTICE).
SPEED_AGREEMENT = 0.01


def speeds_disagree(rows, text):
    """Rows whose speed in m/s and in its second unit cannot be one speed, rounded twice."""
    both = (c.SPEED, c.SPEED_KMH)
    if not all(map(text.has, both)):
        return []
    metres, other = map(text.heading, both)
    unit = text.unit(c.SPEED_KMH)
    rounding = (text.last_digit(c.SPEED) + text.last_digit(c.SPEED_KMH)) / 2
    tolerance = np.minimum(rounding, SPEED_AGREEMENT * np.fmax(rows.speed, rows.speed_kmh)) + 1e-9
    wrong = (rows.speed - rows.speed_kmh).abs() > tolerance  # False where one of them is missing
    return [
        Fault.of(
            run.row, metres, "speeds disagree", here=run.speed, in_ms=run.speed_kmh, unit=unit, heading=other,
            as_there=c.SPEED_KMH.out_of_si(run.speed, unit), there=c.SPEED_KMH.out_of_si(run.speed_kmh, unit),
        )
        for run in rows[wrong].itertuples()
    ]  # fmt: skip


# -- where a run belongs ------------------------------------------------------------------------------


def wind_axes_without_side_force(rows, text, _):
    """Rows in wind axes that cannot be turned: drag alone does not tell the force along the bike."""
    wrong = rows.used & (rows.axis == "wind") & (rows.yaw != 0) & rows.side_force.isna()
    return [Fault.of(row, text.heading(c.AXIS), "wind axes") for row in rows.row[wrong]]


def settings_met_once(rows, text, least):
    """Rows at an angle or a speed that nothing else in the sheet was run at, where others were repeated.

    A plan runs each angle for more than one set-up, speed or repeat; an angle met once is a slip
    of the pen, a lost sign or a digit too many. So it is with speeds.
    """
    used, faults = rows[rows.used], []
    speed = c.SPEED if text.has(c.SPEED) else c.SPEED_KMH
    for name, column in (("yaw_setting", c.YAW), ("speed_setting", speed)):
        runs = used[name].value_counts()
        once = used[name].isin(runs.index[runs == 1]) & (runs.max() >= least)
        for _, run in used[once].iterrows():
            speeds = f"{run.speed:.4g} m/s ({to_kmh(run.speed):.4g} km/h)"
            setting = f"{to_deg(run.yaw):.4g} deg" if column is c.YAW else speeds
            gaps = {"setting": setting, "most": runs.max()}
            faults.append(Fault.of(run.row, text.heading(column), "met once", **gaps))
    return faults


def lost_signs_and_doubled_repeats(rows, text, _):
    """Cells in which a repeat is there twice; where the mirrored angle lacks it, a sign was lost.

    Every row with a readable place in the plan counts, also one that another fault has taken out
    of use: an empty tare leaves its cell filled.
    """
    settings = ["speed_setting", "yaw_setting", "repeat"]
    placed = rows[(rows.set_up != "") & rows[settings].notna().all(axis=1)]
    key = ["set_up", *settings]
    doubled = placed[placed.duplicated(key, keep=False)]
    faults = []
    for (set_up, speed, angle, number), pair in doubled.groupby(key, sort=False):
        place = f"{set_up}, {_fan(speed)}repeat {number:.0f}"
        gaps = {"place": place, "angle": _degrees(angle), "rows": rows_in_words(pair.row)}
        same_pass = placed[(placed.set_up == set_up) & (placed["repeat"] == number)]
        mirrored = np.isclose(same_pass.yaw_setting, -angle)
        filled = (mirrored & (same_pass.speed_setting == speed)).any()
        planned = angle != 0 and np.isclose(placed.yaw_setting, -angle).any()
        if len(pair) == 2 and planned and not filled:
            found = _odd_one_out(pair, same_pass, angle)
            name = "lost sign" if len(found) == 1 else "lost sign somewhere"
            meant = _degrees(-angle)
            gaps |= {"mirrored": meant, "number": meant.removesuffix(" deg")}
            faults.append(Fault.of(found.row, text.heading(c.YAW), name, **gaps))
        elif pair.used.any():
            faults.append(Fault.of(pair.row, text.heading(c.REPEAT), "repeat twice", number=len(pair), **gaps))
    return faults


def _odd_one_out(pair, block, angle):
    """The row of the pair that was run among the runs at the mirrored angle; both if that is not clear.

    Clear only where the pass was run angle by angle, so that most runs share the angle of the
    run before; then a row's neighbours tell where it belongs.
    """
    steps = block.sort_values("order").yaw_setting.to_numpy()
    if steps.size < 3 or np.mean(steps[1:] == steps[:-1]) <= 0.5:
        return pair
    rest = block[~block.row.isin(pair.row)]
    near = [rest[(rest.order - order).abs() == 1].yaw_setting for order in pair.order]
    mirrored = np.array([np.isclose(x, -angle).sum() - np.isclose(x, angle).sum() for x in near])
    return pair[mirrored == mirrored.max()]


# -- readings -----------------------------------------------------------------------------------------


def tares_unlike_the_others(rows, text, gap):
    """Rows whose tare is not that of the same stand: another unit, a slip of the pen, a zero.

    Two looks. Over all speeds of a set-up and angle, tare over dynamic pressure is one number, but
    for noise. And where one reading of the stand serves its speed and yaw, the same force stands in
    all those rows: one that differs was copied wrongly.
    """
    used = rows[rows.used]
    alike = (used.tare / used.dynamic_pressure).groupby([used.set_up, used.yaw_setting])
    expected = alike.transform("median") * used.dynamic_pressure
    off = (used.tare - expected).abs() > gap * used.dynamic_pressure
    served = _served_by_one_reading(used)
    bad = off & (alike.transform("size") >= LEAST_TARES) | served.notna()
    faults = []
    for (_, run), said in zip(used[bad].iterrows(), served.fillna(expected)[bad]):
        there = "" if run.tare_rows == (run.row,) else f" (from {rows_in_words(run.tare_rows)})"
        gaps = {"tare": run.tare, "from_elsewhere": there, "angle": _degrees(run.yaw_setting), "expected": said}
        faults.append(Fault.of(run.row, text.heading(c.TARE), "tare unlike", **gaps))
    return faults


def _served_by_one_reading(used):
    """For a tare that differs from the one that all others at its speed and yaw share: that one."""
    place, written = used.groupby(["speed_setting", "yaw_setting", "axis"]).ngroup(), used.tare.round(9)
    there = written.groupby(place).transform("size")
    common = written.groupby(place).transform("median")
    all_but_one_alike = (written == common).groupby(place).transform("sum") == there - 1
    return common.where((written != common) & (there > LEAST_TARES) & all_but_one_alike)


def implausible_drag_areas(rows, text, plausible):
    """Rows whose drag area no rider has; mostly a reading under another force's unit."""
    sound = rows.used & plausible.allows(rows.drag_area.to_numpy())
    alike = rows[sound].groupby(PLACE).drag_area.median()
    faults = []
    for _, run in rows[rows.used & ~sound].iterrows():
        reference = alike.get((run.set_up, run.yaw_setting))
        like = (MIDDLING_DRAG_AREA, np.inf) if reference is None else (reference, LIKE_ITS_REPEATS)
        name, (column, gaps) = "another unit", _unit_slip(run, *like, plausible)
        if not gaps:
            name = "implausible area" if text.has(c.DRAG_AREA) and np.isnan(run.drag) else "implausible"
        faults.append(Fault.of(run.row, text.heading(column), name, area=run.drag_area, **gaps))
    return faults


def _unit_slip(run, reference, closest, plausible):
    """The one changed unit that makes the drag area plausible: its column, and what is said of it.

    Where more than one would do, the one nearest to the reference wins, if it is near enough; where
    none would, the reading itself is looked up. The side force is left out of this guess.
    """
    along, found = np.cos(run.yaw) if run.axis == "wind" else 1.0, []
    for unit, size in c.NEWTONS.items() if run.drag_unit else ():
        drag = run.drag / c.NEWTONS[run.drag_unit] * size
        tare = run.tare / c.NEWTONS.get(run.tare_unit, 1.0) * size
        changes = [(c.DRAG_UNIT, drag - run.tare), (c.TARE_UNIT, run.drag - tare)][: 2 if run.tare_unit else 1]
        if run.tare_unit and unit not in (run.drag_unit, run.tare_unit):
            changes.append((c.DRAG_UNIT, drag - tare))  # the same slip in both
        for place, (column, force) in enumerate(changes):
            area = force / run.dynamic_pressure * along
            if run[column.field] != unit and plausible.allows(area):
                found.append((abs(np.log(area / reference)), place, unit, column, area))
    miss, _, unit, column, area = min(found, key=lambda one: one[:3], default=(np.inf,) * 5)
    if not miss < closest:
        return c.DRAG, {}
    return column, {"written": run[column.field], "unit": unit, "meant": area}


# -- repeats ------------------------------------------------------------------------------------------


def steady_drifts(rows, text, alarms):
    """Cells whose repeats climb, or fall, steadily in the order run, further than chance explains.

    The climb, last less first, has the standard deviation sqrt(2) times that of a repeat; the
    spread of a repeat is taken from all OTHER cells. Student's t sets the limit.
    """
    used = rows[rows.used].sort_values("order", kind="stable")
    cells, faults = _repeated(used), []
    tested = sum(areas.size >= LEAST_REPEATS_FOR_DRIFT for _, areas, _, _ in cells)
    for place, areas, spread, dof in cells:
        steps, climb = np.diff(areas), np.ptp(areas)
        steady = areas.size >= LEAST_REPEATS_FOR_DRIFT and abs(np.sign(steps).sum()) == steps.size
        if not steady or np.abs(steps).max() > LARGEST_STEP_OF_A_DRIFT * climb:
            continue
        if dof and climb > drift_limit(tested, dof, alarms) * spread:
            cell = used.iloc[place]
            gaps = {
                "cell": _cell_in_words(cell.iloc[-1]), "way": "climb" if steps[0] > 0 else "fall",
                "values": ", ".join(f"{area:.4f}" for area in areas), "rows": rows_in_words(cell.row),
                "size": f"{climb / spread:.0f} times" if spread > 0 else "far beyond",
            }  # fmt: skip
            faults.append(Fault.of(cell.row.iloc[::-1], text.heading(c.DRAG), "drift", **gaps))
    return faults


def _repeated(runs):
    """Each cell of more than one run: where its runs are, their drag areas, the spread of a repeat [m2]
    in all other cells, and the degrees of freedom of that.

    From those of the same set-up where they scatter clearly more; where there are none, the set-up
    may be a wild one.
    """
    places = [place for place in runs.groupby(CELL, sort=False).indices.values() if len(place) > 1]
    cells = [runs.drag_area.to_numpy()[place] for place in places]
    squares = np.array([np.var(areas) * areas.size for areas in cells])
    freedom = np.array([areas.size - 1 for areas in cells])
    name = np.unique([runs.set_up.iat[place[0]] for place in places], return_inverse=True)[1]

    def others(values, alike):
        return np.maximum(np.bincount(alike, values)[alike] - values, 0)

    spread, of_its_own = (
        np.sqrt(others(squares, alike) / np.maximum(others(freedom, alike), 1)) for alike in (0 * name, name)
    )
    spread = np.where(of_its_own > CLEARLY_WILDER * spread, of_its_own, spread)
    spread[np.bincount(name)[name] == 1] *= WILDEST
    return [*zip(places, cells, spread, freedom.sum() - freedom)]


def drift_limit(cells, degrees_of_freedom, alarms):
    """Largest climb or fall left to chance [standard deviations of a repeat].

    Two-sided, for the number of cells tested in one sheet. That the repeats between must lie in
    order as well is not counted on.
    """
    return float(-np.sqrt(2) * stdtrit(degrees_of_freedom, alarms / cells / 2))


def repeats_too_far_apart(rows, text, alarms):
    """Single runs that are further from the other repeats of their cell than chance explains.

    A slip of the pen that leaves a likely number shows here, if anywhere. The spread of a repeat
    comes from all OTHER cells, or from those of the same set-up where they scatter more; Student's
    t sets the limit for the number of runs in the sheet.
    """
    used = rows[rows.used]
    cells, faults = _repeated(used), []
    runs = sum(areas.size for _, areas, _, _ in cells)
    for place, areas, spread, dof in cells:
        gaps = np.abs(areas - areas.mean()) * areas.size / (areas.size - 1)  # to the others' mean
        if dof and max(gaps) > apart_limit(runs, areas.size, dof, alarms) * spread:
            faults.append(_apart(used.iloc[place], gaps, text.heading(c.DRAG)))
    return faults


def apart_limit(runs, repeats, degrees_of_freedom, alarms):
    """Largest gap between a run and the mean of its other repeats [standard deviations of a repeat].

    Two-sided, for the number of runs in one sheet.
    """
    return float(-np.sqrt(1 + 1 / (repeats - 1)) * stdtrit(degrees_of_freedom, alarms / runs / 2))


def _apart(cell, gaps, column):
    run = cell.iloc[int(np.argmax(gaps))]
    others = cell[cell.row != run.row]
    gaps = {"cell": _cell_in_words(run), "one": run.drag_area, "others": others.drag_area.mean()}
    if len(others) == 1:
        return Fault.of(cell.row, column, "two repeats apart", rows=rows_in_words(cell.row), **gaps)
    return Fault.of(run.row, column, "repeats apart", rows=rows_in_words(others.row), **gaps)


def _cell_in_words(run):
    return f"{run.set_up}, {_fan(run.speed_setting)}{_degrees(run.yaw_setting)}"


def _fan(speed):
    """The setting of the fan, before another one; nothing in a sheet that names none."""
    return f"{to_kmh(speed):.1f} km/h, " if speed > 0 else ""


def _degrees(angle):
    return f"{to_deg(angle):+.3g} deg" if angle else "0 deg"


# -- the sheet as a whole -----------------------------------------------------------------------------


def unusual_tares(rows, text, usual):
    """Tares that are no usual share of the drag: another unit, another sign, or never read."""
    used = rows[rows.used & (rows.tare_unit != "")]
    share = (used.tare / used.drag).median()
    if np.isnan(share) or usual[0] <= share <= usual[1]:
        return []
    low, high, units = to_percent(usual[0]), usual[1], " or ".join(used.tare_unit.unique())
    return [say("tunnel", "unusual tares", share=to_percent(share), low=low, high=high, units=units)]


def unusual_areas(rows, text, usual):
    """Drag areas that few riders have, over whole set-ups."""
    areas = rows[rows.used].groupby("set_up").drag_area.median()
    odd = areas[~usual.allows(areas.to_numpy())]
    if odd.empty:
        return []
    areas = ", ".join(f"{name} {area:.3f} m²" for name, area in odd.items())
    return [say("tunnel", "unusual areas", areas=areas, usual=usual)]


def moved_column(rows, text, times):
    """A drag column that is one row too high or too low: in its place the repeats would agree."""
    def spread(by):
        areas = (rows.drag.shift(by) - rows.tare) / rows.dynamic_pressure
        logs = np.log(areas.where(areas > 0))
        return (logs - logs.groupby([rows.set_up, rows.yaw_setting]).transform("median")).abs().median()

    here = spread(0)
    if not (here > LIKE_ITS_REPEATS / 2 and min(spread(1), spread(-1)) * times < here):
        return []
    return [say("tunnel", "moved column", heading=text.heading(c.DRAG))]


def respelt_set_ups(rows, text, _):
    """Names of set-ups that were read as one."""
    names = [name for name in text.cells["set_up"] if name and plain(name) not in c.EMPTY_STAND]
    return checks.respelt(names)


FAULTS = (
    Check(
        wind_axes_without_side_force, "the force along the bicycle needs both parts of the force", rank=1
    ),
    Check(lost_signs_and_doubled_repeats, "a plan runs each cell once a repeat", rank=1),
    Check(
        settings_met_once,
        "six runs at some angle (two set-ups at three speeds, say) make a plan, and an angle "
        "run once falls out of it; a smaller sheet may hold single ones on purpose; as for speeds",
        6, rank=1,
    ),
    Check(
        checks.jumps, "weather does not jump between runs (COMMON_PRACTICE)",
        ((c.TEMPERATURE, 3.0), (c.PRESSURE, 500.0), (c.HUMIDITY, 0.15)), rank=1,
    ),
    Check(
        tares_unlike_the_others,
        "m2: the stand is the same all day, so its tare over the dynamic pressure is one "
        "number an angle, but for noise (0.0005 m2 at 36 km/h) and some change with speed; this gap "
        "is large beside what set-ups differ by (COMMON_PRACTICE)",
        0.01, rank=2,
    ),
    Check(
        implausible_drag_areas,
        "from a rider tucked as small as can be to a loaded touring bicycle (COMMON_PRACTICE), "
        "and less than a factor of 9.8 wide: N, grams-force and kilograms-force are factors of 9.8, "
        "102 and 1000 apart, so a reading under the wrong one of them always falls out of this range (pounds "
        "are 2.2 from kilograms: those are asked about, see unusual_areas)",
        Quantity("m2", 0.10, 0.90), rank=3,
    ),
    Check(
        steady_drifts, "for 36 cells of three the limit is near 5 standard deviations of a climb",
        checks.FALSE_ALARMS_PER_SHEET, rank=4,
    ),
    Check(
        repeats_too_far_apart, "for 36 cells of three the limit is near 7 standard deviations of a repeat",
        checks.FALSE_ALARMS_PER_SHEET, rank=5,
    ),
)  # fmt: skip

NOTES = (
    Check(respelt_set_ups, "people write one name in several ways"),
    Check(lambda rows, text, _: checks.nearly_alike(rows.set_up), "a slip of the pen changes one letter"),
    Check(unusual_tares, "shares of the drag, as stands have (COMMON_PRACTICE)", (0.03, 0.15)),
    Check(
        checks.unusual_weather,
        "a test section is a room: neither freezing nor above 40 degC; 800 hPa is 2,000 m up",
        checks.UsualWeather(coldest=float(celsius(0))),
    ),
    Check(
        unusual_areas, "from a small rider on a time-trial bike to an upright one (COMMON_PRACTICE)",
        Quantity("m2", 0.15, 0.60),
    ),
    Check(
        moved_column, "times the spread of repeats: chance makes none of a sound sheet's rows fit another",
        4.0,
    ),
)  # fmt: skip

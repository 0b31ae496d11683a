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
from dragwork.measurement.sheet_reading import Fault, plain
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
    a, b = rows.speed.to_numpy(), rows.speed_kmh.to_numpy()
    rounding = (text.last_digit(c.SPEED) + text.last_digit(c.SPEED_KMH)) / 2
    tolerance = np.minimum(rounding, SPEED_AGREEMENT * np.fmax(a, b)) + 1e-9
    wrong = np.abs(a - b) > tolerance  # False where one of them is missing
    return [
        Fault.of(
            row, metres, "speeds disagree",
            here=a, as_there=there, unit=unit, heading=other, there=said, in_ms=b,
        )
        for row, a, b, there, said in zip(
            rows.row[wrong], a[wrong], b[wrong],
            *(c.SPEED_KMH.out_of_si(speed[wrong], unit) for speed in (a, b)),
        )
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
    settings = {
        "yaw_setting": (c.YAW, lambda run: f"{to_deg(run.yaw):.4g} deg"),
        "speed_setting": (
            c.SPEED if text.has(c.SPEED) else c.SPEED_KMH,
            lambda run: f"{run.speed:.4g} m/s ({to_kmh(run.speed):.4g} km/h)",
        ),
    }
    used, faults = rows[rows.used], []
    for name, (column, in_words) in settings.items():
        runs = used[name].value_counts()
        once = used[name].isin(runs.index[runs == 1]) & (runs.max() >= least)
        faults += [
            Fault.of(run.row, text.heading(column), "met once", setting=in_words(run), most=runs.max())
            for _, run in used[once].iterrows()
        ]
    return faults


def lost_signs_and_doubled_repeats(rows, text, _):
    """Cells in which a repeat is there twice; where the mirrored angle lacks it, a sign was lost.

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
        place = f"{set_up}, " + (f"{to_kmh(speed):.1f} km/h, " if speed > 0 else "") + f"repeat {number:.0f}"
        same_pass = placed[(placed.set_up == set_up) & (placed["repeat"] == number)]
        mirrored = np.isclose(same_pass.yaw_setting, -angle)
        filled = (mirrored & (same_pass.speed_setting == speed)).any()
        planned = angle != 0 and np.isclose(placed.yaw_setting, -angle).any()
        if len(pair) == 2 and planned and not filled:
            faults.append(_lost_sign(pair, same_pass, angle, place, text.heading(c.YAW)))
        elif pair.used.any():
            gaps = {"place": place, "angle": _degrees(angle), "number": len(pair), "rows": rows_in_words(pair.row)}
            faults.append(Fault.of(pair.row, text.heading(c.REPEAT), "repeat twice", **gaps))
    return faults


def _lost_sign(pair, block, angle, place, column):
    gaps = {
        "place": place, "angle": _degrees(angle), "mirrored": _degrees(-angle), "rows": rows_in_words(pair.row)
    }  # fmt: skip
    odd = _odd_one_out(pair, block, angle)
    if odd is None:
        return Fault.of(pair.row, column, "lost sign somewhere", **gaps)
    number = _degrees(-angle).removesuffix(" deg")
    return Fault.of(odd.row, column, "lost sign", number=number, **gaps)


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


# -- readings -----------------------------------------------------------------------------------------


def tares_unlike_the_others(rows, text, gap):
    """Rows whose tare is not that of the same stand: another unit, a slip of the pen, a zero.

    Two looks. Over all speeds of a set-up and angle, tare over dynamic pressure is one number, but
    for noise. And where one reading of the stand serves its speed and yaw, the same force stands in
    all those rows: one that differs was copied wrongly.
    """
    used = rows[rows.used]
    stand = used.tare / used.dynamic_pressure
    alike = stand.groupby([used.set_up, used.yaw_setting])
    expected = alike.transform("median") * used.dynamic_pressure
    off = (stand * used.dynamic_pressure - expected).abs() > gap * used.dynamic_pressure
    wrong = off & (alike.transform("size") >= LEAST_TARES)
    served = _served_by_one_reading(used)
    bad = wrong | served.notna()
    return [
        Fault.of(
            run.row, text.heading(c.TARE), "tare unlike", tare=run.tare, from_elsewhere=_from_elsewhere(run),
            angle=_degrees(run.yaw_setting), expected=said,
        )
        for (_, run), said in zip(used[bad].iterrows(), served.fillna(expected)[bad])
    ]  # fmt: skip


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
    return f" (from {rows_in_words(run.tare_rows)})"


def implausible_drag_areas(rows, text, plausible):
    """Rows whose drag area no rider has; mostly a reading under another force's unit."""
    sound = rows.used & plausible.allows(rows.drag_area.to_numpy())
    alike = rows[sound].groupby(PLACE).drag_area.median()
    faults = []
    for _, run in rows[rows.used & ~sound].iterrows():
        reference = alike.get((run.set_up, run.yaw_setting))
        like = (MIDDLING_DRAG_AREA, np.inf) if reference is None else (reference, LIKE_ITS_REPEATS)
        slip = _unit_slip(run, *like, plausible)
        if slip:
            column, unit, meant = slip
            gaps = {"written": run[column.field], "unit": unit, "meant": meant}
            name = "another unit"
        else:
            column, gaps = c.DRAG, {}
            name = "implausible area" if text.has(c.DRAG_AREA) and np.isnan(run.drag) else "implausible"
        faults.append(Fault.of(run.row, text.heading(column), name, area=run.drag_area, **gaps))
    return faults


def _unit_slip(run, reference, closest, plausible):
    """The one changed unit that makes the drag area plausible: (column, unit, drag area) or None.

    Where more than one would do, the one nearest to the reference wins, if it is near enough.
    """
    found = []
    for unit, size in c.NEWTONS.items() if run.drag_unit else ():
        drag = run.drag / c.NEWTONS[run.drag_unit] * size
        tare = run.tare / c.NEWTONS.get(run.tare_unit, 1.0) * size
        changes = [(c.DRAG_UNIT, drag - run.tare), (c.TARE_UNIT, run.drag - tare)][: 2 if run.tare_unit else 1]
        if run.tare_unit and unit not in (run.drag_unit, run.tare_unit):
            changes.append((c.DRAG_UNIT, drag - tare))  # the same slip in both
        for place, (column, force) in enumerate(changes):
            area = force / run.dynamic_pressure * _turned(run)
            if run[column.field] != unit and plausible.allows(area):
                found.append((abs(np.log(area / reference)), place, unit, column, area))
    if not found:
        return None
    miss, _, unit, column, area = min(found, key=lambda one: one[:3])
    return (column, unit, area) if miss < closest else None


def _turned(run):
    """Share of a wind-axis drag along the bicycle; the side force is left out of this guess."""
    return np.cos(run.yaw) if run.axis == "wind" else 1.0


# -- repeats ------------------------------------------------------------------------------------------


def steady_drifts(rows, text, alarms):
    """Cells whose repeats climb, or fall, steadily in the order run, further than chance explains.

    The climb, last less first, has the standard deviation sqrt(2) times that of a repeat; the
    spread of a repeat is taken from all OTHER cells. Student's t sets the limit.
    """
    runs = rows[rows.used].sort_values("order", kind="stable")
    cells = _repeated(runs)
    tested = sum(area.size >= LEAST_REPEATS_FOR_DRIFT for _, area, _, _ in cells)
    faults = []
    for place, area, spread, dof in cells:
        steps = np.diff(area)
        if area.size < LEAST_REPEATS_FOR_DRIFT or not (np.all(steps > 0) or np.all(steps < 0)):
            continue
        if np.abs(steps).max() > LARGEST_STEP_OF_A_DRIFT * abs(steps.sum()):
            continue
        if dof and abs(steps.sum()) > drift_limit(tested, dof, alarms) * spread:
            faults.append(_drift(runs.iloc[place], steps.sum(), spread, text.heading(c.DRAG)))
    return faults


def _repeated(runs):
    """Each cell of more than one run: where its runs are, their drag areas, the spread of a repeat [m2]
    in all other cells, and the degrees of freedom of that.

    From those of the same set-up where they scatter clearly more; where there are none, the set-up
    may be a wild one.
    """
    places = [place for place in runs.groupby(CELL, sort=False).indices.values() if len(place) > 1]
    areas = [runs.drag_area.to_numpy()[place] for place in places]
    squares = np.array([np.var(area) * area.size for area in areas])
    freedom = np.array([area.size - 1 for area in areas])
    names, found = np.array([runs.set_up.iat[place[0]] for place in places]), []
    for index, (place, area) in enumerate(zip(places, areas)):
        other = np.arange(len(places)) != index
        own, spread, dof = other & (names == names[index]), 0.0, freedom[other].sum()
        if dof:
            spread = np.sqrt(squares[other].sum() / dof)
        if dof and not own.any():
            spread = WILDEST * spread
        elif dof:
            of_its_own = np.sqrt(squares[own].sum() / freedom[own].sum())
            spread = of_its_own if of_its_own > CLEARLY_WILDER * spread else spread
        found.append((place, area, spread, dof))
    return found


def drift_limit(cells, degrees_of_freedom, alarms):
    """Largest climb or fall left to chance [standard deviations of a repeat].

    Two-sided, for the number of cells tested in one sheet. That the repeats between must lie in
    order as well is not counted on.
    """
    tail = alarms / cells / 2
    return float(-np.sqrt(2) * stdtrit(degrees_of_freedom, tail))


def _drift(cell, climb, spread, column):
    return Fault.of(
        cell.row.iloc[::-1], column, "drift",
        cell=_cell_in_words(cell.iloc[-1]), way="climb" if climb > 0 else "fall",
        values=", ".join(f"{area:.4f}" for area in cell.drag_area), rows=rows_in_words(cell.row),
        size=f"{abs(climb) / spread:.0f} times" if spread > 0 else "far beyond",
    )  # fmt: skip


def repeats_too_far_apart(rows, text, alarms):
    """Single runs that are further from the other repeats of their cell than chance explains.

    A slip of the pen that leaves a likely number shows here, if anywhere. The spread of a repeat
    comes from all OTHER cells, or from those of the same set-up where they scatter more; Student's
    t sets the limit for the number of runs in the sheet.
    """
    used, faults = rows[rows.used], []
    cells = _repeated(used)
    runs = sum(area.size for _, area, _, _ in cells)
    for place, area, spread, dof in cells:
        gaps = np.abs(area - area.mean()) * area.size / (area.size - 1)  # to the others' mean
        if dof and max(gaps) > apart_limit(runs, area.size, dof, alarms) * spread:
            faults.append(_apart(used.iloc[place], gaps, text.heading(c.DRAG)))
    return faults


def apart_limit(runs, repeats, degrees_of_freedom, alarms):
    """Largest gap between a run and the mean of its other repeats [standard deviations of a repeat].

    Two-sided, for the number of runs in one sheet.
    """
    tail = alarms / runs / 2
    return float(-np.sqrt(1 + 1 / (repeats - 1)) * stdtrit(degrees_of_freedom, tail))


def _apart(cell, gaps, column):
    run = cell.iloc[int(np.argmax(gaps))]
    others = cell[cell.row != run.row]
    gaps = {"cell": _cell_in_words(run), "one": run.drag_area}
    if len(others) == 1:
        other, rows = others.drag_area.iloc[0], rows_in_words(cell.row)
        return Fault.of(cell.row, column, "two repeats apart", other=other, rows=rows, **gaps)
    rows = rows_in_words(others.row)
    return Fault.of(run.row, column, "repeats apart", others=others.drag_area.mean(), rows=rows, **gaps)


def _cell_in_words(run):
    speed = f"{to_kmh(run.speed_setting):.1f} km/h, " if run.speed_setting > 0 else ""
    return f"{run.set_up}, {speed}{_degrees(run.yaw_setting)}"


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

    here, moved = spread(0), min(spread(1), spread(-1))
    if not (here > LIKE_ITS_REPEATS / 2 and moved * times < here):
        return []
    return [say("tunnel", "moved column", heading=text.heading(c.DRAG))]


def respelt_set_ups(rows, text, _):
    """Names of set-ups that were read as one."""
    return checks.respelt(_names(text))


def set_ups_nearly_alike(rows, text, _):
    """Names of set-ups that differ by one letter."""
    return checks.nearly_alike(rows.set_up)


def _names(text):
    return [name for name in text.cells["set_up"] if name and plain(name) not in c.EMPTY_STAND]


FAULTS = (
    Check(
        wind_axes_without_side_force, None, rank=1,
        reason="the force along the bicycle needs both parts of the force",
    ),
    Check(
        lost_signs_and_doubled_repeats, None, rank=1,
        reason="a plan runs each cell once a repeat",
    ),
    Check(
        settings_met_once, 6, rank=1,
        reason="six runs at some angle (two set-ups at three speeds, say) make a plan, and an angle "
        "run once falls out of it; a smaller sheet may hold single ones on purpose; as for speeds",
    ),
    Check(
        checks.jumps, ((c.TEMPERATURE, 3.0), (c.PRESSURE, 500.0), (c.HUMIDITY, 0.15)), rank=1,
        reason="weather does not jump between runs (COMMON_PRACTICE)",
    ),
    Check(
        tares_unlike_the_others, 0.01, rank=2,
        reason="m2: the stand is the same all day, so its tare over the dynamic pressure is one "
        "number an angle, but for noise (0.0005 m2 at 36 km/h) and some change with speed; this gap "
        "is large beside what set-ups differ by (COMMON_PRACTICE)",
    ),
    Check(
        implausible_drag_areas, Quantity("m2", 0.10, 0.90), rank=3,
        reason="from a rider tucked as small as can be to a loaded touring bicycle (COMMON_PRACTICE), "
        "and less than a factor of 9.8 wide: N, grams-force and kilograms-force are factors of 9.8, "
        "102 and 1000 apart, so a reading under the wrong one of them always falls out of this range (pounds "
        "are 2.2 from kilograms: those are asked about, see unusual_areas)",
    ),
    Check(
        steady_drifts, checks.FALSE_ALARMS_PER_SHEET, rank=4,
        reason="for 36 cells of three the limit is near 5 standard deviations of a climb",
    ),
    Check(
        repeats_too_far_apart, checks.FALSE_ALARMS_PER_SHEET, rank=5,
        reason="for 36 cells of three the limit is near 7 standard deviations of a repeat",
    ),
)  # fmt: skip

NOTES = (
    Check(respelt_set_ups, None, reason="people write one name in several ways"),
    Check(set_ups_nearly_alike, None, reason="a slip of the pen changes one letter"),
    Check(unusual_tares, (0.03, 0.15), reason="shares of the drag, as stands have (COMMON_PRACTICE)"),
    Check(
        checks.unusual_weather, checks.UsualWeather(coldest=float(celsius(0))),
        reason="a test section is a room: neither freezing nor above 40 degC; 800 hPa is 2,000 m up",
    ),
    Check(
        unusual_areas, Quantity("m2", 0.15, 0.60),
        reason="from a small rider on a time-trial bike to an upright one (COMMON_PRACTICE)",
    ),
    Check(
        moved_column, 4.0,
        reason="times the spread of repeats: chance makes none of a sound sheet's rows fit another",
    ),
)  # fmt: skip

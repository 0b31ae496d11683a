"""The tunnel sheet: from balance readings and weather to drag areas, curves, draws, differences.

A sheet is read as far as it is clear; what is not clear stands in `.faults`, and the rows named
there are not used. What the uncertainty holds: the spread of repeats, pooled over all cells of
the sheet, and three errors that all runs of a session share (`SharedErrors`). What it does not
hold: blockage, a drag area that changes with speed, the step from tunnel to road.
"""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import pandas as pd
from scipy import stats

from dragwork.measurement import tunnel_checks as checks
from dragwork.measurement.sheet_reading import Column, Fault, SheetError, read_text
from dragwork.measurement.tunnel_checks import CELL
from dragwork.measurement.uncertainty import (
    check_confidence,
    repeatability,
    welch_satterthwaite,
)
from dragwork.physics.air import density
from dragwork.physics.drag import YawCurve, body_from_wind_axes, dynamic_pressure
from dragwork.quantities import QUANTITIES, Quantity
from dragwork.units import celsius, deg, grams_force, hectopascal, kmh, percent

__all__ = ["Comparison", "Fault", "SharedErrors", "SheetError", "TunnelSheet", "compare", "read_sheet"]

# Below 1 m/s a fan makes no steady stream, and dividing by the pressure would blow up any noise.
TUNNEL_SPEED = Quantity("m/s", 1.0, 45.0)
# Tunnels stand below 5,500 m. Thinner and hotter air than this would leave the library's densities.
TUNNEL_PRESSURE = Quantity("Pa", 50e3, 115e3, slips=(("hectopascals", "hectopascal"),))
TUNNEL_YAW = Quantity("rad", -deg(89), deg(89))  # as far as a yaw curve reaches
COUNT = Quantity("", 1, 100_000)
READING = Quantity("", -1e6, 1e6)  # in any unit of force; no balance shows more

# Runs whose speeds, sorted, lie nearer than this to each other belong to one setting of the fan: it
# wobbles by a few tenths of a percent, and settings worth running lie 5 % apart (COMMON_PRACTICE).
SAME_SPEED = 0.02
# Yaw is set by a turntable; readings within a quarter of a degree belong to one setting
# (COMMON_PRACTICE).
YAW_STEP = deg(0.5)

DRAWS_TRIED = 20  # times the number asked for, before a sheet is called too wild to draw from

NEWTONS = {"N": 1.0, "g": float(grams_force(1)), "kgf": float(grams_force(1000))}
SIDE = Quantity("N", -2500.0, 2500.0)  # so that the difference of two is a force of the library
_FORCE_WORDS = {"n": "N", "g": "g", "gf": "g", "kgf": "kgf", "kg": "kgf"}
_FORCE_UNITS = {"N": np.asarray, "g": grams_force, "kgf": lambda x: grams_force(1000 * x)}

RUN = Column("run", "run", optional=True, blank=True)
SET_UP = Column("set_up", "set-up")
SPEED = Column("speed", "speed", {"m/s": np.asarray}, TUNNEL_SPEED, optional=True)
SPEED_KMH = Column("speed_kmh", "speed", {"km/h": kmh}, TUNNEL_SPEED, optional=True)
YAW = Column("yaw", "yaw", {"deg": deg}, TUNNEL_YAW)
TEMPERATURE = Column("temperature", "temperature", {"degC": celsius}, QUANTITIES["temperature"])
PRESSURE = Column(
    "pressure", "station pressure", {"hPa": hectopascal, "Pa": np.asarray}, TUNNEL_PRESSURE
)
HUMIDITY = Column(
    "relative_humidity", "humidity", {"%": percent}, QUANTITIES["relative_humidity"]
)
DRAG = Column("drag", "drag", number=True, limits=READING)
DRAG_UNIT = Column("drag_unit", "drag unit", words=_FORCE_WORDS)
TARE = Column("tare", "tare", number=True, limits=READING)
TARE_UNIT = Column("tare_unit", "tare unit", words=_FORCE_WORDS)
AXIS = Column("axis", "axis", words={"body": "body", "wind": "wind"})
SIDE_FORCE = Column("side_force", "side force", _FORCE_UNITS, SIDE, optional=True, blank=True)
SIDE_TARE = Column("side_tare", "side tare", _FORCE_UNITS, SIDE, optional=True, blank=True)
WHEELS = Column("wheels", "wheels turning", words={"yes": "yes", "no": "no"}, optional=True)
RIDER = Column(
    "rider", "rider", words={"still": "still", "pedalling": "pedalling"}, optional=True
)
REPEAT = Column("repeat", "repeat", number=True, limits=COUNT)
ORDER = Column("order", "order", number=True, limits=COUNT)
PHOTO = Column("photo", "photo", optional=True, blank=True)
REMARKS = Column("remarks", "remarks", optional=True, blank=True)
_FORCES = {"drag": DRAG, "drag_unit": DRAG_UNIT, "tare_unit": TARE_UNIT}

COLUMNS = (
    RUN, ORDER, SET_UP, REPEAT, SPEED, SPEED_KMH, YAW, TEMPERATURE, PRESSURE, HUMIDITY,
    DRAG, DRAG_UNIT, TARE, TARE_UNIT, AXIS, SIDE_FORCE, SIDE_TARE, WHEELS, RIDER, PHOTO, REMARKS,
)  # fmt: skip


@dataclass(frozen=True)
class SharedErrors:
    """Standard uncertainties, as fractions, of what all runs of a session have in common.

    They scale every drag area of the sheet alike: in a difference of two set-ups they scale the
    difference alone. The values given here are common practice, no source; a calibration
    certificate's are better.

    Parameters
    ----------
    balance_scale : float
        Of the balance's sensitivity.
    speed : float
        Of the tunnel's speed calibration; counts twice, because drag goes with speed squared.
    air_density : float
        Of density, from the errors of thermometer, barometer and hygrometer.

    Source: COMMON_PRACTICE
    """

    balance_scale: float = 0.003
    speed: float = 0.004
    air_density: float = 0.002

    def __post_init__(self):
        for name, value in vars(self).items():
            if not 0 <= value <= 0.2:
                raise ValueError(
                    f"{name} {value:g} is outside the allowed range of a relative standard "
                    "uncertainty, 0 to 0.2. Is it in percent? Then write units.percent."
                )

    @property
    def of_drag_area(self):
        """Relative standard uncertainty of every drag area from all three together."""
        return float(np.hypot(np.hypot(self.balance_scale, self.air_density), 2 * self.speed))


@dataclass(frozen=True, eq=False)
class TunnelSheet:
    """A tunnel sheet as far as it is clear.

    Parameters
    ----------
    rows : pandas.DataFrame
        One line a run, in SI, columns as in `COLUMNS` (forces in N, the side force without the
        side tare) and: row (line of the file as a spreadsheet shows it), speed_setting [m/s] and
        yaw_setting [rad] that runs have in common, air_density [kg/m3], dynamic_pressure [Pa],
        drag_area [m2], used (False where a fault stands).
    faults : tuple of Fault
        What is wrong, by row and column, and what would mend it. All other rows are used.
    notes : tuple of str
        The lines above the header.
    shared : SharedErrors
        What all runs have in common.
    """

    rows: pd.DataFrame
    faults: tuple
    notes: tuple = ()
    shared: SharedErrors = field(default_factory=SharedErrors)

    @cached_property
    def set_ups(self):
        """Codes of the set-ups that have usable runs, as they come in the file."""
        return tuple(str(set_up) for set_up in self._used.set_up.unique())

    @cached_property
    def repeatability(self):
        """Spread of a single run within its cell, pooled over the sheet (a `Repeatability`).

        .s_r [m2] and .degrees_of_freedom are what every interval here rests on.

        Raises
        ------
        ValueError
            Where no row is in use or nothing was repeated, in words.

        Source: ISO5725
        """
        if self._used.empty:
            raise ValueError("no row of this sheet can be used: see its faults.")
        cells = [cell.to_numpy() for _, cell in self._used.groupby(CELL, sort=False).drag_area]
        return repeatability(cells)

    def drag_areas(self):
        """Table of drag areas, one line a cell (set-up, speed and yaw), from the rows in use.

        A drag area is the force along the bicycle, the tare taken off, over the dynamic pressure;
        density comes from the weather of each run.

        Returns
        -------
        pandas.DataFrame
            set_up (in the order of the file), speed [m/s, the fan's setting: the middle one of
            all runs at it], yaw [rad, the turntable's setting], drag_area [m2, mean], sd [m2, of
            a single run; nan for a cell of one run], runs.

        Source: CIPM2007
        """
        cells = self._used.groupby(CELL).drag_area
        table = cells.agg(drag_area="mean", sd="std", runs="size").reset_index()
        table = table.rename(columns={"speed_setting": "speed", "yaw_setting": "yaw"})
        place = {set_up: place for place, set_up in enumerate(self.set_ups)}
        in_file_order = table.set_up.map(place).argsort(kind="stable")
        return table.iloc[in_file_order].reset_index(drop=True)

    def yaw_curve(self, set_up):
        """Drag area of a set-up against yaw: the mean over all speeds and repeats at each angle.

        Angles keep their sign: left and right are not averaged. A mean over speeds takes the drag
        area as the same at all speeds of the sheet; `drag_areas` shows whether it is.

        Parameters
        ----------
        set_up : str

        Returns
        -------
        YawCurve

        Raises
        ------
        ValueError
            For a set-up without usable runs, in words.

        Source: ALGEBRA
        """
        yaw, mean, _ = self._at_yaw(set_up)
        return YawCurve(yaw, mean)

    def draws(self, n, seed=0):
        """Yaw curves as they might be, given the readings: all set-ups drawn together.

        In each draw the shared errors are one factor for all set-ups and angles, so that they
        cancel in differences; the spread of a repeat is drawn too (scaled chi, with the degrees of
        freedom of the pooled spread), so that each mean follows Student's t. A draw in which a
        drag area is not above 0 is drawn again: no rider pushes.

        Parameters
        ----------
        n : int
            How many, 1 to 1 million.
        seed : int
            At least 0; the same seed gives the same draws.

        Returns
        -------
        dict of str to YawCurve
            For each set-up a curve with a leading axis of n draws.

        Raises
        ------
        ValueError
            Where nothing was repeated, or repeats lie so far apart that drag areas of 0 are
            likely, in words.

        Source: JCGM101
        """
        n, seed = _whole("n", n, 1, 1_000_000), _whole("seed", seed, 0, 2**63)
        spread, curves = self.repeatability, [self._at_yaw(set_up) for set_up in self.set_ups]
        mean = np.concatenate([mean for _, mean, _ in curves])
        runs = np.concatenate([runs for _, _, runs in curves])
        areas = self._positive_draws(n, np.random.default_rng(seed), mean, spread, runs)
        ends = np.cumsum([yaw.size for yaw, _, _ in curves])
        return {
            set_up: YawCurve(yaw, areas[:, end - yaw.size : end])
            for set_up, (yaw, _, _), end in zip(self.set_ups, curves, ends)
        }

    @property
    def _used(self):
        return self.rows[self.rows.used]

    def _at_yaw(self, set_up):
        """Angles, mean drag areas and numbers of runs of a set-up."""
        if set_up not in self.set_ups:
            there = ", ".join(self.set_ups) or "none"
            raise ValueError(f"set-up '{set_up}' has no usable run here; set-ups that have: {there}.")
        at = self._means.loc[set_up]
        return at.index.to_numpy(), at["mean"].to_numpy(), at["size"].to_numpy()

    @cached_property
    def _means(self):
        """Mean drag area and number of runs by set-up and angle, over all speeds and repeats."""
        return self._used.groupby(["set_up", "yaw_setting"]).drag_area.agg(["mean", "size"])

    def _positive_draws(self, n, rng, mean, spread, runs):
        kept = np.empty((0, mean.size))
        for _ in range(DRAWS_TRIED):
            scale = spread.degrees_of_freedom / rng.chisquare(spread.degrees_of_freedom, (n, 1))
            repeats = spread.s_r * np.sqrt(scale / runs) * rng.standard_normal((n, mean.size))
            shared = np.exp(self.shared.of_drag_area * rng.standard_normal((n, 1)))
            areas = (mean + repeats) * shared
            allowed = QUANTITIES["drag_area"].allows(areas)
            kept = np.concatenate([kept, areas[allowed.all(axis=1)]])
            if len(kept) >= n:
                return kept[:n]
        raise ValueError(
            f"repeats lie {spread.s_r:.3g} m2 apart (standard deviation, from "
            f"{spread.degrees_of_freedom} degrees of freedom): nothing can be said about drag "
            "areas from this sheet."
        )


@dataclass(frozen=True)
class Comparison:
    """A difference of two set-ups [m2], with its interval at a level of confidence.

    low, high: ends of the interval; standard_uncertainty [m2]; degrees_of_freedom, effective.
    """

    difference: float
    low: float
    high: float
    confidence: float
    standard_uncertainty: float
    degrees_of_freedom: float


def compare(sheet, a, b, yaw=0.0, *, confidence=0.95):
    """Difference of two set-ups' drag areas at one yaw, and how sure it is.

    The interval is Student's t with the spread of repeats pooled over all cells of the sheet. The
    shared errors scale the difference alone; they are joined to it with the effective degrees of
    freedom of Welch and Satterthwaite. It holds for two set-ups named BEFORE the test: the best of
    several, picked afterwards, flatters. Repeats tell how far runs of one sitting lie apart; where
    the rider was not taken off and set up anew between them, what a new sitting would change is
    not in the interval.

    Parameters
    ----------
    sheet : TunnelSheet
    a, b : str
        Set-ups.
    yaw : float [rad]
        Within the angles measured of both; between two of them by straight line.
    confidence : float
        Above 0 to below 1.

    Returns
    -------
    Comparison [m2]
        .difference (positive where b is smaller), .low, .high, .confidence,
        .standard_uncertainty, .degrees_of_freedom

    Raises
    ------
    ValueError
        For set-ups that the sheet does not hold, an angle not measured, or a sheet without
        repeats, in words.

    Source: GUM
    """
    check_confidence(confidence)
    if a == b:
        raise ValueError(f"Two different set-ups are needed; '{a}' was given twice.")
    (area_a, share_a), (area_b, share_b) = (_at_one_yaw(sheet, name, yaw) for name in (a, b))
    difference, spread = area_a - area_b, sheet.repeatability
    u = [spread.s_r * np.sqrt(share_a + share_b), abs(difference) * sheet.shared.of_drag_area]
    dof = welch_satterthwaite(u, [spread.degrees_of_freedom, np.inf])
    combined = float(np.hypot(*u))
    half = float(stats.t.ppf((1 + confidence) / 2, dof)) * combined
    return Comparison(
        difference, difference - half, difference + half, confidence, combined, dof
    )


def read_sheet(path, shared=None):
    """Read a tunnel run sheet from a CSV file.

    The columns are those of `COLUMNS`; their order is free, other columns are passed over. Either
    column of speed will do; where both stand they must agree. Lines above the header are notes.
    Wheels and rider are read and kept, but not compared: what shall count as one set-up needs a
    code of its own.

    Parameters
    ----------
    path : str, path or open file
    shared : SharedErrors, optional
        Uncertainties that all runs share; by default those of common practice.

    Returns
    -------
    TunnelSheet

    Raises
    ------
    SheetError
        Where the file cannot be understood as a whole, in words. A single cell or row that is
        wrong raises nothing: it stands in `.faults`.

    Source: COMMON_PRACTICE
    """
    text = read_text(path, COLUMNS)
    if not (text.has(SPEED) or text.has(SPEED_KMH)):
        raise SheetError(
            f"The header lacks a speed: add the column {SPEED.heading} or {SPEED_KMH.heading}."
        )
    rows, faults = _cells(text)
    disagree = checks.speeds_disagree(rows, text, SPEED, SPEED_KMH)
    faults += _set_aside(rows, disagree)
    _find_settings(rows, disagree)
    _into_newtons(rows)
    faults += _set_aside(rows, checks.wind_axes_without_side_force(rows, text, AXIS))
    _find_drag_areas(rows)
    faults += _set_aside(rows, checks.tares_unlike_the_others(rows, text, TARE))
    faults += _set_aside(rows, checks.implausible_drag_areas(rows, text, _FORCES, NEWTONS))
    faults += _set_aside(rows, checks.lost_signs_and_doubled_repeats(rows, text, YAW, REPEAT))
    faults += _set_aside(rows, checks.angles_that_stand_alone(rows, text, YAW))
    faults += _set_aside(rows, checks.steady_drifts(rows, text, DRAG))
    faults.sort(key=lambda fault: fault.row)
    return TunnelSheet(rows, tuple(faults), text.notes, shared or SharedErrors())


def _cells(text):
    """The table of rows as the file has it, in SI, and the faults of single cells."""
    read = {column.field: text.read(column) for column in COLUMNS}
    faults = [fault for _, found in read.values() for fault in found]
    rows = pd.DataFrame({"row": text.rows} | {name: values for name, (values, _) in read.items()})
    rows["used"] = True
    return rows, _set_aside(rows, faults)


def _set_aside(rows, faults):
    """Take the rows that faults name out of use; returns the faults."""
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
    """Drag and tare in N; the side force without the stand's share of it."""
    rows["drag"] *= rows.drag_unit.map(NEWTONS)
    rows["tare"] *= rows.tare_unit.map(NEWTONS)
    rows["side_force"] -= rows.side_tare


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


def _at_one_yaw(sheet, set_up, yaw):
    """Drag area at a yaw, and its variance as a share of that of a single run."""
    angles, mean, runs = sheet._at_yaw(set_up)
    weights = YawCurve(angles, np.eye(angles.size))(yaw)
    return float(weights @ mean), float(weights**2 @ (1 / runs))


def _whole(name, value, low, high):
    if isinstance(value, bool) or not isinstance(value, (int, np.integer)) or not low <= value <= high:
        raise ValueError(f"{name} {value!r} must be a whole number from {low} to {high}.")
    return int(value)

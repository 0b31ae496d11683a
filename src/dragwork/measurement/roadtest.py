"""The road test: a drag area from laps with a power meter, or from one known ride.

The fit is a regression on the power balance. For each lap

    power at the wheel / speed - slope - inertia  =  pressure of the air x drag area
                                                     + weight on the road x rolling coefficient

so that the force is a straight line over the dynamic pressure: its slope is the drag area. Laps out
and back are averaged to pairs first; in a pair a steady wind and a slope cancel to first order.
Nothing is tuned by eye. Wind is taken along the road, so a drag area found here is that of the
small yaw angles of a calm day.
"""

from dataclasses import dataclass, field, fields, replace
from functools import cached_property

import numpy as np
import pandas as pd
from scipy import stats

from dragwork.measurement.field_sheet import (
    LapSheet,
    Rejected,
    empty_sheet,
    lap_acceleration,
    read_laps,
)
from dragwork.measurement.regression import LeastSquares, condition_of, least_squares
from dragwork.measurement.tunnel import Comparison
from dragwork.measurement.uncertainty import check_confidence, half_width, welch_satterthwaite
from dragwork.physics.drag import dynamic_pressure
from dragwork.physics.resistance import inertia_force, rolling_force, slope_force
from dragwork.quantities import (
    QUANTITIES,
    check_standard_uncertainties,
    checked,
    needs,
    refuse,
)
from dragwork.units import to_kmh, to_percent

__all__ = [
    "FieldErrors", "FieldFit", "LapSheet", "OneRide", "RideDoubts", "WindAndSlope", "budget",
    "drag_area_of_ride", "empty_sheet", "fit", "from_one_ride", "read_laps", "wind_and_slope",
]  # fmt: skip

# Above this condition the columns of a regression can hardly be told apart (BELSLEY1980).
WORST_CONDITION = 30.0
OUTLIER_RISK = 0.01  # of calling any sound pair of a whole test an outlier
MOST_OUTLIERS = 0.2  # of the pairs: with more of them nothing says which are the odd ones

# How the noise of a lap is taken to grow with speed; the ratio of the two counts, the level is
# told by the residuals. Common practice, no source.
NOISE_OF_POWER = 0.01  # of the lap's wheel force
NOISE_OF_WIND = 0.2  # m/s along the road, from lap to lap
_USUAL_AREA, _USUAL_ROLLING = 0.3, 0.004  # m2, 1: close enough for weights
MOST_OF_ONE_RIDE = 1.5  # m2: more than a rider sitting bolt upright in loose clothing, COMMON_PRACTICE
MOST_IMPOSSIBLE = 0.05  # of the draws: with more of them the range would be cut off, not told

_UNIT = 0.1  # rolling coefficients go to 0.2, so the force at 1 is ten times that at 0.1


# Standard uncertainties beyond these are no longer small.
_MOST = {"all_up_mass": 20.0, "head_wind": 5.0, "gradient": 0.05, "rolling_coefficient": 0.01}


@dataclass(frozen=True)
class FieldErrors:
    """Standard uncertainties of what all laps of a test have in common. Common practice.

    Parameters
    ----------
    power_scale : float
        Relative, of the power meter.
    drivetrain_efficiency : float
        Of wheel power over crank power.
    speed_scale : float
        Relative, of speed and distance: the wheel's circumference.
    air_density : float
        Relative, from the errors of thermometer and barometer.
    all_up_mass : float [kg]
    head_wind : float [m/s]
        A steady wind along the road that nobody noted.
    gradient : float
        A slope of the road that nobody noted.
    rolling_coefficient : float
        Of one that is given and not fitted.

    Source: COMMON_PRACTICE, SMIT2023
    """

    power_scale: float = 0.010
    drivetrain_efficiency: float = 0.010
    speed_scale: float = 0.002
    air_density: float = 0.003
    all_up_mass: float = 0.5
    head_wind: float = 0.5
    gradient: float = 0.001
    rolling_coefficient: float = 0.0005

    def __post_init__(self):
        check_standard_uncertainties(self, _MOST)


NO_ERRORS = FieldErrors(*[0.0] * len(fields(FieldErrors)))


@dataclass(frozen=True, eq=False)
class FieldFit:
    """What the laps of a road test say.

    Parameters
    ----------
    names : tuple of str
        'drag_area', or 'drag_area K' and so on where there are several positions; and
        'rolling_coefficient' where it was fitted.
    positions : tuple of str
    values : (k,) array
        In the order of `names`.
    covariance : (k, k) array
        Scatter and shared errors together.
    regression : LeastSquares
        The scatter alone, with .condition and .correlation.
    shared : dict of str to (k,) array
        What one standard uncertainty of each shared error does to the values.
    observations : pandas.DataFrame
        One line a pair (or a lap, without pairing): laps, position, speed [m/s],
        dynamic_pressure [Pa], force [N, air and tyres at the wheel], weight [N], residual [N],
        standard_uncertainty [relative to the others].
    rejected : tuple of Rejected
        Laps not used, with the reason.
    legs : pandas.DataFrame
        The laps that were used, each with dynamic_pressure and force as in `observations`, and
        drag_area [m2], what that leg alone says with the fit's rolling coefficient.
    rolling_coefficient : float
        Fitted, or as it was given.
    legs_each : int
        Legs in an observation: 2 for pairs.
    confidence : float
        Of `intervals`.

    Source: GUM
    """

    names: tuple
    positions: tuple
    values: np.ndarray
    covariance: np.ndarray
    regression: LeastSquares
    shared: dict
    observations: pd.DataFrame
    rejected: tuple
    legs: pd.DataFrame
    rolling_coefficient: float
    legs_each: int
    confidence: float

    @property
    def drag_area(self):
        """Drag area [m2]; with several positions a dict of code to drag area."""
        found = {code: float(v) for code, v in zip(self.positions, self.values)}
        return found if len(found) > 1 else next(iter(found.values()))

    @property
    def standard_errors(self):
        """Standard uncertainty of each of `names`, scatter and shared errors together."""
        return dict(zip(self.names, np.sqrt(np.diag(self.covariance)).tolist()))

    @property
    def correlation(self):
        """Correlation of the values in the order of `names`; of the scatter: `.regression`."""
        u = np.sqrt(np.diag(self.covariance))
        with np.errstate(invalid="ignore", divide="ignore"):
            return self.covariance / np.outer(u, u)

    @property
    def degrees_of_freedom(self):
        """Of the scatter: observations less values fitted."""
        return self.regression.degrees_of_freedom

    @property
    def residual_spread(self):
        """Standard deviation of the residuals [N, wheel force of a typical observation]."""
        typical = float(np.median(self.observations.standard_uncertainty))
        return self.regression.residual_spread * typical

    @cached_property
    def intervals(self):
        """(low, high) of each of `names`, at the level `confidence`."""
        found = {}
        for i, name in enumerate(self.names):
            row = np.eye(len(self.names))[i]
            _, low, high, _, _ = self._interval(row)
            found[name] = (low, high)
        return found

    def difference(self, a, b):
        """How much less drag area position b has than position a.

        What all laps share scales both alike, so it scales the difference and does not blur it.

        Parameters
        ----------
        a, b : str
            Codes of two positions.

        Returns
        -------
        Comparison [m2]
            .difference (positive where b is smaller), .low, .high, .confidence,
            .standard_uncertainty, .degrees_of_freedom

        Raises
        ------
        ValueError
            For positions that the test does not hold, in words.

        Source: GUM
        """
        for code in (a, b):
            if code not in self.positions:
                there = ", ".join(self.positions)
                raise ValueError(f"position '{code}' was not tested here; there are: {there}.")
        if a == b:
            raise ValueError(f"Two different positions are needed; '{a}' was given twice.")
        row = np.zeros(len(self.names))
        row[self.positions.index(a)], row[self.positions.index(b)] = 1.0, -1.0
        value, low, high, u, dof = self._interval(row)
        return Comparison(value, low, high, self.confidence, u, dof)

    def prediction(self, pressure, position=None, new=True):
        """Wheel force of air and tyres at another dynamic pressure, with its band.

        Parameters
        ----------
        pressure : float or array [Pa]
            Dynamic pressure of the air along the road.
        position : str, optional
            By default the first.
        new : bool
            True: where one more pair would lie. False: where the line itself lies.

        Returns
        -------
        Band [N]
            .value .low .high, from the scatter alone: it is what the next pair on the same day
            would show on the same instruments.

        Raises
        ------
        ValueError
            For a position that was not tested, or a pressure below 0, in words.

        Source: GUM
        """
        code = self.positions[0] if position is None else position
        if code not in self.positions:
            there = ", ".join(self.positions)
            raise ValueError(f"position '{code}' was not tested here; there are: {there}.")
        q = np.asarray(pressure, dtype=float)
        refuse(~((q >= 0) & np.isfinite(q)), "pressure {:g} Pa must be at least 0.", q)
        rows = np.zeros((*q.shape, len(self.names)))
        rows[..., self.positions.index(code)] = q
        weight = float(self.observations.weight.mean())
        fitted = len(self.names) > len(self.positions)
        if fitted:
            rows[..., -1] = weight
        speed = np.sqrt(2 * q / float(self.legs.air_density.mean()))
        u = _noise(speed, q, weight) / np.sqrt(self.legs_each) if new else 0.0
        band = self.regression.predict(rows, u, self.confidence)
        given = 0.0 if fitted else weight * self.rolling_coefficient
        return replace(band, value=band.value + given, low=band.low + given, high=band.high + given)

    def _interval(self, row):
        """Value, ends, standard uncertainty and degrees of freedom of a combination of values."""
        scatter = float(np.sqrt(row @ self.regression.covariance @ row))
        parts = [scatter, *(abs(float(row @ shift)) for shift in self.shared.values())]
        dof = welch_satterthwaite(parts, [self.degrees_of_freedom] + [np.inf] * len(self.shared))
        u, value = float(np.linalg.norm(parts)), float(row @ self.values)
        half = half_width(u, dof, confidence=self.confidence)
        return value, value - half, value + half, u, dof


def fit(
    laps,
    rolling_coefficient=None,
    pairs=True,
    head_wind=None,
    gradient=None,
    drivetrain_efficiency=0.975,
    rotating_mass=0.0,
    errors=None,
    confidence=0.95,
):
    """Drag area and rolling coefficient from laps, by weighted least squares on the power balance.

    Each pair of legs (or each lap, without pairing) is one observation. One rolling coefficient
    serves all positions. The scatter is told by the residuals; what all laps share is added from
    `errors`. Pairs far from the line of the others (a t test at 1 % for the whole set) are
    left out and named.

    Parameters
    ----------
    laps : LapSheet
    rolling_coefficient : float, optional
        Given, not fitted; its uncertainty is that of `errors`. Needed where all laps were ridden
        at nearly one speed. By default it is fitted.
    pairs : bool
        True: legs out and back are averaged, so that wind and slope cancel; a leg without its
        partner is left out. False: each lap stands alone.
    head_wind : float, optional [m/s]
        Along the road, on the way out, negative from behind. By default that of the sheet, and 0
        where the sheet does not say.
    gradient : float, optional
        Of the road on the way out, rise over run; by default that of the sheet, else 0.
    drivetrain_efficiency : float
        0.5 to 1.
    rotating_mass : float [kg]
        What the spinning wheels add when speed changes.
    errors : FieldErrors, optional
        What all laps share; by default common practice.
    confidence : float
        Level of the intervals.

    Returns
    -------
    FieldFit
        .drag_area [m2], .rolling_coefficient, .standard_errors, .correlation, .intervals,
        .prediction(pressure), .difference(a, b), .residual_spread [N], .degrees_of_freedom,
        .rejected

    Raises
    ------
    ValueError
        Where there are too few laps, or where their speeds are too much alike to part drag area
        and rolling, in words.

    Source: MARTIN1998, GUM
    """
    needs(LapSheet, laps=laps)
    errors = FieldErrors() if errors is None else errors
    needs(FieldErrors, errors=errors)
    check_confidence(confidence)
    known = {"head_wind": head_wind, "gradient": gradient}
    _check_known(drivetrain_efficiency, rotating_mass, rolling_coefficient, **known)
    road = _Road(drivetrain_efficiency, rotating_mass, rolling_coefficient, **known)
    used, without_partner = _in_use(laps, pairs)
    test = _Test(used, pairs, road)
    regression, kept, outliers = _without_outliers(test)
    shared = test.shared_shifts(errors, kept, regression.coefficients)
    fitted = regression.coefficients[-1] if rolling_coefficient is None else rolling_coefficient
    covariance = regression.covariance + sum(np.outer(s, s) for s in shared.values())
    rejected = laps.rejected + without_partner + outliers
    return FieldFit(
        names=test.names,
        positions=test.positions,
        values=regression.coefficients,
        covariance=covariance,
        regression=regression,
        shared=shared,
        observations=test.table(kept, regression),
        rejected=tuple(sorted(rejected, key=lambda lap: lap.row)),
        legs=test.leg_table(kept, fitted),
        rolling_coefficient=float(fitted),
        legs_each=2 if pairs else 1,
        confidence=confidence,
    )


def budget(found, position=None):
    """Where the uncertainty of a road test's drag area comes from.

    Parameters
    ----------
    found : FieldFit
    position : str, optional
        By default the first.

    Returns
    -------
    pandas.DataFrame
        cause, drag_area [m2, one standard uncertainty], share of the variance; largest first.

    Raises
    ------
    ValueError
        For a position that was not tested, in words.

    Source: GUM
    """
    needs(FieldFit, found=found)
    code = found.positions[0] if position is None else position
    if code not in found.positions:
        there = ", ".join(found.positions)
        raise ValueError(f"position '{code}' was not tested here; there are: {there}.")
    place = found.positions.index(code)
    parts = {"scatter": float(found.regression.standard_errors[place])}
    parts |= {cause: abs(float(shift[place])) for cause, shift in found.shared.items()}
    table = pd.DataFrame({"cause": parts.keys(), "drag_area": parts.values()})
    table["share"] = table.drag_area**2 / max(float((table.drag_area**2).sum()), 1e-300)
    return table.sort_values("drag_area", ascending=False, kind="stable").reset_index(drop=True)


@dataclass(frozen=True)
class WindAndSlope:
    """A steady head wind on the way out [m/s] and the gradient out, with standard errors."""

    head_wind: float
    gradient: float
    head_wind_error: float
    gradient_error: float


def wind_and_slope(found):
    """What the two legs of each pair say about wind and slope, which their mean does not need.

    Half the difference of the forces out and back is a straight line over speed: the wind gives its
    slope, rho CdA w v, and the gradient its start, m g G.

    Parameters
    ----------
    found : FieldFit
        Of pairs, fitted with wind and slope left at 0.

    Returns
    -------
    WindAndSlope
        .head_wind [m/s, on the way out, the mean of the day], .gradient (out), and their
        standard errors

    Raises
    ------
    ValueError
        Without pairs, or where all were ridden at nearly one speed, in words.

    Source: ALGEBRA
    """
    needs(FieldFit, found=found)
    legs = found.legs[found.legs.direction != "loop"]
    out, back = (legs[legs.direction == way].set_index("observation") for way in ("out", "back"))
    both = out.index.intersection(back.index)
    if len(both) < 3:
        raise ValueError(f"{len(both)} pairs out and back: at least 3 are needed.")
    out, back = out.loc[both], back.loc[both]
    area = out.position.map(dict(zip(found.positions, found.values)))
    lean = (out.force - back.force) / 2
    per_wind = area * (out.air_density + back.air_density) / 2 * (out.speed + back.speed) / 2
    per_slope = rolling_force(out.all_up_mass, _UNIT) / _UNIT  # the weight
    design = np.column_stack([per_wind, per_slope])
    if condition_of(design, np.ones(len(both))) > WORST_CONDITION:
        raise ValueError(
            "all pairs were ridden at nearly one speed: wind and slope then look alike, and "
            "nothing here parts them."
        )
    half = least_squares(design, lean)
    (wind, grade), errors = half.coefficients, half.standard_errors
    return WindAndSlope(float(wind), float(grade), float(errors[0]), float(errors[1]))


# -- inside the fit -----------------------------------------------------------------------------------


def _check_known(drivetrain_efficiency, rotating_mass, rolling_coefficient, head_wind, gradient):
    checked(drivetrain_efficiency=drivetrain_efficiency, rotating_mass=rotating_mass)
    if rolling_coefficient is not None:
        checked(rolling_coefficient=rolling_coefficient)
    if gradient is not None:
        checked(gradient=gradient)
    if head_wind is not None and not abs(head_wind) <= 15:
        raise ValueError(
            f"head_wind {head_wind:g} m/s is outside the allowed range, -15 to 15 m/s. "
            "It is the wind along the road on the way out."
        )


def _in_use(laps, pairs):
    """The laps that the fit uses, and those that lack their partner."""
    used = laps.used
    if not pairs:
        return used, ()
    size = used.groupby("pair").pair.transform("size")
    whole = (used.direction == "loop") | ((used.pair > 0) & (size == 2))
    alone = tuple(
        Rejected(int(lap.row), lap.lap, "the leg in the other direction is missing, so that wind and slope do not cancel.")
        for lap in used[~whole].itertuples()
    )  # fmt: skip
    return used[whole], alone


@dataclass(frozen=True)
class _Road:
    """What is taken as known about rider and road; None = as the sheet says."""

    efficiency: float
    rotating_mass: float
    rolling: float | None
    head_wind: float | None
    gradient: float | None


class _Test:
    """The laps of a test as arrays, and the regression that they make."""

    def __init__(self, used, pairs, road):
        self.road, self.pairs = road, pairs
        self.used = used
        self.positions = tuple(str(code) for code in used.position.unique())
        self.names = self._names()
        numbers = used.pair if pairs else pd.Series(np.arange(len(used)), used.index)
        self.numbers, self.of = np.unique(numbers.to_numpy(), return_inverse=True)
        self.n = len(self.numbers)
        if self.n <= len(self.names):
            raise ValueError(self._too_few())
        # The way that wind and slope count: out as given, back against it, a loop neither.
        self.way = used.direction.map({"out": 1.0, "back": -1.0, "loop": 0.0}).to_numpy()
        self.legs_of = np.bincount(self.of)
        code = used.position.map({c: i for i, c in enumerate(self.positions)}).to_numpy()
        self.code = np.zeros(self.n, dtype=int)
        self.code[self.of] = code
        columns = (
            "power", "zero", "speed", "start_speed", "end_speed", "distance", "air_density",
            "all_up_mass",
        )  # fmt: skip
        self.data = {name: used[name].to_numpy(dtype=float) for name in columns}
        self.data["acceleration"] = lap_acceleration(used).to_numpy()
        for name in ("head_wind", "gradient"):
            given = getattr(road, name)
            of_sheet = used[name].fillna(0.0).to_numpy() if name in used else np.zeros(len(used))
            self.data[name] = of_sheet if given is None else given * self.way
        self.leg_pressure, self.leg_force, self.leg_weight = self._legs(self.data, road.efficiency)
        self.noise = np.sqrt(
            self._mean(_noise(self.data["speed"], self.leg_pressure, self.leg_weight) ** 2)
            / self.legs_of
        )

    def _names(self):
        many = len(self.positions) > 1
        areas = tuple(f"drag_area {code}" if many else "drag_area" for code in self.positions)
        return areas if self.road.rolling is not None else (*areas, "rolling_coefficient")

    def _too_few(self):
        what = "pairs of legs" if self.pairs else "laps"
        asked = ", ".join(self.names) or "drag_area"
        return (
            f"{self.n} usable {what} for {len(self.names) or 1} unknowns ({asked}): at least one "
            "more than unknowns is needed to see any scatter. See .rejected and .faults for what "
            "was left out."
        )

    def _legs(self, data, efficiency):
        """Of each lap: pressure of the air [Pa], force of air and tyres [N], weight [N]."""
        m, G = data["all_up_mass"], data["gradient"]
        along = data["speed"] + data["head_wind"]
        pressure = np.sign(along) * dynamic_pressure(data["air_density"], np.abs(along))
        force = efficiency * (data["power"] - data["zero"]) / data["speed"] - slope_force(m, G)
        force -= inertia_force(m, self.road.rotating_mass, data["acceleration"])
        return pressure, force, rolling_force(m, _UNIT, G) / _UNIT

    def _mean(self, legs):
        return np.bincount(self.of, legs, self.n) / self.legs_of

    def _system(self, pressure, force, weight):
        """Design and response of the regression, one row an observation."""
        q, y, w = (self._mean(legs) for legs in (pressure, force, weight))
        design = np.zeros((self.n, len(self.names)))
        design[np.arange(self.n), self.code] = q
        if self.road.rolling is None:
            design[:, -1] = w
        else:
            y = y - self.road.rolling * w
        return design, y

    @cached_property
    def system(self):
        return self._system(self.leg_pressure, self.leg_force, self.leg_weight)

    def solve(self, kept, system=None):
        design, response = system or self.system
        return least_squares(design[kept], response[kept], self.noise[kept])

    def shared_shifts(self, errors, kept, found):
        """What one standard uncertainty of each shared error does to the values."""
        shifts = {}
        for name, u in vars(errors).items():
            if name == "rolling_coefficient" and self.road.rolling is None:
                continue
            up, down = (self._shifted(name, by, kept) - found for by in (u, -u))
            shifts[name] = (up - down) / 2
            if name == "head_wind":
                # What a wind does to the square of the air speed has no sign and does not cancel.
                # For a normal wind the root mean square of w^2 is sqrt(3) u^2.
                shifts["head_wind_squared"] = np.sqrt(3) * (up + down) / 2
        return shifts

    def _shifted(self, name, u, kept):
        """The values, were the input another by u."""
        if name == "rolling_coefficient":
            design, y = self.system
            return self.solve(kept, (design, y - u * self._mean(self.leg_weight))).coefficients
        data, efficiency = dict(self.data), self.road.efficiency
        if name == "drivetrain_efficiency":
            efficiency = efficiency + u
        elif name == "power_scale":
            data["power"], data["zero"] = data["power"] * (1 + u), data["zero"] * (1 + u)
        elif name == "speed_scale":
            # a = (v1^2 - v0^2)/2d, and the distance is read off the same wheel.
            data["speed"], data["acceleration"] = data["speed"] * (1 + u), data["acceleration"] * (1 + u)
        elif name == "air_density":
            data[name] = data[name] * (1 + u)
        elif name == "all_up_mass":
            data[name] = data[name] + u
        else:  # head_wind and gradient: the same road, seen from the other end on the way back
            data[name] = data[name] + u * self.way
        return self.solve(kept, self._system(*self._legs(data, efficiency))).coefficients

    def labels(self):
        """The laps of each observation, in words."""
        names = self.used.lap.to_numpy()
        return [" and ".join(names[self.of == i]) for i in range(self.n)]

    def table(self, kept, regression):
        q, y, w = (
            self._mean(legs) for legs in (self.leg_pressure, self.leg_force, self.leg_weight)
        )
        table = pd.DataFrame(
            {
                "laps": self.labels(),
                "position": np.array(self.positions)[self.code],
                "speed": self._mean(self.data["speed"]),
                "dynamic_pressure": q,
                "force": y,
                "weight": w,
                "standard_uncertainty": self.noise,
            }
        )[kept].reset_index(drop=True)
        return table.assign(residual=regression.residuals)

    def leg_table(self, kept, rolling):
        air = self.leg_force - rolling * self.leg_weight
        legs = self.used.assign(
            observation=self.of,
            dynamic_pressure=self.leg_pressure,
            force=self.leg_force,
            drag_area=air / self.leg_pressure,
        )
        return legs[kept[self.of]].reset_index(drop=True)

    def rejected(self, observation, t):
        """The laps of an outlying observation."""
        laps = self.used[self.of == observation]
        return tuple(
            Rejected(int(lap.row), lap.lap, f"lies {abs(t):.1f} standard deviations off the line of all others.")
            for lap in laps.itertuples()
        )  # fmt: skip


def _noise(speed, pressure, weight):
    """How far a lap's force may be off, on a scale that its neighbours share."""
    force = _USUAL_AREA * np.abs(pressure) + _USUAL_ROLLING * weight
    wind = 2 * _USUAL_AREA * np.abs(pressure) / np.maximum(speed, 0.1) * NOISE_OF_WIND
    return np.hypot(NOISE_OF_POWER * force, wind)


def _without_outliers(test):
    """The regression without observations that do not belong to it, and those laps."""
    kept, outliers = np.ones(test.n, dtype=bool), ()
    while True:
        _refuse_one_speed(test, kept)
        regression = test.solve(kept)
        t = np.abs(np.nan_to_num(regression.deleted_residuals))
        most, dof = int(np.argmax(t)), regression.degrees_of_freedom - 1
        if dof < 2 or np.mean(kept) <= 1 - MOST_OUTLIERS:
            return regression, kept, outliers
        limit = stats.t.ppf(1 - OUTLIER_RISK / (2 * kept.sum()), dof)
        noise_free = regression.residual_spread <= 1e-9 * np.abs(test.system[1]).max()
        if noise_free or t[most] <= limit:
            return regression, kept, outliers
        worst = int(np.flatnonzero(kept)[most])
        outliers += test.rejected(worst, regression.deleted_residuals[most])
        kept[worst] = False


def _refuse_one_speed(test, kept):
    """Refuse to part drag area and rolling where their columns are nearly multiples."""
    condition = condition_of(test.system[0][kept], test.noise[kept])
    if test.road.rolling is not None or condition <= WORST_CONDITION:
        return
    v = test.data["speed"]
    # Two columns of length 1 that enclose the angle whose cosine is c have condition^2 =
    # (1 + c)/(1 - c), and -c is the correlation of their coefficients.
    correlation = 2 / (1 + condition**2) - 1
    raise ValueError(
        f"the laps were all ridden at nearly one speed, {v.min():.1f} to {v.max():.1f} m/s. There a "
        "little more drag area and a little less rolling give the same watts (condition "
        f"{condition:.0f}, correlation {correlation:.4f}), so the two cannot be told apart. Ride at "
        "a second speed, or give rolling_coefficient: then the drag area follows, with the "
        "uncertainty of that."
    )


# -- one known ride -----------------------------------------------------------------------------------


@dataclass(frozen=True)
class RideDoubts:
    """Standard uncertainties of what is said about one ride. Common practice, no source.

    Parameters
    ----------
    power : float
        Relative. 0.02 for a power meter; 0.1 or more for an honest guess.
    ground_speed : float
        Relative.
    air_density : float
        Relative.
    all_up_mass : float [kg]
    rolling_coefficient : float
    drivetrain_efficiency : float
    head_wind : float [m/s]
        Of the mean wind along the road.
    gradient : float
        Of the mean slope.

    Source: COMMON_PRACTICE, SMIT2023
    """

    power: float = 0.02
    ground_speed: float = 0.005
    air_density: float = 0.01
    all_up_mass: float = 1.0
    rolling_coefficient: float = 0.001
    drivetrain_efficiency: float = 0.010
    head_wind: float = 0.5
    gradient: float = 0.001

    def __post_init__(self):
        check_standard_uncertainties(self, {**_MOST, "power": 0.5})


@dataclass(frozen=True)
class OneRide:
    """A drag area from one ride, as a range.

    Parameters
    ----------
    drag_area, low, high : float [m2]
        From the numbers as they were said, and the ends of the range.
    confidence : float
    standard_uncertainty : float [m2]
    shares : dict of str to float
        Of the variance, by cause, each drawn alone; largest first.
    impossible : float
        Share of the draws that gave no drag area above 0, left out of the range: 0.05 at most.

    Source: JCGM101
    """

    drag_area: float
    low: float
    high: float
    confidence: float
    standard_uncertainty: float
    shares: dict = field(default_factory=dict)
    impossible: float = 0.0

    @property
    def dominant(self):
        """The cause of most of the width."""
        return next(iter(self.shares))


def from_one_ride(
    power,
    ground_speed,
    all_up_mass,
    air_density=1.2,
    rolling_coefficient=0.005,
    drivetrain_efficiency=0.975,
    head_wind=0.0,
    gradient=0.0,
    returns=False,
    doubts=None,
    confidence=0.95,
    draws=20_000,
    seed=0,
):
    """A drag area from one steady ride that somebody knows, as wide as it is.

    Equation of the power balance, solved for the drag area; what is not known exactly is drawn.

    Parameters
    ----------
    power : float [W]
        At the crank, from a meter or an honest guess.
    ground_speed : float [m/s]
        1 to 45, the mean of a steady ride without braking.
    all_up_mass : float [kg]
    air_density : float [kg/m3]
    rolling_coefficient : float
    drivetrain_efficiency : float
    head_wind : float [m/s]
        Mean wind along the road, negative from behind.
    gradient : float
        Mean slope, rise over run.
    returns : bool
        True for a ride that came back to its start: wind and slope then cancel to first order, and
        `head_wind` is that of the way out.
    doubts : RideDoubts, optional
        By default those of a ride with a power meter.
    confidence : float
    draws : int
        1000 to 1 million.
    seed : int

    Returns
    -------
    OneRide
        .drag_area [m2], .low, .high, .confidence, .dominant, .shares

    Raises
    ------
    ValueError
        Outside the ranges; where tyres and slope alone take more than the power; where the ride is
        so slow or so unclear that it tells no drag area (above 1.5 m2, or more than 5 % of the
        draws impossible); in words.

    Source: MARTIN1998, JCGM101, COMMON_PRACTICE
    """
    doubts = RideDoubts() if doubts is None else doubts
    needs(RideDoubts, doubts=doubts)
    check_confidence(confidence)
    _check_known(drivetrain_efficiency, 0.0, rolling_coefficient, head_wind, gradient)
    checked(power=power, ground_speed=ground_speed, all_up_mass=all_up_mass, air_density=air_density)
    if not ground_speed >= 1:
        raise ValueError(f"ground_speed {ground_speed:g} m/s is too low for this; at least 1 m/s.")
    if not isinstance(draws, (int, np.integer)) or not 1000 <= draws <= 1_000_000:
        raise ValueError(f"draws {draws} is no whole number or outside the allowed range, 1000 to 1000000.")
    said = {
        "power": power, "ground_speed": ground_speed, "air_density": air_density,
        "all_up_mass": all_up_mass, "rolling_coefficient": rolling_coefficient,
        "drivetrain_efficiency": drivetrain_efficiency, "head_wind": head_wind,
        "gradient": gradient,
    }  # fmt: skip
    best = float(drag_area_of_ride(**said, returns=returns))
    if not best > 0:
        raise ValueError(
            f"at {_speed(ground_speed)} tyres, slope and wind alone take all of {power:g} W at the "
            "crank, so nothing is left for drag. Look at speed, mass, wind and slope again."
        )
    if best > MOST_OF_ONE_RIDE:
        raise ValueError(
            f"{power:g} W at {_speed(ground_speed)} would take {best:.2f} m2, more than the "
            f"{MOST_OF_ONE_RIDE:g} m2 of any rider on a bicycle. {_BETTER_RIDE}"
        )
    normal = np.random.default_rng(seed).standard_normal((len(said), draws))
    drawn = {name: _drawn(name, said[name], getattr(doubts, name), z) for name, z in zip(said, normal)}
    areas = drag_area_of_ride(**drawn, returns=returns)
    possible = (areas > 0) & QUANTITIES["drag_area"].allows(areas)
    impossible = float(np.mean(~possible))
    if impossible > MOST_IMPOSSIBLE:
        raise ValueError(
            f"{power:g} W at {_speed(ground_speed)} tell no drag area: within the doubts about this ride "
            f"{to_percent(impossible):.0f} % of the draws give no possible one. {_BETTER_RIDE}"
        )
    low, high = np.quantile(areas[possible], [(1 - confidence) / 2, (1 + confidence) / 2])
    alone = {
        name: float(np.var(drag_area_of_ride(**{**said, name: drawn[name]}, returns=returns)))
        for name in said
    }
    total = sum(alone.values())
    shares = {name: part / total if total else 0.0 for name, part in alone.items()}
    return OneRide(
        best, float(low), float(high), confidence, float(np.std(areas[possible])),
        dict(sorted(shares.items(), key=lambda item: -item[1])), impossible,
    )  # fmt: skip


_BETTER_RIDE = (
    "A faster, steadier ride on a flatter road would help: there the air takes more of the power. "
    "Look at speed, wind and slope again, too."
)


def _speed(speed):
    return f"{speed:.3g} m/s ({to_kmh(speed):.3g} km/h)"


_RELATIVE = ("power", "ground_speed", "air_density")


def _drawn(name, middle, u, normal):
    """Draws about what was said, kept within the ranges of the library."""
    values = middle + u * (middle if name in _RELATIVE else 1.0) * normal
    if name == "head_wind":
        return values
    allowed = QUANTITIES[name]
    low = np.nextafter(allowed.low, np.inf) if allowed.above_low else allowed.low
    return np.clip(values, max(low, 1.0) if name == "ground_speed" else low, allowed.high)


def drag_area_of_ride(
    power,
    ground_speed,
    all_up_mass,
    air_density=1.2,
    rolling_coefficient=0.005,
    drivetrain_efficiency=0.975,
    head_wind=0.0,
    gradient=0.0,
    returns=False,
):
    """The drag area that the power balance leaves over for one steady ride, taken as exact.

    Parameters
    ----------
    power : float or array [W]
        At the crank.
    ground_speed : float or array [m/s]
    all_up_mass : float or array [kg]
    air_density : float or array [kg/m3]
    rolling_coefficient : float or array
    drivetrain_efficiency : float or array
    head_wind : float or array [m/s]
        Along the road, negative from behind.
    gradient : float or array
    returns : bool
        True for a ride out and back at one speed: wind and slope then cancel to first order.

    Returns
    -------
    float or array [m2]
        Not above 0 where tyres, slope and wind take all of the power; -1 where the air stands
        still about the rider, so that nothing can be said.

    Raises
    ------
    ValueError
        Outside the ranges, in words.

    Source: MARTIN1998
    """
    if returns:  # (v + w)^2 and (v - w)^2 average to v^2 + w^2; up and down cancel
        pressure = dynamic_pressure(air_density, np.hypot(ground_speed, head_wind))
        slope, weight = 0.0, rolling_force(all_up_mass, rolling_coefficient)
    else:
        along = ground_speed + np.asarray(head_wind)
        pressure = np.sign(along) * dynamic_pressure(air_density, np.abs(along))
        slope = slope_force(all_up_mass, gradient)
        weight = rolling_force(all_up_mass, rolling_coefficient, gradient)
    P, v, eta = checked(
        power=power, ground_speed=ground_speed, drivetrain_efficiency=drivetrain_efficiency
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        area = (eta * P / v - slope - weight) / pressure
    return np.where(np.isfinite(area), area, -1.0)[()]

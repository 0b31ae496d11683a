"""The road test: drag areas from laps with a power meter.

The fit is a regression on the power balance. For each lap

    power at the wheel / speed - slope - inertia  =  pressure of the air x drag area
                                                     + weight on the road x rolling coefficient

so that the force is a straight line over the dynamic pressure: its slope is the drag area. Laps out
and back are averaged to pairs first; in a pair a steady wind and a slope cancel to first order.
Nothing is tuned by eye. Wind is taken along the road, so a drag area found here is that of the
small yaw angles of a calm day. What the laps show to be wrong, and what they cannot show, is said
in `.notes`.
"""

from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import combinations
from operator import itemgetter

import numpy as np
import pandas as pd

from dragwork.constants import STANDARD_GRAVITY
from dragwork.measurement import field_sheet
from dragwork.measurement.comparison import difference_interval
from dragwork.measurement.field_sheet import LapSheet, Rejected, lap_forces, lap_noise, read_laps
from dragwork.measurement.one_ride import MOST_UNCERTAIN, check_known, from_one_ride
from dragwork.measurement.regression import LeastSquares, condition_of, least_squares
from dragwork.measurement.sentences import say
from dragwork.measurement.uncertainty import check_confidence, welch_satterthwaite
from dragwork.quantities import check_uncertainties, needs, refuse, true_minus
from dragwork.units import to_kmh, to_percent

__all__ = [
    "FieldErrors", "FieldFit", "LapSheet", "WindAndSlope", "budget", "fit", "from_one_ride", "read_laps",
    "wind_and_slope",
]  # fmt: skip

# Above this condition the columns of a regression can hardly be separated (BELSLEY1980).
WORST_CONDITION = 30.0

# The rolling coefficients of tyres on roads, from a fast tyre on smooth asphalt to a rough road
# (COMMON_PRACTICE). One beyond them has something else in it: wind from the side, a meter's offset.
ROLLING_ON_ROADS = (0.002, 0.006)
RISE_WITH_YAW = 1.0  # of a drag area, each radian: 17 % at 10 degrees; COMMON_PRACTICE
WINDY = 1.5  # m/s along the road; as much may blow across it unseen, COMMON_PRACTICE
SURE_OF_A_DRIFT = 0.01  # chance of so large a drift without one
WORTH_SAYING = 0.2  # of the variance of a difference, from the order ridden

# What laps cannot show at all: sizes to say its effect for. Common practice, no source.
UNSEEN_SIDE_WIND, UNSEEN_OFFSET, UNSEEN_FALL = 2.0, 5.0, 0.002  # m/s, W, m2 for each m/s


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
        Of one that is given and not fitted, with all other forces that do not grow with speed.
    meter_offset : float [W]
        That the meter's zero does not show.
    constant_force : float [N]
        Not of the tyres and not growing with speed (bearings, a brake that rubs, most of a meter's
        offset): a rolling coefficient that is fitted holds it.
    drift : float [m2]
        Of the drag areas from the first lap to the last: the position slips, clothing loosens.
    speed_gain : float [m/s]
        By which all laps end faster than they begin, where the sheet has no start and end speeds.

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
    meter_offset: float = 1.0
    constant_force: float = 0.5
    drift: float = 0.008
    speed_gain: float = 0.0

    def __post_init__(self):
        most = {"meter_offset": 20.0, "constant_force": 5.0, "speed_gain": 2.0}
        check_uncertainties(self, MOST_UNCERTAIN | most)


def usual_errors(laps):
    """What all laps of a sheet share, by common practice, wider where the sheet leaves something out.

    Parameters
    ----------
    laps : LapSheet

    Returns
    -------
    FieldErrors [each in its own unit]

    Source: COMMON_PRACTICE
    """
    usual = FieldErrors()
    return replace(usual, **{n: float(np.hypot(getattr(usual, n), u)) for n, u in laps.widened.items()})


class RollingNeeded(ValueError):
    """Drag area and rolling coefficient cannot both be found: one speed, or too few laps for both."""


@dataclass(frozen=True, eq=False)
class FieldFit:
    """What the laps of a road test say.

    Parameters
    ----------
    names : tuple of str
        'drag_area', or 'drag_area K' and so on where there are several positions; and
        'rolling_coefficient' where it was fitted.
    positions : tuple of str
    regression : LeastSquares
        The scatter alone.
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
    suspected : dict of str to (k,) array
        By how much the values may be too large, each for a cause that the laps betray. The
        intervals reach as far; an effect with one sign widens one side.
    notes : tuple of str
        What is odd about the laps, what was widened for it, and what laps cannot show; each with
        what to do.

    Source: GUM
    """

    names: tuple
    positions: tuple
    regression: LeastSquares
    shared: dict
    observations: pd.DataFrame
    rejected: tuple
    legs: pd.DataFrame
    rolling_coefficient: float
    legs_each: int
    confidence: float
    suspected: dict = field(default_factory=dict)
    notes: tuple = ()

    @property
    def values(self):
        """In the order of `names`."""
        return self.regression.coefficients

    @property
    def covariance(self):
        """Of the values: scatter and shared errors together."""
        return self.regression.covariance + sum(np.outer(s, s) for s in self.shared.values())

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
        found = map(self._combined, np.eye(len(self.names)))
        return {name: (each.low, each.high) for name, each in zip(self.names, found)}

    def place_of(self, position=None):
        """Place of a position among `positions`; 0 for None. One that was not tested is refused in words."""
        if position is not None and position not in self.positions:
            there = ", ".join(self.positions)
            raise ValueError(f"position '{position}' was not tested here; there are: {there}.")
        return 0 if position is None else self.positions.index(position)

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
        plus, minus = (np.eye(len(self.names))[self.place_of(code)] for code in (a, b))
        if a == b:
            raise ValueError(f"Two different positions are needed; '{a}' was given twice.")
        return self._combined(plus - minus)

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
        Estimate [N]
            .mid .low .high, from the scatter alone: it is what the next pair on the same day
            would show on the same instruments.

        Raises
        ------
        ValueError
            For a position that was not tested, or a pressure below 0, in words.

        Source: GUM
        """
        place = self.place_of(position)
        q = np.asarray(pressure, dtype=float)
        refuse(~((q >= 0) & np.isfinite(q)), "pressure {:g} Pa must be at least 0.", q)
        rows = np.zeros((*q.shape, len(self.names)))
        rows[..., place] = q
        weight = float(self.observations.weight.mean())
        fitted = len(self.names) > len(self.positions)
        if fitted:
            rows[..., -1] = weight
        speed = np.sqrt(2 * q / float(self.legs.air_density.mean()))
        u = lap_noise(speed, q, weight) / np.sqrt(self.legs_each) if new else 0.0
        band = self.regression.predict(rows, u, self.confidence)
        given = 0.0 if fitted else weight * self.rolling_coefficient
        return replace(band, low=band.low + given, mid=band.mid + given, high=band.high + given)

    def _combined(self, row):
        """A combination of the values, its interval as far as what is suspected reaches."""
        scatter = float(np.sqrt(row @ self.regression.covariance @ row))
        parts = [scatter, *(abs(float(row @ shift)) for shift in self.shared.values())]
        dof = welch_satterthwaite(parts, [self.degrees_of_freedom] + [np.inf] * len(self.shared))
        u, value = np.linalg.norm(parts), float(row @ self.values)
        found = difference_interval(value, u, dof, confidence=self.confidence)
        may_be = [0.0, *(-float(row @ shift) for shift in self.suspected.values())]
        return replace(found, low=found.low + min(may_be), high=found.high + max(may_be))


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
    serves all positions. The scatter is shown by the residuals; what all laps share is added from
    `errors`. A fitted rolling coefficient that no tyre has on a road, or a strong wind along it,
    widens the intervals; `.notes` says so.

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
        What all laps share; by default `usual_errors` of the sheet.
    confidence : float
        Level of the intervals.

    Returns
    -------
    FieldFit
        .drag_area [m2], .rolling_coefficient, .standard_errors, .intervals,
        .prediction(pressure), .difference(a, b), .residual_spread [N], .degrees_of_freedom,
        .rejected, .notes

    Raises
    ------
    ValueError
        Where there are too few laps, in words; `RollingNeeded` where their speeds are too much alike to
        separate drag area and rolling.

    Source: MARTIN1998, GUM
    """
    needs(LapSheet, laps=laps)
    errors = usual_errors(laps) if errors is None else errors
    needs(FieldErrors, errors=errors)
    check_confidence(confidence)
    of_bicycle = {"drivetrain_efficiency": drivetrain_efficiency, "rotating_mass": rotating_mass}
    check_known(head_wind, gradient=gradient, rolling_coefficient=rolling_coefficient, **of_bicycle)
    used, without_partner = _in_use(laps, pairs)
    way = used.direction.map(_WAYS)
    given = {"head_wind": head_wind, "gradient": gradient}
    known = {name: used[name].fillna(0.0) if x is None else x * way for name, x in given.items()}
    used = used.assign(**known)
    test = _Test(used, pairs, rolling_coefficient, drivetrain_efficiency, rotating_mass)
    regression = test.solve(test.design, test.response)
    fitted = regression.coefficients[-1] if rolling_coefficient is None else rolling_coefficient
    found = FieldFit(
        names=test.names,
        positions=test.positions,
        regression=regression,
        shared=test.shared_shifts(errors, regression),
        observations=test.observations(regression),
        rejected=tuple(sorted(laps.rejected + without_partner, key=lambda lap: lap.row)),
        legs=test.legs(fitted),
        rolling_coefficient=float(fitted),
        legs_each=2 if pairs else 1,
        confidence=confidence,
    )
    return _audited(found, test, _left_out(laps, errors, found))


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
    place = found.place_of(position)
    parts = {"scatter": float(found.regression.standard_errors[place])}
    parts |= {cause: abs(float(shift[place])) for cause, shift in found.shared.items()}
    table = pd.DataFrame({"cause": parts.keys(), "drag_area": parts.values()})
    table["share"] = table.drag_area**2 / max(float((table.drag_area**2).sum()), 1e-300)
    return table.sort_values("drag_area", ascending=False, kind="stable").reset_index(drop=True)


@dataclass(frozen=True)
class WindAndSlope:
    """A steady headwind on the way out [m/s] and the gradient out, with standard errors."""

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
    design = np.column_stack([per_wind, out.all_up_mass * STANDARD_GRAVITY])
    if condition_of(design, np.ones(len(both))) > WORST_CONDITION:
        raise ValueError(say("laps", "pairs of one speed"))
    half = least_squares(design, lean)
    return WindAndSlope(*map(float, (*half.coefficients, *half.standard_errors)))


# -- inside the fit -----------------------------------------------------------------------------------


def _in_use(laps, pairs):
    """The laps that the fit uses, and those that lack their partner."""
    used = laps.used
    if not pairs:
        return used, ()
    size = used.groupby("pair").pair.transform("size")
    whole = (used.direction == "loop") | ((used.pair > 0) & (size == 2))
    why = say("laps", "no partner")
    return used[whole], tuple(Rejected(int(r.row), r.lap, why) for r in used[~whole].itertuples())


# The way that wind and slope count: out as given, back against it, a loop neither.
_WAYS = {"out": 1.0, "back": -1.0, "loop": 0.0}
# What is read too large by one part: a = (v1^2 - v0^2)/2d, and the distance is read off the same
# wheel as the speeds.
_SCALED = {
    "power_scale": ("power", "zero"), "air_density": ("air_density",),
    "speed_scale": ("speed", "start_speed", "end_speed", "distance"),
}  # fmt: skip


class _Test:
    """The laps of a test as arrays, and the regression that they make; rolling None: it is fitted."""

    def __init__(self, used, pairs, rolling, efficiency, rotating_mass):
        self.used, self.pairs, self.rolling = used, pairs, rolling
        self.efficiency, self.rotating_mass = efficiency, rotating_mass
        self.positions = tuple(str(code) for code in used.position.unique())
        areas = [f"drag_area {code}" for code in self.positions]
        tyres = ["rolling_coefficient"] if rolling is None else []
        self.names = (*(areas if len(areas) > 1 else ["drag_area"]), *tyres)
        self.of, numbers = pd.factorize(used.pair if pairs else np.arange(len(used)), sort=True)
        self.n, self.legs_of = len(numbers), np.bincount(self.of)
        if self.n < len(self.names):
            raise ValueError(self._too_few())
        self.code = np.zeros(self.n, dtype=int)
        self.code[self.of] = pd.factorize(used.position)[0]
        # How far into the test a lap was ridden: -1/2 to 1/2.
        order = used.order.to_numpy(dtype=float)
        self.part = (order - order.mean()) / max(float(np.ptp(order)), 1.0)
        self.way = used.direction.map(_WAYS).to_numpy()
        self.data = {name: column.to_numpy(float) for name, column in used.select_dtypes("number").items()}
        self.pressure, self.force, self.weight = lap_forces(self.data, efficiency, rotating_mass)
        speed = self.data["speed"]
        # Newtons for 1 m/s more at the end than at the start: m (v1^2 - v0^2)/2d.
        self.gain = (self.data["all_up_mass"] + rotating_mass) * speed / self.data["distance"]
        noise = lap_noise(speed, self.pressure, self.weight)
        self.noise = np.sqrt(self._mean(noise**2) / self.legs_of)
        self.design, self.response = self._system(self.pressure, self.force, self.weight)
        if rolling is None and condition_of(self.design, self.noise) > WORST_CONDITION:
            raise RollingNeeded(say("laps", "one speed", low=to_kmh(speed.min()), high=speed.max()))
        if self.n == len(self.names):
            raise (ValueError if rolling is not None else RollingNeeded)(self._too_few())

    def _too_few(self):
        one, many = ("pair of legs", "pairs of legs") if self.pairs else ("lap", "laps")
        what = f"{len(self.positions)} drag areas" if len(self.positions) > 1 else "a drag area"
        fitted = self.rolling is None
        tyres = " and the rolling coefficient" if fitted else ""
        needed = max(len(self.positions), 1) + fitted + 1
        give = " Or give the rolling coefficient: then one less will do." if fitted else ""
        gaps = {"number": self.n or "No", "observations": one if self.n == 1 else many, "what": what}
        return say("laps", "too few", tyres=tyres, needed=needed, give=give, **gaps)

    def _mean(self, legs):
        return np.bincount(self.of, legs, self.n) / self.legs_of

    def _system(self, pressure, force, weight):
        """Design and response of the regression, one row an observation."""
        q, y, w = (self._mean(legs) for legs in (pressure, force, weight))
        design = np.zeros((self.n, len(self.names)))
        design[np.arange(self.n), self.code] = q
        if self.rolling is not None:
            return design, y - self.rolling * w
        design[:, -1] = w
        return design, y

    def solve(self, design, response):
        return least_squares(design, response, self.noise, field_sheet.LEAST_NOISE)

    def shift(self, force):
        """What another force on each lap [N], air and tyres being the same, does to the values."""
        force = np.broadcast_to(force, self.of.shape)
        return self.solve(self.design, self._mean(force)).coefficients

    def shared_shifts(self, errors, regression):
        """What one standard uncertainty of each shared error does to the values."""
        held_in_another = "rolling_coefficient" if self.rolling is None else "constant_force"
        shifts = {}
        for name, u in vars(errors).items():
            if name != held_in_another:
                up, down = (self._read_off_by(name, x) - regression.coefficients for x in (u, -u))
                shifts[name] = (up - down) / 2
            if name == "head_wind":
                # What a wind does to the square of the air speed has no sign and does not cancel.
                # For a normal wind the root mean square of w^2 is sqrt(3) u^2.
                shifts["head_wind_squared"] = np.sqrt(3) * (up + down) / 2
        return shifts

    def _read_off_by(self, name, u):
        """The values, were an input or a force another by u."""
        data = self.data | {one: self.data[one] * (1 + u) for one in _SCALED.get(name, ())}
        if name in ("meter_offset", "all_up_mass", "head_wind", "gradient"):
            read = "power" if name == "meter_offset" else name
            # Wind and slope: the same road, seen from the other end on the way back.
            data[read] = data[read] + u * (self.way if name in ("head_wind", "gradient") else 1.0)
        efficiency = self.efficiency + (u if name == "drivetrain_efficiency" else 0.0)
        pressure, force, weight = lap_forces(data, efficiency, self.rotating_mass)
        extra = {
            "rolling_coefficient": -weight, "constant_force": 1.0, "speed_gain": -self.gain,
            "drift": self.part * pressure,
        }.get(name, 0.0)  # fmt: skip
        return self.solve(*self._system(pressure, force + u * extra, weight)).coefficients

    def side_wind(self, areas, speed):
        """What a wind across the road does to the values: q grows by its square, and C by yaw."""
        area, rho, v = areas[self.code][self.of], self.data["air_density"] / 2, self.data["speed"]
        return self.shift(rho * area * (RISE_WITH_YAW * v * speed + speed**2))

    def drift(self):
        """A drift of the drag areas over the test [m2], and its chance without one."""
        design = np.column_stack([self.design, self._mean(self.part * self.pressure)])
        if self.n <= design.shape[1] or condition_of(design, self.noise) > WORST_CONDITION:
            return 0.0, 1.0
        found = self.solve(design, self.response)
        climb, u = found.coefficients[-1], found.standard_errors[-1]
        return float(climb), difference_interval(climb, u, found.degrees_of_freedom).p_value

    def observations(self, regression):
        """The observations of the regression."""
        legs = (self.data["speed"], self.pressure, self.force, self.weight)
        columns = dict(zip(("speed", "dynamic_pressure", "force", "weight"), map(self._mean, legs)))
        return pd.DataFrame({
            "laps": self.used.groupby(self.of).lap.agg(" and ".join).to_numpy(),
            "position": np.array(self.positions)[self.code], **columns,
            "standard_uncertainty": self.noise, "residual": regression.residuals,
        })  # fmt: skip

    def legs(self, rolling):
        """What each leg says alone, with the fit's rolling coefficient."""
        area = (self.force - rolling * self.weight) / self.pressure
        found = {"dynamic_pressure": self.pressure, "force": self.force, "drag_area": area}
        return self.used.assign(observation=self.of, **found).reset_index(drop=True)


# -- the test as a whole --------------------------------------------------------------------------------


def _audited(found, test, notes):
    """The same fit with what the laps betray: wider ranges where they help, and notes."""
    areas = found.values[: len(found.positions)]
    suspected, wind = {}, 0.0
    rolling, (low, high) = found.rolling_coefficient, ROLLING_ON_ROADS
    if test.pairs and test.rolling is None and not low <= rolling <= high:
        suspected, note = _odd_rolling(rolling, test, areas)
        notes.append(note)
    with suppress(ValueError):  # where pairs cannot show a wind
        wind = abs(wind_and_slope(found).head_wind) if test.pairs else 0.0
    if wind > WINDY:  # it comes with one across the road, on another road or at another hour
        across = test.side_wind(areas, wind)
        suspected["side_wind"] = max(suspected.get("side_wind", across), across, key=itemgetter(0))
        notes.append(say("laps", "wind along", wind=wind, price=across[0]))
    climb, chance = test.drift()
    if chance < SURE_OF_A_DRIFT:
        seen = test.shift(climb * test.part * test.pressure)
        drift = max(found.shared["drift"], seen, key=np.linalg.norm)
        found = replace(found, shared=found.shared | {"drift": drift})
        notes.append(say("laps", "drift", way="rise" if climb > 0 else "fall", size=abs(climb)))
    notes += [*_order(found), *_too_alike(found), *_unseen(test, areas)]
    return replace(found, suspected=suspected, notes=tuple(notes))


def _left_out(laps, errors, found):
    """What the sheet leaves out, and its price for the first drag area."""
    legs = found.legs
    # Crank power that goes into a change of speed over a lap, the mean of all laps.
    gain = (legs.all_up_mass * errors.speed_gain * legs.speed**2 / legs.distance).mean()
    gaps = {"errors": errors, "watts": gain / field_sheet.USUAL_EFFICIENCY}
    missing = [name for name in ("meter_offset", "speed_gain") if name in laps.widened]
    return [say("laps", name, price=abs(found.shared[name][0]), **gaps) for name in missing]


def _odd_rolling(rolling, test, areas):
    """What may be in a rolling coefficient that no tyre has on a road: shifts, and a note."""
    extra = rolling - field_sheet.USUAL_ROLLING
    offset = test.shift(test.efficiency / test.data["speed"])  # of 1 W
    watts = extra / offset[-1]
    suspected, wind = {"meter_offset": watts * offset}, ""
    if extra > 0:
        one, two = (test.side_wind(areas, speed)[-1] for speed in (1.0, 2.0))
        square = (two - 2 * one) / 2
        linear = one - square
        speed = (np.sqrt(linear**2 + 4 * square * extra) - linear) / (2 * square)
        suspected["side_wind"] = test.side_wind(areas, speed)
        wind = f"{say('laps', 'wind from the side', speed=speed)} or "
    return suspected, say(
        "laps", "odd rolling", rolling=rolling, usual=ROLLING_ON_ROADS, wind=wind, watts=abs(watts),
        much="much" if watts > 0 else "little", slow="slow" if extra > 0 else "fast",
    )  # fmt: skip


def _order(found):
    """Positions ridden one after the other, so that a drift looks like a difference."""
    rows = dict(zip(found.positions, np.eye(len(found.names))))
    for a, b in combinations(found.positions, 2):
        row = rows[a] - rows[b]
        moved = abs(float(row @ found.shared["drift"]))
        if moved**2 > WORTH_SAYING * (row @ found.covariance @ row):
            yield say("laps", "not in turn", a=a, b=b, moved=moved)


def _too_alike(found):
    """Laps that agree better than anybody can measure."""
    numbers = ["speed", "start_speed", "end_speed", "power", "zero"]
    copies = found.legs[found.legs.duplicated([*numbers, "direction", "position"], keep=False)]
    if len(copies):
        return [say("laps", "copies", laps=", ".join(copies.lap))]
    return [say("laps", "too alike")] if found.regression.residual_spread <= field_sheet.LEAST_NOISE else []


def _unseen(test, areas):
    """What no lap can show, and what it would do to the first drag area."""
    v = test.data["speed"]
    side = test.side_wind(areas, UNSEEN_SIDE_WIND)[0]
    fall = test.shift(-UNSEEN_FALL * (v - v.mean()) * test.pressure)[0]
    offset = test.shift(UNSEEN_OFFSET * test.efficiency / v)
    tyres = "" if test.rolling is not None else f" and the rolling coefficient by {offset[-1]:+.4f}"
    angle, low, high = to_percent(RISE_WITH_YAW) * np.pi / 18, to_kmh(v.min()), v.max()
    notes = (
        say("laps", "unseen wind", angle=angle, wind=UNSEEN_SIDE_WIND, price=side),
        say("laps", "unseen offset", offset=UNSEEN_OFFSET, price=offset[0], tyres=tyres),
        say("laps", "unseen fall", low=low, high=high, fall=UNSEEN_FALL, price=fall),
    )
    return map(true_minus, notes)

"""Coast-down: what holds a rider back, from the seconds it takes to slow down.

The force is taken as A + C v^2: tyres and all else that does not change with speed, and the air.
For a rider, C = rho CdA/2 and A = Crr m g. Times are means of both directions of the road, so that
a slope and a steady wind cancel to first order.
"""

from dataclasses import dataclass

import numpy as np
from scipy import optimize

from dragwork.measurement.regression import LeastSquares, least_squares
from dragwork.physics.resistance import rolling_force
from dragwork.quantities import checked, refuse

__all__ = ["CoastDown", "coast_down", "coasting_time"]

_HARDLY_ANY = 1e-6  # of the force: less than this cannot be told from nothing
_UNIT = 0.1  # rolling coefficients go to 0.2, so the force at 1 is ten times that at 0.1


def coasting_time(all_up_mass, constant_force, air_factor, start_speed, end_speed, rotating_mass=0.0):
    """Time to slow down from one speed to another under the force A + C v^2.

    t = M/sqrt(A C) (atan(k v1) - atan(k v2)), k = sqrt(C/A), M the mass with that of the wheels.

    Parameters
    ----------
    all_up_mass : float or array [kg]
    constant_force : float or array [N]
        A, above 0.
    air_factor : float or array [kg/m]
        C, above 0.
    start_speed : float or array [m/s]
    end_speed : float or array [m/s]
        At most the start speed.
    rotating_mass : float or array [kg]
        What the spinning wheels add.

    Returns
    -------
    float or array [s]

    Raises
    ------
    ValueError
        Outside the ranges, or where the end speed lies above the start speed, in words.

    Source: CFR86
    """
    m, m_r, v1, v2 = checked(
        all_up_mass=all_up_mass, rotating_mass=rotating_mass, start_speed=start_speed, speed=end_speed
    )
    A, C = np.asarray(constant_force, dtype=float), np.asarray(air_factor, dtype=float)
    for name, value in (("constant_force", A), ("air_factor", C)):
        refuse(~((value > 0) & np.isfinite(value)), name + " {:g} must be above 0.", value)
    refuse(v2 > v1 + 0 * v2, "end_speed {:g} m/s lies above start_speed {:g} m/s.", v2, v1)
    k = np.sqrt(C / A)
    return ((m + m_r) / np.sqrt(A * C) * (np.arctan(k * v1) - np.arctan(k * v2)))[()]


@dataclass(frozen=True, eq=False)
class CoastDown:
    """What coast-down times say.

    Parameters
    ----------
    drag_area : float [m2]
    rolling_coefficient : float
    constant_force : float [N]
    air_factor : float [kg/m]
    standard_errors : dict of str to float
        Of these four, from the scatter of the times.
    correlation : float
        Of constant force and air factor.
    residual_spread : float [s]
    degrees_of_freedom : int
    regression : LeastSquares
        At the solution, in A and C.

    Source: CFR86
    """

    drag_area: float
    rolling_coefficient: float
    constant_force: float
    air_factor: float
    standard_errors: dict
    correlation: float
    residual_spread: float
    degrees_of_freedom: int
    regression: LeastSquares


def coast_down(start_speed, end_speed, time, all_up_mass, air_density, rotating_mass=0.0):
    """Fit A + C v^2 to coast-down times, by least squares on the closed form.

    Parameters
    ----------
    start_speed : (n,) array [m/s]
    end_speed : (n,) array [m/s]
        Above 0 and below the start speed.
    time : (n,) array [s]
        To slow down from the one to the other: for each the mean of both directions.
    all_up_mass : float [kg]
    air_density : float [kg/m3]
    rotating_mass : float [kg]

    Returns
    -------
    CoastDown
        .drag_area [m2], .rolling_coefficient, .constant_force [N], .air_factor [kg/m],
        .standard_errors, .correlation, .residual_spread [s]

    Raises
    ------
    ValueError
        For times that do not fit together, too few of them, or ones that no drag and rolling
        explain, in words.

    Source: CFR86, GUM
    """
    m, rho, m_r = checked(
        all_up_mass=all_up_mass, air_density=air_density, rotating_mass=rotating_mass
    )
    (v1, v2), t = checked(start_speed=start_speed, speed=end_speed), np.asarray(time, dtype=float)
    if t.ndim != 1 or t.size < 3 or not v1.shape == v2.shape == t.shape:
        raise ValueError("time needs at least 3 values, one for each start and end speed.")
    refuse(~(v2 < v1), "end_speed {:g} m/s must lie below start_speed {:g} m/s.", v2, v1)
    refuse(~((t > 0) & np.isfinite(t)), "time {:g} s must be above 0.", t)
    first = _first_guess(v1, v2, t, m + m_r)

    def modelled(logs):
        return coasting_time(m, *np.exp(logs), v1, v2, m_r)

    found = optimize.least_squares(
        lambda logs: modelled(logs) - t, np.log(first), xtol=1e-14, ftol=1e-14, gtol=1e-14
    )
    force = np.exp(found.x)
    parts = force * [1.0, float(np.mean(v1 * v2))]
    if parts.min() < _HARDLY_ANY * parts.sum():
        what = "rolling, the force grows too fast" if parts.argmin() == 0 else "air, the force does not grow"
        raise ValueError(
            f"these times leave nothing for {what} with speed. Look at the times again, and at wind "
            "and slope: are they means of both directions?"
        )
    # The slopes by A and C at the solution turn the last step into a linear regression.
    slopes = _slopes(m + m_r, *force, v1, v2)
    regression = least_squares(slopes, t - modelled(found.x) + slopes @ force)
    (A, C), (u_A, u_C) = regression.coefficients, regression.standard_errors
    per_rolling = rolling_force(m, _UNIT) / _UNIT
    values = {
        "drag_area": (2 / rho * C, 2 / rho * u_C), "rolling_coefficient": (A / per_rolling, u_A / per_rolling),
        "constant_force": (A, u_A), "air_factor": (C, u_C),
    }  # fmt: skip
    return CoastDown(
        **{name: float(value) for name, (value, _) in values.items()},
        standard_errors={name: float(u) for name, (_, u) in values.items()},
        correlation=float(regression.correlation[0, 1]),
        residual_spread=regression.residual_spread,
        degrees_of_freedom=regression.degrees_of_freedom,
        regression=regression,
    )


def _first_guess(v1, v2, t, mass):
    """A and C from the mean deceleration of each interval, kept above 0."""
    force, square = mass * (v1 - v2) / t, (v1**2 + v1 * v2 + v2**2) / 3
    C, A = np.polyfit(square, force, 1)
    least = 0.02 * float(np.mean(force))
    return max(A, least), max(C, least / float(np.max(square)))


def _slopes(mass, A, C, v1, v2):
    """By how much the time changes with A and with C."""
    k, product = np.sqrt(C / A), np.sqrt(A * C)
    swept = np.arctan(k * v1) - np.arctan(k * v2)
    bent = k * v1 / (1 + (k * v1) ** 2) - k * v2 / (1 + (k * v2) ** 2)
    return mass / (2 * product) * np.column_stack([-(swept + bent) / A, (bent - swept) / C])

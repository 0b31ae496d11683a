"""Air: how dense it is, from what a weather station reads or from altitude alone."""

from dataclasses import dataclass

import numpy as np

from dragwork.constants import CIPM2007, ISO2533, STANDARD_GRAVITY, ZERO_CELSIUS
from dragwork.quantities import checked


def saturation_vapour_pressure(temperature):
    """Vapour pressure of air that can hold no more water.

    Equation: p_sv = exp(A_v*T^2 + B_v*T + C_v + D_v/T)

    Parameters
    ----------
    temperature : float or array [K]
        Air temperature, 230 to 330. The formula is a fit over liquid water, 0 to 27 degC best;
        below freezing it gives the value over supercooled water.

    Returns
    -------
    float or array [Pa]

    Source: CIPM2007
    """
    T = checked(temperature=temperature)
    A, B, C, D = CIPM2007.vapour
    return np.exp(A * T**2 + B * T + C + D / T)


def density(temperature, pressure, relative_humidity=0.0):
    """Density of moist air.

    Equation: rho = p*M_a/(Z*R*T)*(1 - x_v*(1 - M_v/M_a))

    Parameters
    ----------
    temperature : float or array [K]
        230 to 330.
    pressure : float or array [Pa]
        Pressure where you are (station pressure), 20 to 115 kPa; not the forecast's, which is
        reduced to sea level (see `station_pressure`).
    relative_humidity : float or array
        0 to 1.

    Returns
    -------
    float or array [kg/m3]
        Standard uncertainty of the equation itself 22 parts per million within 15 to 27 degC and
        60 to 110 kPa; outside that still computed, and within 2 parts in 10,000 of a reference
        library over -8 to 39 degC and 65 to 104 kPa.

    Source: CIPM2007
    """
    T, p = checked(temperature=temperature, pressure=pressure)
    k = CIPM2007
    vapour = vapour_fraction(T, p, relative_humidity)
    Z = _compressibility(T, p, vapour)
    mass_ratio = k.molar_mass_water / k.molar_mass_dry_air
    dry = p * k.molar_mass_dry_air / (Z * k.molar_gas_constant * T)
    return dry * (1 - vapour * (1 - mass_ratio))


def vapour_fraction(temperature, pressure, relative_humidity):
    """Share of the molecules of moist air that are water.

    Equation: x_v = h*f*p_sv/p

    Parameters
    ----------
    temperature : float or array [K]
        230 to 330.
    pressure : float or array [Pa]
        20 to 115 kPa.
    relative_humidity : float or array
        0 to 1.

    Returns
    -------
    float or array
        A fraction; f is the small enhancement factor of real air.

    Source: CIPM2007
    """
    T, p = checked(temperature=temperature, pressure=pressure)
    h = checked(relative_humidity=relative_humidity)
    alpha, beta, gamma = CIPM2007.enhancement
    f = alpha + beta * p + gamma * (T - ZERO_CELSIUS) ** 2
    return h * f * saturation_vapour_pressure(T) / p


def _compressibility(T, p, vapour):
    """Z of moist air, CIPM2007 appendix A: how far real air departs from the ideal gas."""
    k = CIPM2007
    t = T - ZERO_CELSIUS
    dry = k.a[0] + k.a[1] * t + k.a[2] * t**2
    moist = (k.b[0] + k.b[1] * t) * vapour + (k.c[0] + k.c[1] * t) * vapour**2
    return 1 - p / T * (dry + moist) + (p / T) ** 2 * (k.d + k.e * vapour**2)


def dynamic_viscosity(temperature):
    """Dynamic viscosity of air.

    Equation: mu = beta*T^(3/2)/(T + T_S)

    Parameters
    ----------
    temperature : float or array [K]
        230 to 330.

    Returns
    -------
    float or array [Pa s]

    Source: ISO2533
    """
    T = checked(temperature=temperature)
    return ISO2533.viscosity_factor * T**1.5 / (T + ISO2533.viscosity_temperature)


@dataclass(frozen=True, eq=False)
class StandardAir:
    """Temperature [K], pressure [Pa] and density [kg/m3] of the standard atmosphere."""

    temperature: float
    pressure: float
    density: float


def standard_atmosphere(altitude):
    """The standard atmosphere: a mean day at that altitude, dry.

    Equation: H = r_E*z/(r_E + z)
    Equation: T = T_0 - L*H
    Equation: p = p_0*(T/T_0)^(g/(L*R_s))
    Equation: rho = p/(R_s*T)

    Parameters
    ----------
    altitude : float or array [m]
        GEOMETRIC altitude above sea level, -400 to 11,000; turned into geopotential altitude
        H = r*z/(r + z) inside.

    Returns
    -------
    StandardAir
        .temperature [K], .pressure [Pa], .density [kg/m3]

    Source: ISO2533
    """
    z = checked(altitude=altitude)
    k = ISO2533
    H = k.earth_radius * z / (k.earth_radius + z)
    T = k.temperature - k.lapse_rate * H
    p = k.pressure * (T / k.temperature) ** (STANDARD_GRAVITY / (k.lapse_rate * k.gas_constant))
    return StandardAir(T, p, p / (k.gas_constant * T))


def station_pressure(sea_level_pressure, altitude, temperature):
    """Pressure where you ride, from the forecast's pressure, which is reduced to sea level.

    Equation: p = p_sl*exp(-g*z/(R_s*T_m))
    Equation: T_m = T + L*z/2

    Parameters
    ----------
    sea_level_pressure : float or array [Pa]
        20 to 115 kPa.
    altitude : float or array [m]
        Altitude of the road, -400 to 11,000.
    temperature : float or array [K]
        At the station; T_m = T + 0.00325 K/m * z is the mean of the column of air below it.

    Returns
    -------
    float or array [Pa]

    Source: WMO8
    """
    z, T = checked(altitude=altitude, temperature=temperature)
    p0 = checked(sea_level_pressure=sea_level_pressure)
    mean_temperature = T + ISO2533.lapse_rate / 2 * z
    return p0 * np.exp(-STANDARD_GRAVITY * z / (ISO2533.gas_constant * mean_temperature))

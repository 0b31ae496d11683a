"""Constants of nature and of standards, each with its unit and the key of its source."""

from dataclasses import dataclass

STANDARD_GRAVITY = 9.80665  # m/s2, CGPM1901
ZERO_CELSIUS = 273.15  # K, BIPM_SI


@dataclass(frozen=True)
class Iso2533:
    """The standard atmosphere below 11 km. Source: ISO2533."""

    temperature: float = 288.15  # K, at sea level
    pressure: float = 101325.0  # Pa, at sea level
    lapse_rate: float = 0.0065  # K per metre of geopotential altitude
    gas_constant: float = 8314.32 / 28.9644  # J/(kg K), R*/M as the standard fixes them
    earth_radius: float = 6356766.0  # m, nominal, for geopotential altitude
    viscosity_factor: float = 1.458e-6  # kg/(m s K^0.5), Sutherland's law
    viscosity_temperature: float = 110.4  # K, Sutherland's law


@dataclass(frozen=True)
class Cipm2007:
    """Coefficients of the moist-air equation. Source: CIPM2007, section 2 and appendix A."""

    molar_gas_constant: float = 8.314472  # J/(mol K)
    molar_mass_dry_air: float = 28.96546e-3  # kg/mol, at 400 parts per million of CO2
    molar_mass_water: float = 18.01528e-3  # kg/mol
    vapour: tuple = (1.2378847e-5, -1.9121316e-2, 33.93711047, -6.3431645e3)  # K-2, K-1, 1, K
    enhancement: tuple = (1.00062, 3.14e-8, 5.6e-7)  # 1, Pa-1, degC-2
    a: tuple = (1.58123e-6, -2.9331e-8, 1.1043e-10)  # K Pa-1, Pa-1, K-1 Pa-1
    b: tuple = (5.707e-6, -2.051e-8)  # K Pa-1, Pa-1
    c: tuple = (1.9898e-4, -2.376e-6)  # K Pa-1, Pa-1
    d: float = 1.83e-11  # K2 Pa-2
    e: float = -0.765e-8  # K2 Pa-2


ISO2533 = Iso2533()
CIPM2007 = Cipm2007()

"""Air density and its neighbours, against standards, reference libraries and limits."""

import ambiance
import numpy as np
import published
import pytest
from hypothesis import given
from strategies import floats

from dragwork.constants import CIPM2007
from dragwork.physics.air import (
    density,
    dynamic_viscosity,
    saturation_vapour_pressure,
    standard_atmosphere,
    station_pressure,
    vapour_fraction,
)

RNG = np.random.default_rng(7)


@pytest.fixture(scope="module")
def coolprop():
    """The reference library, which takes seconds to load."""
    from CoolProp import CoolProp

    return CoolProp


def drawn(inputs, number=60):
    """Random states between the two ends of each input of a record."""
    return [RNG.uniform(low, high, number) for low, high in inputs.values()]


def test_compressibility_of_dry_air():
    (record,) = published.for_test("test_compressibility_of_dry_air")
    T, p = record.si["temperature"], record.si["pressure"]
    k = CIPM2007
    record.assert_close(p * k.molar_mass_dry_air / (density(T, p) * k.molar_gas_constant * T))


def test_oiml_short_form():
    (record,) = published.for_test("test_oiml_short_form")
    t = np.array(record.inputs["temperature"][0])[:, None, None]
    p = np.array(record.inputs["pressure"][0])[:, None]
    h = np.array(record.inputs["relative_humidity"][0])
    short_form = (0.34848 * p - 0.009 * h * np.exp(0.061 * t)) / (273.15 + t)
    argon_and_gas_constant = 28.96546 / 28.9635 * 8.31451 / 8.314472  # CIPM-81/91 to CIPM-2007
    ratio = density(t + 273.15, p * 100, h / 100) / (short_form * argon_and_gas_constant)
    assert np.abs(ratio - 1).max() < record.tolerance


def test_density_against_coolprop(coolprop):
    (record,) = published.for_test("test_density_against_coolprop")
    for T, p, h in np.transpose(drawn(record.si)):
        library = 1 / coolprop.HAPropsSI("Vha", "T", T, "P", p, "R", h)
        assert density(T, p, h) == pytest.approx(library, rel=record.tolerance)


def test_vapour_fraction_against_coolprop(coolprop):
    (record,) = published.for_test("test_vapour_fraction_against_coolprop")
    for T, p, h in np.transpose(drawn(record.si)):
        library = coolprop.HAPropsSI("psi_w", "T", T, "P", p, "R", h)
        assert vapour_fraction(T, p, h) == pytest.approx(library, rel=record.tolerance)


def test_saturation_against_coolprop(coolprop):
    (record,) = published.for_test("test_saturation_against_coolprop")
    (temperatures,) = drawn(record.si)
    library = [coolprop.PropsSI("P", "T", T, "Q", 0, "Water") for T in temperatures]
    assert saturation_vapour_pressure(temperatures) == pytest.approx(library, rel=record.tolerance)


def test_viscosity_against_coolprop(coolprop):
    (record,) = published.for_test("test_viscosity_against_coolprop")
    (temperatures,) = drawn(record.si)
    library = [coolprop.PropsSI("V", "T", T, "P", 101325, "Air") for T in temperatures]
    assert dynamic_viscosity(temperatures) == pytest.approx(library, rel=record.tolerance)


def test_standard_atmosphere_against_ambiance():
    (record,) = published.for_test("test_standard_atmosphere_against_ambiance")
    altitudes = np.linspace(*record.si["altitude"], 58)
    ours, library = standard_atmosphere(altitudes), ambiance.Atmosphere(altitudes)
    for part in ("temperature", "pressure", "density"):
        expected = getattr(library, part)
        assert getattr(ours, part) == pytest.approx(expected, rel=record.tolerance), part


@given(floats(235, 325), floats(30e3, 110e3), floats(0, 0.99), floats(0.5, 5))
def test_density_falls_with_temperature_and_humidity(T, p, h, step):
    assert density(T + step, p, h) < density(T, p, h)
    assert density(T, p, h + 0.01) < density(T, p, h)


@given(floats(235, 325), floats(30e3, 110e3), floats(0, 1))
def test_density_rises_with_pressure(T, p, h):
    assert density(T, p + 100, h) > density(T, p, h)


@given(floats(-400, 10990), floats(1, 10))
def test_atmosphere_thins_and_cools_with_altitude(altitude, step):
    low, high = standard_atmosphere(altitude), standard_atmosphere(altitude + step)
    for part in ("temperature", "pressure", "density"):
        assert getattr(high, part) < getattr(low, part)
    p = station_pressure(101325, altitude, 288.15)
    assert station_pressure(101325, altitude + step, 288.15) < p


@given(floats(235, 325), floats(30e3, 110e3), floats(0, 1))
def test_vapour_weighs_less_than_the_air_that_it_replaces(T, p, h):
    """The textbook form (p - 0.378 e)/(R_d T), good to two thousandths where vapour is thin."""
    e = vapour_fraction(T, p, h) * p
    k = CIPM2007
    textbook = (p - 0.378 * e) * k.molar_mass_dry_air / (k.molar_gas_constant * T)
    thickness = 0.002 + 0.02 * e / p
    assert density(T, p, h) == pytest.approx(textbook, rel=thickness)


@given(floats(230, 330), floats(20e3, 115e3))
def test_dry_air_holds_no_vapour(T, p):
    assert vapour_fraction(T, p, 0.0) == 0


@given(floats(230, 330), floats(20e3, 115e3))
def test_station_pressure_at_sea_level_is_the_forecast(T, p):
    assert station_pressure(p, 0.0, T) == p


def test_station_pressure_satisfies_the_hydrostatic_equation():
    """dp/dz = -rho g through a column with the stated lapse, at a small height."""
    T, p, z = 285.0, 101325.0, 10.0
    rho = p / (8314.32 / 28.9644 * (T + 0.0065 * z / 2))
    fall = p - station_pressure(p, z, T)
    assert fall == pytest.approx(rho * 9.80665 * z, rel=1e-3)

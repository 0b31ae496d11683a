"""The edge of the library: every unit against the standards, against pint, there and back."""

import inspect
from functools import cache

import numpy as np
import published
import pytest
from hypothesis import given
from hypothesis import strategies as st
from loops import over

from dragwork import units

PAIRS = {  # name in units: (its unit, the SI unit) in pint's words
    "kmh": ("kilometer/hour", "meter/second"),
    "deg": ("degree", "radian"),
    "celsius": ("degC", "kelvin"),
    "hectopascal": ("hectopascal", "pascal"),
    "grams_force": ("gram_force", "newton"),
    "kilometres": ("kilometer", "meter"),
    "minutes": ("minute", "second"),
    "hours": ("hour", "second"),
    "percent": ("percent", "dimensionless"),
}
# The unit of the table in pint's words; pint has them from published standards.
PINT = {
    "1": "dimensionless", "%": "percent", "m2": "meter**2", "cm2": "centimeter**2",
    "ft2": "foot**2", "m/s": "meter/second", "km/h": "kilometer/hour", "mph": "mile/hour",
    "ft/s": "foot/second", "kn": "knot", "W": "watt", "kW": "kilowatt", "kg": "kilogram",
    "g": "gram", "lb": "pound", "N": "newton", "gf": "gram_force", "kgf": "kilogram_force",
    "lbf": "pound_force", "kg/m3": "kilogram/meter**3", "g/m3": "gram/meter**3", "Pa": "pascal",
    "hPa": "hectopascal", "kPa": "kilopascal", "bar": "bar", "mmHg": "mmHg", "inHg": "inHg",
    "psi": "psi", "K": "kelvin", "degC": "degree_Celsius", "degF": "degree_Fahrenheit",
    "rad": "radian", "deg": "degree", "m": "meter", "km": "kilometer", "cm": "centimeter",
    "mm": "millimeter", "ft": "foot", "mi": "mile", "s": "second", "min": "minute", "h": "hour",
    "J": "joule", "kJ": "kilojoule", "Wh": "watt_hour", "kWh": "kilowatt_hour",
}  # fmt: skip
PUBLIC = {n for n, x in vars(units).items() if inspect.isfunction(x) and not n.startswith("_")}
PUBLIC -= {"dataclass", "spelt", "units_written", "unit_of"}
NUMBERS = st.floats(-1e6, 1e6)


@cache
def registry(**how):
    """The units of a reference library, which is slow to load."""
    import pint

    return pint.UnitRegistry(**how)


def test_units_into_si():
    for record in published.for_test("test_units_into_si"):
        convert = getattr(units, record.function.rsplit(".", 1)[1])
        record.assert_close(convert(record.inputs["x"]))


def test_units_against_pint():
    (record,) = published.for_test("test_units_against_pint")
    for name, (unit, si_unit) in PAIRS.items():
        for value in record.inputs["values"]:
            library = registry().Quantity(value, unit).to(si_unit).magnitude
            ours = getattr(units, name)(value)
            assert ours == pytest.approx(library, rel=record.tolerance, abs=1e-12), name


@over(units.UNITS)
def test_the_table_against_pint(name):
    assert PINT.keys() == units.UNITS.keys()
    pints, unit = registry(autoconvert_offset_to_baseunit=True), units.UNITS[name]
    for value in (-3.5, 0.0, 7.25, 1013.25):
        library = pints.Quantity(value, PINT[name]).to_base_units().magnitude
        assert unit.into_si(value) == pytest.approx(library, rel=1e-12, abs=1e-12)
        assert unit.out_of_si(unit.into_si(value)) == pytest.approx(value, rel=1e-12, abs=1e-12)


def test_the_table_against_the_handbook():
    for record in published.for_test("test_the_table_against_the_handbook"):
        record.assert_close(units.UNITS[record.inputs["unit"]].into_si(record.inputs["x"]))


WRITTEN = {  # how people write a unit -> what kind is wanted, and pint's name of what they mean
    "km/h": "km/h KMH kph km·h⁻¹", "m/s": "m·s^-1 m·s−1 M/S m/sec", "kn": "knots kts",
    "mph": "MPH m.p.h. mi/h", "ft/s": "fps ft/sec", "degC": "°C ºC deg.C c", "K": "kelvin",
    "degF": "°F degF Fahrenheit F", "deg": "° deg. Grad degrés grados", "hPa": "mbar MB hPa",
    "inHg": "inHg in.Hg", "mmHg": "mmHg Torr", "kPa": "kPa", "psi": "PSI lbf/in²", "%": "pct percent",
    "m2": "m² m^2 sqm", "cm2": "cm² cm^2", "kg/m3": "kg/m³ kg·m⁻³ g/l", "mi": "miles mile",
    "km": "kms kilometers k", "m": "meters metre", "ft": "feet ft", "min": "mins minutes",
    "h": "hrs hour", "s": "sec. Seconds", "W": "watts", "Wh": "watt-hours",
}  # fmt: skip
PHRASES = {
    "km/h": ("km h-1", "kilometres an hour", "Kilometers per hour", "km per h", "kilometres / hour"),
    "m/s": ("m s-1", "meters per second", "metres a second"), "mph": ("miles an hour", "miles/hour"),
    "ft/s": ("feet per second",), "m2": ("square meters", "sq m"), "%": ("per cent",),
    "degC": ("deg C", "degrees celsius", "Degree Celsius"), "degF": ("deg F",),
    "hPa": ("milli bar",), "mmHg": ("mm Hg", "millimetres of mercury"), "inHg": ("in Hg",),
    "kg/m3": ("kg m-3", "kilograms per cubic meter"), "gf": ("grams-force",),
}  # fmt: skip


@over(
    [(written, name) for name, many in WRITTEN.items() for written in many.split()]
    + [(written, name) for name, many in PHRASES.items() for written in many]
)
def test_a_unit_is_known_however_it_is_written(written, name):
    assert units.unit_of(written, units.UNITS[name].measures) is units.UNITS[name]


def test_each_unit_is_read_by_all_its_own_words_and_no_word_means_two_of_one_kind():
    for unit in units.UNITS.values():
        for written in (unit.name, unit.printed, unit.spoken, *unit.spellings.split()):
            if written:
                kinds = [found.measures for found in units.units_written(written)]
                assert units.unit_of(written, unit.measures) is unit
                assert len(kinds) == len(set(kinds)), written


def test_what_measures_two_things_is_told_by_what_is_wanted():
    for written, mass, force in (("g", "g", "gf"), ("grams", "g", "gf"), ("kg", "kg", "kgf"),
                                 ("lbs", "lb", "lbf")):  # fmt: skip
        assert units.unit_of(written, "mass").name == mass
        assert units.unit_of(written, "force").name == force
    assert units.units_written("kg")[0].name == "kg"  # the unit of this very name first
    for nothing in ("", " ", "furlong", "apples", "km/kg", "/", "h/km", "1"):
        assert units.unit_of(nothing, "speed") is None


def test_every_unit_is_in_this_file_and_has_its_way_back():
    assert PUBLIC == {*PAIRS, *(f"to_{name}" for name in PAIRS), "clock"}


@pytest.mark.parametrize("name", PAIRS)
@given(value=NUMBERS)
def test_there_and_back(name, value):
    into, out_of = getattr(units, name), getattr(units, f"to_{name}")
    assert out_of(into(value)) == pytest.approx(value, rel=1e-14, abs=1e-9)
    assert into(out_of(value)) == pytest.approx(value, rel=1e-14, abs=1e-9)


@pytest.mark.parametrize("name", sorted(PUBLIC - {"clock"}))
def test_scalars_lists_and_arrays(name):
    convert = getattr(units, name)
    assert isinstance(convert(3), float)
    assert isinstance(convert(np.float64(3)), float)
    many = convert([[1, 2], [3, 4]])
    assert many.shape == (2, 2)
    assert many[1, 0] == convert(3)


@pytest.mark.parametrize("name", sorted(PUBLIC - {"clock"}))
def test_text_is_refused_in_words(name):
    for value in ("36", "36 km/h", None):
        with pytest.raises(ValueError, match="not a number"):
            getattr(units, name)(value)


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0, "0:00"), (49, "0:49"), (59.4, "0:59"), (59.7, "1:00"), (725, "12:05"),
        (3599.6, "1:00:00"), (3750, "1:02:30"), (19_800, "5:30:00"), (-49, "-0:49"),
        (-0.4, "0:00"), (-3750, "-1:02:30"), (360_000, "100:00:00"),
    ],
)  # fmt: skip
def test_clock_reads_as_people_do(seconds, text):
    assert units.clock(seconds) == text


@pytest.mark.parametrize("value", ["5", None, float("nan"), float("inf")])
def test_clock_refuses_what_is_no_time(value):
    with pytest.raises(ValueError, match="number"):
        units.clock(value)


@given(st.integers(-360_000, 360_000))
def test_clock_loses_no_second(seconds):
    text = units.clock(seconds)
    total = 0
    for part in text.lstrip("-").split(":"):
        total = total * 60 + int(part)
    assert (-total if text.startswith("-") else total) == seconds

"""The edge of the library: every unit against the standards, against pint, there and back."""

import inspect

import numpy as np
import pint
import published
import pytest
from hypothesis import given
from hypothesis import strategies as st

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
PUBLIC = {n for n, x in vars(units).items() if inspect.isfunction(x) and not n.startswith("_")}
NUMBERS = st.floats(-1e6, 1e6)


def test_units_into_si():
    for record in published.for_test("test_units_into_si"):
        convert = getattr(units, record.function.rsplit(".", 1)[1])
        record.assert_close(convert(record.inputs["x"]))


def test_units_against_pint():
    (record,) = published.for_test("test_units_against_pint")
    registry = pint.UnitRegistry()
    for name, (unit, si_unit) in PAIRS.items():
        for value in record.inputs["values"]:
            library = registry.Quantity(value, unit).to(si_unit).magnitude
            ours = getattr(units, name)(value)
            assert ours == pytest.approx(library, rel=record.tolerance, abs=1e-12), name


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

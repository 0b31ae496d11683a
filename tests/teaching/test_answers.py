"""Reading what a learner types, and the knobs that read it."""

from dataclasses import replace
from math import isfinite

import pytest
from hypothesis import given
from hypothesis import strategies as some
from loops import over

from dragwork.quantities import QUANTITIES, checked
from dragwork.teaching.answers import parse_cost, parse_quantity, read_line
from dragwork.teaching.panels.knobs import CATALOGUE, Knob
from dragwork.units import UNITS, kmh

READ = [
    ("0.32", "m2", 0.32),
    ("0,32", "m2", 0.32),
    (" 0.32 m² ", "m2", 0.32),
    ("3200 cm2", "m2", 0.32),
    ("44 km/h", "km/h", 44.0),
    ("44 KMH", "km/h", 44.0),
    ("36 km/h", "m/s", 10.0),
    ("12,5m/s", "km/h", 45.0),
    ("−3", "deg", -3.0),
    ("–3°", "deg", -3.0),
    ("+3.", "deg", 3.0),
    (".5", "m", 0.5),
    ("1 200", "W", 1200.0),
    ("1.2 kW", "W", 1200.0),
    ("1.5e2 W", "W", 150.0),
    ("1,5 %", "1", 0.015),
    ("0.4", "%", 0.4),
    ("20 °C", "K", 293.15),
    ("1013 mbar", "Pa", 101300.0),
    ("3:20", "min", 3 + 20 / 60),
    ("-3:20", "s", -200.0),
    ("1:30", "h", 1.5),
    ("1:02:30", "min", 62.5),
    ("1:02,5", "s", 62.5),
    (12.5, "W", 12.5),
    (-3, "N", -3.0),
]

MILE, FOOT, POUND, G = 1609.344, 0.3048, 0.45359237, 9.80665  # m, m, kg, m/s2: exact by definition

AS_PEOPLE_TYPE = [  # typed, the unit of the box, what it comes to: the arithmetic written out
    ("6 min 18 s", "s", 6 * 60 + 18),
    ("6m18s", "s", 6 * 60 + 18),
    ("6 m 18", "s", 6 * 60 + 18),
    ("6:18 min", "s", 6 * 60 + 18),
    ("6:18 min", "min", 6 + 18 / 60),
    ("6:18 min:s", "s", 6 * 60 + 18),
    ("6'18\"", "s", 6 * 60 + 18),
    ("6 minutes and 18 seconds", "s", 6 * 60 + 18),
    ("1 min 30 s", "s", 90),
    ("1 min 30", "s", 90),
    ("-1 min 30 s", "s", -90),
    ("minus 1 min 30 s", "s", -90),
    ("1:06:40", "s", 4000),
    ("1:06:40 h", "s", 4000),
    ("1:06 h", "min", 66),
    ("1h06", "min", 66),
    ("1 h 6 min 40 s", "s", 4000),
    ("1 hour, 6 minutes", "min", 66),
    ("2h30m", "h", 2.5),
    ("90 min 30 s", "s", 5430),
    ("6m", "s", 360),
    ("1:30 min", "h", 1.5 / 60),
    ("about 44", "km/h", 44),
    ("~44", "km/h", 44),
    ("≈ 44 km/h", "km/h", 44),
    ("approx. 44", "km/h", 44),
    ("ca. 44", "km/h", 44),
    ("44 or so", "km/h", 44),
    ("44.", "km/h", 44),
    ("= 169.3", "W", 169.3),
    ("it is 169.3 W.", "W", 169.3),
    ("=-2,5", "W", -2.5),
    ("minus 23.8", "s", -23.8),
    ("Minus 23,8 s", "s", -23.8),
    ("plus 3", "s", 3),
    ("negative 5", "deg", -5),
    ("−23.8", "s", -23.8),
    ("44.3 per cent", "%", 44.3),
    ("44.3 percent", "%", 44.3),
    ("-4 percentage points", "%", -4),
    ("−4 pp", "%", -4),
    ("-4 points", "%", -4),
    ("4 %-points", "%", 4),
    ("13 % faster", "%", 13),
    ("44.3 percent more", "%", 44.3),
    ("19° right", "deg", 19),
    ("about 19.1 deg to the right.", "deg", 19.1),
    ("44,3%", "1", 0.443),
    ("1.13^3", "1", 1.13 * 1.13 * 1.13),
    ("1.13**3", "1", 1.13 * 1.13 * 1.13),
    ("1,13³", "1", 1.13 * 1.13 * 1.13),
    ("1.13^3 * 2", "1", 1.13 * 1.13 * 1.13 * 2),
    ("2 x 3 x 4", "1", 24),
    ("10^-2", "1", 0.01),
    ("1.2·10⁻³", "1", 0.0012),
    ("3 × 5 m", "m", 15),
    ("100/3.6 m/s", "m/s", 100 / 3.6),
    ("12 mph", "km/h", 12 * MILE / 1000),
    ("12 m.p.h.", "m/s", 12 * MILE / 3600),
    ("12 miles an hour", "km/h", 12 * MILE / 1000),
    ("20 km/h", "m/s", 20 / 3.6),
    ("20 kilometres an hour", "m/s", 20 / 3.6),
    ("20 kilometers per hour", "km/h", 20),
    ("10 knots", "km/h", 18.52),
    ("30 ft/s", "m/s", 30 * FOOT),
    ("26.2 miles", "km", 26.2 * MILE / 1000),
    ("300 feet", "m", 300 * FOOT),
    ("68 °F", "degC", (68 - 32) / 1.8),
    ("68 degF", "K", (68 + 459.67) / 1.8),
    ("30 inHg", "hPa", 30 * 25.4e-3 * 13595.1 * G / 100),
    ("750 mm Hg", "hPa", 750e-3 * 13595.1 * G / 100),
    ("1013 mbar", "hPa", 1013),
    ("101,3 kPa", "hPa", 1013),
    ("185 lb", "kg", 185 * POUND),
    ("185 lbs", "kg", 185 * POUND),
    ("300 g", "kg", 0.3),
    ("300 grams", "kg", 0.3),
    ("80 g", "N", 0.08 * G),
    ("2 lbf", "N", 2 * POUND * G),
    ("0.5 kgf", "gf", 500),
    ("5 Wh", "kJ", 18),
    ("1.18", "W", 1.18),
    ("1,18", "W", 1.18),
    ("1,180", "W", 1.18),
    ("1,234.5", "W", 1234.5),
    ("1.234,5 W", "W", 1234.5),
    ("1,234,567", "W", 1234567),
    ("1'200 W", "W", 1200),
    ("1\u202f200\u00a0W", "W", 1200),
]


@over(AS_PEOPLE_TYPE)
def test_reads_what_people_type_and_say(text, unit, number):
    assert parse_quantity(text, unit) == pytest.approx(number, rel=1e-12)


COSTS = [
    ("200", 200), ("200 EUR", 200), ("EUR 200", 200), ("€200", 200), ("200,50 €", 200.5),
    ("$1,200.50", 1200.5), ("£85", 85), ("85 pounds", 85), ("CHF 1'200", 1200), ("200,- Euro", 200),
    ("about 300 dollars", 300), ("1500 kr", 1500), ("200 budget units", 200), ("12 units", 12),
    ("free", 0), ("0", 0),
]  # fmt: skip


@pytest.mark.parametrize(("text", "number"), COSTS)
def test_a_cost_takes_a_currency_or_none(text, number):
    assert parse_cost(text)[0] == number


@pytest.mark.parametrize(
    ("text", "cost", "unit"),
    [("200 EUR", 200, "EUR"), ("€ 12,50", 12.5, "€"), ("6 hours", 6, "hours"), ("3 evenings", 3, "evenings"), ("40", 40, ""),
     ("about 2 weekends", 2, "weekends"), ("free", 0, "")],
)  # fmt: skip
def test_a_cost_keeps_what_it_is_counted_in(text, cost, unit):
    assert parse_cost(text) == (cost, unit)


@pytest.mark.parametrize("text", ["200 W", "many", "-5 EUR", "", "EUR", "3 kg", "1 2 3"])
def test_what_is_no_cost_is_refused_in_words(text):
    with pytest.raises(ValueError) as refusal:
        parse_cost(text)
    assert str(refusal.value).endswith(".") and "plain number" not in str(refusal.value)


REFUSED = [
    ("", "m2", "Nothing typed"),
    ("   ", "W", "Nothing typed"),
    ("fast", "m/s", "not read as a number"),
    ("1,23,4", "W", "not read as a number"),
    ("0x10", "W", "not a unit of power"),
    ("twenty km/h", "m/s", "not read as a number"),
    ("15 to 20", "W", "is not read as a number"),
    ("< 44", "km/h", "not read as a number"),
    ("6 min 75 s", "s", "less than 60"),
    ("6 s 18 min", "s", "not read as a number"),
    ("6 km 18 s", "s", "not read as a number"),
    ("9^999", "1", "too large"),
    ("0^-1", "1", "divides by 0"),
    ("2^^3", "1", "not read as a number"),
    ("1.2.3", "W", "not read as a number"),
    ("3 4", "W", "not read as a number"),
    ("-", "W", "not read as a number"),
    ("e5", "W", "not read as a number"),
    ("nan", "W", "not read as a number"),
    ("inf", "W", "not read as a number"),
    ("1e999", "W", "too large"),
    ("1" * 70, "W", "too long"),
    ("12 W", "km/h", "not a unit of speed"),
    ("5 apples", "1", "'apples' is not needed here. Type the number alone."),
    ("5 W", "%", "'W' is a unit of power, not needed here. Type the number alone, or with %"),
    ("1:75", "min", "less than 60"),
    ("1:2:3:4", "min", "not read as a time"),
    ("1:xx", "min", "not read as a time"),
    ("3:20", "W", "not read as a number"),
    ("__import__('os').getcwd()", "W", "not read as a number"),
    ("2+3", "W", "not read as a number"),
]


@over(READ)
def test_reads_what_people_type(text, unit, number):
    assert parse_quantity(text, unit) == pytest.approx(number, rel=1e-12)


@over(REFUSED)
def test_refuses_in_words(text, unit, words):
    with pytest.raises(ValueError, match=words):
        parse_quantity(text, unit)


@given(some.floats(-1e9, 1e9), some.sampled_from(sorted(UNITS)))
def test_reads_any_number_back_with_its_unit_and_with_a_comma(number, unit):
    assert parse_quantity(repr(number), unit) == number
    typed = f"{number!r} {UNITS[unit].printed}".replace(".", ",")
    assert parse_quantity(typed, unit) == pytest.approx(number, rel=1e-9, abs=1e-6)


@given(
    some.one_of(
        some.text(max_size=60),
        some.text("0123456789.,:/+-−eE ²³°%mskhWN'_()*", max_size=20),
        some.from_regex(r"[-+−]?\d{0,5}[.,]?\d{0,5}( ?/ ?\d+)? ?\D{0,6}", fullmatch=True),
    ),
    some.sampled_from(sorted(UNITS)),
)
def test_any_text_is_read_or_refused_in_words(text, unit):
    try:
        number = parse_quantity(text, unit)
    except ValueError as refusal:
        assert str(refusal).endswith(".")
    else:
        assert isfinite(number)


# -- knobs ----------------------------------------------------------------------------------------

DRAG_AREA, SPEED = CATALOGUE["drag_area"], CATALOGUE["ground_speed"]


@over(CATALOGUE.values())
def test_every_knob_stays_where_the_physics_is_defined(knob):
    assert knob == CATALOGUE[knob.quantity]
    ends = [knob.into_si(number) for number in (knob.low, knob.reference, knob.high)]
    if knob.quantity in QUANTITIES:
        assert [float(value) for value in checked(**{knob.quantity: ends})] == ends
    else:
        # A force of the stand, the plan of a test, and what is turned in one panel: no arguments of the physics.
        of_a_test = "tare zero runs spread day set_ups repeats"
        of_a_panel = "head_wind quoted baseline drag_area_saved mass_saved power_lost held shift hills station_wind"
        assert knob.quantity in f"{of_a_test} {of_a_panel}".split()
    steps = (knob.high - knob.low) / knob.step
    assert round(steps) == pytest.approx(steps), "End would not reach the end"
    assert round(knob.step, knob.digits) == knob.step, "a step would not show"


def test_the_reference_rider_is_tobin():
    """Numbers given with the scenario: 84 kg, 0.320 m2, Crr 0.0040, 220 W, 1.20 kg/m3."""
    names = ("all_up_mass", "drag_area", "rolling_coefficient", "power", "air_density")
    assert [CATALOGUE[name].reference for name in names] == [84, 0.32, 0.004, 220, 1.2]


def test_a_knob_says_its_value_for_eye_and_ear():
    assert DRAG_AREA.words(0.32) == "0.320 m²"
    assert DRAG_AREA.spoken(0.32) == "0.320 square metres"
    assert SPEED.words(10.0) == "36.0 km/h"
    assert CATALOGUE["yaw"].words(0.0) == "0°"
    assert CATALOGUE["rolling_coefficient"].words(0.004) == "0.0040"
    assert DRAG_AREA.range == "0.180 to 0.450 m²"


def test_binary_dust_never_shows_and_a_finer_value_is_kept():
    assert DRAG_AREA.check(0.30100000000000005) == 0.301
    assert SPEED.number(SPEED.check(12.3)) == "44.28"
    assert SPEED.check(SPEED.into_si(43)) == SPEED.into_si(43)
    wind = CATALOGUE["wind_speed"]
    assert wind.words(wind.read("20 km/h")) == "5.56 m/s"  # 20/3.6 = 5.5555...
    assert wind.words(wind.read("5 km/h")) == "1.39 m/s" and wind.words(wind.read("18 km/h")) == "5.0 m/s"
    assert CATALOGUE["pressure"].words(101325.0) == "1013.25 hPa"
    assert CATALOGUE["gradient"].words(-0.02) == "−2.0 %"


@given(some.floats(10, 60))
def test_a_shown_value_reads_back_as_itself(number):
    """To half of its last digit: a knob of one decimal shows two where a value needs more."""
    value = SPEED.check(SPEED.into_si(number))
    assert SPEED.read(SPEED.number(value)) == pytest.approx(value, abs=kmh(0.005) * (1 + 1e-9))
    assert SPEED.check(value) == value


def test_out_of_range_names_the_range_and_guesses_the_slip():
    with pytest.raises(ValueError, match="0.180 to 0.450 m².*0.600 m² is outside"):
        DRAG_AREA.read("0,6")
    with pytest.raises(ValueError, match="10.0 to 60.0 km/h.*43 km/h meant"):
        SPEED.check(43)
    for bad in (float("nan"), float("inf"), "fast", None, [1, 2]):
        with pytest.raises(ValueError, match="drag_area"):
            DRAG_AREA.check(bad)


def test_a_knob_that_makes_no_sense_is_refused():
    with pytest.raises(ValueError, match="low <= reference <= high"):
        replace(DRAG_AREA, reference=0.5)
    with pytest.raises(ValueError, match="step above 0"):
        replace(DRAG_AREA, step=0)
    with pytest.raises(ValueError, match="furlongs"):
        Knob("distance", "Distance", "", "furlongs", 0, 1, 2, 1, 0)


# -- words and numbers in one line ---------------------------------------------------------------------


@pytest.mark.parametrize(
    "line, words, numbers",
    [
        ("June 180 W 75 kg", "June", {"W": 180, "kg": 75}),
        ("Ann Lee, 250W, 70,5kg", "Ann Lee", {"W": 250, "kg": 70.5}),
        ("10 m/s Sam", "Sam", {"km/h": 36}),
        ("0.2 kW", "", {"W": 200}),
        ("Zoë 30 km/h", "Zoë", {"km/h": 30}),
        ("", "", {}),
    ],
)
def test_a_line_of_words_and_numbers(line, words, numbers):
    found, read = read_line(line, ("W", "km/h", "kg"))
    assert found == words and read == pytest.approx(numbers)


@pytest.mark.parametrize(
    "line, words",
    [("June 180 75 kg", "after 180 a unit is needed, one of W, km/h, kg"),
     ("June 180 hPa", "a unit is needed"), ("June 180", "a unit is needed"),
     ("180 W 200 W", "two numbers in W"), ("1.2.3 W", "not read as a number")],
)  # fmt: skip
def test_a_line_that_is_not_read_says_why(line, words):
    with pytest.raises(ValueError, match=words):
        read_line(line, ("W", "km/h", "kg"))


@given(text=some.text(max_size=60))
def test_no_line_raises_anything_but_a_sentence(text):
    try:
        read_line(text, ("W", "km/h", "kg"))
    except ValueError as error:
        assert len(str(error)) > 10

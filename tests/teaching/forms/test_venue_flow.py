"""The air on a road of one's own: against CoolProp's moist air, draws through the gas law, and a barometer's height."""

import re

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from dragwork.scenario.riders import TOBIN
from dragwork.teaching.forms.venue_flow import VenueFlow, usual_altitude

WARM = {"temperature": "24", "relative_humidity": "60", "source": "barometer", "pressure": "962"}
FORECAST = {"temperature": "28", "relative_humidity": "60", "source": "forecast", "sea_level_pressure": "1018",
            "altitude": "800"}  # fmt: skip


def answered(**typed):
    flow = VenueFlow()
    flow.answer_all(**typed)
    return flow


def coolprop(celsius, hectopascal, humidity):
    """kg/m3: moist air of the reference library, its mass with the water in it."""
    from CoolProp.HumidAirProp import HAPropsSI  # takes seconds to load

    state = "T", celsius + 273.15, "P", hectopascal * 100, "R", humidity
    return (1 + HAPropsSI("W", *state)) / HAPropsSI("Vda", *state)


def reduced_back(p0, metres, celsius):
    """hPa at the road: the hydrostatic equation integrated from the sea, 6.5 K/km cooler on the way up."""
    def gradient(z, p):
        return -9.80665 * p / (287.05 * (celsius + 273.15 + 0.0065 * (metres - z)))

    return float(solve_ivp(gradient, (0, metres), [p0], rtol=1e-9).y[0, -1])


@pytest.mark.parametrize(
    ("celsius", "hectopascal", "humidity"), [(24, 962, 60), (-8, 1030, 90), (35, 1000, 100), (5, 800, 0)]
)
def test_the_density_is_that_of_a_reference_library(celsius, hectopascal, humidity):
    found = answered(temperature=str(celsius), relative_humidity=str(humidity), source="barometer",
                     pressure=str(hectopascal)).result  # fmt: skip
    assert found.density == pytest.approx(coolprop(celsius, hectopascal, humidity / 100), rel=3e-4)


def test_the_range_is_that_of_draws_through_the_reference_library():
    rng = np.random.default_rng(1)
    drawn = [coolprop(*x) for x in zip(rng.normal(24, 1, 4000), rng.normal(962, 1, 4000), rng.normal(0.6, 0.1, 4000))]
    found = answered(**WARM).result
    low, high = np.quantile(drawn, [0.025, 0.975])
    assert (found.low, found.high) == pytest.approx((low, high), abs=0.0006)
    assert found.pieces[-1].rows[0]["if only this were uncertain"] == "the temperature"


def test_a_forecast_becomes_the_pressure_of_the_road_by_the_hydrostatic_equation():
    flow = answered(**FORECAST)
    here = reduced_back(1018, 800, 28)
    assert f"would read {here:.0f} hPa" in flow.sentences[1]
    assert flow.result.density == pytest.approx(coolprop(28, here, 0.6), rel=3e-4)
    causes = {row["if only this were uncertain"] for row in flow.result.pieces[-1].rows}
    assert {"the height of the road", "the air between the sea and the road", "the forecast's pressure"} <= causes


def test_forecast_and_barometer_of_the_same_place_agree_and_the_forecast_is_the_wider():
    by_forecast = answered(**FORECAST).result
    there = FORECAST | {"source": "barometer", "pressure": f"{reduced_back(1018, 800, 28):.2f}"}
    by_barometer = answered(**there).result
    assert by_barometer.density == pytest.approx(by_forecast.density, rel=1e-4)
    assert by_forecast.high - by_forecast.low > by_barometer.high - by_barometer.low


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        ({"temperature": "22,5"}, "22.5 °C"),
        ({"temperature": "72.5 °F"}, "22.5 °C"),
        ({"pressure": "962 mbar"}, "962 hPa"),
        ({"pressure": "96,2 kPa"}, "962 hPa"),
        ({"pressure": "28.41 inHg"}, "962"),
        ({"relative_humidity": "60 %"}, "60 % humidity"),
        ({"temperature_sd": "0,5"}, "take 0.5 °C"),
        ({"temperature_sd": "± 2 °C"}, "take 2 °C"),
        ({"relative_humidity_sd": "5 points"}, "take 5 points"),
        ({"pressure_sd": "0.5 hPa"}, "take 0.5 hPa"),
    ],
    ids=str,
)
def test_numbers_are_read_as_people_type_them(typed, number):
    assert number in " ".join(answered(**WARM | typed).sentences)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (WARM | {"pressure": "1013", "altitude": "800"}, "no weather makes that 1013 hPa. If a forecast"),
        (WARM | {"pressure": "700", "altitude": "100"}, "check both"),
        (FORECAST | {"altitude": ""}, "the height is needed"),
        (FORECAST | {"sea_level_pressure": "912"}, "choose the barometer"),
        (WARM | {"temperature": "295"}, "outside"),
        (WARM | {"relative_humidity": "0,6"}, "Type 50 for half"),
        (WARM | {"temperature_sd": "0"}, "Leave it empty for the usual 1 °C"),
        (WARM | {"source": ""}, "nothing chosen yet"),
    ],
    ids=str,
)
def test_what_cannot_be_is_refused_with_what_to_do(typed, words):
    with pytest.raises(ValueError, match=words):
        answered(**typed)


def test_what_the_readings_cannot_show_is_said():
    assert "at about 440 m" in answered(**WARM).result.pieces[1]
    assert "usually reads 978 hPa" in answered(**WARM | {"pressure": "1013", "altitude": "300"}).result.pieces[1]
    assert "means a storm" in answered(**FORECAST | {"sea_level_pressure": "955"}).result.pieces[1]
    assert len(answered(**FORECAST).result.pieces[1:-1]) == 1


@pytest.mark.parametrize(("metres", "pascals"), [(0, 101325.0), (500, 95461.3), (1000, 89876.3), (2000, 79501.4)])
def test_the_usual_height_is_that_of_the_standard_atmosphere(metres, pascals):
    """ISO 2533, table of pressure by geometric altitude; from memory."""
    assert usual_altitude(pascals) == pytest.approx(metres, abs=3)


def test_thinner_denser_and_undecided_are_told():
    """The reference day is dry, at 20 °C and 1013 hPa: 1.204 kg/m3 (CoolProp)."""
    reference = coolprop(20, 1013, 0)
    warm = answered(**WARM).result
    percent = 100 * (1 - coolprop(24, 962, 0.6) / reference)
    assert f"That is {percent:.1f} % thinner" in warm.sentence and "s less (" in warm.sentence
    cold = answered(**WARM | {"temperature": "2", "pressure": "1020"}).result
    assert "denser" in cold.sentence and "s more (" in cold.sentence
    same = answered(**WARM | {"temperature": "19", "pressure": "1013"}).result
    assert "can't say whether that is denser or thinner" in same.sentence and "Over 40" not in same.sentence


def test_the_seconds_are_those_of_a_power_balance_solved_apart():
    from scipy.optimize import brentq

    def seconds(rho):
        rider = TOBIN.rider
        wheel = TOBIN.power * rider.drivetrain_efficiency
        force = rider.all_up_mass * 9.80665 * rider.rolling_coefficient
        return 40_000 / brentq(lambda v: (rho / 2 * rider.drag_area * v**2 + force) * v - wheel, 1, 30)

    found = answered(**WARM).result
    saved = seconds(coolprop(20, 1013, 0)) - seconds(found.density)
    assert f"needs {saved:.0f} s less" in found.sentence


def test_the_printed_form_asks_and_then_tells():
    blank, filled = VenueFlow().markdown(), answered(**WARM).markdown()
    assert all(question.prompt in blank and question.prompt in filled for question in VenueFlow.questions)
    assert "| if only this were uncertain |" in filled and not re.search(r"nan|None", filled)

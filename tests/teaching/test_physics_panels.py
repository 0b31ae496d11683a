"""The panels and the form of notebooks 01 to 03, held against standards, hand sums and algebra."""

import re
from math import atan, cos, sin, sqrt

import numpy as np
import pytest

from dragwork.measurement.roadtest import from_one_ride
from dragwork.physics.power import Conditions, power_balance
from dragwork.physics.resistance import rolling_force, slope_force
from dragwork.scenario.riders import FAROUK, IMKE, MEMBERS, TOBIN
from dragwork.teaching import panels
from dragwork.teaching.forms import my_rider
from dragwork.teaching.forms.one_ride_flow import CAUSES, OneRideFlow
from dragwork.teaching.panels.air import air, venue
from dragwork.teaching.panels.power import scaling, share
from dragwork.teaching.profile import Profile
from dragwork.units import celsius, hectopascal, kmh


def said(panel, **values):
    panel.set(**values)
    return panel.sentence


# -- 01 ---------------------------------------------------------------------------------------------


def test_the_changes_of_notebook_01_are_those_of_the_lesson():
    """From the gas law by hand: -10/303.15; -20/1013; -0.378 x 2339/101300 (CRC vapour pressure)."""
    assert "3.3 % less" in said(panels.air_density(), temperature=celsius(30))
    assert "2.0 % less" in said(panels.air_density(), pressure=hectopascal(993))
    assert "0.9 % less" in said(panels.air_density(), relative_humidity=1.0)
    assert "as on the reference day" in panels.air_density().sentence


@pytest.mark.parametrize("pressure", [85_000.0, 104_000.0])
def test_density_goes_with_pressure_over_kelvin(pressure):
    """d ln rho = d ln p - d ln T for dry air; what the real gas adds is below 0.1 %."""
    cold, warm = air(275.0, 100_000.0), air(305.0, pressure)
    ratio = warm.density / cold.density
    assert ratio == pytest.approx(pressure / 100_000.0 * 275.0 / 305.0, rel=1e-3)
    assert (1 + warm.change) / (1 + cold.change) == pytest.approx(ratio, rel=1e-12)


def test_500_metres_in_the_standard_atmosphere_and_at_the_same_temperature():
    """ISO 2533, table by geometric altitude: 1.16727 and 1.22500 kg/m3, seen. Same temperature: the
    hydrostatic column by hand, exp(-9.80665 x 500/(287.05 x 294.775)) = 0.9437."""
    sentence = said(panels.venue_air(), altitude=500)
    assert f"loses {100 * (1 - 1.16727 / 1.225):.1f} %" in sentence
    assert f"{100 * (1 - 0.9437):.1f} % less than at sea level at the same" in sentence


def test_at_sea_level_the_forecast_is_the_barometer():
    here = venue(0.0, celsius(15), hectopascal(1005))
    assert here.pressure == hectopascal(1005)
    assert here.density == here.untouched
    assert "%" not in panels.venue_air().sentence


def test_the_curves_of_the_pictures_pass_through_their_points():
    here = air(celsius(20), 90_000.0, 0.4)
    assert np.interp(celsius(20), here.along.temperature, here.along.density) == pytest.approx(here.density)
    there = venue(1500.0, celsius(10), 101_000.0)
    assert np.interp(1500.0, there.along.altitude, there.along.density) == pytest.approx(there.density)
    total = scaling(kmh(30), 0.3, 2.0)
    assert np.interp(kmh(30), total.along.ground_speed, total.along.power) == pytest.approx(total.power, rel=1e-3)


# -- 02 ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("speed", [12.0, 40.0, 60.0])
@pytest.mark.parametrize("area", [0.18, 0.45])
def test_in_still_air_a_doubling_is_four_and_eight(speed, area):
    result = scaling(kmh(speed), area)
    assert result.force_ratio == pytest.approx(4, rel=1e-12)
    assert result.power_ratio == pytest.approx(8, rel=1e-12)


def test_into_the_wind_a_doubling_is_less():
    """By hand: (40/3.6 + 3)^2/(20/3.6 + 3)^2 = 2.72, and twice that."""
    sentence = said(panels.squares_and_cubes(), ground_speed=kmh(40), wind_speed=3)
    assert "2.7 times the push and 5.4 times the power" in sentence


def test_the_world_of_km_h_is_46_656_times_off():
    result = scaling(kmh(36), 0.32)
    assert result.along.as_typed / result.along.power == pytest.approx(np.full(100, 5832 / 125))
    cubed = 0.5 * 1.2 * 0.32 * 36.0**3  # the lesson's 8958 W
    assert np.interp(kmh(36), result.along.ground_speed, result.along.as_typed) == pytest.approx(cubed, rel=1e-3)


def test_the_world_of_a_guess_is_the_cubic_through_it():
    panel = panels.squares_and_cubes()
    panel.predict(8958, ground_speed=kmh(36))
    (plane,) = panel.picture.planes
    speeds, watts = plane.lines[1].get_data()
    assert watts * (36 / speeds) ** 3 == pytest.approx(np.full(100, 8958.0))
    panel.predict(-3, ground_speed=kmh(20))  # no logarithm: left out of the picture, nothing raised
    assert plane.guesses.artists[0].get_xydata().tolist() == [[36.0, 8958.0]]


# -- 03 ---------------------------------------------------------------------------------------------


def test_tobin_from_36_to_45():
    """The lesson: 231 W and 427 W at the crank."""
    assert "the crank gives 231 W" in panels.watt_bars().sentence
    assert "the crank gives 427 W" in said(panels.watt_bars(), ground_speed=kmh(45))


@pytest.mark.parametrize("gradient", [-0.08, -0.02, 0.0, 0.05])
@pytest.mark.parametrize("speed", [12.0, 36.0, 60.0])
def test_the_bars_add_up(gradient, speed):
    panel = panels.watt_bars()
    panel.set(gradient=gradient, ground_speed=kmh(speed))
    bars = panel.picture.planes[0].lines[1::3]
    air_, rolling, slope, chain, total = (np.ptp(bar.get_xdata()) * np.sign(bar.get_xdata().sum()) for bar in bars)
    assert air_ + rolling + slope + chain == pytest.approx(total)
    assert (chain == 0) == (total < 0)
    told = panel.sentence
    assert ("The brakes take" in told) == (total < 0)
    assert ("% of the power at the wheel" in told) == (gradient >= 0)


def test_words_of_a_descent_that_needs_pedalling():
    """1 % down at 40 km/h: air 263 W at the wheel, and the crank gives less than that."""
    told = said(panels.watt_bars(), gradient=-0.01, ground_speed=kmh(40))
    assert "the slope gives" in told and "Air takes more than the rider gives, because the slope helps." in told


def test_a_rider_outside_the_usual_knobs_gets_a_panel():
    panel = panels.watt_bars(FAROUK, kmh(66))
    assert panel.values == {
        "ground_speed": pytest.approx(kmh(66)), "gradient": 0.0, "all_up_mass": 78.0,
    }  # fmt: skip


def half_by_algebra(rider, power):
    """a v^2 = b = m g (Crr cos + sin) and 2 a v^3 = P eta, solved for the gradient."""
    a = 0.5 * 1.2 * rider.drag_area
    v = (power * rider.drivetrain_efficiency / (2 * a)) ** (1 / 3)
    share_of_weight = a * v**2 / (rider.all_up_mass * 9.80665)
    lean = atan(rider.rolling_coefficient)
    angle = np.arcsin(share_of_weight * cos(lean)) - lean
    return sin(angle) / sqrt(1 - sin(angle) ** 2)


@pytest.mark.parametrize("power", [120.0, 220.0, 400.0])
def test_the_gradient_of_one_half_is_that_of_the_algebra(power):
    assert share(power).half == pytest.approx(half_by_algebra(TOBIN.rider, power), abs=2e-6)


def test_tobin_has_half_his_work_in_the_air_at_1_2_percent():
    assert "It takes half at a slope of 1.2 %." in panels.air_share().sentence


def test_a_slow_heavy_load_has_no_half():
    told = said(panels.air_share(), power=60, all_up_mass=130)
    here = share(60.0, 0.0, 130.0)
    assert ("already on the flat" in told) == (here.air_share < 0.5)
    loaded = share(40.0, 0.0, 130.0)
    assert loaded.air_share < 0.5 and np.isnan(loaded.half)


# -- the first drag area ----------------------------------------------------------------------------


def ridden(rider, speed, gradient=0.0, wind=0.0):
    """Crank watts by hand sum, rounded as a person would type them."""
    weight = rolling_force(rider.all_up_mass, rider.rolling_coefficient, gradient)
    weight += slope_force(rider.all_up_mass, gradient)
    return ((weight + 0.6 * rider.drag_area * (speed + wind) ** 2) * speed) / 0.975


def answered(**more):
    rider = IMKE.rider
    typed = {
        "ground_speed": "36", "way": "returns", "ascent": "0", "effort": "power", "power": f"{ridden(rider, 10.0):.2f}",
        "source": "meter", "all_up_mass": "70", "rolling_coefficient": "0.0035", "air": "usual",
        "wind": "still",
    }  # fmt: skip
    flow = OneRideFlow()
    flow.answer(**{**typed, **more})
    return flow


def test_a_ride_gives_the_drag_area_it_was_made_with():
    found = answered().result.found
    assert found.drag_area == pytest.approx(IMKE.rider.drag_area, abs=2e-3)  # the median of draws
    assert found.low < IMKE.rider.drag_area < found.high


def test_slope_and_wind_are_taken_into_account():
    power = ridden(IMKE.rider, 10.0, 0.01, 2.0)
    flow = answered(
        way="one way", gradient="1", power=f"{power:.2f}", wind="wind", wind_speed="2"
    )
    assert flow.result.found.drag_area == pytest.approx(IMKE.rider.drag_area, abs=3e-3)


def test_a_guess_makes_the_range_wider_and_says_why():
    metered, guessed = answered().result, answered(source="guess").result
    assert guessed.found.high - guessed.found.low > 2 * (metered.found.high - metered.found.low)
    assert "comes from the power" in guessed.sentence
    assert "A power meter" in guessed.sentence
    one_way = answered(way="one way", gradient="0").result
    assert "comes from the wind" in one_way.sentence


def test_every_cause_has_words():
    found = from_one_ride(200.0, 10.0, 80.0, returns=True, ascent=0, draws=1000)
    assert len(answered().result.pieces[-1].rows) >= 3
    for name in (*found.shares, "effort"):
        assert CAUSES[name][1].endswith("would narrow it most.")


def test_weather_makes_the_density():
    air_words = answered(air="weather", temperature="15", pressure="1013.25", relative_humidity="0").sentences[-1]
    told = float(re.search(r"(1\.\d+) kg/m³", air_words)[1])
    assert told == pytest.approx(1.225, abs=0.001)  # ISO 2533 at sea level, the ideal gas


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"ground_speed": "400"}, "outside"),
        ({"power": "lots"}, "Power at the crank"),
        ({"power": "10"}, "nothing is left for drag"),
        ({"way": "down"}, "is not there"),
        ({"wind": "wind"}, "Headwind, minus from behind: "),
        ({"wind": "wind", "wind_speed": "5"}, "Take a ride on a calm day"),
        ({"ascent": "300"}, "How long was the ride"),
        ({"ascent": "500", "distance": "20"}, "Take a ride on a flatter road"),
        ({"wind": "wind", "wind_speed": "0"}, "or choose still air"),
    ],
    ids=str,
)
def test_what_cannot_be_used_is_said_and_kept(typed, words):
    with pytest.raises(ValueError, match=words):
        answered(**typed)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"distance": "-20"}, "Whole distance goes from 0.1 to 10000.0 km here; −20.0 km is outside."),
        ({"ascent": "-60"}, "Metres climbed goes from 0 to 10000 m here; −60 m is outside."),
        ({"climbs": "-3"}, "Over how many climbs goes from 1 to 1000 here; −3 is outside."),
        ({"climbs": "2.4"}, "Over how many climbs: 2.4 is not a whole number."),
    ],
    ids=str,
)
def test_a_ride_that_cannot_be_is_refused_at_its_own_question(typed, words):
    flow = OneRideFlow()
    with pytest.raises(ValueError, match=words):
        flow.answer(ground_speed="36", way="returns", **({"distance": "20", "ascent": "60", "effort": "power"} | typed))
    assert list(flow.remarks) == ["ride"]


def test_the_air_is_told_back_with_the_doubt_that_goes_with_it():
    assert "still air, give or take 0.5 m/s" in answered().sentences[-1]
    windy = answered(way="one way", gradient="0", wind="wind", wind_speed="2").sentences[-1]
    assert "2.0 m/s against the rider, give or take 1.0 m/s" in windy


def test_the_rider_is_kept_and_read_again(tmp_path, monkeypatch):
    monkeypatch.setenv("DRAGWORK_LEARNER", str(tmp_path / "me.json"))
    assert my_rider() is TOBIN
    flow = OneRideFlow()
    with pytest.raises(ValueError, match="is open"):
        flow.save()
    path = answered().save()
    assert path == Profile().path == tmp_path / "me.json"
    mine = my_rider()
    assert mine.rider.drag_area == pytest.approx(0.230, abs=2e-3)
    assert mine.power == pytest.approx(ridden(IMKE.rider, 10.0), abs=0.01)
    assert "one known ride" in mine.about


def test_a_ride_whose_hills_are_not_known_is_told_and_not_kept(tmp_path, monkeypatch):
    monkeypatch.setenv("DRAGWORK_LEARNER", str(tmp_path / "me.json"))
    flow = answered(ascent="", effort="unknown")
    assert "comes from the hills" in flow.result.sentence
    assert "How many metres" in flow.markdown() and "How many metres" in flow.result.body(3)
    with pytest.raises(ValueError, match="leaves too much open"):
        flow.save()
    hilly = answered(ascent="200", distance="20", power="250")
    assert "200 m climbed; the effort was even" in hilly.sentences[0]
    assert hilly.result.found.notes == ()


def test_the_printed_form_asks_and_then_tells():
    blank, filled = OneRideFlow().markdown(), answered().markdown()
    for question in OneRideFlow.questions:
        assert question.prompt in blank and question.prompt in filled
    assert "The drag area is" in filled and "| where the width comes from |" in filled


def test_the_widgets_keep_the_rider_and_print_no_page(tmp_path, monkeypatch):
    monkeypatch.setenv("DRAGWORK_LEARNER", str(tmp_path / "me.json"))
    view = OneRideFlow.view(answered())
    ((_, keep),) = view.actions
    assert "The drag area is" in view.page.value
    keep.click()
    assert "Kept in me.json" in view.saved.value
    view.close()


# -- whole -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", MEMBERS)
def test_bars_of_each_member_are_those_of_the_library(name):
    member = MEMBERS[name]
    panel = panels.watt_bars(member)
    here = power_balance(member.rider, Conditions(), kmh(36))
    assert f"the crank gives {here.total:.0f} W" in panel.sentence


def test_mass_and_tyres_of_notebook_00_are_filled_in(tmp_path, monkeypatch):
    monkeypatch.setenv("DRAGWORK_LEARNER", str(tmp_path / "me.json"))
    assert OneRideFlow().typed["all_up_mass"] == ""
    rider = {"all_up_mass": 91.5, "drag_area": None, "rolling_coefficient": 0.0035, "power": 240.0}
    Profile().keep_me(rider=rider)
    flow = OneRideFlow()
    flow.answer(ground_speed="36", way="returns", ascent="0", effort="power", power="240", source="meter")
    assert flow.submit(flow.open)  # the rider, as filled in
    assert "91.5 kg all up, rolling coefficient 0.0035" in flow.sentences[-1]

"""A claim of one's own in notebook 08: the cube of the speeds by hand, a power balance solved by scipy, notebook 10's words."""

import re

import pytest
from scipy.optimize import brentq

from dragwork.scenario.riders import MEMBERS, ROSALIND, TOBIN
from dragwork.teaching.forms import ClaimFlow, OwnClaimFlow
from dragwork.teaching.profile import Profile

HELMET = "20 W at 50 km/h in the air, yaw 0°, 1.2 kg/m3"


def answered(heard=HELMET, rider="Tobin", **typed):
    flow = OwnClaimFlow()
    flow.answer_all(heard=heard, rider=rider, **typed)
    return flow


def speed_of(member, cut=0.0):
    """m/s on a flat road in still air of 1.2 kg/m3, by scipy."""
    rider = member.rider
    wheel = member.power * rider.drivetrain_efficiency
    force = rider.all_up_mass * 9.80665 * rider.rolling_coefficient
    return brentq(lambda v: (0.6 * (rider.drag_area - cut) * v**2 + force) * v - wheel, 1, 30)


@pytest.mark.parametrize("name", MEMBERS)
def test_a_claim_with_nothing_left_open_goes_with_the_cube_of_the_speed(name):
    found, member = answered(rider=name).result, MEMBERS[name]
    by_hand = 20 * (speed_of(member) * 3.6 / 50) ** 3
    assert found.watts.low == found.watts.mid == found.watts.high == pytest.approx(by_hand, rel=1e-9)
    assert f"saves {by_hand:.1f} W at the wheel, or {by_hand / 0.975:.1f} W at the crank" in found.markdown()
    area = 20 / (0.6 * (50 / 3.6) ** 3)
    by_hand = 40_000 / speed_of(member) - 40_000 / speed_of(member, area)
    assert found.seconds.mid == pytest.approx(by_hand, rel=1e-6)


def test_what_is_left_open_widens_and_is_named():
    """Watts at the wheel or, if at the crank, 0.96 of them; air from 1.15 to 1.25; 0.7 to 1.1 of it at my yaw."""
    found = answered("20 W at 50 km/h").result
    exact = 20 * (speed_of(TOBIN) * 3.6 / 50) ** 3
    assert found.watts.low == pytest.approx(exact * 0.96 * 0.7 * 1.2 / 1.25, rel=1e-9)
    assert found.watts.high == pytest.approx(exact * 1.1 * 1.2 / 1.15, rel=1e-9)
    for left in ("the air density", "the yaw of the test", "at the crank or at the wheel"):
        assert left in found.sentences[-1]


def test_a_claim_without_its_speed_gets_no_single_number():
    said = answered("20 W in the air, yaw 0°, 1.2 kg/m3").markdown()
    slow, fast = (20 * (speed_of(TOBIN) * 3.6 / kmh) ** 3 for kmh in (40, 60))
    assert f"saves {fast:.1f} to {slow:.1f} W at the wheel" in said
    assert "no single number" in said and "at what speed was it tested?" in said and "It means" not in said


@pytest.mark.parametrize(
    ("heard", "words"),
    [
        ("200 W at 50 km/h", "more than the 0.070 m² between the hoods and a time-trial bike"),
        ("riding behind others saves 300 W at 40 km/h", "0.320 m² that Tobin has"),
        ("it loses 5 W at 50 km/h in the air, yaw 0°, 1.2 kg/m3", "0.0031 m² more drag area"),
        ("it loses 5 W at 50 km/h in the air, yaw 0°, 1.2 kg/m3", "it costs 1.8 W at the wheel"),
        ("300 g lighter", "leaves the drag area as it is"),
        ("5 % less drag", "the drag area it started from"),
    ],
)
def test_what_a_number_would_hide_is_said(heard, words):
    assert words in answered(heard).markdown()


def test_a_claim_too_large_for_a_rider_has_no_number():
    said = answered("200 W at 50 km/h").markdown().rpartition("\n\n")[2]
    assert not re.search(r"\d W\b", said) and "ask for the data" in said


@pytest.mark.parametrize("heard", ["20 W at 500 km/h", "", "lots", "5 % more power", "60 s faster"])
def test_what_cannot_be_converted_is_refused(heard):
    with pytest.raises(ValueError):
        answered(heard)


def test_the_learners_own_rider_is_chosen_already():
    assert OwnClaimFlow().typed["rider"] == ""
    rider = {"all_up_mass": 72.0, "drag_area": 0.34, "rolling_coefficient": 0.005, "power": 130.0}
    Profile().keep_me(name="Wren", rider=rider)
    flow = OwnClaimFlow()
    flow.answer(heard=HELMET)
    flow.submit(flow.questions[-1])
    assert flow.result.watts.mid == pytest.approx(20 * (speed_of(ROSALIND) * 3.6 / 50) ** 3, rel=1e-6)
    assert "Wren rides" in flow.markdown()


def test_the_form_of_notebook_10_goes_on_with_the_same_answers():
    first = answered("wheels save 20 W at 50 km/h")
    first.keep_draft()
    clinic = ClaimFlow()
    clinic.go_on(*next(iter(clinic.drafts.items())))
    assert clinic.answers["said"].about == "wheels" and clinic.answers["rider"].name == "Tobin"
    assert clinic.open.name == "road"

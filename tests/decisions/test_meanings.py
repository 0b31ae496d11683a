"""Three meanings of the same saving, against sums worked out apart from this library."""

import re
from dataclasses import replace

import pytest

from dragwork.decisions.meanings import meanings
from dragwork.physics.drag import YawCurve
from dragwork.physics.power import Conditions
from dragwork.physics.savings import drag_area_behind
from dragwork.scenario.riders import IMKE, ROSALIND, TOBIN
from dragwork.units import hours, kilometres, kmh, percent

# Seconds over 40 flat kilometres: same 5 %, same drag area (20 W at 50 km/h), same 20 W.
# Worked out by hand from P = (a v^3 + b v)/0.975; printed digits.
BY_HAND = {ROSALIND: (79, 57.5, 4.6 * 60), TOBIN: (None, 50.5, None), IMKE: (53, 57.8, None)}


@pytest.mark.parametrize("member", BY_HAND, ids=lambda member: member.name)
def test_seconds_over_forty_kilometres(member):
    item = drag_area_behind(20, Conditions(), kmh(50))
    saved = meanings(
        member.rider, Conditions(), member.power, kilometres(40), percent(5), item, 20
    )
    percent_, area, watts = BY_HAND[member]
    assert saved.same_drag_area.over_distance == pytest.approx(area, abs=0.05)
    if percent_ is not None:
        assert saved.same_percent.over_distance == pytest.approx(percent_, abs=0.5)
    if watts is not None:
        assert saved.same_watts.over_distance == pytest.approx(watts, abs=3)


@pytest.mark.parametrize("member", BY_HAND, ids=lambda member: member.name)
def test_an_hour_s_saving_is_the_distance_s_saving_scaled_to_an_hour(member):
    saved = meanings(member.rider, Conditions(), member.power, 1000.0, 0.1, 0.01, 10)
    for one in (saved.same_percent, saved.same_drag_area, saved.same_watts):
        assert 0 < one.per_hour < hours(1)
    more = meanings(member.rider, Conditions(), member.power, 2000.0, 0.1, 0.01, 10)
    assert more.same_watts.over_distance == pytest.approx(2 * saved.same_watts.over_distance)
    assert more.same_watts.per_hour == pytest.approx(saved.same_watts.per_hour)


def test_a_drag_area_larger_than_the_rider_s_is_refused_in_words():
    with pytest.raises(ValueError, match="drag area"):
        meanings(TOBIN.rider, Conditions(), TOBIN.power, 1000.0, 0.1, 0.5, 10)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"watts": float("nan")}, "watts is nan"),
        ({"watts": "20"}, "watts '20' is not a number"),
        ({"watts": 20_000}, "watts 20000 W"),
        ({"distance": -1}, "distance −1 m"),
        ({"drag_area_cut": 5}, "percent"),
        ({"drag_area": -0.01}, "drag area −0.01 m²"),
        ({"power": 0}, "does not roll"),
        ({"rider": "Tobin"}, "rider 'Tobin' is not a Rider"),
        ({"rider": replace(TOBIN.rider, drag_area=YawCurve([0.0, 0.2], [0.3, 0.3]))}, "yaw curve"),
    ],
)
def test_bad_input_is_refused_in_words(wrong, words):
    good = {
        "rider": TOBIN.rider, "conditions": Conditions(), "power": 220, "distance": 40e3,
        "drag_area_cut": 0.05, "drag_area": 0.01, "watts": 20,
    }  # fmt: skip
    meanings(**good)
    with pytest.raises(ValueError, match=re.escape(words)):
        meanings(**{**good, **wrong})

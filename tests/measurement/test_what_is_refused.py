"""Bad input to measurement and decisions: a ValueError with the argument's name, never another error."""

import pytest
from loops import over

from dragwork.decisions import options, pacing, rides
from dragwork.measurement import comparison, one_ride, plan, road, roadtest, tunnel, uncertainty
from dragwork.quantities import in_words
from dragwork.scenario.barrow_lane import bl7
from dragwork.scenario.riders import TOBIN
from dragwork.scenario.roads import THREE_KILNS

DAY = bl7()
PLAN = plan.plan_session(["A", "B"], [10.0, 12.0], [0.0, 0.1], 3, run_time=40, change_time=300)
LEVEL = {"confidence": 0.95}
SPREADS = {"pass_spread": 0.001, "run_spread": 0.002}

# One good call for every function, with the arguments that take one number or a list of them.
GOOD = [
    (uncertainty.half_width, {"standard_uncertainty": 1.0, "degrees_of_freedom": 3, **LEVEL}),
    (uncertainty.welch_satterthwaite, {"u": [1.0, 2.0], "dof": [3.0, 4.0]}),
    (uncertainty.repeatability, {"cells": [[1.0, 2.0], [2.0, 3.0]]}),
    (comparison.difference_interval,
     {"difference": 1.0, "standard_uncertainty": 0.1, "degrees_of_freedom": 3, **LEVEL}),
    (comparison.difference, {"a": [1.0, 2.0], "b": [2.0, 4.0], **LEVEL}),
    (comparison.smallest_difference,
     {"spread": 1.0, "runs": 3, "degrees_of_freedom": 4, **LEVEL, "power": 0.8}),
    (comparison.runs_needed, {"difference": 1.0, "spread": 1.0, **LEVEL, "power": 0.8}),
    (comparison.runs_needed_rule, {"difference": 1.0, "spread": 1.0}),
    (comparison.flattery, {"number": 3, "spread": 1.0}),
    (comparison.false_alarm, {"number": 3, **LEVEL}),
    (comparison.false_winner, {"number": 3, **LEVEL}),
    (plan.plan_session,
     {"set_ups": ["A", "B"], "speeds": [10.0, 12.0], "yaw": [0.0, 0.1], "repeats": 3,
      "run_time": 40.0, "change_time": 300.0, "seed": 0}),
    (PLAN.smallest_difference, {**SPREADS, **LEVEL, "power": 0.8}),
    (PLAN.cuts, SPREADS),
    (road.legs_table, {"course": THREE_KILNS.course, "power_factor": 1.0, "wind_speed": 0.0,
                       "wind_from": 0.0}),
    (tunnel.SharedErrors, {"balance_scale": 0.01, "speed": 0.01, "air_density": 0.01, "tare": 0.0003}),
    (tunnel.compare, {"sheet": DAY, "a": "hoods", "b": "clip-ons", "yaw": 0.0, **LEVEL}),
    (DAY.draws, {"n": 10, "seed": 0}),
    (roadtest.FieldErrors, {"power_scale": 0.01, "head_wind": 0.5}),
    (one_ride.RideDoubts, {"power": 0.01, "head_wind": 0.5}),
    (rides.Unstated, {"power": 0.01, "wind_speed": 0.5}),
    (options.Option, {"after_rider": TOBIN.rider, "power_factor": 1.0, "held": 1.0, "doubt": 0.2}),
    (pacing.even_against_paced,
     {"course": THREE_KILNS.course, "rider": TOBIN.rider, "power": 200.0, "shift": 0.5, "bound": 0.1}),
]  # fmt: skip
OTHER_BAD = {name: [12, None] for name in ("course", "rider", "sheet", "after_rider", "set_ups", "cells")}
OTHER_BAD["power_factor"] = ["twelve", None]
CASES = [
    pytest.param(call, good, name, id=f"{getattr(call, '__name__', call)}-{name}")
    for call, good in GOOD
    for name in good
]


def named(call, arguments):
    return call("drag", **arguments) if call is options.Option else call(**arguments)


@over(CASES)
def test_what_is_no_number_is_refused_by_name(call, good, name):
    named(call, good)
    bad = OTHER_BAD.get(name, ["twelve", [[1.0, 2.0], [3.0]], {"a": 1}])
    for value in bad:
        with pytest.raises(ValueError, match=in_words(name)):
            named(call, good | {name: value})


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_a_difference_that_is_no_number_has_no_chance(value):
    with pytest.raises(ValueError, match="difference .* is not a finite number"):
        comparison.runs_needed(value, 1.0)
    with pytest.raises(ValueError, match="difference .* is not a finite number"):
        comparison.difference_interval(value, 1.0, 3)


def test_a_set_up_may_not_be_called_as_the_empty_stand_is():
    with pytest.raises(ValueError, match="'Empty-Stand' would be read as the empty stand"):
        plan.plan_session(["A", "Empty-Stand"], [10.0], [0.0], 2, run_time=40, change_time=300)


def test_where_nobody_pedals_there_is_nothing_to_pace():
    downhill = road.read_legs("length [km],gradient [%],heading [deg]\n1,-8,0\n1,-6,0\n").course
    with pytest.raises(ValueError, match="nobody pedals"):
        pacing.even_against_paced(downhill, TOBIN.rider, 0.0, 0.5)

"""Panel: the same mean power, more of it where the road is slow."""

from functools import partial

import numpy as np

from dragwork import units
from dragwork.decisions.pacing import even_against_paced
from dragwork.scenario.riders import TOBIN
from dragwork.scenario.roads import THREE_KILNS
from dragwork.teaching.figures.road_strip import RoadStrip, road_in_minutes
from dragwork.teaching.figures.style import WIDTH
from dragwork.teaching.panels.knobs import Knob, knob
from dragwork.teaching.panels.my_road import whole_axis
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import saved_or_lost, sentence

SHIFT = Knob("shift", "Power shifted to slow legs", "k", "%", 0, 15, 50, 5, 0)


@model
def paced(shift, power, wind_speed, road=THREE_KILNS, member=TOBIN):
    """A member on a road, even and paced, with that wind on the legs that have any.

    Its strip in minutes as ridden paced; `.saved` is against the even ride. SI, watts at the crank.
    """
    wind = np.where(road.wind_speed > 0, wind_speed, 0.0)
    found = even_against_paced(
        road.course, member.rider, power * road.power_factor, shift, wind_speed=wind,
        wind_from=road.wind_from,
    )  # fmt: skip
    strip = vars(road_in_minutes(road.course, found.paced))
    return dict(
        strip,
        saved=found.even.legs.time - found.paced.legs.time,
        power=found.paced.legs.power,
        rider_power=power,
        mean_power=found.even.mean_power,
        time_even=found.even.time,
        time_paced=found.paced.time,
        factor=found.factor,
    )


@sentence
def in_words(result):
    """{road.name} in {wind_speed:.1f m/s} of wind takes {even} at an even {rider_power:.0f W}. {moved}, at the same
    mean of {mean_power:.0f W} at the crank: {paced}, {saving}."""
    most, least = (units.to_percent(end - 1) for end in (result.factor.max(), result.factor.min()))
    moved = f"With {most:+.0f} % on the slowest leg and {least:+.0f} % on the fastest".replace("-", "−")
    return dict(
        moved=moved if most - least >= 0.5 else "With the same power everywhere",
        even=units.clock(result.time_even),
        paced=units.clock(result.time_paced),
        saving=saved_or_lost(result.time_even - result.time_paced),
    )


def pacing(road=THREE_KILNS, member=TOBIN):
    """The panel: turn the shift, the power and the wind. No leg moves by more than a tenth."""
    power = knob("power", low=90)
    wind = knob("wind_speed", label="Wind on the legs that have any", reference=3, high=8)
    slowest = paced(0.0, power.low, wind.high, road, member).time_even
    strip = RoadStrip(len(road.course.legs), whole_axis(slowest), width=WIDTH)
    rides = partial(paced, road=road, member=member)
    return Panel((SHIFT, power, wind), rides, strip, in_words, observed="time_paced")

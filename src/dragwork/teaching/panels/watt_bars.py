"""Panel: where the watts go at one speed, as bars, and at all speeds, as curves."""

from dataclasses import replace
from functools import partial

import numpy as np

from dragwork import units
from dragwork.physics.power import Conditions, power_balance
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.figures.curves import Axis, Curves, Line, Plane, at
from dragwork.teaching.figures.style import BEFORE, BLACK, GREY, QUANTITY, bare
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import sentence

OPENS_AT = units.kmh(36)
SPEEDS = units.kmh(np.linspace(0, 60, 121))


_LEAST, _MOST = -600, 800  # W, the axis of the bars
# Field of the balance: name on the page, look. From top to bottom.
_CAUSES = {
    "air": ("air", QUANTITY["air"]),
    "rolling": ("tyres", QUANTITY["rolling"]),
    "slope": ("slope", QUANTITY["slope"]),
    "drivetrain": ("drivetrain", QUANTITY["losses"]),
    "total": ("crank", QUANTITY["total"]),
}


def _along(cause):
    """Watts of a cause at all speeds; nothing where it is zero throughout."""

    def watts(result):
        curve = getattr(result.along, cause)
        return curve if np.any(curve) else None

    return watts


def _reading(cause):
    def said(result):
        watts = getattr(result.here, cause)
        words = f"{watts:.0f} W".replace("-", "−")
        beyond = " →" if watts > _MOST else " ←" if watts < _LEAST else ""
        braked = "\nbrakes" if cause == "total" and watts < 0 else ""
        return words + beyond + braked

    return said


def _bar(place, cause, look):
    """A bar, where its end was before, and its watts in a column at the right."""
    thick = bare(look, linestyle="-", linewidth=15, solid_capstyle="butt")
    unseen, end = {**BEFORE, "linestyle": "None"}, f"here.{cause}"
    return (
        Line(lambda r: (0, getattr(r.here, cause)), place, thick),
        Line(end, (place - 0.45, place + 0.45), unseen, trace=True),
        Line(_MOST, place, bare(look, linewidth=0), _reading(cause), sides=("right",)),
    )


PICTURE = partial(
    Curves,
    "Where the watts go, as bars at one speed and as curves over speed",
    Plane(
        Axis("below 0 they push", "W", _LEAST, _MOST, (0, 500)),
        Axis("Watts at this speed", "1", len(_CAUSES) - 0.4, -0.6,
             {place: name for place, (name, _) in enumerate(_CAUSES.values())}),
        (
            Line(0.0, None, {"color": BLACK, "linewidth": 1.2}),
            *(line for place, (cause, (_, look)) in enumerate(_CAUSES.items())
              for line in _bar(place, cause, look)),
        ),
        share=5,
    ),
    Plane(
        Axis("Speed on the road, km/h", "km/h", 0, 60),
        Axis("Watts at each speed", "W", -250, 1000),
        (
            Line(None, 0.0, {"color": BLACK, "linewidth": 1.0}),
            Line("ground_speed", None, {"color": GREY, "linewidth": 1}),
            *(Line(SPEEDS, _along(cause), bare(look), name) for cause, (name, look) in _CAUSES.items()),
            *(Line("ground_speed", f"here.{cause}", look) for cause, (_, look) in _CAUSES.items()),
        ),
        guesses=at("ground_speed"),
        share=5,
    ),
    across=True, wspace=0.95, left=0.155,
)  # fmt: skip


@sentence
def in_words(result):
    """At {ground_speed:.1f km/h} {road}, {all_up_mass:.0f kg} all up, {parts} {end}"""
    here = result.here
    takes = f"air takes {here.air:.0f} W, tyres {here.rolling:.0f} W"
    parts = f"the slope gives {-here.slope:.0f} W at the wheel; {takes}."
    end = f"With {here.drivetrain:.0f} W of drivetrain loss the crank gives {here.total:.0f} W."
    if here.slope >= 0:
        parts = f"{takes} and the slope {here.slope:.0f} W, all at the wheel."
        end += f" Air takes {units.to_percent(here.air_share):.0f} % of the power at the wheel."
    elif here.total < 0:
        end = f"The brakes take what is left, {-here.total:.0f} W."
    elif here.air > here.total:
        end += " Air takes more than the rider gives, because the slope helps."
    return dict(road=_slope(result.gradient), parts=parts, end=end)


def _slope(gradient):
    percent = units.to_percent(gradient)
    if percent == 0:
        return "on a flat road"
    return f"on a slope of {abs(percent):.1f} % {'up' if percent > 0 else 'down'}"


def watt_bars(member=TOBIN, speed=OPENS_AT):
    """The panel for a member, or for `my_rider()`: turn speed, gradient and mass.

    Parameters
    ----------
    member : Member
    speed : float [m/s]
        At which it opens.
    """
    rider = member.rider

    @model
    def watts(ground_speed, gradient=0.0, all_up_mass=rider.all_up_mass):
        """The power balance .here, at one speed, and .along all speeds."""
        loaded, road = replace(rider, all_up_mass=all_up_mass), Conditions(gradient=gradient)
        return dict(
            here=power_balance(loaded, road, ground_speed),
            along=power_balance(loaded, road, SPEEDS),
        )

    start = knob("ground_speed").starting_at(round(float(units.to_kmh(speed)), 2))
    mass = knob("all_up_mass").starting_at(float(rider.all_up_mass))
    return Panel((start, knob("gradient", high=8), mass), watts, PICTURE(), in_words, observed="here.total")

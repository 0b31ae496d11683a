"""Panel: the same cut of the drag area for a slow and a fast rider, from the flat to a climb."""

from dataclasses import replace
from functools import partial

import numpy as np

from dragwork import units
from dragwork.physics.power import Conditions
from dragwork.physics.savings import time_saved
from dragwork.scenario.riders import IMKE, ROSALIND
from dragwork.teaching.figures.curves import GUIDE, Axis, Curves, Line, Plane
from dragwork.teaching.figures.style import SET_UP, bare
from dragwork.teaching.panels.drag_or_mass import crossing
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.panels.sentences import on_a_slope
from dragwork.teaching.telling import capital, sentence

DISTANCE, CUT = units.kilometres(10), units.percent(5)
GRADIENTS = units.percent(np.linspace(0, 8, 81))


@model
def two_riders(gradient):
    """Both riders over 10 km at steady speed in still air, before and after the cut.

    Seconds saved by Rosalind and by Imke, each at their own power: here, and at all gradients;
    `even`: the gradient at which both save the same. SI.
    """
    road = Conditions(gradient=np.append(GRADIENTS, gradient))
    seconds = np.array([
        time_saved(
            m.rider, replace(m.rider, drag_area=m.rider.drag_area * (1 - CUT)), road, m.power, DISTANCE
        )
        for m in (ROSALIND, IMKE)
    ])  # fmt: skip
    curves = seconds[:, :-1]
    return dict(
        here=seconds[:, -1],
        seconds=curves,
        even=crossing(GRADIENTS, curves[0] - curves[1]),
    )


def _rider(number, member, look):
    """The curve of a rider, and the point: its seconds above it where the rider saves more, else below."""

    def reading(leads, sides):
        def seconds(result):
            more = result.here[number] >= result.here[1 - number]
            return result.here[number] if bool(more) is leads else None

        return Line("gradient", seconds, look, lambda r: f"{r.here[number]:.0f} s", sides=sides)

    name = f"{member.name}, {member.power:.0f} W"
    return (
        Line(GRADIENTS, lambda r: r.seconds[number], bare(look), name),
        reading(True, ("above right", "above left")),
        reading(False, ("below right", "below left")),
    )


PICTURE = partial(
    Curves,
    "Seconds saved over 10 km by the same cut of the drag area, for two riders, against the gradient",
    Plane(
        Axis("Gradient, %", "%", 0, 8),
        Axis("Seconds saved over 10 km, at their own power", "s", 0, 25),
        (
            Line(
                "even", None, GUIDE, lambda r: f"even at {units.to_percent(r.even):.1f} %", sides=("right", "left")
            ),
            *_rider(0, ROSALIND, SET_UP["B"]),
            *_rider(1, IMKE, SET_UP["C"]),
        ),
    ),
)  # fmt: skip


@sentence
def in_words(result):
    """{slope}, {cut:.0f %} less drag area saves Rosalind {here[0]:.1f} s over 10 km and Imke {here[1]:.1f} s:
    {more.name} saves more than {less.name}. They are even at {even:.1f %}."""
    slow, fast = result.here
    more, less = (ROSALIND, IMKE) if slow >= fast else (IMKE, ROSALIND)
    return dict(slope=capital(on_a_slope(result.gradient)), cut=CUT, more=more, less=less)


def who_saves_more():
    """The panel: turn the slope; 5 % less drag area for both. Reference: on the flat."""
    return Panel([knob("gradient", low=0, high=8)], two_riders, PICTURE(), in_words)

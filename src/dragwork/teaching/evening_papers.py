"""Papers for a club night, to print: vote cards, claim cards, the verdict sheet, watts by speed, the rules.

`python -m dragwork.teaching.class_papers evening` writes them as one page.
"""

from dataclasses import replace

import numpy as np

from dragwork.files import text_of
from dragwork.physics import Conditions, drag_area_behind, power_balance, time_saved
from dragwork.scenario import riders, roads
from dragwork.teaching.clinic import ending
from dragwork.teaching.lessons import cells_of, title_of
from dragwork.teaching.printing import filled, html_table
from dragwork.teaching.questions import KINDS
from dragwork.teaching.questions.rules import RULES
from dragwork.teaching.told import read_told
from dragwork.teaching.verdicts import BOXES, capital
from dragwork.units import kmh, to_kilometres

CLAIMS = tuple(line[2:] for line in text_of(__package__, "evening_claims.md").splitlines() if line.startswith("- "))
SPEEDS = np.arange(18.0, 54.1, 2.0)  # km/h, on the card
_CALM = Conditions()
_QUOTED = KINDS["M10"].at()


def at_own_speed(speed):
    """What an item of 20 W at 50 km/h saves at one's own speed, flat and calm.

    Parameters
    ----------
    speed : float [m/s]

    Returns
    -------
    (float, list of float)
        Watts in the air [W]; seconds over Cinder Lane [s], of each of the club's riders at that speed.
    """
    item = drag_area_behind(_QUOTED.watts, _CALM, kmh(_QUOTED.quoted_at))
    seconds = []
    for rider in (member.rider for member in riders.MEMBERS.values()):
        less = replace(rider, drag_area=rider.drag_area - item)
        before, after = (power_balance(each, _CALM, speed) for each in (rider, less))
        distance = roads.CINDER_LANE.course.distance
        seconds.append(float(time_saved(rider, less, _CALM, before.total, distance)))
    return float(before.air - after.air), seconds


def own_speed_table(speeds):
    """The card as an HTML table, for speeds in km/h."""
    over = f"seconds saved over {to_kilometres(roads.CINDER_LANE.course.distance):.0f} km"
    rows = []
    for speed in speeds:
        watts, seconds = at_own_speed(kmh(speed))
        span = f"{min(seconds):.0f} to {max(seconds):.0f} s"
        rows.append({"your speed": f"{speed:.0f} km/h", "watts saved": f"{watts:.1f} W", over: span})
    return html_table(
        rows,
        f"An item that saves {_QUOTED.watts} W at {_QUOTED.quoted_at} km/h, flat and calm. "
        "Watts in the air; seconds of four riders, least to most.",
    )


def papers(lessons):
    """The papers, each as HTML: a list of str."""
    rows = []
    for number, claim in enumerate(CLAIMS, 1):
        end = ending(read_told(claim), riders.TOBIN, roads.CINDER_LANE)
        rows.append({"claim": f"{number} {claim}", "verdict": f"{capital(end.verdict)}.", "what to say": end.spoken})
    caption = f"For {riders.TOBIN.name} on {roads.CINDER_LANE.name}. On another rider or road a verdict can differ."
    written = filled(
        "evening_papers.html",
        claims=CLAIMS,
        boxes=BOXES,
        rules=RULES,
        title=lambda number: title_of(cells_of(number, lessons)),
        speeds=own_speed_table(SPEEDS),
        verdicts=html_table(rows, caption),
    )
    return written.split("\n<!-- a paper -->\n")

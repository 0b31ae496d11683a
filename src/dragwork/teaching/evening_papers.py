"""Papers for a club night, to print: vote cards, claim cards, the verdict sheet, watts by speed, the rules.

`python -m dragwork.teaching.class_papers evening` writes them as one page.
"""

from dataclasses import dataclass, replace

import numpy as np

from dragwork.files import text_of
from dragwork.physics import Conditions, drag_area_behind, power_balance, time_saved
from dragwork.scenario import riders, roads
from dragwork.teaching.clinic import ending
from dragwork.teaching.lessons import cells_of, title_of
from dragwork.teaching.printing import filled
from dragwork.teaching.questions import KINDS
from dragwork.teaching.questions.rules import RULES
from dragwork.teaching.telling import html_table
from dragwork.teaching.told import read_told
from dragwork.teaching.verdicts import BOXES, capital
from dragwork.units import kmh, to_kilometres

CLAIMS = tuple(line[2:] for line in text_of(__package__, "evening_claims.md").splitlines() if line.startswith("- "))
SPEEDS = np.arange(18.0, 54.1, 2.0)  # km/h, on the card
_CALM = Conditions()
_QUOTED = KINDS["M10"].at()


@dataclass(frozen=True)
class OwnSpeed:
    """What the quoted item saves at one's own speed, flat and calm.

    speed [m/s]; watts [W], in the air; fewest, most: seconds over Cinder Lane [s], of the club's riders,
    each riding at that speed.
    """

    speed: float
    watts: float
    fewest: float
    most: float


def at_own_speed(speed):
    """What an item of 20 W at 50 km/h saves at a speed, as `OwnSpeed`.

    Parameters
    ----------
    speed : float [m/s]

    Returns
    -------
    OwnSpeed
    """
    item = drag_area_behind(_QUOTED.watts, _CALM, kmh(_QUOTED.quoted_at))
    watts, seconds = 0.0, []
    for rider in (member.rider for member in riders.MEMBERS.values()):
        less = replace(rider, drag_area=rider.drag_area - item)
        watts = power_balance(rider, _CALM, speed).air - power_balance(less, _CALM, speed).air
        power = power_balance(rider, _CALM, speed).total
        seconds.append(float(time_saved(rider, less, _CALM, power, roads.CINDER_LANE.course.distance)))
    return OwnSpeed(float(speed), float(watts), min(seconds), max(seconds))


def own_speed_table(speeds):
    """The card as an HTML table, for speeds in km/h."""
    rows = [
        {
            "your speed": f"{speed:.0f} km/h",
            "watts saved": f"{found.watts:.1f} W",
            f"seconds saved over {to_kilometres(roads.CINDER_LANE.course.distance):.0f} km": f"{found.fewest:.0f} to {found.most:.0f} s",
        }
        for speed in speeds
        for found in [at_own_speed(kmh(speed))]
    ]
    return html_table(rows, f"An item that saves {_QUOTED.watts} W at {_QUOTED.quoted_at} km/h, flat and calm. Watts in the air; seconds of four riders, least to most.")


def papers(lessons):
    """The papers, each as HTML: a list of str."""
    rules = [(number, title_of(cells_of(number, lessons)), rule.filled) for number, rule in RULES.items()]
    written = filled(
        "evening_papers.html",
        claims=CLAIMS, boxes=BOXES, rules=rules, speeds=own_speed_table(SPEEDS), verdicts=_verdicts(),
    )  # fmt: skip
    return written.split("\n<!-- a paper -->\n")


def _verdicts():
    """What the claims come to, as an HTML table."""
    rows = []
    for number, claim in enumerate(CLAIMS, 1):
        end = ending(read_told(claim), riders.TOBIN, roads.CINDER_LANE)
        rows.append({"claim": f"{number} {claim}", "verdict": f"{capital(end.verdict)}.", "what to say": end.spoken})
    return html_table(rows, f"For {riders.TOBIN.name} on {roads.CINDER_LANE.name}. On another rider or road a verdict can differ.")

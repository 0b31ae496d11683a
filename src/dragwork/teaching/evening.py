"""A club night as one HTML file of full-screen steps, which needs no network and no Python.

`python -m dragwork.teaching.evening [--out FILE]` makes it from the library and the lessons. The arrow keys,
space or a clicker move it; its pictures are stored frames, so nothing is computed in the browser.
"""

import re
import sys
from dataclasses import dataclass
from itertools import accumulate

from dragwork.physics.speed import steady_speed
from dragwork.scenario.riders import IMKE, ROSALIND, TOBIN
from dragwork.teaching import handout
from dragwork.teaching.evening_papers import own_speed_table
from dragwork.teaching.frames import Frames
from dragwork.teaching.lessons import cells_of, title_of
from dragwork.teaching.panels import watt_bars
from dragwork.teaching.pocket_book import moving_figure
from dragwork.teaching.printing import figure, filled, page
from dragwork.teaching.questions.rules import RULES
from dragwork.teaching.verdicts import BOXES
from dragwork.teaching.votes import CALM, votes

REMEMBER = ("02", "08", "10")  # the rules of these lessons
WAY_ON = ("02", "03", "08", "09", "10")  # for a guest with a claim to check
_TIME = re.compile(r"\*Time\* (\d+) minutes")  # in the head of a lesson
_STEP = re.compile(r"<!-- (.+?) \| (.+?) \| ([\d.]+) min, the room ([\d.]+) -->\n(.*?)(?=<!--|\Z)", re.DOTALL)
_ON_THE_SCREEN = range(20, 49, 4)  # km/h: read from the back
_SHARP = 2.0  # pixels of a frame per pixel of a panel: it is shown large


@dataclass(frozen=True)
class Screen:
    """A screen of the evening.

    Parameters
    ----------
    part : str
        Of the plan: 'Vote 1'.
    title, body : str
        HTML.
    minutes : float
        Planned.
    room : float
        Minutes that the room takes: hands, talk, writing, a break. The leader's words come on top.
    """

    part: str
    title: str
    body: str
    minutes: float
    room: float


def evening(lessons, date=""):
    """The evening.

    Parameters
    ----------
    lessons : sequence of Path or str
        The notebooks, of which those are read that the evening takes from.
    date : str
        Shown on the first step; left out where it is empty.

    Returns
    -------
    str
        One HTML file that fetches nothing.

    Raises
    ------
    ValueError
        Where a lesson is missing, in words.
    """
    steps = steps_of(lessons, date)
    ends = list(accumulate(step.minutes for step in steps))
    body = filled("evening.html", steps=zip(steps, [0.0, *ends], ends), whole=ends[-1], time=_time)
    return page("Drag at work: a club night", body, "evening.css", "pocket_book.js", "evening.js")


def steps_of(lessons, date=""):
    """The steps, in order, as `evening_steps.html` writes them: a list of `Screen`."""
    heads = {number: cells_of(number, lessons) for number in WAY_ON}
    written = filled(
        "evening_steps.html",
        date=date,
        votes=votes(lessons),
        club=(ROSALIND, TOBIN, IMKE),
        bars=lambda m: watt_bars(m, steady_speed(m.rider, CALM, m.power)),
        picture=_picture,
        moving=_moving,
        own_speed=own_speed_table(_ON_THE_SCREEN),
        boxes=[box.partition(" ")[2] for box in BOXES],
        rules=[RULES[number].filled for number in REMEMBER],
        takes=sum(int(_TIME.search(cells[0].source)[1]) for cells in heads.values()),
        lessons=[f"{number} {title_of(cells)}" for number, cells in heads.items()],
    )
    return [
        Screen(part, title, body, float(minutes), float(room))
        for part, title, minutes, room, body in _STEP.findall(written)
    ]


def _time(time):
    """Minutes as the clock on the screen shows them: an evening of 90:00 has no hours."""
    return "{}:{:02d}".format(*divmod(round(60 * time), 60))


# -- pictures -----------------------------------------------------------------------------------------


def _picture(panel, sentence="", closed=False):
    """A still picture of a panel; `closed`, without what answers the question."""
    picture = panel.picture
    picture.closed = closed
    png = picture.saved_png()
    picture.closed = False
    alt = f"{picture.title}. The answer is not drawn yet." if closed else panel.alt
    return f'<div class="still">{figure(png, alt, picture.size, sentence)}</div>'


def _moving(panel, stops, anchor):
    """A panel with one knob as frames, and where it goes at each press."""
    (name,) = panel.knobs
    frames = Frames(panel, [{name: stop} for stop in stops], scale=_SHARP)
    places = [frames.positions[name].index(panel.knobs[name].check(stop)) for stop in stops]
    return f'<div class="stops" data-stops="{places}">\n{moving_figure(frames, anchor)}</div>'


def main(arguments):
    """Run the command; return its exit code."""
    return handout.main(arguments, "evening", evening, __doc__)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

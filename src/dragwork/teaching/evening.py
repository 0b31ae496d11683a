"""A club night as one HTML file of full-screen steps, which needs no network and no Python.

`python -m dragwork.teaching.evening [--out FILE]` makes it from the library and the lessons. The arrow keys,
space or a clicker move it; its pictures are stored frames, so nothing is computed in the browser.
"""

import re
import sys
from base64 import b64encode
from dataclasses import dataclass
from html import escape

from dragwork.physics.speed import steady_speed
from dragwork.scenario.riders import IMKE, ROSALIND, TOBIN
from dragwork.teaching import handout
from dragwork.teaching.evening_papers import head_of, on_the_screen, title_of
from dragwork.teaching.frames import Frames
from dragwork.teaching.panels import watt_bars
from dragwork.teaching.pocket_book import moving_figure
from dragwork.teaching.printing import figure, filled, page
from dragwork.teaching.questions.rules import RULES
from dragwork.teaching.verdicts import BOXES
from dragwork.teaching.votes import CALM, votes

WORDS_A_MINUTE = 130  # of a leader who is in no hurry: common practice, no source
REMEMBER = ("02", "08", "10")  # the rules of these lessons
WAY_ON = ("02", "03", "08", "09", "10")  # for a guest with a claim to check
_TIME = re.compile(r"\*Time\* (\d+) minutes")  # in the head of a lesson
_STEP = re.compile(r"<!-- (.+?) \| (.+?) \| ([\d.]+) min, the room ([\d.]+) -->\n(.*?)(?=<!--|\Z)", re.DOTALL)
_SHARP = 2.0  # pixels of a frame per pixel of a panel: it is shown large


@dataclass(frozen=True)
class Screen:
    """A screen of the evening.

    Parameters
    ----------
    part : str
        Of the plan: 'Vote 1'.
    title : str
    body : str
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
    room: float = 0.0


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
    pages, begins = [], 0.0
    steps = steps_of(lessons, date)
    whole = sum(step.minutes for step in steps)
    for number, step in enumerate(steps, 1):
        ends = begins + step.minutes
        pages.append(filled(
            "evening_step.html", number=number, title=escape(step.title), body=step.body, minutes=step.minutes, room=step.room, begins=begins,
            plan=f"Planned: {_time(begins)} to {_time(ends)}, of {_time(whole)}.",
        ))  # fmt: skip
        begins = ends
    body = filled("evening.html", steps="\n".join(pages), whole=whole)
    return page("Drag at work: a club night", body, "evening.css", "pocket_book.js", "evening.js")


def steps_of(lessons, date=""):
    """The steps, in order: a list of `Screen`."""
    faster, less, stand, helmets, quoted, riders = votes(lessons)
    written = _written(lessons, date)
    return [
        *written["Hello"],
        *_vote(1, faster, answer=2.0, reply=2.0),
        *_bars(),
        *_vote(2, less),
        *_vote(3, stand),
        *_vote(4, helmets, answer=2.0, reply=1.0),
        *written["Break"],
        *_vote(5, quoted),
        Screen("Vote 5", "Your own speed", on_the_screen(), 3, 2),
        *_vote(6, riders, reply=2.5),
        *written["Verdict"],
        *written["End"],
    ]


def _time(time):
    """Minutes as the clock on the screen shows them: an evening of 90:00 has no hours."""
    return "{}:{:02d}".format(*divmod(round(60 * time), 60))


# -- the steps ----------------------------------------------------------------------------------------


def _says(*lines):
    return "".join(f"<p>{escape(line)}</p>\n" for line in lines)


def _written(lessons, date):
    """The steps whose words are in `evening_steps.html`, in lists by part."""
    takes = sum(int(_TIME.search(head_of(number, lessons))[1]) for number in WAY_ON)
    words = filled(
        "evening_steps.html",
        date=f'<p class="date">{escape(date)}</p>' if date else "",
        boxes=_items(box.partition(" ")[2] for box in BOXES),
        rules=_items(RULES[number].filled for number in REMEMBER),
        takes=takes,
        lessons=_items(f"{number} {title_of(number, lessons)}" for number in WAY_ON),
    )
    steps = {}
    for part, title, minutes, room, body in _STEP.findall(words):
        steps.setdefault(part, []).append(Screen(part, title, body, float(minutes), float(room)))
    return steps


def _items(lines):
    return "".join(f"<li>{escape(line)}</li>" for line in lines)


def _bars():
    for member in (ROSALIND, TOBIN, IMKE):
        panel = watt_bars(member, steady_speed(member.rider, CALM, member.power))
        title = f"Where the watts go: {member.name}, {member.power} W"
        yield Screen("Vote 2", title, _picture(panel, panel.sentence), 1)


def _vote(number, vote, answer=1.5, reply=1.5):
    """Its steps: the question, the talk, the closed picture, the answer, what to say."""
    part = f"Vote {number}"
    choices = "".join(f"<li><b>{letter}</b> {escape(choice.text)}</li>" for letter, choice in vote.choices.items())
    asked = f'<p class="question">{escape(vote.question)}</p>\n<ol class="choices">{choices}</ol>\n'
    setting = f'<p class="setting">{escape(vote.setting)}</p>\n'
    talk = _says("Convince a neighbour who raised another card. Then we vote again.")
    if not vote.talk:
        talk = _says("Half a minute with your neighbour. Then we vote again.")
    panel = vote.panel()
    closed = _says("Show with a finger where you expect it.") + _picture(panel, "", closed=True)
    yield Screen(part, f"{part}: raise a card", setting + asked, 1.5, 1)
    yield Screen(part, f"{part}: talk, then vote again", asked + talk, *((6, 5.5) if vote.talk else (2, 1.5)))
    yield Screen(part, f"{part}: the picture, still closed", closed, 0.5, 0.3)
    yield Screen(part, f"{part}: the answer is {vote.right}", _moving(panel, vote.stops, f"vote-{number}"), answer)
    if vote.hill:
        hill = vote.hill()
        (slope,) = hill.reference.values()
        yield Screen(part, f"{part}: and uphill?", _moving(hill, (0.0, slope), f"vote-{number}-hill"), 2, 0.5)
    others = " or ".join(letter for letter in vote.choices if letter != vote.right)
    yield Screen(part, f"{part}: why {vote.right}, and not {others}", _replies(vote), reply)


def _replies(vote):
    right = vote.choices[vote.right]
    lines = [f'<p class="right"><b>{vote.right}</b> {escape(right.text)}. {escape(right.reply)} {escape(vote.seen)}</p>\n']
    lines += [
        f"<p><b>{letter}</b> {escape(choice.text)}: {escape(choice.reply)}</p>\n"
        for letter, choice in vote.choices.items() if letter != vote.right
    ]  # fmt: skip
    return "".join(lines)


# -- pictures -----------------------------------------------------------------------------------------


def _picture(panel, sentence, closed=False):
    """A still picture of a panel; `closed`, without what answers the question."""
    picture = panel.picture
    picture.closed = closed
    png, (width, height) = b64encode(picture.saved_png()).decode(), picture.size
    picture.closed = False
    alt = f"{picture.title}. The answer is not drawn yet." if closed else panel.alt
    return f'<div class="still">{figure(png, {"alt": alt, "width": width, "height": height}, sentence)}</div>\n'


def _moving(panel, stops, anchor):
    """A panel with one knob as frames, and where it goes at each press."""
    (name,) = panel.knobs
    frames = Frames(panel, [{name: stop} for stop in stops], scale=_SHARP)
    places = [frames.positions[name].index(panel.knobs[name].check(stop)) for stop in stops]
    return f'<div class="stops" data-stops="{places}">\n{moving_figure(frames, anchor)}</div>\n'


def main(arguments):
    """Run the command; return its exit code."""
    return handout.main(arguments, "evening", evening, __doc__)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

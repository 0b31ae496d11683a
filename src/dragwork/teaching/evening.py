"""A club night as one HTML file of full-screen steps, which needs no network and no Python.

`python -m dragwork.teaching.evening [--out FILE]`, in the project's folder, makes it from the library and the lessons. The arrow keys,
space or a clicker move it; its pictures are stored frames, so nothing is computed in the browser.
"""

import re
import sys
from base64 import b64encode
from dataclasses import dataclass
from html import escape
from importlib.resources import files
from string import Template

from dragwork.physics.speed import steady_speed
from dragwork.scenario.riders import IMKE, ROSALIND, TOBIN
from dragwork.teaching import handout
from dragwork.teaching.evening_papers import head_of, on_the_screen, title_of
from dragwork.teaching.frames import Frames
from dragwork.teaching.panels import watt_bars
from dragwork.teaching.pocket_book import moving_figure
from dragwork.teaching.questions.rules import RULES
from dragwork.teaching.verdicts import BOXES
from dragwork.teaching.votes import CALM, votes

WORDS_A_MINUTE = 130  # of a leader who is in no hurry: common practice, no source
REMEMBER = ("02", "08", "10")  # the rules of these lessons
WAY_ON = ("02", "03", "08", "09", "10")  # for a guest with a claim to check
_TIME = re.compile(r"\*Time\* (\d+) minutes")  # in the head of a lesson
_SHARP = 2.0  # pixels of a frame per pixel of a panel: it is shown large
_FILES = ("evening.css", "pocket_book.js", "evening.js")


@dataclass(frozen=True)
class Step:
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
        pages.append(_STEP.substitute(
            number=number, title=escape(step.title), body=step.body, minutes=step.minutes, room=step.room, begins=begins,
            plan=f"Planned: {_time(begins)} to {_time(ends)}, of {_time(whole)}.",
        ))  # fmt: skip
        begins = ends
    read = {name: files(__package__).joinpath(name).read_text("utf-8") for name in _FILES}
    return _PAGE.substitute(
        style=read.pop("evening.css"), steps="\n".join(pages), whole=whole,
        script="".join(f"<script>\n{text}</script>\n" for text in read.values()),
    )  # fmt: skip


def steps_of(lessons, date=""):
    """The steps, in order: a list of `Step`."""
    faster, less, stand, helmets, quoted, riders = votes(lessons)
    return [
        *_hello(date),
        *_vote(1, faster, answer=2.0, reply=2.0),
        *_bars(),
        *_vote(2, less),
        *_vote(3, stand),
        *_vote(4, helmets, answer=2.0, reply=1.0),
        Step("Break", "Five minutes to stretch", _says("Ask your neighbour what surprised them."), 5, 4.5),
        *_vote(5, quoted),
        Step("Vote 5", "Your own speed", on_the_screen(), 3, 2),
        *_vote(6, riders, reply=2.5),
        *_verdict(),
        *_end(lessons),
    ]


def _time(time):
    """Minutes as the clock on the screen shows them: an evening of 90:00 has no hours."""
    return "{}:{:02d}".format(*divmod(round(60 * time), 60))


# -- the steps ----------------------------------------------------------------------------------------


def _says(*lines):
    return "".join(f"<p>{escape(line)}</p>\n" for line in lines)


def _listed(lines, kind="ul"):
    return f"<{kind}>{''.join(f'<li>{escape(line)}</li>' for line in lines)}</{kind}>\n"


def _hello(date):
    when = f'<p class="date">{escape(date)}</p>\n' if date else ""
    welcome = _says(
        "Welcome. Tonight there are six votes, and most of us will be wrong at some of them.",
        "Raise a card, talk to your neighbour, vote again. Then the picture shows who was right.",
    )
    asks = '<p class="question">June asks: “A friend says 20 W. Shall I buy?”</p>\n'
    write = _says("Write down yes, no, or what you would ask first. We come back to it at the end.")
    return [
        Step("Hello", "Twenty watts: a night at the club", when + welcome, 1.5, 0.5),
        Step("Hello", "June's question", asks + write, 3.5, 3),
    ]


def _bars():
    for member in (ROSALIND, TOBIN, IMKE):
        panel = watt_bars(member, steady_speed(member.rider, CALM, member.power))
        title = f"Where the watts go: {member.name}, {member.power} W"
        yield Step("Vote 2", title, _picture(panel, panel.sentence), 1)


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
    yield Step(part, f"{part}: raise a card", setting + asked, 1.5, 1)
    yield Step(part, f"{part}: talk, then vote again", asked + talk, *((6, 5.5) if vote.talk else (2, 1.5)))
    yield Step(part, f"{part}: the picture, still closed", closed, 0.5, 0.3)
    yield Step(part, f"{part}: the answer is {vote.right}", _moving(panel, vote.stops, f"vote-{number}"), answer)
    if vote.hill:
        hill = vote.hill()
        (slope,) = hill.reference.values()
        yield Step(part, f"{part}: and uphill?", _moving(hill, (0.0, slope), f"vote-{number}-hill"), 2, 0.5)
    others = " or ".join(letter for letter in vote.choices if letter != vote.right)
    yield Step(part, f"{part}: why {vote.right}, and not {others}", _replies(vote), reply)


def _replies(vote):
    right = vote.choices[vote.right]
    lines = [f'<p class="right"><b>{vote.right}</b> {escape(right.text)}. {escape(right.reply)} {escape(vote.seen)}</p>\n']
    lines += [
        f"<p><b>{letter}</b> {escape(choice.text)}: {escape(choice.reply)}</p>\n"
        for letter, choice in vote.choices.items() if letter != vote.right
    ]  # fmt: skip
    return "".join(lines)


def _verdict():
    boxes = _says("In pairs: take a claim card and fill in the sheet. An empty box is your question to the seller.")
    return [
        Step("Verdict", "The verdict sheet", boxes + _listed((box.partition(" ")[2] for box in BOXES), "ol"), 6, 5.4),
        Step("Verdict", "June's question, again", _says(
            "“A friend says 20 W. Shall I buy?” What did you write at the start, and what would you ask now?",
            "Adopt it, test it yourself, ignore it, or ask for data: each pair says one of the four, and why.",
        ), 2, 1.5),
    ]  # fmt: skip


def _end(lessons):
    cautions = _listed((
        "All riders, roads and items tonight are invented. Each number is a model's estimate.",
        "No new position on the road tonight. Try one in still conditions first, with a qualified fitter.",
        "A test on the road is a ride: road law comes first, and any rider may stop it.",
    ))  # fmt: skip
    takes = sum(int(_TIME.search(head_of(number, lessons))[1]) for number in WAY_ON)
    way = _says(f"Ask for the workbook. With a claim to check, take these lessons, {takes} minutes in all:")
    titles = (f"{number} {title_of(number, lessons)}" for number in WAY_ON)
    return [
        Step("End", "Three things to remember", _listed((RULES[number].filled for number in REMEMBER), "ol"), 2, 0.5),
        Step("End", "Before you go", cautions, 1),
        Step("End", "Where to go on alone", way + _listed(titles), 1, 0.5),
    ]


# -- pictures -----------------------------------------------------------------------------------------


def _picture(panel, sentence, closed=False):
    """A still picture of a panel; `closed`, without what answers the question."""
    picture = panel.picture
    picture.closed = closed
    png, (width, height) = b64encode(picture.saved_png()).decode(), picture.size
    picture.closed = False
    alt = f"{picture.title}. The answer is not drawn yet." if closed else panel.alt
    return f'<div class="still">{handout.figure(png, {"alt": alt, "width": width, "height": height}, sentence)}</div>\n'


def _moving(panel, stops, anchor):
    """A panel with one knob as frames, and where it goes at each press."""
    (name,) = panel.knobs
    frames = Frames(panel, [{name: stop} for stop in stops], scale=_SHARP)
    places = [frames.positions[name].index(panel.knobs[name].check(stop)) for stop in stops]
    return f'<div class="stops" data-stops="{places}">\n{moving_figure(frames, anchor)}</div>\n'


_STEP = Template("""<section class="step" id="step-$number" aria-labelledby="title-$number" data-minutes="$minutes" \
data-room="$room" data-begins="$begins">
<h2 id="title-$number" tabindex="-1">$title</h2>
<div class="body">
$body</div>
<p class="plan">$plan</p>
</section>""")

_PAGE = Template("""<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Drag at work: a club night</title>
<style>
$style</style>
</head>
<body>
<main>
<h1 class="unseen">Drag at work: a club night</h1>
$steps
</main>
<footer class="clock" data-whole="$whole" hidden>
<button type="button" class="back">Back</button>
<p role="timer" aria-live="off"></p>
<button type="button" class="on">On</button>
</footer>
$script</body>
</html>
""")


def main(arguments):
    """Run the command; return its exit code."""
    return handout.main(arguments, "evening", evening, __doc__)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

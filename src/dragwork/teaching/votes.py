"""The six votes of a club night: what is asked, three choices, and what to say to each of them.

Four are questions of the workbook, whose slips are the wrong choices; two are choices of a lesson.
The evening shows them; the guide's plan is checked against them.
"""

from ast import literal_eval
from collections.abc import Callable
from dataclasses import dataclass, replace

from dragwork.decisions.meanings import meanings
from dragwork.measurement.tunnel import compare
from dragwork.physics import Conditions, area_from_force, power_balance, steady_speed, watts_saved
from dragwork.scenario import barrow_lane, riders, roads
from dragwork.teaching import panels
from dragwork.teaching.lessons import calls_in, cells_of
from dragwork.teaching.panels.savings import CUT
from dragwork.teaching.panels.tunnel import AIR_DENSITY, STAND_SPEED
from dragwork.teaching.questions import KINDS, Question, ask
from dragwork.units import kmh, percent, to_kmh
from dragwork.wording import filled_in, words_in

CALM = Conditions()
_WORDS = words_in(__package__, "votes.json")
_RIGHT = "Yes."  # how a lesson's reply to the right choice begins


@dataclass(frozen=True)
class VoteChoice:
    """One of three: its text on the screen, what to say to those who chose it, and whether it is right."""

    text: str
    reply: str
    right: bool


@dataclass(frozen=True, eq=False)
class Vote:
    """A vote.

    Parameters
    ----------
    setting, question : str
    choices : dict of str to VoteChoice
        By letter, A to C.
    panel : callable
        Makes the picture, with one knob; its reference case is the answer.
    stops : tuple of float [SI]
        Where the knob goes, one after the other, when the answer is shown.
    seen : str
        What the picture showed, in one more sentence.
    talk : bool
        Whether the room talks it over before the second vote.
    hill : callable or None
        Makes one more picture, shown afterwards.
    """

    setting: str
    question: str
    choices: dict
    panel: Callable
    stops: tuple
    seen: str
    talk: bool = True
    hill: Callable | None = None

    @property
    def right(self):
        """The letter of the right choice."""
        return next(letter for letter, choice in self.choices.items() if choice.right)


def votes(lessons):
    """The six votes, in the order of the evening.

    Parameters
    ----------
    lessons : sequence of Path or str
        Notebooks; those of lessons 04 and 09 are read.

    Returns
    -------
    tuple of Vote

    Raises
    ------
    ValueError
        Where a lesson or its choice is missing, in words.
    """
    return (
        _faster(), _less_drag(), _stand(*_asked_in("04", "tare-difference", lessons)), _helmets(), _quoted(),
        _riders(*_asked_in("09", "who-saves-more", lessons)),
    )  # fmt: skip


# -- where the choices come from ----------------------------------------------------------------------


def _vote(name, panel, stops, gaps, choices=None, asked=None, **options):
    """A vote in the words of `votes.json`; its choices, or those of a question by the ids of its slips."""
    words = _WORDS[name]
    if asked:
        says = {id: says(asked.given) for id, says in asked.kind.slips.items()} | {"": asked.kind.why}
        values = asked.slips | {"": asked.answer}
        texts = {id: text.format(values[id], **gaps) for id, text in words["choices"].items()}
        choices = [VoteChoice(text, says[id], not id) for id, text in texts.items()]
    by_letter = dict(zip("ABC", choices, strict=True))
    setting, question, seen = (filled_in(words[part], gaps) for part in ("setting", "question", "seen"))
    return Vote(setting, question, by_letter, panel, stops, seen, **options)


def _asked_in(number, key, lessons):
    """The prompt of a choice in a lesson, and its choices."""
    for cell in cells_of(number, lessons):
        for _, (first, *rest) in calls_in(cell, "choose"):
            if literal_eval(first) == key:
                prompt, replies = map(literal_eval, rest)
                return prompt, [VoteChoice(text, reply, reply.startswith(_RIGHT)) for text, reply in replies.items()]
    raise ValueError(f"the evening needs lesson {number} as the workbook has it: start it where all lessons are.")


# -- one by one ---------------------------------------------------------------------------------------


def _turned(panel, knob, **changes):
    """A panel with one knob, changed."""
    return panel.with_knobs(replace(panel.knobs[knob], **changes))


def _faster():
    question = ask("M05")
    slow = kmh(36)
    fast = slow * (1 + percent(question.given.faster))
    before, after = power_balance(riders.TOBIN.rider, CALM, [slow, fast]).air

    def panel():
        step = to_kmh(fast - slow)
        ends = dict(low=step * 4, reference=to_kmh(fast), high=step * 16, step=step)
        return _turned(panels.watts_curve(), "ground_speed", **ends)

    gaps = dict(faster=question.given.faster, before=before, after=after, more=after / before - 1)
    return _vote("faster", panel, (slow, fast), gaps, asked=question)


def _less_drag():
    question = ask("M07")
    cut = question.given.cut
    share = power_balance(riders.TOBIN.rider, CALM, steady_speed(riders.TOBIN.rider, CALM, riders.TOBIN.power)).air_share
    return _vote(
        "less drag", lambda: _turned(panels.two_ways(), "drag_area_cut", low=5, reference=cut, high=30, step=5),
        (percent(cut),), dict(power=riders.TOBIN.power, cut=cut, share=share), asked=question, talk=False,
    )  # fmt: skip


def _stand(prompt, choices):
    sheet, tare = barrow_lane.bl7(), 3.0
    saved = compare(sheet, "hoods", "clip-ons").difference
    areas = sheet.drag_areas()
    hoods = areas[(areas.yaw == 0) & (areas.set_up == "hoods")].drag_area.mean()
    wrong = hoods + float(area_from_force(tare, AIR_DENSITY, STAND_SPEED))
    gaps = dict(prompt=prompt, difference=saved, of_right=saved / hoods, of_wrong=saved / wrong)
    return _vote(
        "stand", lambda: _turned(panels.forgotten_tare(sheet), "tare", reference=tare, step=1),
        (0.0, tare), gaps, choices, talk=False,
    )  # fmt: skip


def _helmets():
    question = ask("M32")
    return _vote(
        "helmets", lambda: _turned(panels.identical_helmets(question.given.helmets), "day", high=10),
        (1.0, 2.0, 3.0), vars(question.given), asked=question,
    )  # fmt: skip


def _quoted():
    kind = KINDS["M10"]
    question = Question(kind, kind.at(own=28))
    asked = question.given
    ratio = asked.own / asked.quoted_at
    return _vote(
        "quoted", lambda: _turned(panels.quoted_watts(), "ground_speed", low=20, reference=asked.own, high=56, step=4),
        (kmh(asked.quoted_at), kmh(40), kmh(asked.own)), vars(asked) | dict(ratio=ratio, cubed=ratio**3), asked=question,
    )  # fmt: skip


def _riders(prompt, choices):
    distance = roads.CINDER_LANE.course.distance
    gaps = dict(prompt=prompt, distance=distance, cut=CUT)
    for m in (riders.IMKE, riders.ROSALIND):
        speed = steady_speed(m.rider, CALM, m.power)
        less = replace(m.rider, drag_area=m.rider.drag_area * (1 - CUT))
        seconds = meanings(m.rider, CALM, m.power, distance, CUT, 0.0, 0.0).same_percent.over_distance
        gaps[m.name] = dict(speed=speed, seconds=seconds, watts=watts_saved(m.rider, less, CALM, speed))

    def on_a_slope(slope):
        return _turned(panels.who_saves_more(), "gradient", reference=slope, step=1)

    return _vote("riders", lambda: on_a_slope(0), (0.0,), gaps, choices, hill=lambda: on_a_slope(5))

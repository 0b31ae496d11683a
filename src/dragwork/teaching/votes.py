"""The six votes of a club night: what is asked, three choices, and what to say to each of them.

Four are questions of the workbook, whose slips are the wrong choices; two are choices of a lesson.
The evening shows them; the guide's plan is checked against them.
"""

import ast
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import nbformat

from dragwork.decisions.meanings import meanings
from dragwork.measurement.tunnel import compare
from dragwork.physics.drag import area_from_force
from dragwork.physics.power import Conditions, power_balance
from dragwork.physics.savings import watts_saved
from dragwork.physics.speed import steady_speed
from dragwork.scenario.barrow_lane import bl7
from dragwork.scenario.riders import IMKE, ROSALIND, TOBIN
from dragwork.scenario.roads import CINDER_LANE
from dragwork.teaching import panels
from dragwork.teaching.panels.forgotten_tare import AIR_DENSITY, STAND_SPEED
from dragwork.teaching.panels.who_saves_more import CUT
from dragwork.teaching.questions import KINDS, Question
from dragwork.units import kmh, percent, to_kilometres, to_kmh, to_percent

CALM = Conditions()
_RIGHT = "Yes."  # how a lesson's reply to the right choice begins


@dataclass(frozen=True)
class Choice:
    """One of three: its text on the screen, what to say to those who chose it, and whether it is right."""

    text: str
    reply: str
    right: bool


@dataclass(frozen=True, eq=False)
class Vote:
    """A vote.

    Parameters
    ----------
    lesson : str
        Number of the notebook that shows more of it.
    setting, question : str
    choices : dict of str to Choice
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

    lesson: str
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


def _of_question(question, texts):
    """Choices of a question: `texts` is a text for each slip by its id, and for the right answer by ''."""
    says = {slip.id: slip.says(question.given) for slip in question.kind.slips} | {"": question.kind.why}
    values = question.slips | {"": question.answer}
    return _lettered(Choice(text.format(values[id]), says[id], not id) for id, text in texts.items())


def _lettered(choices):
    return dict(zip("ABC", choices, strict=True))


def _asked_in(number, key, lessons):
    """The prompt of a choice in a lesson, and its choices."""
    for path in map(Path, lessons):
        if path.stem.startswith(f"{number}_") and path.resolve().parent.name != "exercises":
            for cell in nbformat.read(path, 4).cells:
                if cell.cell_type == "code" and f'choose("{key}"' in cell.source:
                    call = next(node for node in ast.walk(ast.parse(cell.source)) if _asks(node, key))
                    prompt, replies = map(ast.literal_eval, call.args[1:3])
                    texts = replies.items()
                    return prompt, _lettered(Choice(text, reply, reply.startswith(_RIGHT)) for text, reply in texts)
    raise ValueError(f"the evening needs lesson {number} of the workbook: start it where all lessons are.")


def _asks(node, key):
    return isinstance(node, ast.Call) and bool(node.args) and getattr(node.args[0], "value", None) == key


# -- one by one ---------------------------------------------------------------------------------------


def _faster():
    question = KINDS["M05"].ask()
    slow = kmh(36)
    fast = slow * (1 + percent(question.given.faster))
    before, after = power_balance(TOBIN.rider, CALM, [slow, fast]).air

    def panel():
        curve = panels.watts_curve()
        step = to_kmh(fast - slow)
        return curve.with_knobs(
            replace(curve.knobs["ground_speed"], low=step * 4, reference=to_kmh(fast), high=step * 16, step=step)
        )

    return Vote(
        "02", "Flat road, still air.",
        f"You ride {question.given.faster} % faster. How many more watts does the air take?",
        _of_question(question, {"M05-in-step": "{:.0f} % more", "M05": "{:.0f} % more", "": "{:.0f} % more"}),
        panel, (slow, fast), f"From {before:.0f} to {after:.0f} W is {to_percent(after / before - 1):.0f} % more.",
    )  # fmt: skip


def _less_drag():
    question = KINDS["M07"].ask()
    cut = question.given.cut
    share = power_balance(TOBIN.rider, CALM, steady_speed(TOBIN.rider, CALM, TOBIN.power)).air_share

    def panel():
        ways = panels.two_ways()
        return ways.with_knobs(replace(ways.knobs["drag_area_cut"], low=5, reference=cut, high=30, step=5))

    return Vote(
        "03", f"Tobin rides at {TOBIN.power} W on the flat. He lowers his drag area, the CdA, by {cut} % and keeps his speed.",
        "How much of his power does he save?",
        _of_question(question, {"": f"less than {cut} %", "M07": f"{cut} %", "M07-cubed": f"more than {cut} %"}),
        panel, (percent(cut),),
        f"Air takes {to_percent(share):.0f} % of his power at the wheel. The tyres take as much as before.", talk=False,
    )  # fmt: skip


def _stand(prompt, choices):
    sheet, tare = bl7(), 3.0
    found = compare(sheet, "hoods", "clip-ons")
    areas = sheet.drag_areas()
    hoods = areas[(areas.yaw == 0) & (areas.set_up == "hoods")].drag_area.mean()
    wrong = hoods + float(area_from_force(tare, AIR_DENSITY, STAND_SPEED))

    def panel():
        dots = panels.forgotten_tare(sheet)
        return dots.with_knobs(replace(dots.knobs["tare"], reference=tare, step=1))

    return Vote(
        "04", "In the tunnel the bike is on a stand, and the balance feels both. The tare is what it shows with the empty stand.",
        prompt, choices, panel, (0.0, tare),
        f"From hoods to clip-ons it is {found.difference:.3f} m² either way. But that is {to_percent(found.difference / hoods):.1f} % of "
        f"the right drag area and {to_percent(found.difference / wrong):.1f} % of the wrong one.", talk=False,
    )  # fmt: skip


def _helmets():
    question = KINDS["M32"].ask()

    def panel():
        eight = panels.identical_helmets(question.given.helmets)
        return eight.with_knobs(replace(eight.knobs["day"], high=10))

    return Vote(
        "05",
        f"The club tests {question.given.helmets} helmets, one run each. Secretly all are the same. Runs of one helmet scatter by "
        f"{question.given.sd:.3f} m², their standard deviation, SD.",
        "How far apart do the best and the worst come out, on an average day?",
        _of_question(question, {
            "": "about {:.3f} m², nearly three times the SD", "M32-sd": "about {:.3f} m², as the SD", "M32": "hardly at all",
        }),
        panel, (1.0, 2.0, 3.0), "Every day has a winner, and it is never the better helmet.",
    )  # fmt: skip


def _quoted():
    kind = KINDS["M10"]
    question = Question(kind, kind.at(own=28))
    asked = question.given

    def panel():
        helmet = panels.quoted_watts()
        return helmet.with_knobs(replace(helmet.knobs["ground_speed"], low=20, reference=asked.own, high=56, step=4))

    return Vote(
        "08", f"A helmet saves {asked.watts} W at {asked.quoted_at} km/h, in still air. That is June's question again.",
        f"How much does it save a rider at {asked.own} km/h?",
        _of_question(question, {"": "about {:.0f} W", "M10-in-step": "about {:.0f} W", "M10": "{:.0f} W"}),
        panel, (kmh(asked.quoted_at), kmh(40), kmh(asked.own)),
        f"{asked.own / asked.quoted_at:.2f} of the speed, three times over, is {(asked.own / asked.quoted_at) ** 3:.2f} of the watts.",
    )  # fmt: skip


def _riders(prompt, choices):
    speeds = {m.name: steady_speed(m.rider, CALM, m.power) for m in (IMKE, ROSALIND)}
    distance = CINDER_LANE.course.distance
    seconds, watts = {}, {}
    for m in (IMKE, ROSALIND):
        seconds[m.name] = meanings(m.rider, CALM, m.power, distance, CUT, 0.0, 0.0).same_percent.over_distance
        less = replace(m.rider, drag_area=m.rider.drag_area * (1 - CUT))
        watts[m.name] = watts_saved(m.rider, less, CALM, speeds[m.name])

    def on_a_slope(slope):
        two = panels.who_saves_more()
        return two.with_knobs(replace(two.knobs["gradient"], reference=slope, step=1))

    return Vote(
        "09",
        f"Cinder Lane is {to_kilometres(distance):.0f} km, flat and calm. Imke rides it at {to_kmh(speeds['Imke']):.0f} km/h, Rosalind at "
        f"{to_kmh(speeds['Rosalind']):.0f}. Both lower their drag area by {to_percent(CUT):.0f} %.",
        prompt, choices, lambda: on_a_slope(0), (0.0,),
        f"Over the {to_kilometres(distance):.0f} km Rosalind saves {seconds['Rosalind']:.0f} s and Imke {seconds['Imke']:.0f} s. Counted in "
        f"watts it is Imke: {watts['Imke']:.0f} W at the crank, Rosalind {watts['Rosalind']:.0f} W.",
        hill=lambda: on_a_slope(5),
    )  # fmt: skip

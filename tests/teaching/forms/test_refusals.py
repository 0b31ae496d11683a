"""Every field of every form gets wrong answers, and no refusal has a programmer's word in it.

Forms are found by introspection: a new flow without a way through it below fails here.
"""

import importlib
import pkgutil
import re

import pytest

from dragwork.teaching import forms
from dragwork.teaching.forms import box, choose, course_editor, guess, my_work, one_rule
from dragwork.teaching.forms.fields import Choice, File, Upload
from dragwork.teaching.forms.flow import Flow, PageFlow
from dragwork.teaching.forms.leg_columns import CELLS
from dragwork.teaching.profile import PLACE
from dragwork.teaching.questions import KINDS
from dragwork.teaching.questions.rules import RULES

for module in pkgutil.iter_modules(forms.__path__):
    importlib.import_module(f"{forms.__name__}.{module.name}")


def kinds_of(kind):
    """All classes below one."""
    return [found for below in kind.__subclasses__() for found in (below, *kinds_of(below))]


FLOWS = [k for k in kinds_of(Flow) if k is not PageFlow and k.__module__.startswith("dragwork.")]

# A way through each, so that every question is come to.
THROUGH = {
    "AboutMe": {"nickname": "Wren", "all_up_mass": "79", "power": "195", "knows": "not yet",
                "rolling_coefficient": "0.004"},
    "OneRideFlow": {"ground_speed": "31", "way": "returns", "distance": "20", "ascent": "60", "power": "180",
                    "source": "guess", "all_up_mass": "82", "rolling_coefficient": "0.005", "air": "usual",
                    "wind": "still"},
    "FieldFlow": {"sheet": "Saltpan Lane", "way": "pairs", "road": "sheet", "tyres": "fit", "position": "K"},
    "ClaimFlow": {"heard": "20 W", "rider": "Tobin", "road": "Cinder Lane 40"},
    "OptionsFlow": {"rider": "Tobin", "road": "Cinder Lane 40", "cut": "5", "more": "2"},
    "SheetFlow": {"upload": File("mine.csv", b"set-up;CdA [m2]\nhoods;0,32\nlow;0,28\n"), "spread": "0.003"},
    "VenueFlow": {"temperature": "22,5", "source": "forecast", "sea_level_pressure": "1013", "altitude": "300"},
    "PlanFlow": {"set_ups": "hoods; drops", "repeats": "4", "wanted": "0.004"},
    "OwnClaimFlow": {"heard": "20 W", "rider": "Tobin"},
    "ReportFlow": {"sheet": "BL-7", "before": "hoods", "after": "clip-ons", "rider": "Tobin",
                   "road": "Cinder Lane 40", "air": "usual"},
}  # fmt: skip

WRONG = ("", "  ", "nonsense", "1e9", "-99999", "0", "3 parsecs", "20 kg", "7 km/h", "5 W", "1 2 3", "½",
         "<b>1</b>", "nan", "inf", "None", "a: 1; a: 2", "x" * 600)  # fmt: skip
FILES = ("", File("mine.csv", b""), File("mine.csv", b"no sheet"), File("mine.csv", bytes(range(256))),
         File("mine.gpx", b"<gpx></gpx>"), File("mine.csv", b"a,b\n1,2\n"), File("mine.csv", None))  # fmt: skip

PROGRAMMERS = re.compile(
    r"\w_\w|`|\w\(\)|\w\.\w+\(|\[\d+\]|\b(?:None|True|False|nan|inf|dict|tuple|list|index|indices|float|str|int|bool|"
    r"array|argument|keyword|ValueError|TypeError|KeyError|Error|object|dtype|shape|unknowns|condition \d|"
    r"plain number here)\b"
)


def said_by(refusal, typed):
    """The words of a refusal, without what the learner typed themselves."""
    words = str(refusal)
    for text in sorted({str(typed).strip(), *str(typed).split()}, key=len, reverse=True):
        words = words.replace(f"'{text}'", "''") if text else words
    return words.replace("mine.csv", "").replace("mine.gpx", "")


def troubles_of(question, typed, answers):
    """What is wrong with the refusals of one question, as it is set up now."""
    for field in question.shown(typed):
        for wrong in FILES if isinstance(field, Upload) else WRONG:
            try:
                question.answer(typed | {field.name: wrong}, answers)
            except ValueError as error:
                words = said_by(error, wrong)
                if found := PROGRAMMERS.search(words):
                    yield f"{field.name}={str(wrong)[:30]!r}: '{found[0]}' in: {words[:200]}"
                if isinstance(field, Choice) and not wrong and getattr(error, "field", None) == field.name:
                    named = [text.split(":")[0] for text in field.options(answers).values()]
                    if not any(name in words for name in named):
                        yield f"{field.name}: no option is named in: {words[:200]}"


def set_ups_of(question, typed, answers):
    """What stands in the fields, with each choice on each of its options that shows other fields."""
    seen = set()
    choices = [f for f in question.fields if isinstance(f, Choice)]
    for each in (typed, *(typed | {f.name: value} for f in choices for value in f.options(answers))):
        shown = tuple(field.name for field in question.shown(each))
        if shown not in seen:
            seen.add(shown)
            yield each


def test_each_flow_has_a_way_through():
    assert {kind.__name__ for kind in FLOWS} == set(THROUGH)


@pytest.mark.usefixtures("few_days")
@pytest.mark.parametrize("kind", FLOWS, ids=lambda kind: kind.__name__)
def test_no_refusal_of_a_flow_speaks_as_a_programmer(kind):
    flow = Flow(kind().questions, lambda answers: None)
    through = THROUGH[kind.__name__]
    flow.answer_all(**through)
    found = []
    for question in flow.questions:
        for typed in set_ups_of(question, flow.typed, flow.answers):
            before = {n: a for n, a in flow.answers.items() if n != question.name}
            found += troubles_of(question, typed, before)
    assert not found, "\n" + "\n".join(dict.fromkeys(found))


def test_no_refusal_of_a_box_a_guess_a_choice_or_a_rule_speaks_as_a_programmer(monkeypatch, tmp_path):
    def asked():
        """What is said of each wrong answer, each form with a learner's file of its own: a long one is slow."""
        for number, id in enumerate(KINDS):
            monkeypatch.setenv(PLACE, str(tmp_path / f"{number}.json"))
            one = box(id)
            yield from ((wrong, one.check(wrong).text) for wrong in WRONG)
        for number, unit in enumerate(("W", "%", "min", "km/h", "m2")):
            monkeypatch.setenv(PLACE, str(tmp_path / f"guesses {number}.json"))
            for place, wrong in enumerate(WRONG):
                sure = "very" if (number + place) % 2 else None
                yield wrong, guess(None, f"{wrong} {unit}", f"How much {wrong}?", unit, answer=1).lock(wrong, sure)
        for wrong in WRONG:
            yield wrong, choose(f"key {wrong}", "Which?", {"this": "Yes.", "that": "No."}).lock(wrong)
        for number in RULES:
            monkeypatch.setenv(PLACE, str(tmp_path / f"rule {number}.json"))
            rule = one_rule(number)
            yield from ((wrong, rule.check(wrong, wrong)) for wrong in WRONG)

    found = [f"{typed[:30]!r}: {words[:200]}" for typed, words in asked() if PROGRAMMERS.search(said_by(words, typed))]
    assert not found, "\n" + "\n".join(found)


def test_no_refusal_of_the_editor_or_of_brought_back_work_speaks_as_a_programmer(tmp_path):
    found, editor = [], course_editor()
    for cell in CELLS:
        was = editor.rows[1][cell.field]
        for wrong in WRONG:
            editor.type(1, cell.field, wrong)
            words = said_by(" ".join([*editor.remarks.values(), editor.note]), wrong)
            if PROGRAMMERS.search(words):
                found.append(f"{cell.field}={wrong[:30]!r}: {words[:200]}")
        editor.type(1, cell.field, was)
    for file in FILES[:-1]:
        if not editor.load(file, "drop") and PROGRAMMERS.search(said_by(editor.note, "")):
            found.append(f"{file}: {editor.note[:200]}")
        with pytest.raises(ValueError) as refusal:
            my_work().bring_back(file)
        if PROGRAMMERS.search(said_by(refusal.value, "")):
            found.append(f"{file}: {refusal.value}")
    assert not found, "\n" + "\n".join(found)

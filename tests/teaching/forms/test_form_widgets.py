"""The widgets of the forms: pressed as a learner presses them, and gone when a cell runs again."""

import re

import ipywidgets as widgets
import pytest

from dragwork.teaching import cells
from dragwork.teaching.forms import box, choose, faded, guess, one_rule, practice, warm_up
from dragwork.teaching.forms import form as form_module
from dragwork.teaching.panels import quoted_watts
from dragwork.teaching.profile import Profile
from dragwork.teaching.questions.rules import RULES
from dragwork.units import kmh

LIVE = widgets.widget._instances  # every widget that is not closed


def parts(widget, kind):
    """All parts of that kind, in order."""
    found = [widget] if isinstance(widget, kind) else []
    for child in getattr(widget, "children", ()):
        found += parts(child, kind)
    return found


def press(view, label):
    next(b for b in parts(view.box, widgets.Button) if b.description == label).click()


def seen(view):
    """The text on the page, hidden parts left out."""
    shown = [w for w in parts(view.box, widgets.HTML) if w.layout.display != "none"]
    return "\n".join(w.value for w in shown if "dragwork-live" not in w._dom_classes)


def aloud(view):
    return re.sub("<[^>]*>", "", live(view)).strip()


def live(view):
    return next(w for w in parts(view.box, widgets.HTML) if "dragwork-live" in w._dom_classes).value


@pytest.fixture
def shown(monkeypatch):
    """Show a form as the last line of a cell, and get its view; `outputs` are the bundles."""
    outputs = []
    monkeypatch.setattr(form_module, "display", lambda data, raw: outputs.append(data))

    def show(form):
        form._ipython_display_()
        return form._view

    show.outputs = outputs
    return show


# -- a box ------------------------------------------------------------------------------------------


def test_a_box_is_checked_by_its_button(shown):
    form = box("M10")
    view = shown(form)
    (answer,) = parts(view.box, widgets.Text)
    assert answer.description == "My answer, W"
    answer.value = "12 W"
    assert Profile().typed(form._key) == "12 W", "kept before it is checked"
    press(view, "Check")
    assert "shrinks the watts in proportion to speed" in seen(view)
    assert "yours gives 24 W" in seen(view) and "yours gives 24 W" in aloud(view)
    (picture,) = parts(view.box, widgets.Image)
    assert picture.layout.display != "none" and bytes(picture.value).startswith(b"\x89PNG")
    assert "yours gives 24 W" in picture.tooltip
    answer.value = "4.3"
    press(view, "Check")
    assert "Right, within" in seen(view) and "yours gives" not in seen(view) + aloud(view)
    assert picture.layout.display == "none"


def test_hints_open_in_turn_and_the_solution_after_a_try(shown):
    view = shown(box("M10"))
    press(view, "Solution")
    assert "opens after one try" in seen(view) and "Answer: 4.3 W" not in seen(view)
    for number in (1, 2, 3, 3):
        press(view, "Hint")
        assert seen(view).count("<p>Hint ") == number
        assert aloud(view).startswith(f"Hint {number}")
    parts(view.box, widgets.Text)[0].value = "7"
    press(view, "Check")
    press(view, "Solution")
    assert "Answer: 4.3 W" in seen(view) and "Answer: 4.3 W" in aloud(view)


def test_code_and_hand_see_the_same(shown):
    form = box("M10")
    view = shown(form)
    form.check("12")
    assert parts(view.box, widgets.Text)[0].value == "12" and "in proportion to speed" in seen(view)


def test_what_is_typed_is_shown_as_text_never_as_code(shown):
    form = box("M10")
    view = shown(form)
    form.check("<b>12</b>")
    assert "<b>12</b>" not in seen(view) and "&lt;b&gt;12" in seen(view)


def test_a_problem_with_the_file_is_said(shown, own_file):
    own_file.write_text("broken")
    form = box("M10")
    view = shown(form)
    form.check("12")
    assert "It now is learner (damaged).json" in seen(view)


def test_the_same_words_twice_are_news_twice(shown):
    view = shown(box("M10"))
    said = []
    for _ in range(3):
        press(view, "Check")
        said.append(live(view))
        assert aloud(view) == view.form.says
    assert all(one != other for one, other in zip(said, said[1:]))


def test_three_of_a_kind_have_three_names(shown):
    view = shown(faded("M10"))
    titles = [w.value for w in parts(view.box, widgets.HTML) if "dragwork-title" in w._dom_classes]
    assert len(set(titles)) == 3 and all(title.startswith("Question M10. ") for title in titles)


# -- predictions ------------------------------------------------------------------------------------


def test_a_guess_locks(shown):
    panel = quoted_watts()
    view = shown(guess(panel, "rosalind", "Rosalind?", "W", ground_speed=kmh(28.3)))
    (answer,), (sure,) = parts(view.box, widgets.Text), parts(view.box, widgets.Dropdown)
    press(view, "Lock it in")
    assert "Nothing typed yet" in seen(view) and not answer.disabled
    answer.value, sure.value = "12", "fairly sure"
    press(view, "Lock it in")
    assert answer.disabled and sure.disabled and panel.predictions[0].value == 12
    assert "Your guess: 12 W, fairly sure." in seen(view) and "8.4 W too high" in seen(view)
    press(view, "Locked in")
    assert "stays as it was made. Your guess: 12 W, fairly sure." in aloud(view)
    again = shown(guess(panel, "rosalind", "Rosalind?", "W", ground_speed=kmh(28.3)))
    press(again, "Guess again")
    (answer,) = parts(again.box, widgets.Text)
    assert not answer.disabled and answer.value == "" and "Last time: 12 W." in seen(again)


def test_a_choice_locks(shown):
    view = shown(choose("two-ways", "How much?", {"10 %": "No.", "5 %": "No, less."}))
    press(view, "Lock it in")
    assert "Choose one of these" in seen(view)
    (options,) = parts(view.box, widgets.RadioButtons)
    options.value = "5 %"
    press(view, "Lock it in")
    assert options.disabled and "You chose: 5 %. No, less." in seen(view)
    again = shown(choose("two-ways", "How much?", {"10 %": "No.", "5 %": "No, less."}))
    assert parts(again.box, widgets.RadioButtons)[0].value == "5 %"


def test_the_rule_is_filled_by_drop_downs(shown):
    view = shown(one_rule("08"))
    gaps = parts(view.box, widgets.Dropdown)
    for gap, data in zip(gaps, RULES["08"].gaps, strict=True):
        assert [label for label, _ in gap.options][1:] == sorted(data.options)
        gap.value = data.right
    assert "<b>squared</b>" in seen(view)
    press(view, "Check")
    assert RULES["08"].because in seen(view) and RULES["08"].because in aloud(view)


# -- outputs ----------------------------------------------------------------------------------------

FORMS = {
    "box": lambda: box("M10"),
    "practice": lambda: practice("M07", "M10"),
    "warm-up": lambda: warm_up("M05", "M17"),
    "faded": lambda: faded("M10"),
    "guess": lambda: guess(None, "many", "How many?", "W", answer=3),
    "choose": lambda: choose("key", "Which?", {"a": "Yes.", "b": "No."}),
    "rule": lambda: one_rule("08"),
}


@pytest.mark.parametrize("name", FORMS)
def test_an_output_reads_as_the_printed_page(shown, name):
    form = FORMS[name]()
    shown(form)
    (bundle,) = shown.outputs
    assert set(bundle) == {form_module.WIDGET, "text/markdown", "text/plain"}
    assert bundle["text/markdown"] == form.markdown()
    assert "**" not in bundle["text/plain"] and "children=(" not in bundle["text/plain"]
    assert FORMS[name]().markdown() == form.markdown(), "the same each time"
    form.close()


@pytest.mark.parametrize("name", FORMS)
def test_closing_leaves_no_widget(shown, name):
    before = len(LIVE)
    form = FORMS[name]()
    shown(form)
    assert len(LIVE) > before
    form.close()
    assert len(LIVE) == before


def test_a_cell_that_runs_again_leaves_one_form(monkeypatch, shown):
    class Shell:
        parent_header = None

    shell = Shell()
    monkeypatch.setattr(cells, "get_ipython", lambda: shell)
    monkeypatch.setattr(cells, "_shown", {})
    counts = []
    for run in range(3):
        shell.parent_header = {"metadata": {"cellId": "a"}, "header": {"msg_id": str(run)}}
        shown(practice("M07", "M10"))
        counts.append(len(LIVE))
    assert counts[0] == counts[1] == counts[2]


def test_a_form_shown_again_moves(shown):
    form = box("M10")
    shown(form)
    first = len(LIVE)
    shown(form)
    assert len(LIVE) == first

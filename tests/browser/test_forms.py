"""A question, a prediction and a rule with gaps, in JupyterLab, by keyboard alone and read aloud."""

import harness
import pytest
from playwright.sync_api import expect
from test_access import CELLS, check

LESSON = (
    "from dragwork.teaching.forms import box, guess, one_rule\n"
    "from dragwork.teaching.panels import quoted_watts\nfrom dragwork.units import kmh",
    "box('M10')",
    "panel = quoted_watts()\npanel",
    "guess(panel, 'Rosalind, 28.3 km/h: how many watts?', 'W', ground_speed=kmh(28.3))",
    "one_rule('08')",
)


@pytest.fixture(scope="module")
def lesson(browser, server, shelf):
    """A page with one form of each sort, opened and run once for the tests below."""
    (shelf / "forms").mkdir()
    harness.write_notebook(shelf / "forms" / "lesson.ipynb", LESSON)
    with browser.new_page(viewport=harness.SIZE) as page:
        notebook = harness.Notebook(page, server, "/lab/tree/forms/lesson.ipynb")
        notebook.run()
        yield notebook
    harness.stop_kernels(server, "forms")
    assert notebook.complaints == []


def form(lesson, title):
    return lesson.page.get_by_role("group", name=title)


def live(group):
    return group.locator("[aria-live=polite]")


def focused(lesson):
    return lesson.page.evaluate("document.activeElement.ariaLabel ?? document.activeElement.id")


def test_a_question_by_keyboard(lesson):
    keys, question = lesson.page.keyboard, form(lesson, "Question M10")
    answer = question.get_by_label("My answer, W")
    answer.focus()
    keys.type("12")
    keys.press("Enter")
    expect(question).to_contain_text("shrinks the watts in proportion to speed")
    expect(live(question)).to_contain_text("yours gives 24 W, the right one 34.6 W")
    expect(question.get_by_role("img")).to_have_attribute("alt", LONG)
    expect(answer).to_be_focused()
    keys.press("Tab")
    assert focused(lesson) == "Check my answer to question M10"
    keys.press("Tab")
    for number in "123":
        keys.press("Enter")
        expect(live(question)).to_contain_text(f"Hint {number}.")
    keys.press("Tab")
    keys.press("Space")
    expect(live(question)).to_contain_text("Answer: 4.3 W")
    check(lesson, question, "button-name", "image-alt", "label")
    answer.focus()
    keys.press("Control+a")
    keys.type("4,3 W")
    keys.press("Tab")
    keys.press("Enter")
    expect(live(question)).to_contain_text("Right, within")
    expect(question.get_by_role("img")).to_be_hidden()


LONG = (
    "The right formula and the one behind your answer. The same two formulas elsewhere. Own speed "
    "60 km/h: yours gives 24 W, the right one 34.6 W."
)


def test_a_prediction_by_keyboard_is_drawn_on_the_panel(lesson):
    keys, prediction = lesson.page.keyboard, form(lesson, "Prediction. Rosalind")
    (panel,) = lesson.panels
    lesson.rest()
    before = panel.picture
    assert "No prediction yet" in panel.note
    prediction.get_by_label("My prediction, W").focus()
    keys.type("12")
    keys.press("Tab")
    keys.type("sure")
    keys.press("Tab")
    keys.press("Enter")
    expect(live(prediction)).to_have_text("Predicted: 12 W, sure.")
    expect(prediction.get_by_label("My prediction, W")).to_be_disabled()
    assert focused(lesson).startswith("Locked in: Rosalind"), "the keyboard stays where it was"
    lesson.rest()
    assert panel.picture != before
    assert "No prediction yet" not in panel.note
    panel.sliders[0].type("28.3")
    expect(prediction).to_contain_text("there: 3.63 W. The prediction was 8.4 W too high.")
    check(lesson, prediction, "button-name", "label")


def test_the_rule_by_keyboard(lesson):
    keys, rule = lesson.page.keyboard, form(lesson, "One rule")
    rule.get_by_label("Gap 1").focus()
    for letters in ("watts", "watts", "squared"):
        keys.type(letters)
        keys.press("Tab")
    keys.press("Enter")
    expect(live(rule)).to_contain_text("Gap 1: 'watts' does not fit all the cases.")
    rule.get_by_label("Gap 1").focus()
    for _ in range(2):  # from the last of the options to the first that is one
        keys.press("ArrowUp")
        lesson.rest()
    for _ in range(3):
        keys.press("Tab")
    keys.press("Enter")
    expect(live(rule)).to_contain_text("That covers all the cases.")
    check(lesson, rule, "button-name", "select-name")


def test_keys_in_a_form_do_nothing_to_the_cells(lesson):
    page, question = lesson.page, form(lesson, "Question M10")
    before = page.evaluate(CELLS)
    for place in (question.get_by_label("My answer, W"), question.get_by_role("button").first):
        place.focus()
        for key in ("d", "d", "a", "m", "ArrowDown"):
            page.keyboard.press(key)
        expect(place).to_be_focused()
    lesson.rest()
    assert page.evaluate(CELLS)[0] == before[0]


def test_all_there_is_to_press_is_at_least_24_pixels(lesson):
    sizes = lesson.page.locator(".dragwork-form").evaluate_all(TARGETS)
    assert len(sizes) == 11
    assert min(min(size) for size in sizes) >= 24


TARGETS = """forms => forms.flatMap(form => [...form.querySelectorAll("button, input, select")])
    .map(node => [node.getBoundingClientRect().width, node.getBoundingClientRect().height])"""

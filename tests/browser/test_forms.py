"""A question, a prediction and a rule with gaps, in JupyterLab, by keyboard alone and read aloud."""

import harness
import pytest
from playwright.sync_api import expect

LESSON = (
    "from dragwork.teaching.forms import box, guess, one_rule\n"
    "from dragwork.teaching.panels import quoted_watts\nfrom dragwork.units import kmh",
    "box('M10')",
    "panel = quoted_watts()\npanel",
    "guess(panel, 'rosalind', 'Rosalind, 28.3 km/h: how many watts?', 'W', ground_speed=kmh(28.3))",
    "one_rule('08')",
    "from dragwork.teaching.forms import choose, faded\nfaded('M10')",
    "choose('pace', 'Which is faster?', {'the first': 'No.', 'the second': 'Yes.', 'the third': 'No.'})",
    "guess(None, 'first-try', 'A first try: how many watts?', 'W', answer=4)",
    "from dragwork.teaching.forms import ClaimFlow\nClaimFlow()",
    "from dragwork.teaching.forms import AboutMe\nAboutMe()",
)



@pytest.fixture(scope="module")
def lesson(written):
    """A page with one form of each sort, opened and run once for the tests below."""
    with written("forms", LESSON) as notebook:
        notebook.run()
        yield notebook


def form(lesson, title):
    return lesson.page.get_by_role("group", name=title)


def live(group):
    return group.locator("[aria-live=polite]")


def focused(lesson):
    return lesson.page.evaluate("document.activeElement.ariaLabel ?? document.activeElement.id")


def test_a_question_by_keyboard(lesson):
    keys, question = lesson.page.keyboard, form(lesson, "Question M10").first
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
    harness.check(lesson, question, "button-name", "image-alt", "label")
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
    assert "Guess first" in panel.sentence
    prediction.get_by_label("My prediction, W").focus()
    keys.type("12")
    keys.press("Tab")
    keys.type("sure")
    keys.press("Tab")
    keys.press("Enter")
    expect(live(prediction)).to_contain_text("Your guess: 12 W, sure. It is 3.63 W: 8.4 W too high.")
    expect(prediction.get_by_label("My prediction, W")).to_be_disabled()
    assert focused(lesson).startswith("Locked in: Rosalind"), "the keyboard stays where it was"
    lesson.rest()
    assert panel.picture != before
    assert "Guess first" not in panel.sentence and panel.alt.endswith("Your guess: 12 W.")
    harness.check(lesson, prediction, "button-name", "label")


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
    harness.check(lesson, rule, "button-name", "select-name")


def test_keys_in_a_form_do_nothing_to_the_cells(lesson):
    page, question = lesson.page, form(lesson, "Question M10").first
    before = page.evaluate(harness.CELLS)
    for place in (question.get_by_label("My answer, W"), question.get_by_role("button").first):
        place.focus()
        for key in ("d", "d", "a", "m", "ArrowDown"):
            page.keyboard.press(key)
        expect(place).to_be_focused()
    lesson.rest()
    assert page.evaluate(harness.CELLS)[0] == before[0]


def test_three_of_a_kind_have_names_of_their_own(lesson):
    names = lesson.page.locator(".dragwork-form").evaluate_all("forms => forms.map(form => form.ariaLabel)")
    assert len(set(names)) == len(names) and sum("Question M10. " in name for name in names) == 4


def test_an_error_is_spoken_each_time_and_tied_to_its_field(lesson):
    question = form(lesson, "What did you hear?")
    page, answer = lesson.page, question.get_by_role("button", name="Answer")
    claim = form(lesson, "Questions for the page")
    claim.evaluate(HEAR_ALL)
    for number in (1, 2, 3):
        answer.click()
        page.wait_for_function(f"heard.length >= {number}")
    assert len({text.strip() for text in page.evaluate("heard")}) == 1
    box = question.get_by_role("textbox", name="The claim")
    expect(box).to_have_attribute("aria-invalid", "true")
    assert "Nothing typed yet. Write it as it is printed" in page.evaluate(DESCRIBED, box.element_handle())
    harness.check(lesson, claim, "button-name", "aria-allowed-attr")


def test_radios_are_one_stop_and_enter_answers(lesson):
    keys, question = lesson.page.keyboard, form(lesson, "What did you hear?")
    box = question.get_by_label("The claim", exact=True)
    box.focus()
    keys.press("Enter")
    expect(box).to_have_attribute("aria-invalid", "true")
    assert "Nothing typed yet" in lesson.page.evaluate(DESCRIBED, box.element_handle())
    lesson.rest()  # the field is focused anew, once the remark is there
    keys.type("17 W")
    keys.press("Tab")
    lesson.rest()
    where = question.get_by_role("radiogroup", name="Watts where")
    expect(where).to_be_visible()
    where.get_by_role("radio").last.focus()
    keys.press("ArrowUp")
    expect(where.get_by_label("at the crank")).to_be_checked()
    keys.press("ArrowUp")
    expect(where.get_by_label("in the air")).to_be_checked()
    keys.press("Enter")
    expect(question).to_contain_text("It says: 17 W saved, in the air.")
    lesson.page.wait_for_function("document.activeElement.closest('.dragwork-question')?.ariaLabel === '2. For whom?'")


def test_what_no_key_typed_is_taken_as_typed(lesson):
    said = form(lesson, "What did you hear?")
    said.get_by_role("button", name="Change").click()
    box = said.get_by_label("The claim", exact=True)
    expect(box).to_be_visible()
    lesson.rest()
    for text, event in (("20 W at 45 km/h", "input"), ("20 W at 12.5 m/s", None)):
        box.evaluate(FILLED_IN, [text, event])
    said.get_by_role("button", name="Answer", exact=True).click()
    expect(said).to_contain_text("It says: 20 W saved at 45.0 km/h")


BUSY = """() => {
    const { kernel } = jupyterapp.shell.currentWidget.sessionContext.session;
    kernel.requestExecute({ code: "import time; time.sleep(1.5)" });
}"""


def test_a_press_waits_for_what_was_typed_while_the_kernel_was_busy(lesson):
    """The page holds back the second of two changes until the kernel is idle, and would not hold back the press."""
    said = form(lesson, "What did you hear?")
    lesson.rest()
    said.get_by_role("button", name="Change").click()
    box = said.get_by_label("The claim", exact=True)
    expect(box).to_be_visible()
    lesson.rest()
    lesson.page.evaluate(BUSY)
    for text in ("30 W at 40 km/h", "35 W at 40 km/h"):
        box.fill(text)
        box.dispatch_event("change")
    said.get_by_role("button", name="Answer", exact=True).click()
    expect(said).to_contain_text("It says: 35 W saved at 40.0 km/h")


def test_locking_by_enter_keeps_the_focus_in_the_form(lesson):
    keys = lesson.page.keyboard
    first = form(lesson, "Prediction. A first try")
    first.get_by_label("My prediction, W").focus()
    keys.type("40")
    keys.press("Enter")
    expect(first.get_by_role("button", name="Locked in")).to_be_focused()
    keys.press("Enter")
    expect(live(first)).to_contain_text("A prediction stays as it was made.")
    choice = form(lesson, "Prediction. Which is faster?")
    choice.get_by_label("the second").focus()
    keys.press("Space")
    keys.press("Enter")
    expect(choice.get_by_role("button", name="Locked in")).to_be_focused()


def test_all_there_is_to_press_is_at_least_24_pixels(lesson):
    sizes = lesson.page.locator(".dragwork-form").evaluate_all(TARGETS)
    assert len(sizes) > 20
    assert [size for size in sizes if min(size) < 24] == []


def test_forms_on_a_narrow_page_and_then_without_their_kernel(lesson):
    """At 320 px, which is 400 % of zoom, labels are above their fields; a dead button says what to press. The last test."""
    page = lesson.page
    page.evaluate("jupyterapp.shell.collapseLeft()")
    page.set_viewport_size({"width": 320, "height": 900})
    lesson.rest()
    places = page.locator(".dragwork-form, .dragwork-flow").evaluate_all(FIELDS)
    assert len(places) >= 8
    for place in places:
        assert place["label"]["bottom"] <= place["field"]["top"] + 1, place
        assert place["form"]["left"] <= place["field"]["left"], place
        assert place["field"]["right"] <= place["form"]["right"], place
        assert place["field"]["width"] > 100, place
    page.set_viewport_size(harness.SIZE)
    assert lesson.complaints == []
    page.evaluate("() => jupyterapp.shell.currentWidget.sessionContext.session.kernel.restart()")
    page.locator(".jupyter-widgets-disconnected").get_by_role("button", name="Check my answer").first.click()
    expect(page.get_by_role("alert").first).to_contain_text("Run, Run All Cells")
    lesson.complaints.clear()  # JupyterLab's own, of what it cannot send


TARGETS = """forms => forms.flatMap(form => [...form.querySelectorAll("button, select, input:not([type=radio]), .widget-radio-box label")])
    .filter(node => node.getClientRects().length)
    .map(node => [node.getBoundingClientRect().width, node.getBoundingClientRect().height])"""

HEAR_ALL = """panel => {
    window.heard = [];
    const live = panel.querySelector("[aria-live]");
    let last = live.textContent;
    new MutationObserver(() => {
        if (live.textContent !== last && live.textContent) heard.push(live.textContent);
        last = live.textContent;
    }).observe(live, { subtree: true, childList: true, characterData: true });
}"""

DESCRIBED = """node => (node.getAttribute("aria-describedby") ?? "").split(" ")
    .map(id => document.getElementById(id)?.textContent ?? "").join(" ")"""

FILLED_IN = """(box, [text, event]) => {
    box.value = text;
    if (event) box.dispatchEvent(new Event(event, { bubbles: true }));
}"""

FIELDS = """forms => forms.flatMap(form => [...form.querySelectorAll(".dragwork-field")]
    .filter(field => field.getBoundingClientRect().height && field.querySelector("label, .widget-label"))
    .map(field => {
        const at = node => node.getBoundingClientRect().toJSON();
        const control = field.querySelector("input[type=text], select, textarea, .widget-radio-box");
        return { label: at(field.querySelector(".widget-label")), field: at(control), form: at(form) };
    }))"""

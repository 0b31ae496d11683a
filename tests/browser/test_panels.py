"""A lesson in JupyterLab, started and read, and its panels by keyboard: one is opened by its guesses, then moved."""

import harness
from playwright.sync_api import expect


def test_a_lesson_started_by_keyboard_keeps_the_focus_and_names_its_tables(run_once):
    notebook = run_once("workbook/08_watts_at_my_speed.ipynb")
    expect(notebook.page.get_by_role("button", name="Start this lesson")).to_be_focused()
    assert notebook.page.evaluate("() => jupyterapp.shell.currentWidget.content.activeCellIndex") == 0
    tables, folds, formulas = notebook.page.evaluate(PARTS)
    assert tables and all(caption and rows and not bare for caption, rows, bare in tables)
    assert folds and min(folds) >= 24
    assert formulas[0] == formulas[1] > 0, "each formula has its MathML"


def test_a_panel_keeps_its_secret_until_both_guesses_are_locked(run_once):
    notebook = run_once("workbook/08_watts_at_my_speed.ipynb")
    panel = notebook.panels[0]
    panel.root.scroll_into_view_if_needed()
    expect(panel.root.locator(".dragwork-sentence")).to_contain_text("2 to go.")
    assert panel.sentence in panel.alt
    closed = panel.picture
    for title, guessed in (("A. Imke", "12"), ("B. Tobin", "9")):
        form = notebook.page.get_by_role("group", name=title)
        form.get_by_label("My prediction, W").fill(guessed)
        form.get_by_role("button", name="Lock it in").click()
        notebook.rest()
    assert panel.picture != closed
    assert panel.sentence.startswith("At 50.0 km/h")
    # 20 W × (44.1/50)³ = 13.7 W
    assert "It is 13.7 W: 1.7 W too low." in notebook.page.get_by_role("group", name="A. Imke").inner_text()
    assert notebook.complaints == []


def test_a_slider_moved_by_keyboard_changes_picture_and_sentence(run_once):
    notebook = run_once("workbook/08_watts_at_my_speed.ipynb")
    panel = notebook.panels[0]
    speed = panel.sliders[0]
    assert speed.name == "Speed on the road v, kilometres per hour"
    before = (speed.value, panel.picture, panel.sentence)
    speed.press("PageUp")
    after = (speed.value, panel.picture, panel.sentence)
    assert all(new != old for new, old in zip(after, before, strict=True))
    assert speed.words == f"{speed.value:.1f} kilometres per hour"
    assert panel.sentence.startswith(f"At {speed.value:.1f} km/h ")
    assert "in a straight line" in panel.alt and "steeper and steeper" in panel.alt
    assert panel.sentence in panel.read_aloud
    assert notebook.complaints == []


def test_a_number_typed_moves_the_slider(run_once):
    notebook = run_once("workbook/08_watts_at_my_speed.ipynb")
    panel = notebook.panels[0]
    speed = panel.sliders[0]
    before = panel.picture
    speed.type("40,5")
    assert speed.value == 40.5
    assert panel.sentence.startswith("At 40.5 km/h ")
    assert panel.picture != before
    assert notebook.complaints == []


def test_a_sentence_is_on_the_page_no_more_than_twice_and_an_opened_table_stays_open(run_once):
    """The second is the sentence of the reference case, an output of its own for paper."""
    notebook = run_once("workbook/08_watts_at_my_speed.ipynb")
    panel = notebook.panels[0]
    notebook.page.evaluate(HURRY)
    panel.sliders[0].press("End")
    assert panel.sentence in panel.read_aloud
    notebook.page.evaluate("hurry()")
    expect(panel.root.locator(".dragwork-live")).to_have_text("")
    panel.reset()
    expect(panel.root.locator(".dragwork-live")).to_have_text(panel.sentence)
    assert panel.root.inner_text().count(panel.sentence) == 1 + 1  # the one that is read aloud goes again
    panel.root.locator("summary").click()
    panel.sliders[0].press("ArrowRight")
    assert panel.root.locator("details").evaluate("fold => fold.open")
    assert panel.root.locator(".dragwork-tables th[scope=row]").count() >= 5


def test_the_checker_finds_nothing_grave_in_the_panels(run_once):
    harness.check_panels(run_once("workbook/08_watts_at_my_speed.ipynb"), 2)


# What the page puts off for ten seconds is put off until `hurry` is called.
HURRY = """() => {
    const { setTimeout, clearTimeout } = window, late = new Map();
    window.setTimeout = (call, time, ...more) => {
        const timer = setTimeout(call, time, ...more);
        if (time === 10_000) late.set(timer, () => call(...more));
        return timer;
    };
    window.clearTimeout = timer => {
        late.delete(timer);
        clearTimeout(timer);
    };
    window.hurry = () => {
        Object.assign(window, { setTimeout, clearTimeout });
        late.forEach((call, timer) => {
            clearTimeout(timer);
            call();
        });
    };
}"""

PARTS = """() => {
    const all = where => [...document.querySelectorAll(where)];
    return [
        all(".jp-RenderedMarkdown table").map(table => [
            table.caption?.textContent, table.querySelectorAll("tbody th[scope=row]").length,
            table.querySelectorAll("tbody td:first-child").length,
        ]),
        all(".jp-RenderedMarkdown summary").map(fold => fold.getBoundingClientRect().height).filter(height => height),
        [all("mjx-container").length, all("mjx-container math").length],
    ];
}"""

"""Every panel fits one screen: picture, sentence, knobs and reset in view, at any width.

One notebook with all panels that the workbook has; they are found, not listed here.
"""

import sys
from pathlib import Path

import harness
import pytest
from matplotlib.text import Text

TEACHING = Path(__file__).parents[1] / "teaching"
sys.path.append(str(TEACHING))
from panel_checks import all_panels, made  # noqa: E402

LAPTOP = {"width": 1280, "height": 800}
HIGHEST = 600  # CSS px of a panel beside the list of files
READABLE = 20  # CSS px of the smallest words in a picture that is shown to a room

MADE = "import sys; sys.path.append({!r})\nfrom panel_checks import made\nfrom dragwork.teaching.panels.view import View"


def lessons():
    """A cell for each panel."""
    return [f"View(made{each}).box" for each in all_panels()]


@pytest.fixture(scope="module")
def shown(written):
    """All panels on one page, run once for the tests below."""
    with written("panels", [MADE.format(str(TEACHING)), *lessons()], LAPTOP) as notebook:
        notebook.run(patience=300_000)
        yield notebook


@pytest.fixture
def page(shown):
    """The page of all panels, beside the list of files and at the size of a laptop; so again after."""
    yield shown.page
    shown.page.set_viewport_size(LAPTOP)
    shown.page.evaluate("() => jupyterapp.shell.expandLeft()")
    shown.page.evaluate(SHOW_TO_A_ROOM, False)


def measured(shown):
    """What the browser makes of each panel, scrolled to: boxes in CSS px."""
    shown.rest()
    found = []
    for panel in shown.page.locator(harness._PANELS).all():
        panel.evaluate("panel => panel.scrollIntoView({ block: 'start' })")
        found.append(panel.evaluate(BOXES))
    assert len(found) == len(lessons())
    return found


def height(box):
    return box["bottom"] - box["top"]


def width(box):
    return box["right"] - box["left"]


def overlap(one, other):
    return (one["left"] < other["right"] - 1 and other["left"] < one["right"] - 1
            and one["top"] < other["bottom"] - 1 and other["top"] < one["bottom"] - 1)  # fmt: skip


def all_in_view(seen):
    """Every part is inside its panel, off the others, and the panel inside the place for notebooks."""
    panel, place = seen["panel"], seen["place"]
    assert height(panel) <= height(place), seen["title"]
    for i, part in enumerate(seen["parts"]):
        assert part["left"] >= panel["left"] and part["right"] <= panel["right"], seen["title"]
        assert part["top"] >= panel["top"] and part["bottom"] <= panel["bottom"], seen["title"]
        assert height(part) > 0 and width(part) > 0, seen["title"]
        assert not any(overlap(part, other) for other in seen["parts"][i + 1 :]), seen["title"]
    assert panel["right"] <= place["right"], seen["title"]
    drawn = height(seen["picture"]) / width(seen["picture"])
    assert drawn == pytest.approx(seen["natural"], rel=0.02), seen["title"]


def test_every_panel_fits_a_laptop_beside_the_list_of_files(shown, page):
    for seen in measured(shown):
        all_in_view(seen)
        assert height(seen["panel"]) <= HIGHEST, seen["title"]
        assert not seen["cut"], f"{seen['title']}: numbers wider than their box"


@pytest.mark.tour
def test_shown_to_a_room_the_picture_takes_the_width_and_its_words_are_large(shown, page):
    page.evaluate("() => jupyterapp.shell.collapseLeft()")
    page.evaluate(SHOW_TO_A_ROOM, True)
    pictures = {panel.picture.title: panel.figure for panel in local_panels()}
    for seen in measured(shown):
        all_in_view(seen)
        figure = pictures[seen["title"]]
        points = min(t.get_fontsize() for t in figure.findobj(Text) if t.get_text() and t.get_visible())
        pixels = points / 72 * width(seen["picture"]) / figure.get_figwidth()
        assert pixels >= READABLE, f"{seen['title']}: {pixels:.1f} px"


def test_at_400_percent_everything_is_there(shown, page):
    """320 CSS px are 1280 enlarged four times: WCAG 2.2, 1.4.10 Reflow."""
    page.evaluate("() => jupyterapp.shell.collapseLeft()")
    page.set_viewport_size({**LAPTOP, "width": 320})
    for seen in measured(shown):
        panel, place = seen["panel"], seen["place"]
        assert panel["right"] <= place["right"] + 1, seen["title"]
        for i, part in enumerate(seen["parts"]):
            assert part["left"] >= panel["left"] and part["right"] <= panel["right"] + 1, seen["title"]
            assert not any(overlap(part, other) for other in seen["parts"][i + 1 :]), seen["title"]
        assert width(seen["picture"]) >= 150, seen["title"]
        assert not seen["cut"], f"{seen['title']}: numbers wider than their box"


def test_knobs_stay_where_they_are_when_the_sentence_grows(shown, page):
    for panel in shown.panels:
        panel.root.scroll_into_view_if_needed()
        moved = panel.root.evaluate(GROWN)
        assert moved == 0, panel.title


def local_panels():
    """The same panels in this process, to ask for the sizes of their letters."""
    return [made(name, needed) for name, needed in all_panels()]


GROWN = """async panel => {
    const knob = panel.querySelector(".dragwork-knob");
    const place = () => knob.getBoundingClientRect().top - panel.getBoundingClientRect().top;
    const before = place();
    const words = panel.querySelector(".dragwork-sentence .widget-html-content");
    const longer = document.createElement("p");
    longer.append(words.textContent.repeat(5));
    words.append(longer);
    await new Promise(requestAnimationFrame);
    const moved = place() - before;
    longer.remove();
    return moved;
}"""

SHOW_TO_A_ROOM = """async wanted => {
    const { commands, shell } = jupyterapp;
    if ((shell.mode === "single-document") !== wanted) await commands.execute("application:toggle-mode");
    if (commands.isToggled("application:toggle-presentation-mode") !== wanted)
        await commands.execute("application:toggle-presentation-mode");
}"""

BOXES = """async panel => {
    for (let i = 0; i < 2; i++) await new Promise(requestAnimationFrame);
    const box = node => {
        const { left, right, top, bottom } = node.getBoundingClientRect();
        return { left, right, top, bottom };
    };
    const picture = panel.querySelector("img.dragwork-picture");
    const parts = ".dragwork-picture, .dragwork-sentence, .dragwork-knob, .dragwork-reset";
    return {
        title: panel.getAttribute("aria-label"),
        panel: box(panel),
        picture: box(picture),
        natural: picture.naturalHeight / picture.naturalWidth,
        parts: [...panel.querySelectorAll(parts)].map(box),
        cut: [...panel.querySelectorAll(".dragwork-box input")].filter(b => b.scrollWidth > b.clientWidth).map(b => b.value),
        place: box(document.querySelector(".jp-WindowedPanel-outer")),
    };
}"""

"""Panels used by keyboard alone and read aloud: in JupyterLab, on the page as it stands."""

import re
from itertools import pairwise

import harness
import pytest
from playwright.sync_api import expect

LESSON = (
    "import ipywidgets\nfrom dragwork.teaching.panels import quoted_watts, watts_curve",
    "watts_curve()",
    "panel = quoted_watts()\npanel",
    "panel.set(ground_speed=8.03, wind_speed=3.0)",
    "panel.set(quoted=25.0)\nprint(panel.sentence)",
    "print(len(ipywidgets.widgets.widget._instances), 'widgets')",
)


@pytest.fixture(scope="module")
def lesson(written):
    """A page with two panels, opened and run once for the tests below."""
    with written("access", LESSON) as notebook:
        notebook.run()
        yield notebook


@pytest.fixture
def panel(lesson):
    """The first panel of the page, at its reference case: drag area, speed, head wind."""
    first = lesson.panels[0]
    first.root.get_by_role("button", name="Reset").click()
    for slider, value in zip(first.sliders, ("0.320", "36.0", "0.0"), strict=True):
        expect(slider.box).to_have_value(value)
        expect(slider.handle).to_have_attribute("aria-valuenow", value)
    expect(first.root).to_contain_text("At 36.0 km/h a drag area of 0.320 m²")
    return first


def test_the_page_keeps_what_a_cell_has_set(lesson):
    """The page answers each change of the kernel; the answer must not undo it."""
    said = lesson.page.locator(".jp-OutputArea-output pre").first.inner_text().strip()
    assert "3.0 m/s" in said and "25 W" in said
    assert lesson.panels[1].sentence == said


# -- by keyboard alone ------------------------------------------------------------------------------

ROW = "{0}{1}", "{0}: one step less", "{0}{1}", "{0}: one step more"
NAMES = [
    *(name.format("Drag area", " CdA, square metres") for name in ROW),
    *(name.format("Speed on the road", " v, kilometres per hour") for name in ROW),
    *(name.format("Headwind", " w, metres per second") for name in ROW),
    "Reset",
    "The curves as a table",
]


@pytest.mark.parametrize("width", [harness.SIZE["width"], 800])
def test_tab_goes_from_top_to_bottom_and_left_to_right(lesson, panel, width):
    page = lesson.page
    page.set_viewport_size({**harness.SIZE, "width": width})
    lesson.rest()
    as_seen = panel.root.evaluate(AS_SEEN)
    panel.sliders[0].box.focus()
    by_tab = []
    while (place := page.evaluate(FOCUS)) >= 0 and len(by_tab) <= len(NAMES):
        by_tab.append(as_seen[place])
        page.keyboard.press("Tab")
    page.keyboard.press("Shift+Tab")
    back = page.evaluate(FOCUS)
    page.set_viewport_size(harness.SIZE)
    assert by_tab == as_seen == NAMES
    assert as_seen[back] == NAMES[-1]


def test_keys_on_a_slider(panel):
    speed = panel.sliders[1]
    steps = [
        ("ArrowRight", "36.5"), ("ArrowUp", "37.0"), ("ArrowLeft", "36.5"), ("ArrowDown", "36.0"),
        ("PageUp", "38.5"), ("PageDown", "36.0"), ("End", "60.0"), ("ArrowRight", "60.0"),
        ("Home", "10.0"), ("ArrowLeft", "10.0"),
    ]  # fmt: skip
    for key, value in steps:
        speed.handle.press(key)
        expect(speed.handle).to_have_attribute("aria-valuetext", f"{value} kilometres per hour")
        expect(speed.box).to_have_value(value)
        expect(panel.root).to_contain_text(f"At {value} km/h a drag area")
        expect(speed.handle).to_be_focused()


def test_buttons_and_box_by_keyboard(lesson, panel):
    start = panel.sentence
    speed = panel.sliders[1]
    speed.more.press("Space")
    expect(speed.box).to_have_value("36.5")
    speed.less.press("Enter")
    expect(speed.box).to_have_value("36.0")
    write(lesson, speed, "40,5")
    expect(speed.box).to_have_value("40.5")
    expect(speed.handle).to_have_attribute("aria-valuetext", "40.5 kilometres per hour")
    expect(panel.root).to_contain_text("At 40.5 km/h a drag area")
    panel.sliders[0].handle.press("Home")
    expect(panel.root).to_contain_text("Two things changed: ")
    panel.root.get_by_role("button", name="Reset").press("Enter")
    expect(speed.box).to_have_value("36.0")
    lesson.rest()
    assert (panel.sentence, panel.note, speed.value) == (start, "", 36.0)


@pytest.mark.parametrize(
    ("text", "said"),
    [("999", "goes from 10.0 to 60.0 km/h"), ("abc", "goes from 10.0 to 60.0 km/h")],
)
def test_what_cannot_be_used_stays_in_the_box(lesson, panel, text, said):
    lesson.rest()
    speed = panel.sliders[1]
    before = (panel.picture, panel.alt, speed.value)
    write(lesson, speed, text)
    lesson.rest()
    assert speed.box.input_value() == text
    assert said in panel.sentence
    assert panel.sentence in panel.read_aloud
    assert (panel.picture, panel.alt, speed.value) == before


def write(notebook, slider, text):
    """Into a slider's box, with keys alone: the box is the second stop before the slider."""
    keys = notebook.page.keyboard
    slider.handle.focus()
    keys.press("Shift+Tab")
    keys.press("Shift+Tab")
    keys.press("Control+a")
    keys.type(text)
    keys.press("Enter")


def test_keys_in_a_panel_do_nothing_to_the_cells(lesson, panel):
    page, speed = lesson.page, panel.sliders[1]
    reset = panel.root.get_by_role("button", name="Reset")
    speed.less.focus()
    before = page.evaluate(harness.CELLS)
    for place in (speed.less, speed.handle, speed.box, reset):
        place.focus()
        for key in ("d", "d", "a", "ArrowDown", "Enter", "ArrowUp", "m"):
            page.keyboard.press(key)
        expect(place).to_be_focused()
    lesson.rest()
    assert page.evaluate(harness.CELLS) == before


# -- read aloud -------------------------------------------------------------------------------------


def test_a_burst_is_read_aloud_once_soon_after_its_end(lesson, panel):
    lesson.rest()
    live = panel.root.locator("[aria-live]")
    expect(live).to_have_count(1)
    node = live.element_handle()
    panel.root.evaluate(HEAR)
    panel.sliders[1].press(*20 * ["ArrowRight"])
    lesson.rest(quiet=800)  # until then it would be read aloud once more
    heard = lesson.page.evaluate("heard")
    aloud = [at for place, at in heard if place == "aloud"]
    shown = [at for place, at in heard if place == "shown"]
    assert panel.sentence.startswith("At 46.0 km/h ")
    assert panel.read_aloud == panel.sentence
    assert len(shown) > 1, "steps were seen"
    assert aloud[-1] > shown[-1]
    for at in aloud:  # a busy machine may stop for a second amid the burst: that ends it
        seen_before = max(seen for seen in shown if seen < at)
        seen_after = [seen for seen in shown if seen > at]
        assert 300 < at - seen_before < 1000, "ms"
        assert not seen_after or seen_after[0] - seen_before > 600, "ms"
    pauses = [b - a for a, b in pairwise(shown) if b - a > 600]
    assert 1 <= len(aloud) <= 1 + len(pauses)
    assert live.evaluate("(now, before) => now === before", node), "one node for the panel's life"


def test_the_text_alternative_tells_the_curve_as_it_is(panel):
    """Watts at 60 km/h by hand: half of 1.2 times the drag area times the cube of the speed."""
    picture = panel.root.get_by_role("img")
    panel.sliders[0].handle.press("Home")  # 0.18 m2
    watts = 0.6 * 0.18 * (60 / 3.6) ** 3
    told = f"rises from 0 W at 0 km/h to {watts:.0f} W at 60 km/h, steeper and steeper."
    expect(picture).to_have_attribute("alt", re.compile(re.escape(told)))
    panel.sliders[0].handle.press("End")  # 0.45 m2: out of the picture above 1000 W
    expect(picture).to_have_attribute("alt", re.compile(r"to 9\d\d W at 55\.5 km/h"))


# -- size, neighbours, runs -------------------------------------------------------------------------


@pytest.mark.parametrize("width", [harness.SIZE["width"], 640])
def test_all_there_is_to_press_is_at_least_24_pixels(lesson, panel, width):
    lesson.page.set_viewport_size({**harness.SIZE, "width": width})
    lesson.rest()
    sizes = panel.root.evaluate(TARGETS)
    lesson.page.set_viewport_size(harness.SIZE)
    assert len(sizes) == len(NAMES)
    assert min(min(size) for size in sizes) >= 24


def test_two_panels_do_not_touch_each_other(lesson, panel):
    other = lesson.panels[1]
    lesson.rest()
    before = (other.sentence, other.alt, other.picture, [s.value for s in other.sliders])
    panel.sliders[1].press("End")
    moved = panel.sentence
    assert moved.startswith("At 60.0 km/h ")
    assert (other.sentence, other.alt, other.picture, [s.value for s in other.sliders]) == before
    other.sliders[1].press("End")
    assert other.sentence != before[0]
    assert panel.sentence == moved


def test_cells_that_run_again_leave_one_panel_each_and_no_widgets(lesson):
    said = lesson.page.locator(".jp-OutputArea-output pre", has_text=" widgets")
    before = said.all_inner_texts()
    lesson.run()
    assert said.all_inner_texts() == before and len(before) == 1
    assert lesson.page.locator(".dragwork-panel").count() == 2
    first = lesson.panels[0]
    first.sliders[1].press("End")
    assert first.sentence.startswith("At 60.0 km/h ")


AS_SEEN = """panel => {
    const middle = node => {
        const { left, right, top, bottom } = node.getBoundingClientRect();
        return [(left + right) / 2, (top + bottom) / 2];
    };
    window.stops = [...panel.querySelectorAll("*")].filter(node => node.tabIndex >= 0 && node.getClientRects().length);
    stops.sort((one, other) => {
        const [[x1, y1], [x2, y2]] = [middle(one), middle(other)];
        return Math.abs(y1 - y2) < 12 ? x1 - x2 : y1 - y2;
    });
    return stops.map(node => node.ariaLabel ?? node.innerText);
}"""

FOCUS = "() => stops.indexOf(document.activeElement)"

HEAR = """panel => {
    window.heard = [];
    const listen = (name, place) => {
        const node = panel.querySelector(place);
        let last = node.textContent;
        new MutationObserver(() => {
            if (node.textContent !== last) heard.push([name, performance.now()]);
            last = node.textContent;
        }).observe(node, { subtree: true, childList: true, characterData: true });
    };
    listen("shown", ".dragwork-sentence");
    listen("aloud", "[aria-live]");
}"""

TARGETS = """panel => [...panel.querySelectorAll("*")].filter(node => node.tabIndex >= 0 && node.getClientRects().length).map(node => {
    const { width, height } = node.getBoundingClientRect();
    return [width, height];
})"""


@pytest.mark.parametrize("looks", [{"color_scheme": "dark"}, {"forced_colors": "active"}], ids=str)
def test_cards_are_light_in_the_dark_and_tracks_are_seen_in_forced_colours(lesson, panel, looks):
    lesson.page.emulate_media(**looks)
    scheme, track, card = panel.root.evaluate(COLOURS)
    lesson.page.emulate_media(color_scheme="light", forced_colors="none")
    assert scheme == "light" or "forced_colors" in looks
    assert track != card, "a track in the card's own colour is not seen"


COLOURS = """panel => {
    const of = (where, what) => getComputedStyle(panel.querySelector(where) ?? panel)[what];
    return [of(".none", "colorScheme"), of(".noUi-connects", "backgroundColor"), of(".none", "backgroundColor")];
}"""

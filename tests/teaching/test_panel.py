"""A panel without a browser: what it says, what moves it, what it shows, what it leaves behind."""

import asyncio
import base64
import gc
import subprocess
import sys
import weakref
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from io import BytesIO
from pathlib import Path
from types import SimpleNamespace

import ipywidgets
import nbformat
import pytest
from jupyter_client.manager import start_new_kernel
from panel_checks import Asked
from PIL import Image

from dragwork.teaching import cells
from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.style import QUANTITY, new_figure
from dragwork.teaching.panels import panel as panel_module
from dragwork.teaching.panels.knobs import CATALOGUE
from dragwork.teaching.panels.panel import Panel
from dragwork.teaching.panels.view import View
from dragwork.units import kmh

ROOT = Path(__file__).parents[2]


@dataclass(frozen=True)
class Product:
    """Drag area times speed: a result that is checked by eye."""

    drag_area: float
    ground_speed: float

    @property
    def value(self):
        return self.drag_area * self.ground_speed


class Dot(Picture):
    """A dot at the value; keeps what it was given."""

    def __init__(self):
        figure, axes = new_figure(5, 3)
        axes.set(xlim=(0, 20), ylim=(0, 10))
        (self.dot,) = axes.plot([], [], **QUANTITY["air"])
        super().__init__("A dot at the product", figure, [self.dot])

    def update(self, result, before=None, predictions=()):
        self.given = (result, before, predictions)
        self.dot.set_data([result.ground_speed], [result.value])


def in_words(result):
    return f"{result.drag_area:.3f} m² times {result.ground_speed:.2f} m/s is {result.value:.3f}."


def a_panel(model=Product, picture=None, **options):
    return Panel(("drag_area", "ground_speed"), model, picture or Dot(), in_words, **options)


def fragile(drag_area, ground_speed):
    """A model that fails above 15 m/s, with and without words for the learner."""
    if ground_speed > 16:
        raise KeyError("a slip in the code")
    if ground_speed > 15:
        raise ValueError("No answer above 15 m/s.")
    return Product(drag_area, ground_speed)


# -- what it takes ----------------------------------------------------------------------------------


def test_starts_at_the_reference_case():
    panel = a_panel()
    assert panel.values == panel.reference == {"drag_area": 0.32, "ground_speed": 10.0}
    assert panel.sentence == "0.320 m² times 10.00 m/s is 3.200."
    assert panel.note == ""
    assert panel.picture.given == (Product(0.32, 10.0), None, ())


def test_set_moves_values_sentence_and_picture():
    panel = a_panel()
    panel.set(ground_speed=12.5)
    assert panel.values == {"drag_area": 0.32, "ground_speed": 12.5}
    assert panel.sentence == "0.320 m² times 12.50 m/s is 4.000."
    assert panel.picture.dot.get_xydata().tolist() == [[12.5, 4.0]]
    assert panel.alt == "A dot at the product. 0.320 m² times 12.50 m/s is 4.000."


def test_binary_dust_never_shows():
    panel = a_panel()
    panel.set(drag_area=0.30100000000000005)
    assert panel.values["drag_area"] == 0.301
    panel.set(ground_speed=kmh(43))
    assert panel.values["ground_speed"] == kmh(43)


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        ({"drag_area": 3.2}, "outside 0.180 to 0.450 m²"),
        ({"ground_speed": 43}, "43 km/h meant"),
        ({"drag_area": float("nan")}, "outside"),
        ({"speed": 10}, "'speed' is no knob of this panel; it has drag_area, ground_speed"),
    ],
)
def test_a_bad_value_moves_nothing(bad, words):
    panel = a_panel()
    panel.set(ground_speed=12)
    with pytest.raises(ValueError, match=words):
        panel.set(**{"drag_area": 0.3, **bad})
    assert panel.values == {"drag_area": 0.32, "ground_speed": 12.0}
    assert panel.picture.given[0] == Product(0.32, 12.0)


@pytest.mark.parametrize(
    ("knobs", "words"),
    [
        ((), "one to 3 knobs, got 0"),
        (("drag_area", "ground_speed", "yaw", "power"), "one to 3 knobs, got 4"),
        (("speed",), "'speed' is not in the catalogue"),
        (("yaw", "yaw"), "each knob once"),
    ],
)
def test_one_to_three_known_knobs(knobs, words):
    with pytest.raises(ValueError, match=words):
        Panel(knobs, Product, Dot(), in_words)


def test_a_lesson_can_replace_a_knob():
    fast = replace(CATALOGUE["ground_speed"], reference=50)
    panel = Panel(("drag_area", fast), Product, Dot(), in_words)
    assert panel.values["ground_speed"] == kmh(50)


def test_a_panel_with_fewer_knobs_keeps_the_others_where_they_start():
    whole = a_panel()
    fast = replace(CATALOGUE["ground_speed"], low=40, reference=50)
    part = whole.with_knobs(fast)
    assert list(part.knobs) == ["ground_speed"] and part.values == {"ground_speed": kmh(50)}
    assert part.sentence == whole.says(ground_speed=kmh(50))
    whole.set(drag_area=0.2)
    assert part.sentence == a_panel().says(ground_speed=kmh(50)) and part.figure is not whole.figure


def test_the_figure_stays_the_same_and_pyplot_is_never_loaded():
    panel = a_panel()
    figure = panel.figure
    panel.set(ground_speed=12)
    panel.reset()
    assert panel.figure is figure
    asked = "from dragwork.teaching.panels import watts_curve; watts_curve().set(drag_area=0.3)"
    code = f"{asked}; import sys; print('matplotlib.pyplot' in sys.modules)"
    said = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert said.stdout.strip() == "False"


# -- before, predictions, notes ---------------------------------------------------------------------


def test_before_is_the_state_before_the_last_set_and_reset_clears_it():
    panel = a_panel()
    panel.set(ground_speed=12)
    assert panel.picture.given[1] == Product(0.32, 10.0)
    panel.set(ground_speed=14)
    assert panel.picture.given[1] == Product(0.32, 12.0)
    panel.set(ground_speed=14)
    assert panel.picture.given[1] == Product(0.32, 12.0), "nothing moved"
    panel.reset()
    assert panel.values == panel.reference
    assert panel.picture.given[1] is None


def test_the_note_counts_what_changed():
    panel = a_panel()
    panel.set(ground_speed=12)
    assert panel.note == ""
    panel.set(drag_area=0.3)
    assert panel.note == (
        "Two things changed: Drag area 0.300 m² (was 0.320), Speed on the road 43.2 km/h (was 36.0)."
    )
    panel.set(ground_speed=10)
    assert panel.note == ""


def test_a_prediction_is_marked_and_never_blocks():
    panel = a_panel()
    panel.set(ground_speed=12)
    panel.predict(5, ground_speed=14)
    assert panel.sentence == "0.320 m² times 12.00 m/s is 3.840."
    (mark,) = panel.picture.given[2]
    assert (mark.value, mark.at) == (5.0, {"drag_area": 0.32, "ground_speed": 14.0})
    assert panel.picture.given[:2] == (Product(0.32, 12.0), Product(0.32, 10.0)), "the rest stays"
    panel.predict(6)
    panel.predict(4.5, ground_speed=14)
    assert [(p.value, p.at["ground_speed"]) for p in panel.predictions] == [(6.0, 12.0), (4.5, 14.0)]
    panel.reset()
    assert len(panel.predictions) == 2
    with pytest.raises(ValueError, match="prediction is a number"):
        panel.predict(float("nan"))
    with pytest.raises(ValueError, match="outside"):
        panel.predict(1, drag_area=2)


def test_it_keeps_its_secret_until_all_is_guessed():
    panel, one, two = a_panel(), Asked("one"), Asked("two")
    open_picture = panel.picture.png()
    for asked in (one, two, two):
        panel.keep_secret(asked)
    assert "Guess first" in panel.sentence and "2 to go" in panel.sentence
    assert "3.200" not in panel.sentence + panel.alt + repr(panel)
    closed = panel.picture.png()
    assert closed != open_picture
    panel.set(ground_speed=14)
    assert panel.picture.png() == closed, "what moves is hidden, so nothing can be read off it"
    panel.reset()
    one.locked = 5
    panel.follow()
    assert panel.closed and "once your guess is locked in" in panel.sentence
    two.locked = 7
    panel.follow()
    assert panel.sentence == "0.320 m² times 10.00 m/s is 3.200."
    assert panel.picture.png() == open_picture
    two.locked = None
    panel.follow()
    assert panel.closed, "on a second evening it is asked again"


def test_it_can_be_shown_without_a_guess():
    panel = a_panel()
    panel.keep_secret(Asked())
    panel.reveal()
    assert panel.sentence == "0.320 m² times 10.00 m/s is 3.200."


def test_it_says_what_it_would_say_without_moving():
    panel = a_panel()
    panel.set(ground_speed=12)
    panel.keep_secret(Asked())
    assert panel.says(drag_area=0.25) == "0.250 m² times 10.00 m/s is 2.500."
    assert panel.values["ground_speed"] == 12
    with pytest.raises(ValueError, match="outside"):
        panel.says(drag_area=2)


# -- errors -----------------------------------------------------------------------------------------


def test_an_error_in_the_model_is_raised_and_said_and_the_last_good_state_stays():
    panel = a_panel(fragile)
    panel.set(ground_speed=12)
    good = panel.picture.png()
    with pytest.raises(ValueError, match="above 15"):
        panel.set(ground_speed=15.5)
    assert panel.sentence == "This cannot be shown. No answer above 15 m/s."
    with pytest.raises(KeyError):
        panel.set(ground_speed=16.5)
    assert panel.sentence == "This cannot be shown. KeyError: 'a slip in the code'"
    assert panel.values["ground_speed"] == 12.0
    assert panel.picture.png() == good
    panel.set(ground_speed=13)
    assert panel.sentence == "0.320 m² times 13.00 m/s is 4.160."
    assert panel.picture.given[1] == Product(0.32, 12.0)


def test_an_error_in_the_picture_leaves_no_half_drawn_state():
    class Shy(Dot):
        def update(self, result, before=None, predictions=()):
            super().update(result, before, predictions)
            if result.ground_speed > 15:
                raise ZeroDivisionError("no room")

    panel = a_panel(picture=Shy())
    good = panel.picture.png()
    with pytest.raises(ZeroDivisionError):
        panel.set(ground_speed=16)
    assert panel.sentence == "This cannot be shown. ZeroDivisionError: no room"
    assert panel.values == panel.reference
    assert panel.picture.png() == good


# -- the two outputs --------------------------------------------------------------------------------


@pytest.fixture
def shown(monkeypatch):
    """What panels put on the page: a list of (data, metadata)."""
    outputs = []
    monkeypatch.setattr(
        panel_module, "display", lambda data, metadata=None, raw=None: outputs.append((data, metadata))
    )
    return outputs


def test_shows_a_live_picture_over_its_saved_form_then_the_reference_sentence(shown):
    panel = a_panel()
    panel.set(ground_speed=12.5)
    panel._ipython_display_()
    (live, about), (text, _) = shown
    assert set(live) == {"application/vnd.jupyter.widget-view+json", "image/png", "text/plain"}
    assert live["text/plain"] == panel.sentence == "0.320 m² times 12.50 m/s is 4.000."
    assert about["image/png"] == {"alt": panel.alt, "width": 500, "height": 300}
    assert Image.open(BytesIO(base64.b64decode(live["image/png"]))).size == (750, 450)
    at_reference = "0.320 m² times 10.00 m/s is 3.200."
    assert text == {
        "text/markdown": f"*Reference case.* {at_reference}",
        "text/plain": f"Reference case. {at_reference}",
    }


def test_while_it_keeps_its_secret_the_closed_picture_is_saved_and_the_open_one_is_for_paper(shown):
    panel = a_panel()
    panel._ipython_display_()
    panel.keep_secret(Asked())
    panel._ipython_display_()
    (opened, _), _, (closed, about), (text, _) = shown
    assert closed["image/png"] != opened["image/png"] and closed["text/plain"] == panel.sentence
    assert "3.200" not in about["image/png"]["alt"]
    paper = about["dragwork_open"]
    assert paper["png"] == opened["image/png"] and paper["said"] == opened["text/plain"]
    assert paper["alt"].endswith("is 3.200.")
    assert text["text/markdown"].startswith("<details><summary>What the picture shows: open it after your guess")
    assert panel.closed and panel.picture.closed


def test_what_is_stored_is_the_same_each_time(shown):
    for _ in range(2):
        a_panel()._ipython_display_()
    first, second = ({**data, "application/vnd.jupyter.widget-view+json": 0} for data, _ in shown[::2])
    assert first == second
    assert repr(a_panel()) == "Panel: 0.320 m² times 10.00 m/s is 3.200."


# -- the widgets ------------------------------------------------------------------------------------


class Page:
    """A panel as a person meets it: sliders, buttons, boxes by knob, the words that stand there."""

    def __init__(self, panel):
        panel._view = View(panel)
        self.panel = panel
        self.rows = dict(zip(panel.knobs, self.part("knobs").children))

    def parts(self):
        return list(self.panel._view.box.children)

    def part(self, name):
        found = [p for top in self.parts() for p in (top, *getattr(top, "children", ()))]
        return next(p for p in found if _name(p) == f"dragwork-{name}")

    def in_row(self, knob, name):
        return [p for p in self.rows[knob].children if _name(p) == f"dragwork-{name}"]

    def slider(self, knob):
        return self.in_row(knob, "slider")[0]

    def slide(self, name, number):
        """Drag a slider to a number in its knob's unit."""
        knob = self.panel.knobs[name]
        self.slider(name).value = round((number - knob.low) / knob.step)

    def stands(self, name):
        """The number at which a slider stands."""
        knob = self.panel.knobs[name]
        return knob.low + self.slider(name).value * knob.step

    def box(self, knob):
        return self.in_row(knob, "box")[0]

    def words(self):
        return self.part("sentence").value

    def picture(self):
        return self.part("picture").value


def _name(widget):
    return " ".join(widget._dom_classes)


@pytest.fixture
def page():
    return Page(a_panel(fragile))


def test_the_page_reads_picture_sentence_knobs_reset(page):
    names = [_name(part).removeprefix("dragwork-") for part in page.parts()]
    assert names == ["picture", "sentence", "knobs", "tables", "live", "title", "style"]
    beside = [_name(part).removeprefix("dragwork-") for part in page.part("knobs").children]
    assert beside == ["knob", "knob", "reset", "reveal", "note"]
    row = [_name(part).removeprefix("dragwork-") for part in page.rows["drag_area"].children]
    assert row == ["label", "box", "unit", "step", "slider", "step", "spoken"]


def test_a_slider_moves_picture_words_box_and_text_alternative(page):
    before = page.picture()
    page.slide("ground_speed", 45)
    assert page.panel.values["ground_speed"] == 12.5
    assert page.words() == "0.320 m² times 12.50 m/s is 4.000."
    assert page.box("ground_speed").value == "45.0"
    assert page.part("picture").tooltip == page.panel.alt
    assert page.picture() != before
    assert page.picture() == page.panel.picture.png()


def test_the_page_keeps_the_secret_until_it_is_asked_to_show_it():
    page = Page(a_panel())
    shown = page.picture()
    page.panel.keep_secret(Asked())
    reveal = page.part("reveal")
    assert page.words() == page.panel.sentence and page.words().startswith("Guess first.")
    assert page.picture() != shown and page.part("picture").tooltip == page.panel.alt
    assert reveal.layout.display == "" and reveal.description == "Show it without a guess"
    reveal.click()
    assert page.words() == "0.320 m² times 10.00 m/s is 3.200." and reveal.layout.display == "none"
    assert page.picture() != shown or page.panel.picture.png() == page.picture()


def test_set_and_reset_move_the_sliders(page):
    page.panel.set(drag_area=0.3, ground_speed=12.5)
    assert page.stands("drag_area") == pytest.approx(0.3)
    assert page.stands("ground_speed") == pytest.approx(45.0)
    assert page.part("note").value.startswith("Two things changed")
    page.part("reset").click()
    assert page.panel.values == page.panel.reference
    assert page.stands("ground_speed") == pytest.approx(36.0)
    assert page.part("note").value == ""


def test_a_burst_of_a_hundred_events_ends_at_the_last_and_shares_one_before(page):
    for number in range(100):
        page.slide("ground_speed", 50 - number % 50 / 2)
    assert page.panel.values["ground_speed"] == kmh(25.5)
    assert page.words() == "0.320 m² times 7.08 m/s is 2.267."
    assert page.panel.picture.given[1] == Product(0.32, 10.0), "the state before the whole burst"
    page.slide("drag_area", 0.3)
    assert page.panel.picture.given[1] == Product(0.32, kmh(25.5)), "another knob, another gesture"


def test_a_typed_value_between_two_steps_is_kept(page):
    page.box("drag_area").value = "0.3207"
    assert page.panel.values["drag_area"] == 0.3207
    assert page.box("drag_area").value == "0.3207"
    assert page.stands("drag_area") == pytest.approx(0.32)
    page.slide("ground_speed", 40)
    assert page.panel.values["drag_area"] == 0.3207


def test_a_slider_reaches_both_ends_and_every_step_between(page):
    knob = page.panel.knobs["drag_area"]
    slider = page.slider("drag_area")
    seen = []
    for step in range(slider.min, slider.max + 1):
        slider.value = step
        seen.append(page.panel.values["drag_area"])
    assert seen == [round(0.18 + 0.002 * step, 3) for step in range(136)]
    assert (seen[0], seen[-1]) == (knob.low, knob.high)


def test_buttons_go_one_step_and_stop_at_the_ends(page):
    less, more = page.in_row("drag_area", "step")
    more.click()
    more.click()
    assert page.panel.values["drag_area"] == 0.324
    less.click()
    assert page.panel.values["drag_area"] == 0.322
    page.panel.set(drag_area=0.449)
    more.click()
    more.click()
    assert page.panel.values["drag_area"] == 0.45


@pytest.mark.parametrize("typed", ["0.3", "0,3", "0.3 m2", " 3000 cm² ", "0.300"])
def test_a_typed_value_is_read_as_people_write_it(page, typed):
    page.box("drag_area").value = typed
    assert page.panel.values["drag_area"] == 0.3
    assert page.box("drag_area").value == "0.300"
    assert page.stands("drag_area") == pytest.approx(0.3)


@pytest.mark.parametrize(
    ("typed", "words"),
    [("0.9", "0.180 to 0.450 m² here; 0.900 m² is outside"), ("<b>", "not read"), ("12 W", "not a unit")],
)
def test_what_cannot_be_used_stays_and_the_sentence_says_why(page, typed, words):
    picture = page.picture()
    page.box("drag_area").value = typed
    assert page.box("drag_area").value == typed
    assert words in page.words()
    assert "<b>" not in page.words(), "text, not markup"
    assert page.picture() == picture
    assert page.panel.values == page.panel.reference


@pytest.mark.parametrize("mend", ["the same value again", "another slider", "reset"])
def test_after_a_bad_entry_the_next_good_move_clears_the_remark(page, mend):
    page.box("drag_area").value = "abc"
    if mend == "the same value again":
        page.box("drag_area").value = "0.320"
    elif mend == "another slider":
        page.slide("ground_speed", 40)
    else:
        page.part("reset").click()
    assert page.words().startswith("0.320 m² times")
    assert page.box("drag_area").value == "0.320"


def test_an_error_from_a_slider_stands_on_the_page_and_is_raised(page):
    picture = page.picture()
    with pytest.raises(ValueError, match="above 15"):
        page.slide("ground_speed", 55)
    assert page.words() == "This cannot be shown. No answer above 15 m/s."
    assert page.picture() == picture
    page.slide("ground_speed", 36)
    assert page.words() == "0.320 m² times 10.00 m/s is 3.200."


def test_panels_are_independent_of_each_other():
    one, other = Page(a_panel()), Page(a_panel())
    picture = other.picture()
    one.slide("drag_area", 0.2)
    assert other.panel.values == other.panel.reference
    assert other.picture() == picture


def in_a_loop(coroutine):
    """Its result, from a thread of its own: browser tests leave a loop running in the first one."""
    with ThreadPoolExecutor(1) as thread:
        return thread.submit(asyncio.run, coroutine).result()


def test_while_moving_one_pixel_a_pixel_then_once_two_and_the_words_aloud():
    async def live():
        page = Page(a_panel())
        sizes = [page.picture()]
        page.part("picture").observe(lambda change: sizes.append(change["new"]), "value")
        await asyncio.sleep(0.6)
        assert page.part("live").value == "", "nothing is read aloud because a page was opened"
        for number in range(40, 45):
            page.slide("ground_speed", number)
            await asyncio.sleep(0.02)
        assert page.part("live").value == ""
        await asyncio.sleep(0.8)
        return [Image.open(BytesIO(png)).width for png in sizes], page

    widths, page = in_a_loop(live())
    assert widths == [1000] + 5 * [500] + [1000]
    assert page.part("live").value == page.panel.sentence


def test_a_late_crisp_picture_leaves_a_bad_entry_alone():
    async def live():
        page = Page(a_panel())
        page.slide("ground_speed", 40)
        page.box("drag_area").value = "0.9"
        await asyncio.sleep(0.3)
        return page

    page = in_a_loop(live())
    assert page.box("drag_area").value == "0.9"
    assert "outside" in page.words()


# -- what it leaves behind --------------------------------------------------------------------------


def alive():
    """The widgets that the kernel still keeps."""
    return len(ipywidgets.widgets.widget._instances)


@pytest.fixture
def run_cell(monkeypatch, shown):
    """Show panels as the output of a named cell."""
    runs = iter(range(1000))

    def run(cell, *panels):
        request = {"metadata": {"cellId": cell}, "header": {"msg_id": next(runs)}}
        shell = SimpleNamespace(parent_header=request)
        monkeypatch.setattr(cells, "get_ipython", lambda: shell)
        for panel in panels:
            panel._ipython_display_()

    monkeypatch.setattr(cells, "_shown", {})
    return run


def test_a_cell_that_runs_again_leaves_no_widgets(run_cell):
    before = alive()
    run_cell("a", a_panel())
    one = alive() - before
    assert one > 20
    run_cell("b", a_panel(), a_panel())
    for _ in range(5):
        run_cell("a", a_panel())
        run_cell("b", a_panel(), a_panel())
    assert alive() - before == 3 * one
    run_cell("b", a_panel())
    assert alive() - before == 2 * one


def test_a_panel_shown_twice_or_again_stays_live(run_cell):
    panel = a_panel()
    run_cell("a", panel)
    run_cell("b", panel)
    view = panel._view
    run_cell("b", panel)
    assert panel._view is view, "another cell shows it too"
    run_cell("a", panel, a_panel())
    run_cell("b", a_panel())
    assert panel._view is not None
    panel.set(ground_speed=12)
    assert panel._view._image.value == panel.picture.png()


def test_close_takes_all_widgets_and_waiting_calls_away():
    async def live():
        before = alive()
        page = Page(a_panel())
        page.slide("ground_speed", 40)
        image = page.part("picture")
        last = image.value
        page.panel.close()
        assert alive() == before
        await asyncio.sleep(0.6)
        assert image.value == last
        page.panel.set(ground_speed=12)
        page.panel.close()

    in_a_loop(live())


def test_a_cell_that_runs_again_lets_go_of_its_pictures(run_cell):
    """A kernel keeps each panel that a cell showed in its history; pictures are what weighs there."""
    history, figures = [], []
    for _ in range(5):
        history.append(a_panel())
        figures.append(weakref.ref(history[-1].figure))
        run_cell("a", history[-1])
    gc.collect()
    assert [figure() is None for figure in figures] == [True, True, True, True, False]


def test_a_closed_panel_makes_its_picture_anew():
    panel = a_panel()
    panel.set(ground_speed=12)
    panel.predict(4.0)
    picture = panel.picture.png()
    panel.close()
    assert panel.picture.png() == picture


RUN_AGAIN = """
import gc, os
def megabytes():
    gc.collect()
    with open("/proc/self/statm") as file:
        return int(file.read().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 2**20
print(megabytes())
"""


@pytest.mark.tour
@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="it asks Linux how large a process is")
def test_thirty_runs_of_a_lesson_grow_by_less_than_a_megabyte_each():
    """Before pictures were let go of, this notebook took 31 MB more each time."""
    lesson = nbformat.read(ROOT / "workbook" / "08_watts_at_my_speed.ipynb", 4)
    cells = [cell for cell in lesson.cells if cell.cell_type == "code"]
    manager, client = start_new_kernel(kernel_name="python3")
    try:
        grown = [run_again(client, cells) for _ in range(30)]
    finally:
        client.stop_channels()
        manager.shutdown_kernel(now=True)
    assert (grown[-1] - grown[4]) / (len(grown) - 5) < 1


def run_again(client, cells):
    """Run cells as JupyterLab does, each under its name; how large the kernel is then [MB]."""
    said = ""
    for name, code in [*((cell.id, cell.source) for cell in cells), ("size", RUN_AGAIN)]:
        content = {"code": code, "silent": False, "store_history": True, "allow_stdin": False,
                   "user_expressions": {}, "stop_on_error": True}  # fmt: skip
        request = client.session.msg("execute_request", content, metadata={"cellId": name})
        client.shell_channel.send(request)
        while True:
            heard = client.get_iopub_msg(timeout=60)
            if heard["parent_header"].get("msg_id") != request["header"]["msg_id"]:
                continue
            assert heard["msg_type"] != "error", heard["content"]
            said = heard["content"]["text"] if heard["msg_type"] == "stream" else said
            if heard["content"].get("execution_state") == "idle":
                break
        client.get_shell_msg(timeout=60)
    return float(said)

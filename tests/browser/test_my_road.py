"""Lesson 09: its buttons, its panels and its editor; large files through the upload box."""

import re

import harness
import pytest
from playwright.sync_api import expect

from dragwork.measurement import road
from dragwork.setup.lab import EXTENSION, LONGEST_MESSAGE

SCRIPT = EXTENSION / "static" / "panel.js"

POINT = '<trkpt lat="{:.5f}" lon="1"><ele>{}</ele></trkpt>'
DEGREE = 110_574  # m from the equator to 1 degree north, WGS84


def track(metres, size):
    """A track northwards that climbs at 1 %, as a GPX file of so many bytes."""
    points = "".join(POINT.format(x / DEGREE, x / 100) for x in range(0, metres + 1, 100))
    head, tail = '<gpx version="1.1"><trk><trkseg>', "</trkseg></trk></gpx>"
    padding = size - len(head + points + tail) - len("<!---->")
    return f"{head}{points}<!--{'x' * padding}-->{tail}".encode()


@pytest.fixture
def notebook(run_once):
    notebook = run_once("workbook/09_minutes_on_my_road.ipynb")
    yield notebook
    assert notebook.complaints == []


def test_the_checker_finds_nothing_grave_in_the_panels(notebook):
    harness.check_panels(notebook, 6)


def test_below_zero_a_slider_is_read_with_a_minus_and_is_a_number_to_machines(notebook):
    """WAI-ARIA 1.2: aria-valuenow is a number, whose minus is a hyphen."""
    panel, slider = next((panel, each) for panel in notebook.panels for each in panel.sliders if each.low < 0)
    slider.press("Home")
    assert slider.value == slider.low and slider.words.startswith(f"−{-slider.low:g}")
    panel.reset()


def test_a_button_is_called_by_the_words_that_are_seen(notebook):
    """WCAG 2.2, 2.5.3: the accessible name contains the visible words."""
    names = notebook.page.evaluate(BUTTONS)
    assert len(names) > 10
    assert [(seen, name) for seen, name in names if seen.casefold() not in name.casefold()] == []
    # The picture below the editor follows its table.
    editor = notebook.page.locator(".dragwork-editor")
    editor.scroll_into_view_if_needed()
    box = editor.get_by_label("Leg 1, Length km")
    box.fill("18")
    box.press("Tab")
    road = notebook.page.locator(".dragwork-panel.dragwork-stage", has_text="Brickfield Loop 27 takes")
    expect(road.locator(".dragwork-sentence")).not_to_contain_text("takes 48:02")
    expect(editor.locator(".dragwork-sentence")).not_to_contain_text("needs 48:02")  # it may follow a moment later
    minutes = re.search(r"needs (\d+:\d\d)", editor.locator(".dragwork-sentence").inner_text())[1]
    expect(road.locator(".dragwork-sentence")).to_contain_text(f"takes {minutes}")


BUTTONS = r"""() => [...document.querySelectorAll(".dragwork-panel button")]
    .map(button => [button.innerText.trim(), button.ariaLabel ?? button.innerText])
    .filter(([seen]) => /\p{L}/u.test(seen))"""


def test_a_file_is_taken_up_to_the_size_promised_and_refused_in_words_above_it(notebook, tmp_path):
    """Read up to the size promised, refused in words above it."""
    form = notebook.page.get_by_role("group", name="Course editor")
    (sent,) = re.findall(r"LARGEST = ([\d.e]+);", SCRIPT.read_text("utf-8"))
    assert float(sent) == road._LARGEST < LONGEST_MESSAGE

    def take(name, content):
        (tmp_path / name).write_bytes(content)
        with notebook.page.expect_file_chooser() as chooser:
            form.get_by_role("button", name="Choose a file").click()
        chooser.value.set_files(tmp_path / name)
        expect(form).to_contain_text(f"Chosen: {name}.", timeout=60_000)
        form.get_by_role("button", name="Take this file").click()

    form.get_by_role("radio", name="keep them").check()
    take("large.gpx", track(9_000, 29_000_000))
    expect(form).to_contain_text("9.0 km with", timeout=60_000)
    take("giant.gpx", track(11_000, 61_000_000))
    expect(form).to_contain_text("The file is larger than 30 MB", timeout=60_000)
    expect(form).to_contain_text("9.0 km with")
    take("after.gpx", track(5_000, 20_000))
    expect(form).to_contain_text("5.0 km with", timeout=60_000)

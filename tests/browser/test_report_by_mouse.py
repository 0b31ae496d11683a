"""Notebook 12 by mouse alone: a broken file, an own file, a claim, the room, and the page saved."""

import harness
import pytest
from playwright.sync_api import expect

from dragwork.scenario import data_file

ANSWERS = (("hoods", "clip-ons"), ("Tobin",), ("Cinder Lane",), ("1.20 kg",))


@pytest.fixture
def flow(run_once):
    notebook = run_once("workbook/12_my_report.ipynb")
    yield notebook.page.get_by_role("group", name="Questions for the page"), notebook
    assert notebook.complaints == []


def choose(flow, *choices):
    groups = flow.get_by_role("radiogroup").filter(visible=True)
    for group, choice in enumerate(choices):
        groups.nth(group).get_by_role("radio", name=choice).check()


def press(flow, name):
    flow.get_by_role("button", name=name, exact=True).filter(visible=True).click()


def upload(flow, notebook, name, content):
    with notebook.page.expect_file_chooser() as chooser:
        flow.get_by_role("button", name="Choose a file").filter(visible=True).click()
    chooser.value.set_files({"name": name, "mimeType": "text/csv", "buffer": content})
    expect(flow).to_contain_text(f"Chosen: {name}.")


def test_published_numbers_are_typed_in_a_box_as_wide_as_the_page(flow):
    flow, notebook = flow
    choose(flow, "no sheet: numbers that somebody published")
    box = flow.get_by_label("Drag areas with their 95 % ranges")
    label = flow.get_by_text("Drag areas with their 95 % ranges")
    for width in (1280, 800):
        notebook.page.set_viewport_size({**harness.SIZE, "width": width})
        notebook.rest()
        page, typed, said = (part.bounding_box() for part in (flow, box, label))
        assert typed["width"] > 0.95 * page["width"] - 10
        assert said["y"] + said["height"] <= typed["y"] + 1, "the label stands above"
    notebook.page.set_viewport_size(harness.SIZE)


def test_the_whole_chain_by_mouse(flow, kept_copy):
    flow, notebook = flow
    changes = flow.get_by_role("button", name="Change").filter(visible=True)
    harness.check(notebook, flow, "button-name", "color-contrast", "label")

    choose(flow, "a file of my own")
    upload(flow, notebook, "mine.csv", b"hello, this is no sheet")
    press(flow, "Answer")
    expect(flow).to_contain_text("mine.csv could not be used.")
    upload(flow, notebook, "mine.csv", data_file("BL-7.csv").read_bytes())
    press(flow, "Answer")
    expect(flow).to_contain_text("The sheet is mine.csv (fingerprint")

    for answered, choices in enumerate(ANSWERS, 1):
        expect(changes).to_have_count(answered)
        choose(flow, *choices)
        press(flow, "Answer")
    expect(changes).to_have_count(8)  # five answers, and three that may stay as they are

    press(flow, "Change the answer to: Who else is in the room?")
    choose(flow, "the four of the club")
    press(flow, "Answer")
    expect(flow).to_contain_text("From fast to slow the order is", timeout=60_000)  # four riders are ridden
    harness.check(notebook, flow, "button-name", "color-contrast", "image-alt", "th-has-data-cells")

    press(flow, "Save the page as a file beside this notebook")
    expect(flow).to_contain_text("Saved as my_report.html")
    page = (kept_copy / "workbook" / "my_report.html").read_text("utf-8").replace("\u00a0", " ")
    for words in ("mine.csv", "clip-ons", "Cinder Lane 40", "80 % range", "Rosalind, 130 W"):
        assert words in page, words

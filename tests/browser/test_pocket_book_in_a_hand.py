"""The pocket book on a screen as wide as a phone's, by keyboard, and with scripts off."""

import base64
import io
import random
import sys

import harness
import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import expect

sys.path.append(str(harness.ROOT / "tests" / "teaching"))
from test_pocket_book import shown, stored  # noqa: E402

SIZE = {"width": 390, "height": 844}


@pytest.fixture(scope="module")
def book(first_chapter):
    """The book in a file: its address, and what it stores of its one panel."""
    ((still, _, data),) = stored(first_chapter.read_text(encoding="utf-8"))
    return first_chapter.as_uri(), still, data


@pytest.fixture
def page(browser, book):
    page = browser.new_page(viewport=SIZE)
    page.asked = []
    page.on("request", lambda request: page.asked.append(request.url))
    page.on("pageerror", lambda error: page.asked.append(str(error)))
    page.goto(book[0])
    yield page
    page.close()
    assert [url for url in page.asked if not url.startswith(("file:", "data:"))] == []


def test_sliders_move_picture_and_sentence_by_keyboard(page, book):
    _, still, data = book
    panel = page.locator(".frames")
    expect(panel).not_to_be_visible()
    page.get_by_text("Guess first, then show the picture").press("Enter")
    speed = panel.get_by_label("Speed on the road")
    place = int(speed.input_value())
    speed.press("ArrowRight")
    state = next(key for key, row in data["frames"].items() if key.split(",")[1] == str(place + 1))
    png, sentence, alt = data["frames"][state]
    expect(panel.locator("figcaption")).to_have_text(sentence)
    expect(panel.get_by_role("img", name=alt)).to_be_visible()
    assert speed.get_attribute("aria-valuetext") == data["knobs"][1][place + 1][1]
    area = panel.get_by_label("Drag area")
    area.press("Home")
    expect(panel.get_by_role("status")).to_contain_text("Speed on the road v went back to the start")
    assert int(speed.input_value()) == place
    area.press("ArrowRight")
    expect(panel.get_by_role("status")).not_to_be_empty()
    panel.get_by_role("button", name="Reset").press("Enter")
    expect(panel.get_by_role("status")).to_be_empty()
    expect(panel.locator("figcaption")).to_contain_text("At 36.0 km/h a drag area of 0.320 m²")
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZE["width"]
    found = Axe().run(page).response
    assert found["violations"] == []
    assert {rule["id"] for rule in found["passes"]} >= {"label", "color-contrast", "role-img-alt"}


def test_the_page_shows_the_stored_frames_pixel_by_pixel(page, book):
    _, still, data = book
    page.get_by_text("Guess first, then show the picture").click()
    random.seed(18)
    for state in random.sample(sorted(data["frames"]), 10):
        png, sentence, _ = data["frames"][state]
        page.evaluate(MOVE, [int(place) for place in state.split(",")])
        expect(page.locator(".frames figcaption")).to_have_text(sentence)
        seen = page.evaluate("document.querySelector('.frames canvas').toDataURL()")
        pixels = Image.open(io.BytesIO(base64.b64decode(seen.partition(",")[2]))).convert("RGB")
        assert pixels.tobytes() == shown(still, png).tobytes()


def test_with_scripts_off_both_ends_of_each_slider_are_there(browser, book):
    context = browser.new_context(java_script_enabled=False, viewport=SIZE)
    page = context.new_page()
    page.goto(book[0])
    page.get_by_text("Guess first, then show the picture").click()
    expect(page.get_by_role("slider")).to_have_count(0)
    pictures = page.locator(".frames img")
    expect(pictures).to_have_count(1 + 5)  # the reference case, and each end but no wind, which is in it
    for picture in pictures.all():
        expect(picture).to_be_visible()
    context.close()


MOVE = """places => {
    const inputs = [...document.querySelectorAll(".frames input")];
    document.querySelector(".frames button").click();
    inputs.forEach((input, knob) => {
        if (+input.value === places[knob]) return;
        input.value = places[knob];
        input.dispatchEvent(new Event("input"));
    });
}"""

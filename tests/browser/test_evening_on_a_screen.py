"""The evening on a projector's screen: by keyboard, clicker and finger, printed, and with scripts off."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

SMALL, LARGE = {"width": 1280, "height": 800}, {"width": 1920, "height": 1080}
LOWEST = """() => {
    const seen = [...document.querySelectorAll(".now h2, .now .body *")].filter(one => one.offsetParent && one.getBoundingClientRect().height > 1);
    const boxes = seen.map(one => one.getBoundingClientRect());
    return {
        lowest: Math.max(...boxes.map(box => box.bottom)), furthest: Math.max(...boxes.map(box => box.right)),
        clock: document.querySelector(".clock").getBoundingClientRect().top,
        tall: document.scrollingElement.scrollHeight, wide: document.scrollingElement.scrollWidth,
        letters: Math.min(...seen.filter(one => one.matches("p, li, td, figcaption") && !one.closest(".knobs"))
            .map(one => parseFloat(getComputedStyle(one).fontSize))),
    };
}"""
WHERE = """() => [document.querySelector(".now").id, document.querySelector(".now input")?.value ?? ""]"""


@pytest.fixture
def page(browser, evening_file):
    page = browser.new_page(viewport=SMALL)
    page.asked = []
    page.on("request", lambda request: page.asked.append(request.url))
    page.on("pageerror", lambda error: page.asked.append(str(error)))
    page.goto(evening_file.as_uri())
    yield page
    page.close()
    assert [url for url in page.asked if not url.startswith(("file:", "data:"))] == []


@pytest.mark.parametrize(("size", "key"), [(SMALL, "PageDown"), (LARGE, "ArrowRight")], ids=["small", "large"])
def test_nothing_runs_over_on_any_step(page, size, key):
    page.set_viewport_size(size)
    steps = page.locator(".step")
    number = steps.count()
    visited, audited = [], set()
    for _ in range(2 * number):
        where = page.evaluate(WHERE)
        if where == (visited or [None])[-1]:
            break
        visited.append(where)
        found = page.evaluate(LOWEST)
        assert found["lowest"] <= found["clock"] and found["furthest"] <= size["width"], where
        assert (found["tall"], found["wide"]) == (size["height"], size["width"]), where
        assert found["letters"] >= size["height"] / 31, where  # a 31st of the height, read from the back
        expect(page.locator(".step:visible")).to_have_count(1)
        if visited[1:]:
            expect(page.locator(".now h2")).to_be_focused()
        kind = re.sub(r"\d|[ABC]\b", "", page.locator(".now h2").inner_text())
        if size is SMALL and kind not in audited:
            audited.add(kind)
            assert Axe().run(page).response["violations"] == [], where
        page.keyboard.press(key)
    assert [where[0] for where in visited if where[0]][-1] == f"step-{number}"
    assert len(dict(visited)) == number < len(visited)  # each step once, and some pictures moved on the way


def test_a_clicker_goes_through_the_cases_of_an_answer_and_back(page):
    page.goto(page.url.partition("#")[0] + "#step-6")
    page.reload()
    sentence, speed = page.locator(".now figcaption"), page.locator(".now input")
    expect(sentence).to_contain_text("At 36.0 km/h a drag area of 0.320 m² takes 192 W")
    page.keyboard.press("PageDown")
    expect(sentence).to_contain_text("At 39.6 km/h a drag area of 0.320 m² takes 256 W")
    page.keyboard.press("ArrowUp")
    expect(sentence).to_contain_text("At 43.2 km/h")
    speed.press("ArrowLeft")  # a slider in focus keeps its arrows
    expect(sentence).to_contain_text("At 39.6 km/h")
    speed.press("PageDown")  # but a clicker's keys move the evening
    assert page.evaluate(WHERE)[0] == "step-7"
    page.keyboard.press("PageUp")
    expect(sentence).to_contain_text("At 39.6 km/h")
    page.keyboard.press("PageUp")
    page.keyboard.press("Shift+ ")
    assert page.evaluate(WHERE)[0] == "step-5"
    page.keyboard.press("End")
    expect(page.locator(".now h2")).to_have_text("Where to go on alone")
    page.keyboard.press("Home")
    expect(page.locator(".now h2")).to_have_text("Twenty watts: a night at the club")
    page.get_by_role("button", name="On").press(" ")
    assert page.evaluate(WHERE)[0] == "step-2"


def test_the_clock_starts_with_the_second_step_and_goes_on_after_a_reload(browser, evening_file):
    context = browser.new_context(viewport=SMALL)
    page = context.new_page()
    page.clock.install(time=0)
    page.goto(evening_file.as_uri())
    page.clock.pause_at(3_600_000)
    page.evaluate("sessionStorage.clear()")
    page.reload()
    clock = page.get_by_role("timer")
    page.clock.run_for(60_000)
    expect(clock).to_contain_text("1 of 43. This step: 1:00 of 1:30. The evening: 0:00 of 90:00, by the plan 0:00.")
    page.keyboard.press(" ")
    page.clock.run_for(100_000)
    expect(clock).to_contain_text("2 of 43. This step: 1:40 of 3:30. The evening: 1:40 of 90:00, by the plan 1:30.")
    page.reload()
    page.clock.run_for(20_000)
    expect(clock).to_contain_text("2 of 43. This step: 0:20 of 3:30. The evening: 2:00 of 90:00")
    context.close()


def test_a_finger_moves_it(browser, evening_file):
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, reduced_motion="reduce")
    page = context.new_page()
    page.goto(evening_file.as_uri())
    swipe = """([from, to]) => {
        const touch = x => new Touch({ identifier: 1, target: document.body, clientX: x, clientY: 300 });
        document.body.dispatchEvent(new TouchEvent("touchstart", { touches: [touch(from)], bubbles: true }));
        document.body.dispatchEvent(new TouchEvent("touchend", { changedTouches: [touch(to)], bubbles: true }));
    }"""
    page.evaluate(swipe, [300, 100])
    assert page.evaluate(WHERE)[0] == "step-2"
    page.evaluate(swipe, [100, 90])
    assert page.evaluate(WHERE)[0] == "step-2"
    page.evaluate(swipe, [100, 300])
    assert page.evaluate(WHERE)[0] == "step-1"
    page.get_by_role("button", name="On").tap()
    assert page.evaluate(WHERE)[0] == "step-2"
    for _ in range(60):
        assert page.evaluate("document.scrollingElement.scrollWidth") <= 390, page.evaluate(WHERE)
        page.keyboard.press("PageDown")
    assert page.evaluate(WHERE)[0] == "step-43"
    moves = page.evaluate("""() => [...document.querySelectorAll("*")].filter(one => {
        const style = getComputedStyle(one);
        return parseFloat(style.transitionDuration) || style.animationName !== "none";
    }).length""")
    assert moves == 0
    context.close()


def test_it_prints_one_step_a_page(page):
    steps = page.locator(".step").count()
    page.keyboard.press("End")
    printed = page.pdf(prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page\b", printed)) == steps


def test_the_papers_print_on_a4_one_to_a_page_and_are_accessible(browser, papers_file):
    page = browser.new_page()
    page.goto(papers_file.as_uri())
    assert Axe().run(page).response["violations"] == []
    printed = page.pdf(prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page\b", printed)) == 7
    sizes = re.findall(rb"/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]", printed)
    assert {(round(float(wide) / 72 * 25.4), round(float(tall) / 72 * 25.4)) for wide, tall in sizes} == {(210, 297)}
    page.close()


def test_with_scripts_off_all_steps_are_there(browser, evening_file):
    context = browser.new_context(java_script_enabled=False, viewport=SMALL)
    page = context.new_page()
    page.goto(evening_file.as_uri())
    steps = page.locator(".step")
    heights = [step.bounding_box()["y"] for step in steps.all()]
    assert len(heights) == 43 and heights == sorted(heights)
    expect(page.locator(".clock")).not_to_be_visible()
    expect(page.get_by_role("slider")).to_have_count(0)
    for picture in page.locator(".frames img").all():
        expect(picture).to_be_visible()
    context.close()

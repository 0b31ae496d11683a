"""From the press of a key to the new picture on the screen, in a real browser.

The workbook's heaviest panel, savings by speed, beside the same figure drawn the plain way, by
`interactive_output` with a new pyplot figure each time. A long run with its own command, which
prints what it measured:

    python3 tests tests/browser/test_paint.py -m tour -s

The ratios bind. The milliseconds depend on the computer and on what else it does.
"""

from base64 import b64decode
from io import BytesIO
from statistics import median, quantiles

import harness
import numpy as np
import pytest
from PIL import Image

pytestmark = pytest.mark.tour

PRESSES = 40

TALL = {"width": 1280, "height": 1100}

OURS = "from dragwork.teaching.panels import savings_by_speed\npanel = savings_by_speed()\npanel"

# The same model, the same drawing, the same size in pixels; only the way to the page differs.
PLAIN = """
%matplotlib inline
import ipywidgets, matplotlib.pyplot as plt
from dragwork.teaching.figures import style

def by_pyplot(width=5.7, height=4.0, **grid):
    with style.styled():
        return plt.subplots(figsize=(width, height), dpi=100, **grid)

style.new_figure = by_pyplot
start, knob = panel.values, panel.knobs["power"]

def draw(position):
    picture = panel.picture.anew()
    picture.update(panel._model(**{**start, "power": knob.at(position)}))
    plt.show()

slider = ipywidgets.IntSlider(value=knob.position(start["power"]), max=knob.steps)
out = ipywidgets.interactive_output(draw, {"position": slider})
plain = ipywidgets.VBox([slider, out])
plain.add_class("plain")
plain
"""


@pytest.fixture
def notebook(open_notebook, copy):
    harness.write_notebook(copy / "paint.ipynb", (OURS, PLAIN))
    notebook = open_notebook("paint.ipynb")
    notebook.run()
    yield notebook
    assert notebook.complaints == []


def test_a_key_press_is_painted_in_half_the_time_of_a_new_figure(notebook):
    ours = times(notebook, ".dragwork-panel")
    plain = times(notebook, ".plain")
    print("\nkey press to new picture painted   median   95 %")
    for name, taken in (("this panel", ours), ("a new pyplot figure", plain)):
        print(f"{name:32} {median(taken):6.0f} {late(taken):6.0f} ms")
    print(f"{'ratio':32} {median(plain) / median(ours):6.1f} {late(plain) / late(ours):6.1f}")
    assert median(ours) <= median(plain) / 2
    assert late(ours) <= late(plain) / 2


def times(notebook, place):
    """Milliseconds from key to paint, each from rest, so that no picture can be of an earlier key."""
    root = notebook.page.locator(place)
    root.scroll_into_view_if_needed()
    handle = root.locator(".noUi-handle").first
    root.evaluate(WATCH)
    taken, before = [], None
    for press in range(PRESSES):
        notebook.page.evaluate("painted.length = keys.length = 0")
        handle.press("ArrowRight" if press % 16 < 8 else "ArrowLeft")
        notebook.page.wait_for_function("painted.length")
        notebook.rest()
        pressed, painted = notebook.page.evaluate("[keys, painted]")
        assert len(pressed) == 1
        assert painted[0]["picture"] != before
        before = painted[-1]["picture"]
        taken.append(painted[0]["at"] - pressed[0])
    return taken


def late(taken):
    """The 95th percentile."""
    return quantiles(taken, n=20, method="inclusive")[-1]


def test_a_burst_of_a_hundred_keys_leaves_no_backlog(notebook):
    panel = notebook.panels[0]
    panel.reset()
    panel.root.evaluate(WATCH)
    power = panel.sliders[0]
    power.handle.focus()
    for key in 30 * ["ArrowRight"] + 60 * ["ArrowLeft"] + 10 * ["ArrowRight"]:
        notebook.page.keyboard.press(key)
    notebook.rest()
    keys, painted, words = notebook.page.evaluate("[keys, painted, words]")
    said = words[-1] - keys[-1]
    # The last picture is the crisp one, of the same state, drawn once the slider has come to rest.
    last = painted[-2]["at"] - keys[-1]
    print(
        f"\n100 keys in {keys[-1] - keys[0]:.0f} ms, {len(painted)} pictures painted; after the last "
        f"key: picture {last:.0f} ms, words {said:.0f} ms, crisp {painted[-1]['at'] - keys[-1]:.0f} ms"
    )
    assert len(keys) == 100
    assert power.value == 220 + (30 - 60 + 10) * 5 == 120
    assert panel.sentence.startswith("At 120 W ")
    assert "Watts saved at the crank, at the same speed: rises from 0.00" in panel.alt
    assert painted[-1]["width"] == 2 * painted[-2]["width"]
    assert max(said, last) < 500


def test_no_frame_without_picture_while_a_slider_is_dragged(notebook):
    """Counted on what the browser shows: a frame is blank where the picture has no ink."""
    page, panel = notebook.page, notebook.panels[0]
    page.set_viewport_size(TALL)  # room for picture and slider
    panel.root.scroll_into_view_if_needed()
    panel.reset()
    handle = panel.sliders[0].handle
    box = panel.root.locator("img.dragwork-picture").bounding_box()
    area = [box["x"], box["y"], box["x"] + box["width"], box["y"] + box["height"]]
    frames = []
    screen = page.context.new_cdp_session(page)

    def keep(frame):
        frames.append(frame["data"])
        screen.send("Page.screencastFrameAck", {"sessionId": frame["sessionId"]})

    screen.on("Page.screencastFrame", keep)
    at = handle.bounding_box()
    x, y = at["x"] + at["width"] / 2, at["y"] + at["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    screen.send("Page.startScreencast", {"format": "jpeg", "quality": 80})
    for move in range(150):
        page.mouse.move(x - 75 + abs(75 - move) * 2, y)
        page.evaluate("() => new Promise(requestAnimationFrame)")
    page.mouse.up()
    notebook.rest()
    screen.send("Page.stopScreencast")
    shown = [Image.open(BytesIO(b64decode(frame))) for frame in frames]
    assert {frame.size for frame in shown} == {(TALL["width"], TALL["height"])}
    assert 0 < area[1] and area[3] < TALL["height"], "the whole picture is in sight"
    pictures = [frame.convert("L").crop(area) for frame in shown]
    ink = [float(np.mean(np.asarray(picture) < 128)) for picture in pictures]
    blank = sum(share < max(ink) / 2 for share in ink)
    seen = len({picture.tobytes() for picture in pictures})
    print(
        f"\nwhile dragged: {len(frames)} frames, {seen} different, {blank} without picture; "
        f"ink {min(ink):.2%} to {max(ink):.2%}"
    )
    assert seen > 10, "the picture moved"
    assert max(ink) > 0.005, "there is a picture"
    assert blank == 0


# When the picture changes: wait until it is decoded, then for the frame that shows it to have
# begun and the next to begin. The same hook for both ways.
WATCH = """root => {
    window.keys = [];
    window.painted = [];
    window.words = [];
    const image = () => root.querySelector("img.dragwork-picture, .jp-RenderedImage img");
    const bytes = async node => {
        const data = new Uint8Array(await (await fetch(node.src)).arrayBuffer());
        const digest = await crypto.subtle.digest("SHA-256", data);
        return [...new Uint8Array(digest)].join(" ");
    };
    const frame = () => new Promise(requestAnimationFrame);
    let address = image().src;
    root.addEventListener("keydown", () => keys.push(performance.now()), true);
    new MutationObserver(async () => {
        const node = image();
        if (!node || node.src === address) return;
        address = node.src;
        const picture = bytes(node);
        try {
            await node.decode();
        } catch {
            return; // a newer picture took its place
        }
        await frame();
        await frame();
        const at = performance.now();
        painted.push({ at, width: node.naturalWidth, picture: await picture });
    }).observe(root, { subtree: true, childList: true, attributeFilter: ["src"] });
    const sentence = root.querySelector(".dragwork-sentence");
    const listen = () => words.push(performance.now());
    if (sentence) new MutationObserver(listen).observe(sentence, { subtree: true, childList: true });
}"""

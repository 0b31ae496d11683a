"""The workbook for a phone: its frames are the library's pictures, its sentences the library's."""

import json
import os
import random
import re
from base64 import b64decode
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import nbformat
import pytest
from PIL import Image
from test_handout import Reader

from dragwork.setup.working_copy import shipped
from dragwork.teaching import panels
from dragwork.teaching.frames import Frames
from dragwork.teaching.panels.knobs import CATALOGUE
from dragwork.teaching.pocket_book import panels_shown, pocket_book
from dragwork.teaching.profile import PLACE
from dragwork.units import celsius, kmh

ROOT = Path(__file__).parents[2]
LESSONS = [path for path in sorted((ROOT / "workbook").glob("*.ipynb")) if '"image/png"' in path.read_text("utf-8")]
QUICK = "01_"
PANEL = re.compile(
    r'<div class="frames".*?<img src="data:image/png;base64,(.*?)" alt=.*?</figure>(.*?)<noscript>(.*?)</noscript>\s*'
    r'<script type="application/json">(.*?)</script>', re.DOTALL,
)  # fmt: skip
PALETTE = 32 * 3


def picture(png):
    return Image.open(BytesIO(png))


def stored(html):
    """What a book stores of each panel: its first picture, its noscript part, its data."""
    for still, _, without_script, data in PANEL.findall(html):
        yield b64decode(still), without_script, json.loads(data)


def shown(still, png):
    """A frame over the picture that stays, as colours."""
    return Image.alpha_composite(picture(still).convert("RGBA"), picture(b64decode(png)).convert("RGBA")).convert("RGB")


def drawn(panel, values, still):
    """The library's picture for these values, come to from the reference case, in the colours of a stored one."""
    panel.reset()
    if values != panel.reference:
        panel.set(**values)
    colours = Image.new("P", (1, 1))
    colours.putpalette(picture(still).getpalette()[:PALETTE])
    return picture(panel.picture.png()).quantize(palette=colours, dither=Image.Dither.NONE).convert("RGB")


@pytest.mark.parametrize("path", [
    pytest.param(path, id=path.stem, marks=() if path.name.startswith(QUICK) else pytest.mark.tour) for path in LESSONS
])  # fmt: skip
def test_a_chapter_shows_what_the_library_draws_and_says(path):
    html = pocket_book([path])
    Reader(html)
    assert len(html.encode()) < 3e6
    found = list(panels_shown(path).values())
    kept = list(stored(html))
    assert len(kept) == len(found)
    assert found or path.stem == "12_my_report"  # its pictures are those of a page, which do not move
    random.seed(path.stem)
    for panel, (still, without_script, data) in zip(found, kept):
        panel.reveal()
        assert len(picture(still).getpalette()) <= PALETTE + 3
        ten = {*random.sample(sorted(data["frames"]), 10), next(iter(data["frames"]))}
        for state, (png, sentence, alt) in data["frames"].items():
            at = [words[int(place)][0] for words, place in zip(data["knobs"], state.split(","))]
            values = {name: knob.read(words) for (name, knob), words in zip(panel.knobs.items(), at)}
            assert sentence == panel.says(**values)
            assert alt.startswith(panel.picture.title)
            if state in ten:
                assert shown(still, png).tobytes() == drawn(panel, values, still).tobytes(), f"{panel.picture.title}: {at}"
                assert alt == panel.alt
        ends = sum(knob.reference not in (knob.low,) for knob in panel.knobs.values())
        ends += sum(knob.reference not in (knob.high,) for knob in panel.knobs.values())
        assert without_script.count("<img ") == without_script.count("<figcaption>") == ends


@pytest.mark.tour
def test_the_whole_book_fits_a_phone():
    assert len(pocket_book([ROOT / name for name in shipped(ROOT)]).encode()) < 25e6


def test_a_chapter_starts_closed_where_its_lesson_does(first_chapter):
    html = first_chapter.read_text(encoding="utf-8")
    pages = nbformat.read(ROOT / "workbook" / "00_start_here.ipynb", 4)
    closed = sum("dragwork_open" in output.metadata for cell in pages.cells for output in cell.get("outputs", []))
    assert html.count('<details class="secret">') == closed > 0
    assert "<details open" not in html and html.count("<details>") > 0
    assert "at the end of the chapter" not in html
    page = Reader(html)
    assert not page.all("link", "iframe", "object", "form")
    assert all(a["src"].startswith("data:image/png;base64,") for a in page.all("img"))
    assert "url(" not in page.style and "fetch" not in html


# -- positions and states --------------------------------------------------------------------------


def test_the_values_that_a_lesson_asks_for_are_among_the_positions():
    panel = panels.venue_air()
    asked = {"altitude": 510}, {"temperature": celsius(31)}
    frames = Frames(panel, asked)
    for name, knob in panel.knobs.items():
        values = frames.positions[name]
        assert list(values) == sorted(set(values)) and len(values) <= 21
        assert {knob.into_si(knob.low), knob.into_si(knob.high), knob.into_si(knob.reference)} <= set(values)
    assert 510 in frames.positions["altitude"] and celsius(31) in frames.positions["temperature"]
    away = [sum(a != b for a, b in zip(state, frames.reference)) for state in frames.states]
    assert max(away) == 1 and away.count(0) == 1 and away.count(1) == sum(map(len, frames.positions.values())) - 3


def test_two_knobs_that_a_lesson_moves_together_make_a_grid_of_at_most_nine_by_nine():
    frames = Frames(panels.watts_curve(), [{"ground_speed": kmh(40), "wind_speed": 3}])
    sizes = {name: len(values) for name, values in frames.positions.items()}
    assert sizes == {"drag_area": 21, "ground_speed": 9, "wind_speed": 9}
    assert len(frames.states) == 9 * 9 + 20
    assert frames.values(next(s for s in frames.states if frames.values(s)["wind_speed"] == 3
                              and frames.values(s)["ground_speed"] == kmh(40)))["drag_area"] == 0.32  # fmt: skip


def test_a_knob_of_few_steps_keeps_them_all():
    panel = panels.watts_curve()
    knob = replace(CATALOGUE["ground_speed"], low=34, high=38, step=1)
    panel.knobs["ground_speed"] = knob
    assert Frames(panel).positions["ground_speed"] == tuple(kmh([34, 35, 36, 37, 38]))


# -- what it reads and refuses ---------------------------------------------------------------------


def test_no_learner_s_file_is_read_or_made(monkeypatch, tmp_path):
    monkeypatch.setenv(PLACE, str(tmp_path / "learner.json"))
    panels_shown(ROOT / "workbook" / "00_start_here.ipynb")
    assert os.environ[PLACE] == str(tmp_path / "learner.json")
    assert list(tmp_path.iterdir()) == []


def test_a_notebook_whose_picture_says_something_else_is_to_be_stored_again(tmp_path):
    text = (ROOT / "workbook" / "00_start_here.ipynb").read_text("utf-8")
    old = tmp_path / "00_start_here.ipynb"
    old.write_text(text.replace('"said": "At 36.0 km/h', '"said": "At 37.0 km/h'), "utf-8")
    with pytest.raises(ValueError, match="00_start_here.ipynb: a picture no longer says .* Store the notebook again"):
        pocket_book([old])

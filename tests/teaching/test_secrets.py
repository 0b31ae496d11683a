"""What a panel answers, it keeps to itself until the learner has guessed."""

import json
import re
from pathlib import Path

import pytest

PAGES = sorted((Path(__file__).parents[2] / "workbook").glob("*.ipynb"))
GUESSED = re.compile(r"\bguess\((\w+),|panel=(\w+)\)")


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_every_panel_under_a_guess_is_stored_closed_and_its_words_are_folded(page):
    cells = [c for c in json.loads(page.read_text("utf-8"))["cells"] if c["cell_type"] == "code"]
    sources = ["".join(cell["source"]) for cell in cells]
    guessed = {name for source in sources for pair in GUESSED.findall(source) for name in pair} - {"", "None"}
    shown = {source.split("\n")[-1]: cell["outputs"] for source, cell in zip(sources, cells)}
    assert guessed <= set(shown)
    for name in guessed:
        picture, words = shown[name]
        assert "".join(picture["data"]["text/plain"]).startswith("Guess first."), name
        assert picture["metadata"]["dragwork_open"]["png"] != picture["data"]["image/png"]
        assert "".join(words["data"]["text/markdown"]).startswith("<details><summary>What the picture shows")


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_a_guess_or_a_choice_is_asked_before_its_panel_is_shown(page):
    sources = ["".join(c["source"]) for c in json.loads(page.read_text("utf-8"))["cells"] if c["cell_type"] == "code"]
    last = {source.split("\n")[-1]: place for place, source in enumerate(sources)}
    for place, source in enumerate(sources):
        for name in {n for pair in GUESSED.findall(source) for n in pair} - {"", "None"}:
            assert place < last[name]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_no_other_output_waits_for_a_guess(page):
    """What a page says of a picture further down is asked of the panel by `says`, not read off a closed one."""
    for cell in json.loads(page.read_text("utf-8"))["cells"]:
        for output in cell.get("outputs", ()):
            if "dragwork_open" not in output.get("metadata", {}):
                assert "Guess first." not in json.dumps(output, ensure_ascii=False)

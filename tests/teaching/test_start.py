"""Notebook 00: the map agrees with the notebooks, the routes with the map, each word stands once."""

import re
from pathlib import Path

import nbformat
import pytest

WORKBOOK = Path(__file__).parents[2] / "workbook"


def prose(path):
    cells = nbformat.read(path, as_version=4).cells
    return "\n\n".join(cell.source for cell in cells if cell.cell_type == "markdown")


START = prose(WORKBOOK / "00_start_here.ipynb")
ROWS = re.findall(
    r"^\| \[(\d\d) (.+?)\]\((\S+)\.ipynb\) \|.*\| (\d+) \| (\d+) \|$", START, re.MULTILINE
)
MINUTES = {number: tuple(map(int, times)) for number, _, _, *times in ROWS}


def test_the_map_has_the_twelve_in_their_order():
    assert [number for number, *_ in ROWS] == [f"{n:02d}" for n in range(1, 13)]


@pytest.mark.parametrize("row", ROWS, ids=[row[0] for row in ROWS])
def test_a_row_agrees_with_its_notebook(row):
    number, title, stem, *times = row
    page = prose(WORKBOOK / f"{stem}.ipynb")
    assert stem.startswith(f"{number}_")
    assert re.search(r"^# (.+)$", page, re.MULTILINE)[1] == title
    head = re.search(r"\*Time\* (\d+) minutes; (\d+) with everything unfolded", page)
    assert list(head.groups()) == times


def in_hours(numbers):
    """The main lines of some lessons, and everything in them, as the page says it."""
    return [f"{m // 60} h {m % 60} min" for m in map(sum, zip(*(MINUTES[n] for n in numbers)))]


def test_the_ways_add_up():
    full = re.search(r"\*\*The full way:\*\* .*?$", START, re.MULTILINE)[0]
    assert re.findall(r"\d+ h \d+ min", full) == in_hours(MINUTES)
    short = re.search(r"\*\*The claim-checker's way\*\*.*?: ([\d, ]+), .*$", START, re.MULTILINE)
    assert re.findall(r"\d+ h \d+ min", short[0]) == in_hours(short[1].split(", "))


def test_each_word_is_explained_once():
    words = START.split("## Words")[1].split("\n## ")[0]
    terms = re.findall(r"\*\*(.+?)\*\*", words)
    assert len(terms) > 30 and len({term.lower() for term in terms}) == len(terms)
    for line in re.findall(r"^- .+$", words, re.MULTILINE):
        assert re.match(r"- \*\*.+?:", line), line

"""A number that the pages show twice is the same number: in a sentence, a table or a text.

Near misses are looked for: the same word before it, the same unit, speed, wind, yaw and set-up, and a
value that is off by one in its last digit, which is how a number rounded before it was used looks.
"""

import re
from itertools import combinations, groupby
from pathlib import Path
from typing import NamedTuple

import nbformat
import pytest

from dragwork.scenario.barrow_lane import bl7
from dragwork.scenario.riders import TOBIN
from dragwork.scenario.roads import THREE_KILNS
from dragwork.teaching.report import build_report
from dragwork.teaching.sheet_pictures import dots_by_yaw

PAGES = sorted((Path(__file__).parents[2] / "workbook").glob("[01][0-9]_*.ipynb"))
NUMBER = re.compile(r"(?<![\w.:/])([−-]?\d[\d,]*(?:\.\d+)?) ?(km/h|m/s|W|s|N|m²|kg/m³|%|°|min|kg|kJ|kWh)(?![\w/²³])")
RIDERS = re.compile(r"\b(Tobin|Imke|Rosalind|Farouk)\b")
SET_UPS = re.compile(r"\b(hoods|clip-ons|time-trial|helmet \w|shallow|deep|line \d+|leg \d+|\d+ % (?:up|down))\b")
SMALL = set("a about alone and are as at by for from gives has have he her his in into is it of on only or saves she take takes "
            "than that the they to was with".split())  # fmt: skip


class Fact(NamedTuple):
    """A number on a page: what it is, for which case, how it is written, where."""

    what: tuple
    value: str
    riders: frozenset
    masses: frozenset
    where: str


def statements(cell):
    """Lines of prose, and rows of tables with their headings, of what a reader sees of a cell."""
    texts = [cell.source] if cell.cell_type == "markdown" else []
    for output in cell.get("outputs", []):
        data = output.get("data", {})
        texts.append(data.get("text/markdown", data.get("text/plain", "")))
    for text in texts:
        head = None
        for line in re.sub(r"\*\*|<[^>]+>", "", text).splitlines():
            if not line.startswith("|"):
                head = None
                yield line
            elif head is None:
                head = line.strip("| ").split(" | ")
            elif not line.startswith("| -"):
                yield " ".join(f"{name} {entry}" for name, entry in zip(head, line.strip("| ").split(" | ")))


def facts(line, where):
    """The numbers of a statement that says at which speed they hold."""
    found = [(m.start(), m[1].replace("−", "-").replace(",", ""), m[2]) for m in NUMBER.finditer(line)]
    case = tuple(frozenset(v for _, v, unit in found if unit == of) for of in ("km/h", "m/s", "°"))
    case = (*case, frozenset(SET_UPS.findall(line)))
    riders, masses = frozenset(RIDERS.findall(line)), frozenset(v for _, v, unit in found if unit == "kg")
    for at, value, unit in found:
        words = [w for w in re.findall("[A-Za-z]+", line[:at].lower()) if w not in SMALL]
        if words and case[0] and unit not in ("km/h", "m/s", "°", "kg"):
            yield Fact((words[-1], unit, *case), value, riders, masses, f"{where}: {line.strip()[:140]}")


def near_misses(found):
    """Pairs of facts about the same thing that differ by one in the last digit of the coarser."""
    for _, same in groupby(sorted(found, key=lambda f: repr(_sortable(f.what))), key=lambda f: _sortable(f.what)):
        for a, b in combinations({fact.value: fact for fact in same}.values(), 2):
            contradict = any(x and y and x != y for x, y in ((a.riders, b.riders), (a.masses, b.masses)))
            if not contradict and _off_by_one(a.value, b.value):
                yield a.what[:2], a.where, b.where


def _sortable(what):
    return tuple(tuple(sorted(part)) if isinstance(part, frozenset) else part for part in what)


def _off_by_one(a, b):
    digits = min(len(x.partition(".")[2]) for x in (a, b))
    apart = abs(float(a) - float(b)) * 10**digits
    return 0.501 < apart < 1.5 and abs(float(a) - float(b)) < 0.1 * abs(float(a))


def test_no_number_is_off_by_one_from_itself():
    found = [
        fact
        for path in PAGES
        for cell in nbformat.read(path, as_version=4).cells
        for line in statements(cell)
        for fact in facts(line, path.stem[:2])
    ]
    assert len(found) > 500
    assert list(near_misses(found)) == []


@pytest.mark.parametrize(
    ("one", "other", "agree"),
    [
        ("At 35.4 km/h, 84 kg all up, air takes 183 W.", "At 220 W Tobin rides 35.4 km/h. Air takes 182 W of it.", False),
        ("At 35.4 km/h air takes 182.4 W.", "| speed | air |\n| --- | --- |\n| 35.4 km/h | 182 W |", True),
        ("At 36.0 km/h tyres take 33 W.", "At 35.4 km/h tyres take 32 W.", True),  # not the same speed
        ("Imke at 40 km/h: air takes 183 W.", "Tobin at 40 km/h: air takes 182 W.", True),  # nor the same rider
    ],
)
def test_a_near_miss_is_found_and_a_different_case_is_not(one, other, agree):
    """The first is a fault of the first edition: a speed was rounded before the watts were worked out."""
    cells = [nbformat.v4.new_markdown_cell(text) for text in (one, other)]
    found = [fact for cell in cells for line in statements(cell) for fact in facts(line, "here")]
    assert (list(near_misses(found)) == []) == agree


def test_a_range_of_a_drag_area_is_the_same_on_every_page():
    """Lessons 04 and 12, for the hoods of sheet BL-7: one interval, not one and its draws."""
    sheet = bl7()
    (wanted,) = re.findall(r"hoods (0\.\d+ m² \(0\.\d+ to 0\.\d+\))", dots_by_yaw(sheet).sentence)
    report = build_report(sheet, "hoods", "clip-ons", TOBIN, THREE_KILNS, draws=300, seed=5)
    assert f"set-up hoods has {wanted}" in report.html()

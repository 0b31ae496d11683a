"""Warm-ups ask what the learner's way has practised, and not the same again and again.

The ways are those that notebook 00 names: all in order, and the claim-checker's, with 05 anywhere.
"""

import ast
import re
from collections import Counter
from itertools import pairwise
from pathlib import Path

import nbformat
import pytest

WORKBOOK = Path(__file__).parents[2] / "workbook"
PAGES = {path.stem[:2]: path for path in sorted(WORKBOOK.glob("[01][0-9]_*.ipynb"))}


def asked(number, *forms):
    """Ids of the questions that a lesson asks by these forms, in order."""
    cells = nbformat.read(PAGES[number], as_version=4).cells
    calls = [call for cell in cells if cell.cell_type == "code" for call in ast.walk(ast.parse(cell.source))
             if isinstance(call, ast.Call) and getattr(call.func, "id", "") in forms]  # fmt: skip
    return tuple(arg.value for call in calls for arg in call.args)


WARM_UPS = {number: ids for number in PAGES if (ids := asked(number, "warm_up"))}
PRACTISED = {number: {*asked(number, "practice", "faded", "box")} for number in PAGES}
_SHORT = re.search(r"claim-checker's way\*\*[^:]*: ([\d, ]+), ",
                   "\n".join(c.source for c in nbformat.read(PAGES["00"], as_version=4).cells))[1].split(", ")  # fmt: skip
WAYS = {
    "the full way": list(PAGES),
    "the claim-checker's way": ["00", *_SHORT],
    "the claim-checker's way, 05 after 03": ["00", *_SHORT[:2], "05", *_SHORT[2:]],
}


def test_the_ways_are_read_from_notebook_00():
    assert _SHORT == ["02", "03", "08", "09", "10"]
    assert list(WARM_UPS) == [f"{number:02d}" for number in range(1, 12)]


@pytest.mark.parametrize("way", WAYS)
def test_a_warm_up_asks_what_was_practised_on_the_way(way):
    practised, untaught = set(), {}
    for number in WAYS[way]:
        untaught |= {number: new} if (new := set(WARM_UPS.get(number, ())) - practised) else {}
        practised |= PRACTISED[number]
    assert untaught == {}


@pytest.mark.parametrize("way", WAYS)
def test_no_two_warm_ups_running_share_more_than_one_question_but_at_the_start(way):
    """The first lessons have four questions to choose from, so that two are shared there."""
    for before, after in pairwise([number for number in WAYS[way] if number in WARM_UPS]):
        shared = set(WARM_UPS[before]) & set(WARM_UPS[after])
        assert len(shared) <= (2 if after == "02" else 1), (before, after, shared)


def test_no_question_warms_up_more_than_three_lessons():
    counts = Counter(id for ids in WARM_UPS.values() for id in ids)
    assert [id for id, times in counts.items() if times > 3] == []

"""Every plain outside value: one call, one comparison. The others have a test of their own."""

from collections import Counter
from pathlib import Path

import numpy as np
import pytest

import published
from dragwork.sources import SOURCES

RECORDS = published.load()
PLAIN = [r for r in RECORDS if not r.test]


@pytest.mark.parametrize("record", PLAIN, ids=lambda r: r.id)
def test_library_agrees_with_the_source(record):
    record.assert_close(record.result())


RECALLED = [r for r in RECORDS if r.mark == "recomputed"]


def test_what_was_recalled_comes_out_again_apart_from_the_library():
    from published import again  # slow to load

    assert RECALLED and [r.id for r in RECORDS if bool(r.again) != (r in RECALLED)] == []
    for record in RECALLED:
        expected = np.asarray(record.expected, dtype=float)
        slack = record.tolerance * (abs(expected) if record.relative else 1)
        found = again.value(record)
        assert np.all(abs(found - expected) <= slack * (1 + 1e-9) + 1e-12), (record.id, found, expected)


README = Path(__file__).parents[2] / "README.md"
IN_WORDS = {  # how the README says where values come from
    "seen": "were read in the source or a public copy of it",
    "exact": "are algebra",
    "reference library": "are computed by a reference library as the tests run",
    "recomputed": "were recalled and are worked out again then, apart from the library",
    "memory": "are from memory alone",
}


def test_the_readme_says_how_many_values_are_what():
    counts = Counter(r.mark for r in RECORDS if r.source != "COMMON_PRACTICE")
    said = " ".join(README.read_text(encoding="utf-8").split())
    assert f"{counts.total()} values from outside" in said
    for mark, words in IN_WORDS.items():
        assert f"{counts[mark]} {words}" in said, f"{counts[mark]} {words}"
    assert set(counts) == set(IN_WORDS)


def test_records_are_well_formed():
    doubled = [id for id, count in Counter(r.id for r in RECORDS).items() if count > 1]
    assert not doubled
    for record in RECORDS:
        assert record.mark in published.MARKS, record.id
        assert record.source in SOURCES, record.id
        assert record.place and record.unit and record.tolerance >= 0, record.id


def test_records_with_their_own_test_have_one():
    tests = "\n".join(p.read_text(encoding="utf-8") for p in Path(__file__).parents[1].rglob("test_*.py"))
    for record in RECORDS:
        assert not record.test or f"def {record.test}(" in tests, record.id


def test_there_are_enough_values_from_enough_sources():
    """40 outside values over 12 sources, algebra and our own trade left out."""
    outside = [r for r in RECORDS if r.source not in ("ALGEBRA", "COMMON_PRACTICE")]
    assert len(outside) >= 40
    assert len({r.source for r in outside}) >= 12
    assert len({r.source for r in outside if r.mark == "reference library"}) >= 4

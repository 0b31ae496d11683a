"""Every plain outside value: one call, one comparison. The others have a test of their own."""

from collections import Counter
from pathlib import Path

import pytest

import published
from dragwork.sources import SOURCES

RECORDS = published.load()
PLAIN = [r for r in RECORDS if not r.test]


@pytest.mark.parametrize("record", PLAIN, ids=lambda r: r.id)
def test_library_agrees_with_the_source(record):
    record.assert_close(record.result())


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

"""What is said of sheets, rides and roads is in one table: none is missing, and none is left over."""

import ast
from pathlib import Path

import pytest

from dragwork import measurement
from dragwork.measurement.sentences import say
from dragwork.wording import words_in

FILES = sorted(Path(measurement.__file__).parent.glob("*.py"))
TABLE = words_in("dragwork.measurement", "sentences.json")


def literals():
    """All texts in the code, and those that calls of `say` and `Fault.of` name in full."""
    texts, named = set(), set()
    for node in (node for path in FILES for node in ast.walk(ast.parse(path.read_text("utf-8")))):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            texts.add(node.value)
        if isinstance(node, ast.Call):
            told = tuple(arg.value for arg in node.args if isinstance(arg, ast.Constant))
            called = ast.unparse(node.func)
            if called == "say" and len(told) == 2:
                named.add(told)
            if called == "Fault.of" and told:
                named.add(("fault", *told))
    return texts, named


def test_every_sentence_is_said_somewhere_and_every_name_has_its_sentence():
    texts, named = literals()
    there = {(subject, name) for subject, sentences in TABLE.items() for name in sentences}
    assert len(named) > 100, "the search finds what is said"
    assert named <= there
    assert {name for _, name in there} <= texts


def test_a_gap_with_a_unit_takes_si_and_a_fault_has_what_mends_it():
    assert say("laps", "wind along", wind=3.04, price=0.0251).startswith("The legs show a wind of 3.0 m/s")
    assert "at 15 °C" in say("laps", "no humidity", usual=0.5, change=0.01, temperature=288.15)
    assert say("fault", "direction", cell="up") == ["'up' is not known here.", "Write out or back or loop."]
    with pytest.raises(KeyError):
        say("laps", "wind along", wind=3.0)

"""What is said of sheets, rides, roads and claims is in tables: no sentence is missing, and none is left over."""

import ast
from pathlib import Path

import pytest

import dragwork
from dragwork.measurement.sentences import say
from dragwork.wording import words_in


def literals(package):
    """All texts in the code of a package, and those that calls of `say` and `Fault.of` name in full."""
    texts, named = set(), set()
    files = sorted((Path(dragwork.__file__).parent / package).glob("*.py"))
    for node in (node for path in files for node in ast.walk(ast.parse(path.read_text("utf-8")))):
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


@pytest.mark.parametrize(("package", "least"), [("measurement", 100), ("decisions", 15)])
def test_every_sentence_is_said_somewhere_and_every_name_has_its_sentence(package, least):
    texts, named = literals(package)
    table = words_in(f"dragwork.{package}", "sentences.json")
    there = {(subject, name) for subject, sentences in table.items() for name in sentences}
    assert len(named) >= least, "the search finds what is said"
    assert named <= there
    assert {name for _, name in there} <= texts


def test_a_gap_with_a_unit_takes_si_and_a_fault_has_what_mends_it():
    assert say("laps", "wind along", wind=3.04, price=0.0251).startswith("The legs show a wind of 3.0 m/s")
    assert "at 15 °C" in say("laps", "no humidity", usual=0.5, change=0.01, temperature=288.15)
    said = say("fault", "unknown word", cell="up", choices="out or back or loop")
    assert said == ["'up' is not known here.", "Write out or back or loop."]
    with pytest.raises(KeyError):
        say("laps", "wind along", wind=3.0)

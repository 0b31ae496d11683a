"""Every notebook that is shipped keeps the rules of the book."""

from pathlib import Path
from statistics import median

import nbformat
from loops import over
from notebook_rules import rules

from dragwork.setup.working_copy import shipped

ROOT = Path(__file__).parents[1]
NOTEBOOKS = shipped(ROOT)


def test_there_are_notebooks():
    assert "workbook/00_start_here.ipynb" in NOTEBOOKS


@over(NOTEBOOKS)
def test_a_notebook_breaks_no_rule(name):
    assert rules(ROOT / name) == []


def test_half_of_all_code_cells_have_four_lines_or_fewer():
    """The title in a comment and blank lines do not count."""
    lengths = []
    for name in NOTEBOOKS:
        for cell in nbformat.read(ROOT / name, as_version=4).cells:
            if cell.cell_type == "code":
                lines = [line for line in cell.source.splitlines() if line.strip()]
                lengths.append(len(lines) - lines[0].startswith("#"))
    assert median(lengths) <= 4

"""What stored notebooks say, read as text: nothing is run."""

import ast
from pathlib import Path

import nbformat


def cells_of(number, lessons):
    """The cells of a lesson, by its number.

    Parameters
    ----------
    number : str
        '08'.
    lessons : iterable of Path or str
        Notebooks, exercises among them.

    Returns
    -------
    list of cells

    Raises
    ------
    ValueError
        Where the lesson is missing, in words.
    """
    for path in map(Path, lessons):
        if path.stem.startswith(f"{number}_") and path.resolve().parent.name != "exercises":
            return nbformat.read(path, 4).cells
    raise ValueError(f"lesson {number} is missing, and it is needed: start it where all lessons are.")


def title_of(cells):
    """The title of a notebook, from its cells."""
    return cells[0].source.splitlines()[0].lstrip("# ")


def calls_in(cell, *names):
    """The calls of functions of these names in a cell of code: (name, nodes of its arguments)."""
    for node in ast.walk(ast.parse(cell.source if cell.cell_type == "code" else "")):
        if isinstance(node, ast.Call) and getattr(node.func, "id", None) in names:
            yield node.func.id, node.args

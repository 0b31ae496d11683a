"""What a notebook asks: its forms, found in the code of its cells and made again without a kernel."""

import ast
import inspect
from functools import cache
from pathlib import Path

import nbformat

from dragwork.teaching import forms

ROOT = Path(__file__).parents[3]
PAGES = [
    path
    for folder in ("workbook", "exercises")
    for path in sorted((ROOT / folder).glob("*.ipynb"))
    if not path.name.startswith(".")
]


def _first(name):
    """The name of what a form must be given first; none for a class, or where nothing must be given."""
    make = getattr(forms, name)
    given = list(inspect.signature(make).parameters.values()) if inspect.isfunction(make) else []
    return given[0].name if given and given[0].default is inspect.Parameter.empty else None


FORMS = {name for name in forms.__all__ if _first(name) or inspect.isclass(getattr(forms, name))}
MAKERS = {name for name in forms.__all__ if _first(name) not in (None, "panel")}  # of words and numbers alone


@cache
def read(path):
    return nbformat.read(path, as_version=4)


@cache
def calls(path):
    """(name, arguments) of each form in a notebook that can be made from what stands there."""
    found = []
    for cell in read(path).cells:
        if cell.cell_type == "code":
            for node in ast.walk(ast.parse(cell.source)):
                if isinstance(node, ast.Call) and getattr(node.func, "id", None) in MAKERS:
                    if node.func.id == "choose":
                        found.append(_choice(*node.args))
                    else:
                        found.append((node.func.id, tuple(map(ast.literal_eval, node.args))))
    return tuple(found)


def _choice(key, prompt, options):
    """A choice; its prompt and options may be computed, which does not matter here."""
    try:
        options = ast.literal_eval(options)
    except ValueError:
        options = {"one": "Yes.", "another": "No."}
    return "choose", (ast.literal_eval(key), "a prompt", options)


def code(path):
    """All that a notebook's code cells store, sources and outputs, as one text."""
    cells = [cell for cell in read(path).cells if cell.cell_type == "code"]
    return nbformat.writes(nbformat.v4.new_notebook(cells=cells))


def make(name, arguments):
    """The form, with the learner's file as it is."""
    return getattr(forms, name)(*arguments)


def boxes(path):
    """The boxes of a notebook."""
    for name, arguments in calls(path):
        if name == "box":
            yield make(name, arguments)
        elif name in ("faded", "practice", "warm_up"):
            yield from make(name, arguments)

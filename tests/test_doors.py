"""Every public name has a door: a notebook, a command or another module uses it."""

import ast
import json
import re
from pathlib import Path

import dragwork

PACKAGE = Path(dragwork.__file__).parent
ROOT = PACKAGE.parents[1]
ROOMS = ("physics", "measurement", "decisions", "scenario")

# Formulas of physics with a twin and an outside check, kept for those who reckon by hand: the inverse
# of one that is used, or what a tunnel's report may ask for.
KEPT = {
    "physics.drag.wind_from_body_axes", "physics.drag.reynolds_number", "physics.drag.blockage_factor",
    "physics.resistance.bearing_resistance", "physics.wind.rayleigh_exceedance",
}  # fmt: skip


def words(text):
    return set(re.findall(r"\w+", text))


def told_outside():
    """All words of the code cells of notebooks and exercises."""
    cells = [
        "".join(cell["source"])
        for folder in ("workbook", "exercises")
        for path in sorted((ROOT / folder).glob("*.ipynb"))
        for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]
        if cell["cell_type"] == "code"
    ]
    return words("\n".join(cells))


def public_names(tree):
    """Functions, classes and constants of a module, and the methods of its classes."""
    for node in tree.body:
        targets = node.targets if isinstance(node, ast.Assign) else [node]
        names = [getattr(target, "name", getattr(target, "id", "_")) for target in targets]
        yield from (name for name in names if not name.startswith("_"))
        if isinstance(node, ast.ClassDef):
            methods = [each.name for each in node.body if isinstance(each, ast.FunctionDef)]
            yield from (f"{node.name}.{name}" for name in methods if not name.startswith("_"))


def without_doors():
    """Public names that nothing uses: neither another module, nor a notebook, nor their own module."""
    texts = {path: path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py")}
    trees = {path: ast.parse(text) for path, text in texts.items()}
    used_in = {path: set() for path in trees}
    for path, tree in trees.items():
        for node in ast.walk(tree):
            if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
                used_in[path].add(node.id)
            elif isinstance(node, ast.Attribute):
                used_in[path].add(node.attr)
            elif isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value.isidentifier():
                used_in[path].add(node.value)  # a column, a field, a name in `__all__`
    outside = told_outside()
    for room in ROOMS:
        for path in sorted((PACKAGE / room).glob("*.py")):
            for name in public_names(trees[path]):
                last = name.split(".")[-1]
                if last not in outside and not any(last in used for used in used_in.values()):
                    yield f"{room}.{path.stem}.{name}"


def test_every_public_name_has_a_door():
    assert set(without_doors()) == KEPT

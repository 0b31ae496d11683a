"""The rules that a stored notebook keeps: what may stand in it, in its code and in what it shows."""

import ast
import re
from pathlib import Path

import nbformat

from dragwork.teaching.book import KERNEL, WIDGET

LARGEST = 1_000_000  # bytes: an editor and a viewer still open it quickly
MOST_LINES = 15  # of code in a cell: more is not read as a sentence


def rules(path):
    """The rules that a stored notebook breaks.

    Parameters
    ----------
    path : Path or str

    Returns
    -------
    list of str
        A sentence for each; empty if all is well.
    """
    size = Path(path).stat().st_size
    notebook = nbformat.read(path, as_version=4)
    broken = [*_whole(notebook, size), *_headings(notebook)]
    for number, cell in enumerate(notebook.cells, 1):
        if cell.cell_type == "code":
            said = [*_source(cell), *(s for output in cell.outputs for s in _output(output))]
            broken += [f"Cell {number} {sentence}" for sentence in dict.fromkeys(said)]
    return broken


def _whole(notebook, size):
    """What is wrong with the notebook as a whole."""
    if size > LARGEST:
        yield f"The file has {size / 1e6:.1f} MB; at most {LARGEST / 1e6:.0f} MB are allowed."
    kernel = notebook.metadata.get("kernelspec", {})
    if any(kernel.get(name) != KERNEL[name] for name in ("name", "display_name")):
        yield (
            f"The kernelspec is {kernel.get('name')!r}, shown as {kernel.get('display_name')!r}; "
            f"it should be {KERNEL['name']!r}, shown as {KERNEL['display_name']!r}."
        )
    if "widgets" in notebook.metadata:
        yield "The metadata hold the state of widgets, which nothing can show without a kernel."
    code = [cell for cell in notebook.cells if cell.cell_type == "code"]
    counts = [cell.execution_count for cell in code]
    if counts != list(range(1, len(code) + 1)):
        yield f"The execution counts are {counts}; they should be 1 to {len(code)}, in order."
    importing = sum(any(map(_is_import, _nodes(cell))) for cell in code)
    if importing > 1:
        yield f"{importing} cells import something; the first code cell should import all."


def _headings(notebook):
    """What is wrong with the order of headings."""
    prose = "\n".join(cell.source for cell in notebook.cells if cell.cell_type == "markdown")
    prose = re.sub(r"^(```|~~~).*?^\1", "", prose, flags=re.MULTILINE | re.DOTALL)
    found = re.findall(r"^ {0,3}(#{1,6})\s+(.*)", prose, flags=re.MULTILINE)
    tops = [title for marks, title in found if len(marks) == 1]
    if len(tops) != 1:
        yield f"There are {len(tops)} headings of the first level; there should be one."
    above = 0
    for marks, title in found:
        if len(marks) > above + 1:
            yield f"The heading {title!r} has level {len(marks)} and follows one of level {above}."
        above = len(marks)


_FORBIDDEN = {
    "get_ipython": "calls the notebook's own machinery: no magics, no shell lines.",
    "sys": "uses sys: the library is installed, no path needs to be set.",
    "warnings": "touches warnings: mend what warns, hide nothing.",
    "filterwarnings": "touches warnings: mend what warns, hide nothing.",
    "simplefilter": "touches warnings: mend what warns, hide nothing.",
}


def _source(cell):
    """What is wrong with what a code cell says."""
    lines = [line for line in cell.source.splitlines() if line.strip()]
    nodes = _nodes(cell)
    if nodes is _UNREADABLE:
        yield "is not plain Python: no magics, no shell lines."
    for name in sorted(_FORBIDDEN.keys() & {n for node in nodes for n in _names(node)}):
        yield _FORBIDDEN[name]
    if len(lines) > MOST_LINES:
        yield f"has {len(lines)} lines; at most {MOST_LINES} are allowed."
    if any(isinstance(node, _DEFINITIONS) for node in nodes):
        yield "defines something (def, lambda, class): formulas belong in the library."
    hidden = cell.metadata.get("jupyter", {}).get("source_hidden")
    if hidden and not cell.source.startswith("#"):
        yield "is folded, so its first line should be a comment that reads as a title."


_UNREADABLE = ()
_DEFINITIONS = (ast.FunctionDef, ast.AsyncFunctionDef, ast.Lambda, ast.ClassDef)


def _nodes(cell):
    """All parts of the cell's code, or none where it is not plain Python."""
    try:
        return tuple(ast.walk(ast.parse(cell.source)))
    except SyntaxError:
        return _UNREADABLE


def _is_import(node):
    return isinstance(node, (ast.Import, ast.ImportFrom))


def _names(node):
    """The names that a part of the code uses, modules included."""
    if isinstance(node, ast.Name):
        yield node.id
    elif isinstance(node, ast.Attribute):
        yield node.attr
    elif _is_import(node):
        yield from (getattr(node, "module", None) or "").split(".")
        for alias in node.names:
            yield from alias.name.split(".")


# An absolute path: /home/..., or C:\...; neither km/h nor the path within a web address.
_PATH = re.compile(r"(?<![\w.:/<)}\]])/(?:[\w.-]+/)+[\w.-]*|(?<!\w)[A-Za-z]:\\[\w.-]+\\[\w.-]+")
_EMBEDDED = re.compile(r"base64,[\w+/=\s]+")


def _output(output):
    """What is wrong with a stored output."""
    data = output.get("data", {})
    if output.output_type == "error":
        yield f"stores an error: {output.ename}: {output.evalue}"
    if output.get("name") == "stderr":
        yield "stores something written to stderr."
    if WIDGET in data:
        yield "stores a widget view, which nothing can show without its kernel."
    for kind in data:
        if kind.startswith("image/") and not output.metadata.get(kind, {}).get("alt", "").strip():
            yield f"shows a picture ({kind}) without a text alternative (alt) in its metadata."
    text = "\n".join(_texts(output))
    if "children=(" in text:
        yield "stores a widget as text ('children=('); its output should read as the page would."
    path = _PATH.search(_EMBEDDED.sub("", text))
    if path:
        yield f"stores a path of the machine that ran it: {path[0]}"


def _texts(output):
    """All text of an output, pictures in their encoding left out."""
    yield output.get("text", "")
    yield from output.get("traceback", ())
    for kind, content in output.get("data", {}).items():
        if not kind.startswith("image/") or kind == "image/svg+xml":
            yield str(content)

"""The workbook as a book: notebooks stored with their outputs.

`python -m dragwork.teaching.book save [notebooks...]`, in the project's folder, runs notebooks and
writes them back as they are read unrun, on paper or in a viewer. Saved twice, the bytes are equal.
"""

import argparse
import os
import sys
from pathlib import Path

import nbformat
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError

from dragwork.setup.working_copy import shipped
from dragwork.teaching.cells import WIDGET
from dragwork.teaching.profile import NOWHERE, PLACE

KERNEL = {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"}

_TRANSIENT = ("execution", "trusted", "collapsed", "scrolled")
_PATIENCE = 120  # s for one cell


def save(path):
    """Run a notebook in its own folder, as on a clean checkout, and write it back with its outputs.

    No learner's file is read or changed. What only a running kernel can use is left out: widget views, their state, time stamps.

    Parameters
    ----------
    path : Path or str

    Raises
    ------
    CellExecutionError
        A cell raised; the file stays as it was.
    """
    path = Path(path)
    notebook = nbformat.read(path, as_version=4)
    NotebookClient(
        notebook,
        kernel_name=KERNEL["name"],
        timeout=_PATIENCE,
        record_timing=False,
        store_widget_state=False,
        coalesce_streams=True,
        extra_arguments=["--log-level=ERROR"],
        resources={"metadata": {"path": str(path.resolve().parent)}},
    ).execute(env={**os.environ, PLACE: NOWHERE})
    notebook.metadata.pop("widgets", None)
    notebook.metadata["kernelspec"] = dict(KERNEL)
    notebook.metadata["language_info"] = {"name": "python"}
    for cell in notebook.cells:
        for name in _TRANSIENT:
            cell.metadata.pop(name, None)
        for output in cell.get("outputs", ()):
            output.get("data", {}).pop(WIDGET, None)
            output.get("metadata", {}).pop(WIDGET, None)
    path.write_text(nbformat.writes(notebook) + "\n", encoding="utf-8", newline="\n")


def is_notebook(path):
    """Whether a file is a notebook that can be read."""
    try:
        return bool(nbformat.read(path, 4).cells)
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return False


def main(arguments):
    """Run the command; return 0 if everything was saved."""
    parser = argparse.ArgumentParser(prog="python -m dragwork.teaching.book", description=__doc__)
    parser.add_argument("action", choices=["save"])
    parser.add_argument("notebooks", nargs="*", help="default: all in workbook/ and exercises/")
    options = parser.parse_args(arguments)
    if strange := [name for name in options.notebooks if not is_notebook(name)]:
        parser.error(f"no notebook that can be read: {', '.join(strange)}.")
    well = True
    for path in options.notebooks or shipped(Path.cwd()):
        try:
            save(path)
            print(path, flush=True)
        except CellExecutionError as error:
            print(f"{path}\n    Not saved. {error}", flush=True)
            well = False
    return 0 if well else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

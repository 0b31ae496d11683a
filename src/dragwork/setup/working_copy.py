"""The learner's own copy of the notebooks.

An update never overwrites what the learner has changed. For that the copy remembers, in
`.shipped.json`, what each file was when it was put there. Merely running a notebook changes its
outputs, not its cells, and is no change of the learner's. A new version that lies beside a changed
file makes room for the next one, unless the learner works in it. Standard library only.
"""

import glob
import hashlib
import json
from importlib import metadata
from pathlib import Path

from dragwork.files import free_path, write_in_one_step

FOLDERS = ("workbook", "exercises")
RECORD = ".shipped.json"
BESIDE = "new version"
UNKNOWN = {"file": None, "cells": None}


def origin() -> Path:
    """Where the notebooks come from: the project's folder, or where pip put them."""
    project = Path(__file__).parents[3]
    if is_project(project):
        return project
    files = metadata.files("dragwork") or []
    return next(Path(each.locate()).parents[1] for each in files if each.parent.name == FOLDERS[0])


def is_project(root: Path) -> bool:
    """Whether a folder is the project's, with its sources."""
    return (root / "pyproject.toml").exists() and (root / FOLDERS[0]).is_dir()


def prepare(root: Path, copy: Path) -> tuple[list[Path], list[str]]:
    """Bring the learner's copy up to date.

    Parameters
    ----------
    root
        A folder with `workbook/` and `exercises/`.
    copy
        The learner's folder; made where it is missing.

    Returns
    -------
    written : list of Path
        The files that were put in place; they are as shipped, so they may be trusted.
    notes : list of str
        A line for each file of which the learner now has two versions.
    """
    record = _read_record(copy)
    written, notes = [], []
    for name in shipped(root):
        new = (Path(root) / name).read_bytes()
        target = Path(copy) / name
        theirs = target.read_bytes() if target.exists() else None
        beside = sorted(target.parent.glob(f"{glob.escape(target.stem)} ({BESIDE}*{target.suffix}"))
        decision = decide(theirs, new, record.get(name, UNKNOWN), beside)
        makes_room = decision != "keep" or _cells(theirs) == _cells(new)
        for path in beside if makes_room else ():
            then = record.get(path.relative_to(copy).as_posix(), UNKNOWN)
            if then["cells"] == digests(path.read_bytes())["cells"]:
                path.unlink()
        if decision == "beside":
            target = free_path(target, new, BESIDE)
            why = "was changed by you" if _is_notebook(theirs) else "cannot be read"
            notes.append(f"{name} {why}; it stays as it is. The new version is {target.name}.")
            record[target.relative_to(copy).as_posix()] = digests(new)
        if decision != "keep":
            _write(target, new)
            written.append(target)
        record[name] = digests(new)
    _write(Path(copy, RECORD), json.dumps(record, indent=1, sort_keys=True).encode())
    return written, notes


def decide(theirs: bytes | None, new: bytes, then: dict, beside: list[Path]) -> str:
    """What happens to one file: "put" the new one, "keep" theirs, or put the new one "beside".

    Parameters
    ----------
    theirs
        The learner's file; None where there is none.
    new
        The file as shipped now.
    then
        The digests of the file as shipped before, or `UNKNOWN`.
    beside
        New versions that lie beside theirs already.
    """
    if theirs is None:
        return "put"
    now, coming = digests(theirs), digests(new)
    if now["file"] == then["file"] != coming["file"]:
        return "put"  # never touched
    if now["cells"] == coming["cells"]:
        return "keep"  # the same but for the outputs, which are the learner's
    if now["cells"] == then["cells"]:
        return "put"  # merely run
    if coming["cells"] == then["cells"] and (beside or _is_notebook(theirs)):
        return "keep"  # changed by the learner, or torn and restored, and nothing new has come
    return "beside"


def new_versions(copy: Path) -> list[Path]:
    """The new versions that lie beside notebooks of a learner's copy."""
    return sorted(path for name in FOLDERS for path in Path(copy, name).glob(f"* ({BESIDE}*.ipynb"))


def shipped(root: Path) -> list[str]:
    """The notebooks that come with the project, as `folder/name.ipynb`."""
    found = (path for name in FOLDERS for path in sorted(Path(root, name).glob("*.ipynb")))
    return [f"{path.parent.name}/{path.name}" for path in found]


def notebooks() -> list[Path]:
    """The notebooks of this folder where it has any, otherwise those that the package came with."""
    return [*map(Path, shipped(Path()))] or [origin() / name for name in shipped(origin())]


def digests(content: bytes) -> dict[str, str]:
    """Digest of a whole file, and of a notebook's cells alone."""
    parts = {"file": content, "cells": _cells(content)}
    return {name: hashlib.sha256(part).hexdigest() for name, part in parts.items()}


def _is_notebook(content: bytes) -> bool:
    return _cells(content) is not content


def _cells(content: bytes) -> bytes:
    """What the author of a notebook typed; the whole file where it is no notebook.

    Empty cells do not count: running the last cell adds one.
    """
    try:
        cells = json.loads(content)["cells"]
        cells = [(cell["cell_type"], "".join(cell["source"])) for cell in cells]
    except (ValueError, KeyError, TypeError):
        return content
    return json.dumps([cell for cell in cells if cell[1].strip()]).encode()


def _write(path: Path, content: bytes) -> None:
    """Write a file, and the folder that it belongs into."""
    path.parent.mkdir(parents=True, exist_ok=True)
    write_in_one_step(path, content)


def _read_record(copy: Path) -> dict[str, dict[str, str]]:
    """What was put there, by name: the digests of each; nothing where the record is no record."""
    try:
        record = json.loads((copy / RECORD).read_text(encoding="utf-8"))
        return {name: {part: then[part] for part in UNKNOWN} for name, then in record.items()}
    except (OSError, ValueError, AttributeError, KeyError, TypeError):
        return {}

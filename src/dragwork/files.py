"""Reading tables of the library, and writing files that belong to somebody: in one step, and never
over another one; locks. Standard library."""

import csv
import os
from hashlib import sha256
from importlib import resources
from itertools import count
from pathlib import Path


def rows_of_table(package, name):
    """The rows of a CSV table that belongs to a package: a list of dicts by its header, all text.

    Parameters
    ----------
    package : str
        Dotted, as `dragwork.measurement`.
    name : str
    """
    with (resources.files(package) / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def text_of(package, name):
    """The text of a file that belongs to a package: a style sheet, a page with gaps."""
    return (resources.files(package) / name).read_text("utf-8")


def write_in_one_step(path, content):
    """Write bytes so that an interruption leaves the old file or the new one.

    Parameters
    ----------
    path : pathlib.Path
    content : bytes
    """
    part = part_of(path)
    with part.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    os.replace(part, path)


def part_of(path):
    """Where a file stands while it is written."""
    return path.with_name(f"{path.name}.part")


try:
    import fcntl

    def lock(file, wait=True):
        """Lock an open file until it is unlocked or its process ends; OSError where others hold it and one does not wait."""
        fcntl.flock(file, fcntl.LOCK_EX if wait else fcntl.LOCK_EX | fcntl.LOCK_NB)

    def unlock(file):
        """Let others lock a file."""
        fcntl.flock(file, fcntl.LOCK_UN)

except ImportError:  # Windows, which locks bytes against reading: take one far behind any text
    import msvcrt

    def lock(file, wait=True):
        file.seek(1 << 20)
        while True:
            try:
                return msvcrt.locking(file.fileno(), msvcrt.LK_LOCK if wait else msvcrt.LK_NBLCK, 1)
            except OSError:  # it gives up after ten tries
                if not wait:
                    raise

    def unlock(file):
        file.seek(1 << 20)
        msvcrt.locking(file.fileno(), msvcrt.LK_UNLCK, 1)


def numbered(path, label=""):
    """The path, then the same with _2, _3 and so on before its ending, without end.

    With a label it is in brackets behind the name: `page (damaged).json`, `page (damaged 2).json`.
    """
    yield path.with_name(f"{path.stem} ({label}){path.suffix}") if label else path
    for number in count(2):
        mark = f" ({label} {number})" if label else f"_{number}"
        yield path.with_name(f"{path.stem}{mark}{path.suffix}")


def free_path(path, content=None, label=""):
    """The first of the numbered names that is free, or that holds this very content already."""
    return next(
        each
        for each in numbered(path, label)
        if not each.exists() or (content is not None and each.read_bytes() == content)
    )


def fingerprint(content):
    """What the same bytes always give, and others hardly ever: twelve letters and figures."""
    return sha256(content).hexdigest()[:12]


def write_new(path, content):
    """Write bytes under a name, or the next numbered one that is free: never over another file.

    Parameters
    ----------
    path : str or path
    content : bytes

    Returns
    -------
    pathlib.Path
        Where it is.

    Raises
    ------
    ValueError
        Where nothing can be written, in words.
    """
    path = Path(path)
    try:
        if not path.parent.is_dir():
            raise ValueError(f"there is no folder {path.parent}. Make it first, or name another file.")
        if path.is_dir():
            raise ValueError(f"{path} is a folder. Name a file in it.")
        place = free_path(path, content)
        if not place.exists():
            write_in_one_step(place, content)
    except OSError as error:
        raise ValueError(f"{path} cannot be written: {error.strerror}. Name another file.") from None
    return place


def told(path, wanted):
    """Where something was written; says so where that is not under the name wanted."""
    return f"{path} ({wanted} is another file and stays)" if Path(wanted) != path else f"{path}"

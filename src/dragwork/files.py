"""Writing files that belong to somebody: in one step, and never over another one. Standard library."""

import os
from hashlib import sha256
from itertools import count


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


def numbered(path):
    """The path, then the same with _2, _3 and so on before its ending, without end."""
    yield path
    for number in count(2):
        yield path.with_name(f"{path.stem}_{number}{path.suffix}")


def free_path(path, content=None):
    """The first of the numbered names that is free, or that holds this very content already."""
    return next(
        each
        for each in numbered(path)
        if not each.exists() or (content is not None and each.read_bytes() == content)
    )


def fingerprint(content):
    """What the same bytes always give, and others hardly ever: twelve letters and figures."""
    return sha256(content).hexdigest()[:12]

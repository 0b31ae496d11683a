"""A file that a learner chose; and what stands in a form, packed for the learner's own file, and unpacked."""

import zlib
from base64 import b85decode, b85encode
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

MOST = 2_000_000  # letters of a packed file: a ride of some 15 MB


@dataclass(frozen=True)
class File:
    """A file as it was uploaded; `content` is None where it was too large to be kept."""

    name: str
    content: bytes


def opened(file):
    """What was chosen, a File or a path, as a File; ValueError in words."""
    if isinstance(file, File):
        return file
    path = Path(file)
    try:
        return File(path.name, path.read_bytes())
    except OSError as error:
        raise ValueError(f"{path.name} cannot be opened: {error.strerror}.") from None


def packed(typed):
    """What stands in fields, as the learner's file keeps it.

    Parameters
    ----------
    typed : dict of str to (str or File)

    Returns
    -------
    dict
        A file as its name and, unless it is too large, its content.
    """
    return {name: _pack(value) for name, value in typed.items()}


def _pack(value):
    if not isinstance(value, File):
        return str(value)
    content = _squeezed(value.content or b"")
    return {"file": value.name, "content": content if len(content) <= MOST else None}


@lru_cache(4)  # it is packed at each key pressed beside it
def _squeezed(content):
    return b85encode(zlib.compress(content)).decode("ascii")


def unpacked(kept):
    """The same again; a file that was too large to be kept has no content."""
    return {name: _unpack(value) for name, value in kept.items()}


def _unpack(value):
    if not isinstance(value, dict):
        return value
    content = value["content"]
    return File(value["file"], content and zlib.decompress(b85decode(content)))

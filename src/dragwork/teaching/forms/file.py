"""A file that a learner chose, with its content."""

from dataclasses import dataclass
from pathlib import Path


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

"""The one bibliography: a key for each source, used in docstrings, tests and notebooks.

The sources themselves are in `sources.csv`.
"""

from dataclasses import dataclass

from dragwork.files import rows_of_table


@dataclass(frozen=True)
class Source:
    """A published source: what it is, and where in it we looked."""

    reference: str
    place: str = ""


SOURCES = {row.pop("key"): Source(**row) for row in rows_of_table("dragwork", "sources.csv")}


def cite(key):
    """The reference behind a key, as one sentence for a page."""
    source = SOURCES[key]
    return f"{source.reference} ({source.place})" if source.place else source.reference

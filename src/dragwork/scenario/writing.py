"""How every script of the scenario writes its data: a manifest, and the files again."""

import json
from pathlib import Path


def manifest_text(script, seed, invented, **what):
    """What data files are and what a reader should find in them, as JSON text.

    Parameters
    ----------
    script : str
        The module that makes them.
    seed : int
    invented : str
        That they are, in words.
    **what
        Files and columns; then the truth.

    Returns
    -------
    str
    """
    made_by = f"python -m dragwork.scenario.{script} (seed {seed})"
    return json.dumps({"invented": invented, "made_by": made_by, **what}, indent=1) + "\n"


def lines_of(columns, table):
    """A table in SI as it is written down, line by line.

    Parameters
    ----------
    columns : sequence of Column
    table : pandas.DataFrame

    Returns
    -------
    list of dict
        Field of a column to text.
    """
    rows = table.to_dict("records")
    return [{column.field: column.written(row[column.field]) for column in columns} for row in rows]


def write_again(texts):
    """Write texts into the folder of data, byte for byte the same everywhere: name to text."""
    for name, text in texts.items():
        (Path(__file__).parent / "data" / name).write_text(text, encoding="utf-8", newline="\n")

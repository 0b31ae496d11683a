"""The invented Quillhaven Wheelers: riders, roads and sheets. Nothing here is meant to exist."""

from pathlib import Path


def data_file(name):
    """Where a data file of the scenario lies; `manifest.json` tells what is in each.

    Parameters
    ----------
    name : str

    Returns
    -------
    pathlib.Path

    Raises
    ------
    ValueError
        For a name that is not there, in words.
    """
    folder = Path(__file__).parent / "data"
    names = sorted(path.name for path in folder.iterdir())
    if name not in names:
        raise ValueError(f"'{name}' is no data file of the scenario; there are {', '.join(names)}.")
    return folder / name

"""The learner's own file, shown or deleted: `python3 workbook --my-file show`. Standard library only."""

from pathlib import Path

from dragwork.teaching.profile import NAME, leftovers

ACTIONS = ("show", "delete")


def run(action: str, copy: Path) -> list[str]:
    """Show or delete the file.

    Parameters
    ----------
    action
        "show" or "delete".
    copy
        The learner's folder.

    Returns
    -------
    list of str
        Lines to print.
    """
    path = copy / NAME
    aside = [other for other in leftovers(path) if other.suffix == path.suffix]
    if not path.exists() and not aside:
        return [f"There is no file of yours. It would be {path}; a notebook makes it when you type."]
    if action == "show":
        lines = [f"Set aside because it could not be read: {other}" for other in aside]
        if path.exists():
            lines += [f"Your file is {path}", "", path.read_text(encoding="utf-8", errors="replace")]
        return lines
    gone = [each for each in (path, *leftovers(path)) if each.exists()]
    for each in gone:
        each.unlink()
    return [f"Deleted: {each}" for each in gone if each.suffix == path.suffix]

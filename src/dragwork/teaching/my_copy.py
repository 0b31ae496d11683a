"""What a learner should know of their own folder: how their file is, which notebooks have a new version."""

from pathlib import Path

from dragwork.setup.working_copy import new_versions
from dragwork.teaching.profile import Profile, leftovers
from dragwork.teaching.telling import say


def my_copy(folder=".."):
    """The state of the learner's file, and notebooks with a new version beside them, in words.

    Parameters
    ----------
    folder : path
        The learner's copy, with the folders `workbook` and `exercises`.

    Returns
    -------
    Words
    """
    return say(" ".join([_own_file(Profile()), _new(new_versions(Path(folder)))]))


def _own_file(profile):
    kept = len(profile.entries())
    damaged = [each.name for each in leftovers(profile.path) if each.exists() and "(damaged" in each.name]
    aside = f" Set aside because it could not be read: {', '.join(damaged)}." if damaged else ""
    if profile.remark:
        return profile.remark + aside
    if not kept and profile.name is None and profile.rider is None:
        return f"Nothing of yours is kept yet.{aside}"
    whose = f"{profile.name}, y" if profile.name else "Y"
    count = f"{kept} entr{'y' if kept == 1 else 'ies'}"
    return f"{whose}our file {profile.path.name} holds {count}: answers, predictions, choices.{aside}"


def _new(paths):
    if not paths:
        return "No notebook has a new version beside it."
    names = ", ".join(f"{path.parent.name}/{path.stem}" for path in paths)
    return (
        f"These notebooks came with an update and lie beside those that you changed: {names}. Open "
        "them from the list at the left; delete whichever you do not need."
    )

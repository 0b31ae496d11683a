"""The learner's own file: name, rider, predictions, attempts. It stays on this computer.

One JSON file. Every change reads it, adds to it and writes it back while no other notebook does, so
that two notebooks open at once lose nothing. A file that cannot be read is set aside, never
overwritten.
"""

import atexit
import json
import os
import shutil
import tempfile
from contextlib import contextmanager
from datetime import datetime, timezone
from functools import cache
from pathlib import Path

from dragwork.files import free_path, lock, part_of, unlock, write_in_one_step

FORMAT = "dragwork learner's file"
VERSION = 1
PLACE = "DRAGWORK_LEARNER"  # environment variable: where the file is
NOWHERE = "nowhere"  # its value for tests and stored notebooks: forgotten with the kernel
NAME = "learner.json"
ROAD = "my road"  # under what is typed: the learner's own road
MOST_NAMED = 12  # claims, field tests, roads: the newest of each kind


class ProfileProblem(Exception):
    """The learner's file cannot be read or written; says why, and what happened to it."""


def own_path():
    """Where the learner's file is, or will be."""
    place = os.environ.get(PLACE, "").strip()
    return _throw_away() if place == NOWHERE else Path(place or NAME)


def leftovers(path):
    """What else may stand beside a learner's file: its lock, damaged ones that were set aside."""
    damaged = path.parent.glob(f"{path.stem} (damaged*){path.suffix}")
    return [*sorted(damaged), _lock(path), part_of(path)]


@cache  # one for the life of the process, which is what it belongs to
def _throw_away():
    folder = tempfile.mkdtemp(prefix="dragwork-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return Path(folder) / NAME


class Profile:
    """The learner's file. It is made when something is first kept in it.

    Parameters
    ----------
    path : path, optional
        By default the learner's own: `own_path()`.

    Attributes
    ----------
    remark : str
        What happened to the file, where it could not be read or written; else empty.
    """

    def __init__(self, path=None):
        self.path = Path(path or own_path())
        self.remark = ""

    # -- what stands in it --------------------------------------------------------------------------

    @property
    def content(self):
        """All that stands in the file; what an empty one holds where there is none."""
        try:
            if not _is_there(self.path):
                return _empty()
            try:
                with _alone(self.path):
                    return self._read()
            except OSError:  # a folder in which nothing can be written may still be read
                return self._read()
        except (OSError, ProfileProblem) as error:
            self.remark = _said(error, self.path)
            return _empty()

    @property
    def name(self):
        """The learner's name; None where there is none. It decides the numbers of the questions."""
        return self.content["me"].get("name") or None

    @property
    def rider(self):
        """The learner's own rider as it was kept; None where there is none."""
        return self.content["me"].get("rider") or None

    @property
    def worthwhile(self):
        """How many seconds matter to the learner: fewer do not. 0 where they have not said."""
        kept = self.content["me"].get("worthwhile")
        return float(kept) if isinstance(kept, (int, float)) and 0 <= kept <= 86400 else 0.0

    def entries(self, kind=None, **like):
        """What was done, oldest first: entries of a kind that hold these values.

        Parameters
        ----------
        kind : str, optional
            'attempt', 'prediction', 'choice' or 'gaps'.
        **like
            `question="M10"`.

        Returns
        -------
        list of dict
        """
        wanted = like if kind is None else {"kind": kind, **like}
        return [e for e in self.content["entries"] if all(e.get(k) == value for k, value in wanted.items())]

    def typed(self, key):
        """What was left standing in a field, unchecked; empty where nothing was."""
        return self.content["typed"].get(key, "")

    def named(self, kind):
        """What was kept by name, newest first: name to facts. Each tells `when` it was kept.

        Parameters
        ----------
        kind : str
            'claim', 'field test' or 'road'.

        Returns
        -------
        dict of str to dict
        """
        kept = self.content["named"].get(kind, {})
        return dict(sorted(reversed(kept.items()), key=lambda each: str(each[1].get("when", "")), reverse=True))

    def all_of_it(self):
        """The content of the file, to be carried to another computer."""
        return _packed(self.content)

    # -- what is kept in it -------------------------------------------------------------------------

    def keep_me(self, **facts):
        """Keep facts about the learner: `name="Ada"`, `rider={...}`; others stay as they were."""

        def change(content):
            me = content["me"]
            for name, fact in facts.items():
                known = me.get(name)
                both = isinstance(fact, dict) and isinstance(known, dict)
                me[name] = known | fact if both else fact

        self._change(change)

    def keep(self, kind, **facts):
        """Add what was done to the file.

        Parameters
        ----------
        kind : str
            'attempt', 'prediction', 'choice' or 'gaps'.
        **facts
            Texts, numbers, lists of them.
        """
        entry = {"kind": kind, "when": _now(), **facts}
        self._change(lambda content: content["entries"].append(entry))

    def keep_named(self, kind, name, most=MOST_NAMED, **facts):
        """Keep facts by name; those of the same kind and other names stay, the newest of them.

        Parameters
        ----------
        kind, name : str
        most : int
            How many of a kind are kept.
        **facts
            Texts, numbers, lists and dicts of them.
        """
        kept = {name: {"when": _now(), **facts}}

        def change(content):
            others = {n: f for n, f in content["named"].get(kind, {}).items() if n != name}
            newest = sorted(others, key=lambda n: str(others[n].get("when", "")))[-(most - 1) :]
            content["named"][kind] = {n: others[n] for n in newest} | kept

        self._change(change)

    def forget_named(self, kind, name):
        """Take away what was kept by that name, if it is there."""
        self._change(lambda content: content["named"].get(kind, {}).pop(name, None))

    def add_all(self, other):
        """Add the work of another file. What both have stays as it is here; another rider of theirs
        is kept by name, and so is another road.

        Parameters
        ----------
        other : bytes
            The content of a learner's file.

        Raises
        ------
        ValueError
            Where it is no such file, in words.
        """
        theirs = _sound_content(other)
        if theirs is None:
            raise ValueError(
                "This is not a file of work from this workbook. Choose the file that 'Save all my work' "
                "wrote on the other computer; its name begins with 'my work'."
            )
        if theirs["version"] > VERSION:
            raise ValueError("This file was written by a newer workbook. Update the workbook here first.")

        def change(content):
            for kind, part, key in (("rider", "me", "rider"), ("road", "typed", ROAD)):
                here, there = content[part].get(key), theirs[part].get(key)
                if here and there and here != there:
                    name = theirs["me"].get("name") or f"{kind} from another computer"
                    kept = {"when": _now(), "kept": there}
                    theirs["named"].setdefault(kind, {}).setdefault(name, kept)
            for part in ("me", "typed"):
                content[part] = theirs[part] | content[part]
            for kind, named in theirs["named"].items():
                content["named"][kind] = named | content["named"].get(kind, {})
            new = [entry for entry in theirs["entries"] if entry not in content["entries"]]
            content["entries"] = sorted(content["entries"] + new, key=lambda e: str(e.get("when", "")))

        self._change(change)

    def keep_road(self, text, name, before):
        """Keep the learner's own road; where another tab has changed it since, that one by its name.

        Parameters
        ----------
        text, name : str
            The road as the editor packs it, and its name.
        before : str
            What was kept when this tab last read or wrote it.
        """

        def change(content):
            now = content["typed"].get(ROAD, "")
            if now not in (before, text, ""):
                content["named"].setdefault("road", {})[_name_of(now)] = {"when": _now(), "kept": now}
            content["typed"][ROAD] = text
            content["named"].get("road", {}).pop(name, None)

        self._change(change)

    def keep_typed(self, key, text):
        """Keep what stands in a field; an empty text takes it away."""

        def change(content):
            content["typed"].pop(key, None)
            if text:
                content["typed"][key] = text

        self._change(change)

    def _change(self, change):
        """Read, change and write the file while nobody else does; a problem becomes a remark."""
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            with _alone(self.path):
                content = self._read()
                change(content)
                write_in_one_step(Path(os.path.realpath(self.path)), _packed(content))  # a link stays a link
        except (OSError, ProfileProblem) as error:
            self.remark = _said(error, self.path)

    def _read(self):
        """The file's content. A damaged file is set aside first, and an empty one begun."""
        if not _is_there(self.path):
            return _empty()
        if not self.path.is_file():  # a device or a folder, which writing would replace or read for ever
            raise ProfileProblem(f"{self.path} is no file, so nothing is kept in it. Name another place.")
        content = _sound_content(self.path.read_bytes())
        if content is None:
            aside = free_path(self.path, label="damaged")
            os.replace(self.path, aside)
            self.remark = (
                f"Your file {self.path.name} could not be read. It now is {aside.name}, unchanged, "
                "and a new one is begun."
            )
            return _empty()
        if content["version"] > VERSION:
            raise ProfileProblem(
                f"Your file {self.path.name} was written by a newer workbook. It is left as it is, "
                "and nothing new is kept in it. Update the workbook to go on with it."
            )
        return content


def _empty():
    return {"format": FORMAT, "version": VERSION, "me": {}, "typed": {}, "entries": [], "named": {}}


def _sound_content(text):
    """The content of a learner's file, whole; None where it cannot be read."""
    try:  # a file of November 2026 has nothing by name
        content = {"named": {}} | json.loads(text.decode("utf-8-sig"))
    except (ValueError, TypeError, RecursionError):
        return None
    version = content.get("version")
    if content.get("format") != FORMAT or not isinstance(version, int) or version < 1:
        return None
    return content if version > VERSION or _is_sound(content) else None


# What each part of a file holds: a dict of something, a list of something, or a thing of a type.
_PARTS = {"me": {str: object}, "typed": {str: str}, "entries": [dict], "named": {str: {str: dict}}}


def _is_sound(content):
    """Whether each part of a file of this version holds what it should."""
    if not all(_holds(content.get(part), shape) for part, shape in _PARTS.items()):
        return False
    me = content["me"]  # a rider is checked where one rides
    return isinstance(me.get("name"), str | None) and _holds(me.get("about", {}), {str: str})


def _holds(value, shape):
    """Whether a value has a shape: `{str: [dict]}` is a dict of lists of dicts."""
    if isinstance(shape, dict):
        return isinstance(value, dict) and all(_holds(each, shape[str]) for each in value.values())
    if isinstance(shape, list):
        return isinstance(value, list) and all(_holds(each, shape[0]) for each in value)
    return isinstance(value, shape)


def _name_of(road):
    """The name of a road as it was kept."""
    try:
        return str(json.loads(road)["name"])
    except (ValueError, TypeError, KeyError):  # as it was kept in the autumn of 2026
        return "road of another page"


def _is_there(path):
    """Whether there is a file; a folder that may not be searched is an error, not an empty place."""
    try:
        path.stat()
    except (FileNotFoundError, NotADirectoryError):
        return False
    return True


def _packed(content):
    text = json.dumps(content, indent=1, ensure_ascii=False) + "\n"
    return text.encode("utf-8", errors="replace")  # half of a pair becomes a question mark


def _lock(path):
    return path.with_name(f"{path.name}.lock")


@contextmanager
def _alone(path):
    """Wait until nobody else reads or writes the file. A process that dies lets go by itself."""
    with open(_lock(path), "a+b") as file:
        lock(file)
        try:
            yield
        finally:
            unlock(file)


def _now():
    return datetime.now(timezone.utc).isoformat(timespec="seconds")


def _said(error, path):
    if isinstance(error, ProfileProblem):
        return str(error)
    return (
        f"Your file {path.name} cannot be used here ({error.strerror}). What you type is used, and "
        "not kept."
    )

"""The fields of a flow: to choose, to type, to upload. (Boxes of practice questions: `question_boxes`.)"""

import re
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from dragwork.teaching.answers import entries_of, parse_quantity, read_quantity
from dragwork.teaching.panels import knobs
from dragwork.teaching.report import listed
from dragwork.units import UNITS

_MOST_LETTERS = 500  # in one line of what is typed
# From where to where a form takes a quantity, in the unit of its knob: a slider needs less.
_LIMITS = {
    "all_up_mass": (20, 250), "power": (10, 1500), "rolling_coefficient": (0.001, 0.02), "drag_area": (0.10, 0.90),
    "temperature": (-25, 50), "pressure": (600, 1085),
}  # fmt: skip


@dataclass(frozen=True)
class Field:
    """Something to choose, type or upload.

    Parameters
    ----------
    name : str
        By which code sets it: `flow.answer(name=...)`.
    label : str
        What stands beside it, and what a screen reader says.
    hint : str
        What may stand in it.
    start : str
        What stands in it before anybody types.
    when : sequence of str, or callable, optional
        A field of the question and values: shown, and read, only while it holds one of them; or
        when(typed) -> bool.
    """

    name: str
    label: str
    hint: str = ""
    start: object = ""
    when: Sequence | Callable | None = None

    def asked(self, typed):
        """Whether it is shown, given what is in the fields of its question."""
        if callable(self.when):
            return self.when(typed)
        return self.when is None or typed[self.when[0]] in self.when[1:]

    def tidy(self, value):
        """What stands in the field once it was accepted."""
        return value


@dataclass(frozen=True)
class Choice(Field):
    """One of a few. options(answers) is a dict of value to words."""

    options: Callable = dict

    def check(self, value, answers):
        """The value; refused in the words of the options if it is not one of them."""
        options = self.options(answers)
        if value in options:
            return value
        names = listed([words.split(":")[0] for words in options.values()], "or")
        said = f"'{value}' is not there" if value else "nothing chosen yet"
        raise ValueError(f"{self.label}: {said}. Choose one of {names}.")

    def words(self, value, answers):
        """An option as a sentence has it."""
        return self.options(answers)[value]


@dataclass(frozen=True)
class Typed(Field):
    """A text box; `read(text)` turns it into the value, or raises ValueError in words.

    lines: how many lines the box shows; wide: whether it holds a sentence; knob: what has the words
    for a value; kept_in: the unit in which a number stays in the box once it was accepted.
    """

    unit: str = ""
    read: Callable = str
    lines: int = 1
    wide: bool = False
    knob: knobs.Knob | None = None
    kept_in: str = ""

    def check(self, value, answers):
        """The value that was typed."""
        most = _MOST_LETTERS * self.lines
        if len(str(value)) > most:
            raise ValueError(f"{self.label}: {len(str(value))} letters are too many; write {most} at the most.")
        try:
            return self.read(value)
        except ValueError as error:
            said = str(error)
            raise ValueError(said if said.startswith(self.label) else f"{self.label}: {said}") from None

    def tidy(self, value):
        """The number alone, in the unit of the box, where another unit was typed with it."""
        return in_unit(value, self.kept_in)

    def words(self, value, answers):
        """A value, or several of them, as a sentence has it."""
        if isinstance(value, tuple):
            *first, last = value
            return listed([*(self.knob.number(each) if self.knob else each for each in first), self.words(last, answers)])
        return self.knob.words(value) if self.knob else str(value)


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


@dataclass(frozen=True)
class Upload(Field):
    """A file from the learner's computer; its value is a `File`, a path, or '' for none."""

    accept: str = ""

    def check(self, value, answers):
        """The file; refused in words where there is none."""
        if value in ("", None):
            raise ValueError(f"{self.label}: no file chosen yet. {self.hint}")
        file = opened(value)
        if file.content is None:
            raise ValueError(f"{file.name} was too large to be kept with your answers. Choose it again.")
        return file


def in_unit(text, unit):
    """A number typed with a unit, as the number in the box's unit: '20 km/h' is 5.56 in m/s.

    What is typed without a unit, or cannot be read, stays as it is.
    """
    try:
        typed = unit and read_quantity(text, unit)
    except ValueError:
        return text
    if not typed or typed.unit in (None, ":", unit):
        return text
    shown = f"{typed.number:.2f}".rstrip("0").rstrip(".") if abs(typed.number) >= 10 else f"{typed.number:.3g}"
    return shown.replace("-", "−")


def field_of(name, label="", hint="", start="", when=None, knob=None, unit="", options=None, accept=None,
             empty=False, several=False, read=None, **look):  # fmt: skip
    """A field as the table of a form has it.

    With `options` it is a `Choice`, with `accept` an `Upload`, else a box to type in. What is typed
    in a box is a number with its unit, in SI, where the table names a knob or a unit.

    Parameters
    ----------
    name, label, hint, start, when, options, accept
        As of a `Field`. A knob has a label, and its range is the hint, where the table has none.
    knob : str or dict, optional
        A quantity of the catalogue, or "quantity" and what differs; without "quantity" a knob of
        its own, from "low" to "high" in `unit`, with so many "digits".
    unit : str
        A key of `units.UNITS`.
    empty : bool
        Whether the box may stay empty: then nothing is stated, and it is None.
    several : bool
        Whether it takes several numbers in a row.
    read : callable, optional
        Instead of the reading above.
    **look
        `lines` and `wide` of a `Typed`.

    Returns
    -------
    Field
    """
    if options is not None:
        return Choice(name, label, hint, start, when, options)
    if accept is not None:
        return Upload(name, label, hint, start, when, accept)
    if knob is not None:
        about = {"quantity": knob} if isinstance(knob, str) else ({"label": label} if label else {}) | knob
        knob = form_knob(**about) if "quantity" in about else _own_knob(name, unit, **about)
        label, hint, unit = label or knob.label, hint or knob.range, knob.unit
    printed, kept_in = UNITS[unit].printed if unit else "", ""
    if several:
        read = partial(_several, knob)
    elif read is None and unit:
        read, kept_in = knob.read if knob else partial(_number_in, unit), unit
    read = partial(_maybe, read) if empty else read or (lambda text: str(text).strip())
    return Typed(name, label, hint, start, when, printed, read, knob=knob, kept_in=kept_in, **look)


def form_knob(quantity, **changes):
    """A knob of the catalogue with the limits of a form, for its `.read` and `.words`."""
    made = dict(zip(("low", "high"), _LIMITS.get(quantity, ()))) | changes
    return knobs.knob(quantity, **made, reference=made.get("low", knobs.CATALOGUE[quantity].low))


def _own_knob(name, unit, label, low, high, digits):
    return knobs.Knob(name, label, "", unit, low, low, high, high - low, digits)


def _number_in(unit, text):
    return float(UNITS[unit].into_si(parse_quantity(text, unit)))


def _maybe(read, text):
    return read(text) if str(text).strip() else None


def _several(knob, text):
    """Numbers of a knob's quantity in a row: `36; 45`, `0, 5,5 and 10°`, `36 45 km/h`. A tuple, in SI.

    A unit behind the last number is that of all. A comma alone that can part two numbers or mark a
    decimal is asked about.
    """
    said = re.sub(r"\band\b|&|[;\n]|(?<=\d)/(?=\d)|,(?!\d)|(?<=\d)\s+(?=[-−\d])", ";", str(text))
    entries = entries_of(said)
    if len(entries) == 1:
        commas = [part.strip() for part in entries[0].split(",")]
        if len(commas) > 2 or len(commas) == 2 and all(_fits(knob, part) for part in commas):
            if len(commas) == 2 and "." not in entries[0]:
                two, one = "; ".join(commas), ".".join(commas)
                raise ValueError(f"'{entries[0]}' can be one number or two. Write {two} or {one}.")
            entries = commas
    *first, last = entries or [""]
    unit = re.search(r"[^\d.,\s+−-]\D*$", last)
    shared = [f"{entry} {unit[0]}" if unit and not re.search(r"[^\d.,+−-]", entry) else entry for entry in first]
    return tuple(knob.read(entry) for entry in (*shared, last))


def _fits(knob, text):
    with suppress(ValueError):
        knob.read(text)
        return True
    return False

"""Words in a notebook: sentences whose numbers are computed, derivations, tables, sources."""

from functools import cached_property, wraps
from string import Formatter

import pandas as pd

from dragwork.escaping import in_markdown
from dragwork.sources import cite
from dragwork.wording import filled_in

OPEN = "dragwork_open"  # in an output's metadata: the open picture of a panel that is shown closed
TO_OPEN = "What the picture shows: open it after your guess"

# A table of data that a cell shows is searched for formulas: `$900 vs $1200` would be one.
pd.set_option("display.html.use_mathjax", False)


def saved_or_lost(seconds):
    """`12 s saved`, `3 s lost`."""
    return f"{abs(seconds):.0f} s {'saved' if round(seconds) >= 0 else 'lost'}"


def capital(words):
    """The words with a capital letter in front."""
    return words[:1].upper() + words[1:]


class Words:
    """Markdown to show as the last line of a cell; its plain text is the same words."""

    def __init__(self, markdown):
        self.markdown = markdown

    def __repr__(self):
        return self.markdown

    _repr_markdown_ = __repr__


def sentence(gaps):
    """A function of a result, or a method of it, as the sentence that its docstring is; empty where it returns None.

    Its gaps are fields of the result, `self` and what the function returns by name; in SI where they name a unit.
    """

    @wraps(gaps)
    def said(result):
        found = gaps(result)
        return "" if found is None else filled_in(gaps.__doc__, vars(result) | {"self": result} | found)

    return said


class _Filling(Formatter):
    """As str.format, but what is filled in is shown as it is, never read as Markdown."""

    def format_field(self, value, format_spec):
        return in_markdown(format(value, format_spec))


def say(template, fold="", **values):
    """A sentence with its numbers filled in: `say("It takes {watts:.0f} W.", watts=192.0)`.

    Parameters
    ----------
    template : str
        Markdown, as for str.format; white space is folded, so that it may run over lines. Without
        any values it is a sentence that was made before, and shown as it is.
    fold : str
        Where the reader should guess first: what to press to see the sentence.
    **values
        What the names in braces stand for, in the unit that the sentence shows.

    Returns
    -------
    Words
    """
    words = " ".join(template.split())
    said = _Filling().vformat(words, (), values) if values else in_markdown(words)
    return Words(folded(said, fold))


def folded(markdown, fold):
    """Markdown behind something to press, where that is named."""
    return f"<details><summary>{fold}</summary>\n\n{markdown}\n\n</details>" if fold else markdown


def reference_case(sentence):
    """A sentence that stays while sliders move, as Markdown that says so."""
    return f"*Reference case.* {in_markdown(sentence)}"


def derivation(steps):
    """A derivation as numbered lines: plain words, then what stands there."""
    lines = [f"{number}. {step.words}\n\n   $${step.latex}$$" for number, step in enumerate(steps, 1)]
    return Words("\n\n".join(lines))


def table(rows, caption="", fold=""):
    """Rows of a table as Markdown with header cells; a row is a dict of column to text.

    `fold` is what to press to see it, where the reader should guess first.
    """
    columns = list(rows[0])
    cells = [columns, *([row[column] for column in columns] for row in rows)]
    head, *lines = ("| " + " | ".join(map(in_markdown, line)) + " |" for line in cells)
    body = "\n".join([head, "| " + " | ".join("---" for _ in columns) + " |", *lines])
    said = f"{in_markdown(caption)}\n\n{body}" if caption else body
    return Words(folded(said, fold))


def sources(*keys):
    """The references behind the keys, as a list."""
    return Words("\n".join(f"- {cite(key)}" for key in keys))


class Shown:
    """A still picture and the sentence that says what it shows.

    A stored notebook keeps both: the PNG with the sentence as text alternative, and the sentence.
    The picture is made once it is wanted: `make()` returns one, and the result is put into it.
    """

    def __init__(self, make, result, sentence):
        self._make, self._result, self.sentence = make, result, " ".join(sentence.split())

    @cached_property
    def picture(self):
        """The figure with the result in it."""
        picture = self._make()
        picture.update(self._result)
        return picture

    alt = cached_property(lambda self: f"{self.picture.title}. {self.sentence}")
    size = cached_property(lambda self: self.picture.size)

    @cached_property
    def png(self):
        """The picture as a small PNG; `.picture`, the figure behind it, a hundred times larger, is let go."""
        *_, png = self.alt, self.size, self.picture.saved_png()
        del self.picture
        return png

    def _repr_mimebundle_(self, include=None, exclude=None):
        width, height = self.size
        data = {"image/png": self.png, "text/plain": self.sentence}
        return data, {"image/png": {"alt": self.alt, "width": width, "height": height}}

    def __repr__(self):
        return self.sentence

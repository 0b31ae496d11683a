"""The page itself: its parts, and how they are written as HTML, as Markdown and in a notebook."""

from dataclasses import dataclass, field
from datetime import date as Date
from itertools import chain, groupby

from IPython.display import display

from dragwork.escaping import in_markdown
from dragwork.quantities import Estimate, true_minus
from dragwork.teaching.printing import filled, page
from dragwork.teaching.telling import Shown, table
from dragwork.units import to_deg
from dragwork.wording import Sentences

say = Sentences(__package__, "words.json")


def listed(names, word="and"):
    """Names in words: 'A, B and C'; 'A, B or C' by another word."""
    *most, last = (str(name) for name in names)
    return f"{', '.join(most)} {word} {last}" if most else last


def degrees(angle):
    """An angle [rad] in words: `10°`."""
    return true_minus(f"{to_deg(angle):.3g}°")


@dataclass(frozen=True)
class Table:
    """Rows of a table, each a dict of column to text, with a caption; folded: pressed to be seen."""

    rows: tuple
    caption: str
    folded: bool = False


@dataclass(frozen=True)
class Part:
    """A part of the page: a heading, then paragraphs (str), lists (tuple), pictures, tables.

    new_page: printed, it begins on a page of its own; small: in small print; brief: what the first
    page says of a part that stands further down.
    """

    heading: str
    pieces: tuple
    new_page: bool = False
    small: bool = False
    brief: str = ""


class Found:
    """What a form found, `.pieces` as of a `Part`: on a page in Markdown, below its questions in HTML.

    Besides it has by name what a lesson quotes of it.
    """

    def __init__(self, pieces, **quoted):
        self.pieces = pieces
        vars(self).update(quoted)

    def markdown(self):
        """The result as a page prints it."""
        return "\n\n".join(map(_as_markdown, self.pieces))

    def body(self, level):
        """The result as HTML, below a heading of that level."""
        return filled("report/pieces.html", pieces=self.pieces)


@dataclass(frozen=True, eq=False)
class Report:
    """The page, and the numbers on it.

    .watts [W at the crank, at the rider's own speed] and .seconds [s over the road], each an
    `Estimate`, positive where `after` is better; .planning, the seconds at 80 %; .assumed, the seconds
    exactly as assumed, without any uncertainty, where they are told;
    .sentences; .settings, by name, all that made the page; .spoken, what to say to a friend; .fold,
    what to press in a notebook to see the parts (printed they are open); .carried, the `Carried` that
    the numbers are read from, of a page of measurements.
    """

    title: str
    answer: tuple
    parts: tuple
    watts: Estimate
    seconds: Estimate
    planning: Estimate
    settings: dict
    date: Date = field(default_factory=Date.today)
    assumed: float | None = None
    spoken: str = ""
    fold: str = ""
    carried: object = None

    @property
    def sentences(self):
        """Every paragraph and list item of the page, in order, each picture by its sentence."""
        pieces = [piece for part in self.parts for piece in part.pieces if not isinstance(piece, Table)]
        said = (piece if isinstance(piece, tuple) else [getattr(piece, "sentence", piece)] for piece in pieces)
        return (*self.answer, *chain.from_iterable(said))

    def html(self):
        """The page as one self-contained HTML file."""
        body = filled("report/report.html", report=self, level=1)
        return page(self.title, body, "report/report.css", "report/print.css")

    def body(self, level):
        """The page's content as HTML, its title a heading of that level."""
        return filled("report/body.html", report=self, level=level)

    def markdown(self):
        """The page's words as Markdown, without its date; pictures by their sentences."""
        return "\n\n".join(p if isinstance(p, str) else f"*{in_markdown(p.sentence)}*" for p in self._in_markdown())

    def _in_markdown(self):
        """Paragraphs of Markdown, and between them the pictures."""
        yield f"### {in_markdown(self.title)}"
        yield from map(in_markdown, self.answer)
        for part in self.parts:
            if part.heading:
                yield f"#### {in_markdown(part.heading)}"
            yield from (piece if isinstance(piece, Shown) else _as_markdown(piece) for piece in part.pieces)

    def _ipython_display_(self):
        """The page in a notebook: its words, and each picture where it belongs."""
        for in_words, pieces in groupby(self._in_markdown(), lambda piece: isinstance(piece, str)):
            if in_words:
                said = "\n\n".join(pieces)
                display({"text/markdown": said, "text/plain": said}, raw=True)
            else:
                display(*pieces)

    def __repr__(self):
        return self.markdown()


def _as_markdown(piece):
    if isinstance(piece, str):
        return in_markdown(piece)
    if isinstance(piece, tuple):
        return "\n".join(f"- {in_markdown(item)}" for item in piece)
    caption, fold = ("", piece.caption) if piece.folded else (piece.caption, "")
    return table(piece.rows, caption, fold).markdown

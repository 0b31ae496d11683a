"""The page itself: its parts, and how they are written as HTML, as Markdown and in a notebook."""

from dataclasses import dataclass, field
from datetime import date as Date
from html import escape
from itertools import groupby

from IPython.display import display

from dragwork.escaping import in_markdown
from dragwork.quantities import Estimate, true_minus
from dragwork.teaching.printing import figure, page
from dragwork.teaching.telling import Shown, html_table, table
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
        return "".join(map(_as_html, self.pieces))


@dataclass(frozen=True, eq=False)
class Report:
    """The page, and the numbers on it.

    .watts [W at the crank, at the rider's own speed] and .seconds [s over the road], each an
    `Estimate`, positive where `after` is better; .planning, the seconds at 80 %; .assumed, the seconds
    exactly as assumed, without any uncertainty, where they are told; .table, the legs;
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
    table: tuple = ()
    date: Date = field(default_factory=Date.today)
    assumed: float | None = None
    spoken: str = ""
    fold: str = ""
    carried: object = None

    @property
    def sentences(self):
        """Every paragraph and list item of the page, in order, each picture by its sentence."""
        said = list(self.answer)
        for piece in (piece for part in self.parts for piece in part.pieces):
            if isinstance(piece, str | Shown):
                said.append(getattr(piece, "sentence", piece))
            elif isinstance(piece, tuple):
                said.extend(piece)
        return tuple(said)

    def html(self):
        """The page as one self-contained HTML file."""
        made = f'<p class="date">Made on {self.date.isoformat()}.</p>'
        body = f'<main class="dragwork-page">\n{made}\n{self.body(1)}\n</main>'
        return page(self.title, body, "report/report.css", "report/print.css")

    def body(self, level):
        """The page's content as HTML, its title a heading of that level."""
        lines = [f'<h{level} class="title">{escape(self.title)}</h{level}>']
        lines += [f'<p class="answer">{escape(sentence)}</p>' for sentence in self.answer]
        folded = self.fold and level > 1
        lines += [f"<details><summary>{escape(self.fold)}</summary>"] * bool(folded)
        for part in self.parts:
            look = "part new-page" if part.new_page else "part"
            if part.heading:
                lines.append(f'<h{level + 1} class="{look}">{escape(part.heading)}</h{level + 1}>')
            pieces = "\n".join(map(_as_html, part.pieces))
            lines.append(f'<div class="small">{pieces}</div>' if part.small else pieces)
        return "\n".join(lines + ["</details>"] * bool(folded))

    def markdown(self, level=3):
        """The page's words as Markdown, without its date; pictures by their sentences."""
        in_words = (p if isinstance(p, str) else f"*{in_markdown(p.sentence)}*"
                    for p in self._in_markdown(level))
        return "\n\n".join(in_words)

    def _in_markdown(self, level):
        """Paragraphs of Markdown, and between them the pictures."""
        yield f"{'#' * level} {in_markdown(self.title)}"
        yield from map(in_markdown, self.answer)
        for part in self.parts:
            if part.heading:
                yield f"{'#' * (level + 1)} {in_markdown(part.heading)}"
            for piece in part.pieces:
                yield piece if isinstance(piece, Shown) else _as_markdown(piece)

    def _ipython_display_(self):
        """The page in a notebook: its words, and each picture where it belongs."""
        for in_words, pieces in groupby(self._in_markdown(3), lambda piece: isinstance(piece, str)):
            if in_words:
                said = "\n\n".join(pieces)
                display({"text/markdown": said, "text/plain": said}, raw=True)
            else:
                display(*pieces)

    def __repr__(self):
        return self.markdown()


def _as_html(piece):
    if isinstance(piece, str):
        return f"<p>{escape(piece)}</p>"
    if isinstance(piece, tuple):
        return "<ul>" + "".join(f"<li>{escape(item)}</li>" for item in piece) + "</ul>"
    if isinstance(piece, Table):
        rows = html_table(piece.rows, piece.caption)
        return f"<details><summary>{escape(piece.caption)}</summary>{rows}</details>" if piece.folded else rows
    return figure(piece.png, piece.alt, piece.size, piece.sentence)


def _as_markdown(piece):
    if isinstance(piece, str):
        return in_markdown(piece)
    if isinstance(piece, tuple):
        return "\n".join(f"- {in_markdown(item)}" for item in piece)
    caption, fold = ("", piece.caption) if piece.folded else (piece.caption, "")
    return table(piece.rows, caption, fold).markdown

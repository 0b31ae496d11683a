"""The workbook on paper: all stored notebooks as one HTML book that needs no network.

`python -m dragwork.teaching.handout [--out FILE] [notebooks...]` makes it from what the notebooks
store, those of this folder or those that the package came with; nothing is run. The same notebooks
make the same bytes.
"""

import argparse
import re
import sys
from base64 import b64decode
from html import escape
from itertools import zip_longest
from pathlib import Path
from urllib.parse import unquote

import nbformat
from latex2mathml.converter import convert
from nbconvert.filters.markdown_mistune import MarkdownWithMath

from dragwork.files import told, write_new
from dragwork.setup.working_copy import notebooks
from dragwork.teaching.book import is_notebook
from dragwork.teaching.printing import Prose, figure, filled, page
from dragwork.teaching.telling import OPEN, TO_OPEN, folded, reference_case

ROW_HEAD = r'<th scope="row">\1</th>'
_FOLDED = re.compile(r"<details>\s*<summary>(.*?)</summary>(.*?)</details>", re.DOTALL)
_START = re.compile(r"^(?:.*<button|The button runs every cell).*\n?", re.MULTILINE)
_QUESTION = re.compile(r"^\*\*The question:\*\*\s*(.+)", re.MULTILINE)


def handout(paths, date="", kind=None, about="about_paper.html", more_files=()):
    """The book.

    Parameters
    ----------
    paths : sequence of Path or str
        Stored notebooks, in the order of the chapters.
    date : str
        Printed on the title page; left out where it is empty.
    kind : type, optional
        Of the chapters; by default `Chapter`.
    about : str
        A file of this package: what the title page says about the chapters.
    more_files : sequence of str
        Style sheets and scripts of this package beside the book's own.

    Returns
    -------
    str
        One HTML file that fetches nothing; this book has no scripts.
    """
    paths = [Path(path).resolve() for path in paths]
    anchors = {path: f"{path.parent.name}-{path.stem}" for path in paths}
    chapters = [(kind or Chapter)(path, anchors) for path in anchors]
    body = filled("handout.html", about=about, date=date, chapters=chapters)
    return page("Drag at work", body, "report/report.css", "handout.css", *more_files)


class Chapter(Prose):
    """A notebook as a chapter: .html; for the list of contents .anchor, .number, .title, .question."""

    def __init__(self, path, anchors):
        super().__init__(escape=True)
        self._path, self._anchors, self.anchor = path, anchors, anchors[path]
        self._markdown = MarkdownWithMath(self)
        self.title = self.question = self._heading = self._cell_title = self._cell_id = ""
        self._headings = set()
        self._answers = []
        number = re.match(r"\d+", path.stem)
        self.number = f'<span class="number">{number[0]}</span> ' if number else ""
        pieces = [piece for cell in nbformat.read(path, 4).cells for piece in self._cell(cell)]
        if self._answers:
            pieces += [self.heading("Answers", 2), *self._answers]
        self.html = "\n".join(pieces)

    def _cell(self, cell):
        self._cell_title, self._cell_id = "", cell.get("id", "")
        if cell.cell_type == "markdown":
            yield from self._prose(cell.source)
        elif cell.cell_type == "code":
            if cell.metadata.get("jupyter", {}).get("source_hidden"):
                self._cell_title = escape(cell.source.splitlines()[0].lstrip("# "))
            if shown := "\n".join(self._outputs(cell.outputs)):
                yield _label(self._cell_title) + shown

    def _prose(self, source):
        source = _START.sub("", source)
        question = _QUESTION.search(source)
        if question and not self.question:
            self.question = self._markdown.render(question[1])
        # In turn: prose, the name of something folded away, what is folded away, prose again...
        parts = iter(_FOLDED.split(source))
        for prose, name, answer in zip_longest(parts, parts, parts):
            yield self._markdown.render(prose)
            if answer:
                yield self._put_off(escape(name), self._markdown.render(answer))

    def _outputs(self, outputs):
        said = ""  # under a picture; where nobody moved a slider, once more after it
        for output in outputs:
            data = output.get("data") or {"text/plain": output.get("text", "")}
            words = data.get("text/markdown")
            if "image/png" in data:
                own = {"png": data["image/png"], "said": data["text/plain"]}
                about = output.metadata.get(OPEN, output.metadata["image/png"] | own)
                said, size = about["said"], (about["width"], about["height"])
                shown = figure(b64decode(about["png"]), about["alt"], size, said)
                yield self._picture(shown, said, OPEN in output.metadata)
            elif words is None:
                yield f"<pre>{escape(data['text/plain'])}</pre>"
            elif words not in (reference_case(said), folded(reference_case(said), TO_OPEN)):
                yield from self._prose(words)

    def _picture(self, shown, said, closed):
        """What becomes of a picture, here of its reference case; `closed` where one guesses first."""
        return shown

    def _put_off(self, name, answer):
        """Keep an answer for the end of the chapter; what stands in its place."""
        number = len(self._answers) + 1
        anchor = f"{self.anchor}--answer-{number}"
        label = _label(f"{number}. {self._heading}: {name}")
        self._answers.append(f'<div class="answer-at-end" id="{anchor}">\n{label}{answer}</div>')
        link = f'<a href="#{anchor}">answer {number}</a>'
        return f'<p class="see">{name}: {link}, at the end of the chapter.</p>'

    # -- Markdown, where the book differs ---------------------------------------------------------

    def heading(self, text, level, **attributes):
        """One level lower: the book's title is the first."""
        self._heading = text
        if level == 1:
            self.title = text
            return f"<h2>{self.number}{text}</h2>\n"
        name = f"{self.anchor}--{text.replace(' ', '-')}"  # as the notebook's own links have it
        anchor = "" if name in self._headings else f' id="{escape(name)}"'
        self._headings.add(name)
        level = min(level + 1, 6)
        return f"<h{level}{anchor}>{text}</h{level}>\n"

    def link(self, text, url, title=None):
        """Between notebooks: within the book. Other files are not in it; their names remain."""
        if re.match(r"https?:", url):
            return super().link(text, url, title)
        file, _, heading = unquote(url).partition("#")
        chapter = self._anchors.get((self._path.parent / file).resolve() if file else self._path)
        if chapter is None:
            return text
        target = f"{chapter}--{heading}" if heading else chapter
        return f'<a href="#{escape(target)}">{text}</a>'

    def table(self, text):
        """Its caption is what is above it, and seen there: the title of its cell, or the heading."""
        return f'<table>\n<caption class="unseen">{self._cell_title or self._heading}</caption>\n{text}</table>\n'

    def table_row(self, text):
        """The first cell names the row, unless it is empty."""
        return f"<tr>\n{re.sub('^<td>(?!</td>)(.*?)</td>', ROW_HEAD, text, count=1, flags=re.DOTALL)}</tr>\n"

    def inline_math(self, body, display="inline"):
        """TeX as MathML."""
        upright = body.replace(r"\mathrm", r"\text")  # a single letter would be slanted
        return convert(upright, display=display)

    def block_math(self, body):
        """TeX on a line of its own as MathML."""
        return self.inline_math(body, "block")


def _label(text):
    return f'<p class="label">{text}</p>\n' if text else ""


def main(arguments, name="handout", make=handout, about=__doc__):
    """Run the command of this book or of another; return its exit code."""
    parser = argparse.ArgumentParser(prog=f"python -m dragwork.teaching.{name}", description=about)
    parser.add_argument("--out", default=f"{name}.html", help="the file to write")
    parser.add_argument("--date", default="", help="what the title page says of its date")
    parser.add_argument("notebooks", nargs="*", help="default: all in workbook/ and exercises/")
    options = parser.parse_args(arguments)
    pages = options.notebooks or notebooks()
    if missing := [name for name in pages if not Path(name).is_file()]:
        parser.error(f"no notebook here: {', '.join(missing)}.")
    if strange := [str(name) for name in pages if not is_notebook(name)]:
        parser.error(f"no notebook that can be read: {', '.join(strange)}.")
    try:
        page = make(pages, options.date).encode()
        place = write_new(options.out, page)
    except ValueError as error:
        parser.error(str(error))
    print(f"{told(place, options.out)}: {len(pages)} notebooks, {len(page) / 1e6:.1f} MB.")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

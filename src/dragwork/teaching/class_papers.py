"""Papers for those who lead: the answer key of a class, worksheets to write on, numbers to mark by.

In the project's folder:

`python -m dragwork.teaching.class_papers key Ada Bram --notebook 08` prints what is right for each
learner, and the number that each slip leads to. `... worksheet 08 Ada Bram` writes one HTML page
with a paper for each of them, to print; `... worksheet check` has the fourteen questions of the
check. Without names both have the numbers of the lesson. `... capstone` prints what there is to
find in the capstone's brief. `... evening` writes the cards and sheets of a club night.
"""

import argparse
import re
import sys
from ast import literal_eval
from dataclasses import dataclass
from functools import partial
from html import escape
from itertools import groupby
from operator import itemgetter
from pathlib import Path

import mistune
import nbformat
import pandas as pd

from dragwork.escaping import in_spreadsheet
from dragwork.files import told, write_new
from dragwork.setup.working_copy import notebooks
from dragwork.teaching import evening_papers
from dragwork.teaching.capstone import numbers_to_mark_by
from dragwork.teaching.lessons import calls_in, title_of
from dragwork.teaching.printing import CannotPrint, Prose, filled, page, print_page
from dragwork.teaching.questions import KINDS, Question, ask
from dragwork.teaching.questions.question import CLOCK
from dragwork.teaching.questions.sets import questions_of

LONGEST_NAME = 40  # letters, as in the workbook's own question
MOST_NAMES = 200  # on one command
_FORMS = {  # and what the key says of where a question is
    "box": "alone", "faded": "less and less help", "practice": "mixed set", "warm_up": "warm-up",
}  # fmt: skip
CHECK = (  # asked before a course, after it, and three weeks later
    "M01", "M04", "M05", "M08", "M10", "M12", "M13", "M14", "M16", "M19", "M27", "M30", "M37", "M38",
)  # fmt: skip
NO_NAME = "the lesson's numbers"
RIGHT = "right"


@dataclass(frozen=True)
class Asked:
    """A question with a learner's numbers, and where it stands.

    Parameters
    ----------
    where : str
        'exercises/08, mixed set 2'.
    question : Question
    given : str
        Help that stands below the prompt from the start.
    """

    where: str
    question: Question
    given: str = ""


# -- what a notebook asks ---------------------------------------------------------------------------


def find_notebook(number, root="."):
    """The exercise notebook of a number, or the notebook that a path begins with.

    Parameters
    ----------
    number : str
        '08', or 'workbook/08' for the lesson itself.
    root : Path or str
        The project's folder.

    Returns
    -------
    Path

    Raises
    ------
    ValueError
        Where there is none, in words.
    """
    folder, _, start = str(number).strip().rpartition("/")
    folder = folder or "exercises"
    start = start.removesuffix(".ipynb")
    there = sorted(Path(root, folder).glob("[0-9][0-9]_*.ipynb"))
    found = [path for path in there if start and path.stem.startswith(start)]
    if len(found) != 1:
        numbers = ", ".join(path.stem[:2] for path in there)
        known = f"there are {numbers}" if there else "start this in the project's folder"
        raise ValueError(f"there is no notebook '{number}' in {folder}; {known}.")
    return found[0]


def asked_in(path, learner=None):
    """All that a notebook asks a learner, in its order.

    Parameters
    ----------
    path : Path or str
    learner : str, optional
        None for the lesson's numbers.

    Returns
    -------
    list of Asked
    """
    cells = nbformat.read(path, as_version=4).cells
    return [asked for cell in cells for asked in _asked_by(cell, path, learner)]


def asked_by_id(ids, series, learner=None):
    """Questions by their ids, else as `asked_in`.

    Without a series they have the numbers of single boxes; another series has other numbers.
    """
    where = f"series {series}" if series else _FORMS["practice"]
    return [Asked(where, ask(id, learner, series)) for id in ids]


def read_ids(text):
    """Ids apart by commas, or 'check' for the fourteen of the check."""
    return CHECK if text == "check" else tuple(id.strip() for id in text.split(",") if id.strip())


def _asked_by(cell, path, learner):
    """The questions of the forms in a cell of a notebook, with the numbers that forms give them."""
    for form, arguments in calls_in(cell, *_FORMS):
        where = f"{Path(path).resolve().parent.name}/{Path(path).stem[:2]}, {_FORMS[form]}"
        questions = questions_of(form, list(map(literal_eval, arguments)), learner)
        for number, (question, given) in enumerate(questions, 1):
            place = f"{where} {number}" if len(questions) > 1 else where
            yield Asked(place, question, given)


# -- the key ----------------------------------------------------------------------------------------


def key(learners, questions):
    """The answer key as rows: one for the right answer, and one for each slip.

    Parameters
    ----------
    learners : sequence of str or None
        None has the lesson's numbers.
    questions : callable
        learner -> list of Asked.

    Returns
    -------
    list of dict
        learner, where, question, prompt, means ('right' or the id of a slip), number, unit.
    """
    return [
        {
            "learner": learner or NO_NAME,
            "where": asked.where,
            "question": asked.question.id,
            "prompt": asked.question.prompt,
            "means": means,
            "number": _number(asked.question, value),
            "unit": asked.question.printed_unit,
        }
        for learner in learners
        for asked in questions(learner)
        for means, value in {RIGHT: asked.question.answer, **asked.question.slips}.items()
    ]


def _number(question, value):
    """A number as one would type it: the digits that the prompt asks for, more where it is tiny."""
    if question.unit == CLOCK:
        return value
    digits = question.kind.digits
    rounded = f"{value:.{digits}f}"
    return rounded if value == 0 or abs(value) >= 10.0 ** (1 - digits) else f"{value:.2g}"


def as_text(rows):
    """The rows of a key to read, or to print."""
    asked = itemgetter("where", "question", "prompt")
    learners = ((name, groupby(theirs, asked)) for name, theirs in groupby(rows, itemgetter("learner")))
    return filled("key.md", learners=learners, kinds=KINDS, right=RIGHT)


# -- the worksheet ----------------------------------------------------------------------------------

_WAY_ON = "## When you have done it"
_AFTERWARDS = re.compile(  # what to check one's own work by, when it is done
    r"^### What a good answer contains\n.*?(?=^#|\Z)|^A good minute of it:\n.*?(?=^#|\Z)", re.M | re.S
)


class _OnPaper(Prose):
    """A notebook's prose on paper: headings one level lower, links as their words."""

    def heading(self, text, level, **attributes):
        return f"<h{level + 1}>{text}</h{level + 1}>\n"

    def link(self, text, url, title=None):
        return text


def worksheet(path, learners):
    """An exercise notebook as papers to write on, one for each learner. It holds no answers.

    Parameters
    ----------
    path : Path or str
        An exercise notebook.
    learners : sequence of str or None

    Returns
    -------
    str
        One HTML file: no scripts, nothing fetched.
    """
    first, *cells = nbformat.read(path, as_version=4).cells
    markdown = mistune.create_markdown(renderer=_OnPaper(escape=True), plugins=["table"])
    papers = []
    for learner in learners:
        pieces = []
        for cell in cells:
            if cell.cell_type == "markdown":
                pieces.append(markdown(_for_paper(cell.source)))
            else:
                shown = (output.get("data", {}).get("text/markdown") for output in cell.outputs)
                pieces += list(_asked_by(cell, path, learner)) or map(markdown, filter(None, shown))
        papers.append(_paper(markdown(_for_paper(first.source)), learner, pieces))
    return _sheet(title_of([first]), papers)


def question_sheet(ids, series, learners):
    """Questions by their ids as papers to write on; else as `worksheet`."""
    title = f"{len(ids)} questions{f', {series}' if series else ''}"
    head = f"<h2>{escape(title)}</h2>\n"
    papers = [_paper(head, learner, asked_by_id(ids, series, learner)) for learner in learners]
    return _sheet(title, papers)


def _paper(head, learner, pieces):
    """A learner's paper as HTML: its head, and pieces of HTML or `Asked`."""
    return filled("worksheet.html", head=head, learner=learner, pieces=pieces, clock=CLOCK)


def _sheet(title, papers):
    return page(title, filled("class_papers.html", title=title, papers=papers), "class_papers.css")


def _for_paper(source):
    """Prose without what needs a screen (start button, boxes, the way on), or gives answers away."""
    if source.startswith(_WAY_ON):
        return ""
    blocks = _AFTERWARDS.sub("", source).split("\n\n")
    return "\n\n".join(b for b in blocks if "<button" not in b and "*Check*" not in b)


# -- the command ------------------------------------------------------------------------------------


def read_names(names, file=None):
    """The learners of a class: names typed, and a file with one a line.

    Parameters
    ----------
    names : sequence of str
    file : Path or str, optional

    Returns
    -------
    list of str or None
        [None], the lesson's numbers, where there is no name at all.

    Raises
    ------
    ValueError
        For a name that cannot be one, a name twice, or a file that cannot be read, in words.
    """
    try:
        lines = Path(file).read_text(encoding="utf-8-sig").splitlines() if file else []
    except (OSError, UnicodeDecodeError) as error:
        reason = getattr(error, "strerror", None) or "it is not UTF-8 text"
        raise ValueError(f"the names in {file} could not be read: {reason}.") from None
    found = [" ".join(name.split()) for name in [*names, *filter(str.strip, lines)]]
    for name in found:
        if not 1 <= len(name) <= LONGEST_NAME:
            raise ValueError(f"'{name}' is no name: 1 to {LONGEST_NAME} letters, as the learner typed it.")
    if len({name.casefold() for name in found}) < len(found):
        raise ValueError("a name stands there twice. Two learners of one name have the same numbers.")
    if len(found) > MOST_NAMES:
        raise ValueError(f"{len(found)} names are too many for one paper; at most {MOST_NAMES}.")
    return found or [None]


def _parser():
    parser = argparse.ArgumentParser(
        prog="python -m dragwork.teaching.class_papers",
        description="Papers for those who lead: an answer key, worksheets, numbers to mark by.",
    )
    papers = parser.add_subparsers(dest="paper", required=True)

    def paper(name, make, about, out=""):
        command = papers.add_parser(name, help=about)
        command.set_defaults(make=make)
        wanted = "the file to write; a page whose name ends in .pdf is printed to it"
        command.add_argument("--out", default=out, help=wanted)
        return command

    answers = paper("key", _key, "what is right for each learner, each slip's number")
    answers.add_argument("--questions", help="ids with commas: M01,M05; or: check")
    answers.add_argument("--notebook", help="all that it asks: 08 (exercises), or workbook/08")
    answers.add_argument("--csv", action="store_true", help="for a spreadsheet")
    sheet = paper("worksheet", _worksheet, "a page to print and to write on, no answers", "worksheet.html")
    sheet.add_argument("what", help="an exercise notebook: 08; ids: M01,M05; or: check")
    for each in (answers, sheet):
        each.add_argument("names", nargs="*", help="as the learners typed them in notebook 00")
        each.add_argument("--names-from", help="a file of names, one a line")
        each.add_argument("--series", default="", help="other numbers for ids: before, after, later")
    paper("capstone", lambda _: numbers_to_mark_by(), "what there is to find in its brief")
    paper("evening", _evening, "cards and sheets of a club night, to print", "evening_papers.html")
    return parser


def main(arguments):
    """Run the command; return its exit code."""
    options = _parser().parse_args(arguments)
    try:
        text = options.make(options)
        if out := options.out:
            print(f"Written to {told(write_new(out, _as_file(text, out)), out)}.")
        else:
            print(text, end="")
    except (OSError, ValueError, CannotPrint) as error:
        print(error, file=sys.stderr)
        return 2
    return 0


def _as_file(text, out):
    """What is written: a page that is to be a PDF is printed by a browser of this computer."""
    is_printed = Path(out).suffix.lower() == ".pdf" and text.startswith("<!doctype")
    return print_page(text) if is_printed else text.encode()


def _key(options):
    if bool(options.questions) == bool(options.notebook):
        raise ValueError("say what the key is for: --questions M01,M05 or --notebook 08.")
    if options.notebook:
        questions = partial(asked_in, find_notebook(options.notebook))
    else:
        questions = partial(asked_by_id, read_ids(options.questions), options.series)
    rows = key(read_names(options.names, options.names_from), questions)
    if not rows:
        raise ValueError(f"'{options.notebook or options.questions}' asks no question with a number.")
    if options.csv:
        return pd.DataFrame(rows).map(in_spreadsheet).to_csv(index=False, lineterminator="\n")
    return as_text(rows)


def _worksheet(options):
    learners = read_names(options.names, options.names_from)
    if options.what == "check" or options.what.upper().startswith("M"):
        return question_sheet(read_ids(options.what), options.series, learners)
    return worksheet(find_notebook(options.what), learners)


def _evening(options):
    return _sheet("Papers for a club night", evening_papers.papers(notebooks()))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

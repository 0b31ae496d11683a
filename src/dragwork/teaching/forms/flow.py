"""Questions asked one at a time. What is asked is data; what happens is here; widgets are in `flow_view`.

A question has fields, which hold what was chosen or typed. It reads them into an answer, or says
in words what would help. Each answer stands as a sentence. A question may look at the answers
before it, never at those after it.
"""

import re
import zlib
from base64 import b85decode, b85encode
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache, partial
from uuid import uuid4

from dragwork.escaping import in_markdown
from dragwork.files import write_in_one_step
from dragwork.teaching.forms.fields import Choice, Field, File, Typed, Upload, field_of  # noqa: F401
from dragwork.teaching.forms.flow_view import FlowView
from dragwork.teaching.forms.form import Form, write_beside
from dragwork.teaching.printing import print_page
from dragwork.teaching.report import listed
from dragwork.wording import filled_in, words_in

MOST = 2_000_000  # letters of a packed file: a ride of some 15 MB
DRAFTS = 3  # of one form: those of other tabs and evenings stay until there are more


@dataclass(frozen=True)
class FlowQuestion:
    """One question.

    Parameters
    ----------
    name : str
        Key of its answer.
    prompt : str
        'Which road?'
    hint : str
        A sentence that helps to answer it.
    fields : tuple of Field
    read : callable
        read(values, answers) -> the answer. `values` holds the checked values of the fields that
        are shown. Raises ValueError in words.
    sentence : callable
        sentence(answer, answers) -> str, what was understood.
    optional : bool
        It is taken as answered by what its fields start with, until somebody changes it. Such
        questions stand last.
    """

    name: str
    prompt: str
    hint: str
    fields: tuple
    read: Callable
    sentence: Callable
    optional: bool = False

    def shown(self, typed):
        """The fields that are asked, given what stands in the others."""
        return tuple(f for f in self.fields if f.asked(typed))

    def answer(self, typed, answers):
        """Read what was typed; ValueError in words where that cannot be, with the field's name."""
        return self.read(checked(self.shown(typed), typed, answers), answers)


def checked(fields, typed, answers):
    """The values of fields, by name, from what was typed in them; ValueError as of `FlowQuestion.answer`."""
    values = {}
    for field in fields:
        try:
            values[field.name] = field.check(typed[field.name], answers)
        except ValueError as error:
            error.field = field.name
            raise
    return values


class FormWords:
    """The words of a form; `words("fits", booked="3 h")` is a sentence of its table, filled as by `filled_in`.

    Parameters
    ----------
    name : str
        A JSON file beside the forms. "questions": by name "prompt", "hint", "optional", "fields" (by
        name what `field_of` takes, or a name of fields that are shared) and "says", the sentence of an
        answer, with its fields, in their own words, and what else it holds in braces. "says": sentences
        by name. "tables": by name the columns of a table, each with what its cells say.

    Attributes
    ----------
    table : dict
        All that the file holds.
    by_name : dict
        Field name to the field of the table.
    """

    def __init__(self, name):
        self.table, self.by_name = words_in(__package__, name), {}

    def __call__(self, name, /, *values, **named):
        return filled_in(self.table["says"][name], named, values)

    def rows(self, table, things):
        """The rows of a table, from what its cells have in braces: a dict for each."""
        columns = self.table["tables"][table].items()
        return [{column: filled_in(cell, thing) for column, cell in columns} for thing in things]

    def value(self, field, value):
        """A value of a field [SI] as a sentence has it: `0.320 m²`."""
        return self.by_name[field].knob.words(value)

    def questions(self, answers=(), sentences=(), kinds=(), **more):
        """The questions of the table, in its order.

        Parameters
        ----------
        answers : dict, optional
            Question name to `read` of a `FlowQuestion`; without it the answer is the values.
        sentences : dict, optional
            Question name to `sentence`; without it the table says it.
        kinds : dict, optional
            Question name to its class, where that is not `FlowQuestion`.
        **more
            As of `fields`; "numbers" fill a question's hint too.

        Returns
        -------
        tuple of FlowQuestion
        """
        reads, sentences, kinds, made = dict(answers), dict(sentences), dict(kinds), []
        for name, about in self.table["questions"].items():
            fields = self.fields(about["fields"], **more)
            hint = about["hint"].format(**more.get("numbers", {}))
            read = reads.get(name, lambda values, answers: values)
            sentence = sentences.get(name) or partial(_said, about["says"], fields)
            kind, optional = kinds.get(name, FlowQuestion), about.get("optional", False)
            made.append(kind(name, about["prompt"], hint, fields, read, sentence, optional))
        return tuple(made)

    def fields(self, table, reads=(), options=(), shared=(), numbers=()):
        """Fields of a table.

        Parameters
        ----------
        table : dict
            Field name to what `field_of` takes; or to a name of fields that are shared.
        reads, options : dict, optional
            Field name to what reads what was typed, or to options(answers), the first of a `Choice`.
        shared : dict, optional
            Fields that several forms have, by the names that the table uses.
        numbers : dict, optional
            What hints, labels, starts and options have in braces.

        Returns
        -------
        tuple of Field
        """
        reads, options, shared, numbers = map(dict, (reads, options, shared, numbers))
        made = []
        for name, about in table.items():
            if isinstance(about, str):
                made += shared[about]
                continue
            told = {key: about[key].format(**numbers) for key in ("label", "hint", "start") if key in about}
            if name in options or "options" in about:
                always = {value: words.format(**numbers) for value, words in about.get("options", {}).items()}
                told["options"] = partial(_offered, options.get(name), always)
            self.by_name[name] = field_of(name, **about | told, read=reads.get(name))
            made.append(self.by_name[name])
        return tuple(made)


def _offered(options, always, answers):
    return options(answers) | always if options else always


def _said(template, fields, answer, answers):
    words = {field.name: field.words(answer[field.name], answers) for field in fields if field.name in answer}
    return filled_in(template, answer | words)


class Flow(Form):
    """Questions in a row, their answers, and what the answers make.

    Parameters
    ----------
    questions : sequence of FlowQuestion, optional
    finish : callable, optional
        finish(answers) -> the result, once all questions are answered. A class of a form has both.
    profile : Profile, optional

    Attributes
    ----------
    words : dict
        What the table of the form says of it: "title" and "made", what a screen reader calls the
        form, and says once there is a result; "draft", by which the learner's file knows answers
        that are not finished, none where it is left out; and "buttons" below the questions, each
        with "label", "tooltip", "do", a method that writes files, "then", what to say of them, and
        "early" where it is offered before the questions are answered.
    draft : str
        The kind under which answers that are not finished are kept; '' keeps none.
    typed : dict
        Field name to what stands in it; nothing typed is ever lost.
    answers : dict
        Question name to answer, up to the first question that is open.
    remarks : dict
        Question name to a sentence that helps, where what was typed cannot be used.
    at_fault : dict
        Question name to the name of the field that the sentence is about, or None for all.
    result
        What `finish` made, or None while a question is open.
    """

    view = FlowView
    words, questions, finish = {}, (), None
    progress = None  # told the share of a long answer that is done, 0 to 1

    def __init__(self, questions=None, finish=None, profile=None):
        super().__init__(profile)
        self.questions = tuple(questions or self.questions)
        self.finish = finish or self.finish
        self.draft = f"draft: {self.words['draft']}" if "draft" in self.words else ""
        self.typed = {field.name: field.start for q in self.questions for field in q.fields}
        self.answers, self.remarks, self.at_fault, self.result = {}, {}, {}, None
        # Question name -> what was typed when its answer was accepted.
        self._given = {q.name: self._typed_for(q) for q in self.questions if q.optional}
        self._draft_name = uuid4().hex[:8]

    @property
    def open(self):
        """The first question without an answer, or None."""
        return next((q for q in self.questions if q.name not in self.answers), None)

    @property
    def sentences(self):
        """The sentences that the answers made, in order."""
        return tuple(self.sentence(q) for q in self.questions if q.name in self.answers)

    def found(self, missing):
        """The result; ValueError in words while a question is open: `There is no plan yet: ...`."""
        if self.result is None:
            raise ValueError(f"{missing} yet: '{self.open.prompt}' is open.")
        return self.result

    def press(self, do, then, **_):
        """Do what a button of `words` says, and tell in its words where that was written.

        Raises ValueError, OSError or CannotPrint, with words where it cannot be.
        """
        paths = getattr(self, do)()
        return then.format(*paths if isinstance(paths, tuple) else [paths])

    def sentence(self, question):
        """What was understood of a question's answer."""
        said = " ".join(question.sentence(self.answers[question.name], self.answers).split())
        return re.sub(r"(?<!\.)\.\.(?!\.)", ".", said)  # where what was typed ends a sentence by itself

    # -- what is answered -----------------------------------------------------------------------------

    def type(self, name, value):
        """Note what stands in a field. Nothing is read yet."""
        self.typed[name] = value

    def submit(self, *questions):
        """Read what was typed for a question, or for several in their order, and all that follows from it.

        Returns
        -------
        bool
            True if it was accepted. Otherwise the answers and the result stay as they were, and
            `remarks` says what would help with a question that came alone.
        """
        given = self._given | {q.name: self._typed_for(q) for q in questions}
        try:
            found = self._follow(questions, given)
        except ValueError as error:
            if len(questions) == 1:
                self.remarks[questions[0].name] = str(error)
                self.at_fault[questions[0].name] = getattr(error, "field", None)
            return False
        self._given, (self.answers, self.remarks, self.result) = given, found
        for field in (field for q in questions for field in q.shown(self.typed)):
            self.typed[field.name] = field.tidy(self.typed[field.name])
        return True

    def _typed_for(self, question):
        return {field.name: self.typed[field.name] for field in question.fields}

    def _follow(self, questions, given):
        """Answers from the first of these questions on, with what was accepted for others.

        A later answer that no longer fits opens its question again, with a remark; the answers
        after it wait until it is mended.
        """
        start, asked = self.questions.index(questions[0]), {q.name for q in questions}
        answers = {q.name: self.answers[q.name] for q in self.questions[:start] if q.name in self.answers}
        remarks = {name: text for name, text in self.remarks.items() if name not in asked}
        for question in self.questions[len(answers) :]:
            if question.name not in given:
                break
            try:
                answers[question.name] = question.answer(given[question.name], answers)
            except ValueError as error:
                if question.name in asked:
                    raise
                remarks[question.name] = str(error)
                break
        if not asked <= answers.keys():
            raise ValueError(f"First comes the question '{self.questions[len(answers)].prompt}'")
        return answers, remarks, self.finish(answers) if len(answers) == len(self.questions) else None

    def answer(self, **typed):
        """Answer by code, as a person would by hand: `flow.answer(road="Long Hill 10")`.

        Parameters
        ----------
        **typed
            Field name to what is chosen or typed. Questions are answered in their order.

        Raises
        ------
        ValueError
            For an unknown field, or for the first answer that cannot be used, in words; what was
            accepted before stays.
        """
        unknown = [name for name in typed if name not in self.typed]
        if unknown:
            raise ValueError(f"'{unknown[0]}' is not asked here; asked are {listed(self.typed, 'or')}.")
        self.typed |= typed
        asked = [q for q in self.questions if any(field.name in typed for field in q.fields)]
        # The result is made once, for all of them; one after the other where one of them is refused.
        if len(asked) > 1 and self.submit(*asked):
            return
        for question in asked:
            if not self.submit(question):
                raise ValueError(self.remarks[question.name])

    def answer_all(self, **typed):
        """Answer all questions by code, fields that are not named as they stand; see `answer`."""
        self.answer(**self.typed | typed)

    # -- answers that survive -------------------------------------------------------------------------

    def keep_draft(self):
        """Keep what stands in the fields, and what is answered, in the learner's file."""
        if self.draft:
            given = {
                name: packed({f: v for f, v in fields.items() if v != self.typed[f]})
                for name, fields in self._given.items()
                if name in self.answers
            }
            kept = {"typed": packed(self.typed), "given": given}
            self.profile.keep_named(self.draft, self._draft_name, DRAFTS, **kept)

    @property
    def drafts(self):
        """What was answered here before, newest first: name to what is kept of it."""
        kept = self.profile.named(self.draft)
        return {name: each for name, each in kept.items() if name != self._draft_name}

    def go_on(self, name, kept):
        """Take up answers of before: one of `drafts`. What no longer fits is asked again."""
        first, stood = self.questions[0], unpacked(kept["typed"])
        typed = {field: stood.get(field, start) for field, start in self.typed.items()}
        given = {
            q.name: {f.name: typed[f.name] for f in q.fields} | unpacked(kept["given"][q.name])
            for q in self.questions
            if q.name in kept["given"]
        }
        self._given |= given
        self.typed = typed | given.get(first.name, {})
        while given and not self.submit(first):
            self._given.pop(given.popitem()[0])
        self.typed = typed
        self.keep_draft()
        self.profile.forget_named(self.draft, name)
        self.follow()

    # -- how it stands --------------------------------------------------------------------------------

    def markdown(self):
        """The questions with their sentences, as a page prints them, and below them the result."""
        lines = []
        for number, q in enumerate(self.questions, 1):
            said = self.sentence(q) if q.name in self.answers else self.remarks.get(q.name, q.hint)
            lines.append(f"{number}. **{in_markdown(q.prompt)}** {in_markdown(said)}")
        made = getattr(self.result, "markdown", str)()
        return "\n".join(lines) + (f"\n\n{made}" if made else "")


class PageFlow(Flow):
    """Questions, then a page. As the last line of a cell it shows itself.

    Subclasses set `file_name`, without its ending. `result` is a `Report` or what writes itself
    as one.
    """

    file_name = "my_page"
    words = words_in(__package__, "page_flow.json")

    def print(self, folder="."):
        """Save the page, and print it to a PDF; both files, errors as of `save`."""
        path = self.save(folder, pdf=True)
        return path, path.with_suffix(".pdf")

    def save(self, folder=".", pdf=False):
        """Write the page beside the notebook, never over an earlier one.

        Parameters
        ----------
        folder : str or path
        pdf : bool
            Print it as well, to a PDF of the same name.

        Returns
        -------
        Path

        Raises
        ------
        ValueError
            While a question is open.
        CannotPrint
            Where a PDF is wanted and no browser prints it; the page itself is saved then.
        """
        html = self.found("The page is not made").html()
        path = write_beside(folder, f"{self.file_name}.html", html)
        if pdf:
            write_in_one_step(path.with_suffix(".pdf"), print_page(html))
        return path


def packed(typed):
    """What stands in fields, as the learner's file keeps it.

    Parameters
    ----------
    typed : dict of str to (str or File)

    Returns
    -------
    dict
        A file as its name and, unless it is too large, its content.
    """
    return {name: _pack(value) for name, value in typed.items()}


def _pack(value):
    if not isinstance(value, File):
        return str(value)
    content = _squeezed(value.content or b"")
    return {"file": value.name, "content": content if len(content) <= MOST else None}


@lru_cache(4)  # it is packed at each key pressed beside it
def _squeezed(content):
    return b85encode(zlib.compress(content)).decode("ascii")


def unpacked(kept):
    """The same again; a file that was too large to be kept has no content."""
    return {name: _unpack(value) for name, value in kept.items()}


def _unpack(value):
    if not isinstance(value, dict):
        return value
    content = value["content"]
    return File(value["file"], content and zlib.decompress(b85decode(content)))


def kept_answers(profile, kind, questions, first=""):
    """What was answered, and kept by name, newest first; what cannot be read any more is left out.

    Parameters
    ----------
    profile : Profile
    kind : str
        Of what is kept by name, with what was "typed".
    questions : tuple of FlowQuestion
    first : str
        The field that a name stands for where nothing was typed in it.

    Returns
    -------
    dict of str to dict
        Name to answers.
    """
    found = {}
    for name, kept in profile.named(kind).items():
        flow = Flow(questions, dict, profile)
        typed = {field: text for field, text in unpacked(kept.get("typed", {})).items() if field in flow.typed}
        with suppress(ValueError):  # too large to be kept, or read otherwise by now
            flow.answer_all(**({first: name} if first else {}) | typed)
            found[name] = flow.result
    return found

"""Questions asked one at a time. What is asked is data; what happens is here; widgets are in `view`.

A question has fields, which hold what was chosen or typed. It reads them into an answer, or says
in words what would help. Each answer stands as a sentence. A question may look at the answers
before it, never at those after it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from dragwork.escaping import in_markdown
from dragwork.teaching.forms.form import either


_MOST_LETTERS = 500  # in one line of what is typed


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
    when : tuple of str, optional
        A field of the question and values: shown, and read, only while it holds one of them.
    """

    name: str
    label: str
    hint: str = ""
    start: object = ""
    when: tuple | None = None


@dataclass(frozen=True)
class Choice(Field):
    """One of a few. `options(answers)` gives a dict of value to words."""

    options: Callable = dict

    def check(self, value, answers):
        """The value; refused in words if it is not one of the options."""
        options = self.options(answers)
        if value in options:
            return value
        if value in ("", None):
            raise ValueError(f"{self.label}: nothing chosen yet. Choose one of {either(options)}.")
        raise ValueError(f"{self.label}: '{value}' is not there. Choose one of {either(options)}.")


@dataclass(frozen=True)
class Typed(Field):
    """A text box; `read(text)` turns it into the value, or raises ValueError in words.

    lines: how many lines the box shows.
    """

    unit: str = ""
    read: Callable = str
    lines: int = 1

    def check(self, value, answers):
        """The value that was typed."""
        most = _MOST_LETTERS * self.lines
        if len(str(value)) > most:
            raise ValueError(f"{self.label}: {len(str(value))} letters are too many; write {most} at the most.")
        try:
            return self.read(value)
        except ValueError as error:
            raise ValueError(_of(self.label, str(error))) from None


@dataclass(frozen=True)
class Upload(Field):
    """A file from the learner's computer; its value is a `File`, a path, or '' for none."""

    accept: str = ""

    def check(self, value, answers):
        """The file; refused in words where there is none."""
        if isinstance(value, File):
            return value
        if value in ("", None):
            raise ValueError(f"{self.label}: no file chosen yet. {self.hint}")
        path = Path(value)
        try:
            return File(path.name, path.read_bytes())
        except OSError as error:
            raise ValueError(f"{path.name} cannot be opened: {error.strerror}.") from None


@dataclass(frozen=True)
class File:
    """A file as it was uploaded."""

    name: str
    content: bytes


@dataclass(frozen=True)
class Question:
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
        return tuple(f for f in self.fields if f.when is None or typed[f.when[0]] in f.when[1:])

    def answer(self, typed, answers):
        """Read what was typed; ValueError in words where that cannot be."""
        values = {f.name: f.check(typed[f.name], answers) for f in self.shown(typed)}
        return self.read(values, answers)


class Flow:
    """Questions in a row, their answers, and what the answers make.

    Parameters
    ----------
    questions : sequence of Question
    finish : callable
        finish(answers) -> the result, once all questions are answered.

    Attributes
    ----------
    typed : dict
        Field name to what stands in it; nothing typed is ever lost.
    answers : dict
        Question name to answer, up to the first question that is open.
    remarks : dict
        Question name to a sentence that helps, where what was typed cannot be used.
    result
        What `finish` made, or None while a question is open.
    """

    def __init__(self, questions, finish):
        self.questions = tuple(questions)
        self.finish = finish
        self.progress = None  # told the share of a long answer that is done, 0 to 1
        self.typed = {field.name: field.start for q in self.questions for field in q.fields}
        self.answers, self.remarks, self.result = {}, {}, None
        # Question name -> what was typed when its answer was accepted.
        self._given = {q.name: self._typed_for(q) for q in self.questions if q.optional}

    @property
    def open(self):
        """The first question without an answer, or None."""
        return next((q for q in self.questions if q.name not in self.answers), None)

    @property
    def sentences(self):
        """The sentences that the answers made, in order."""
        return tuple(self.sentence(q) for q in self.questions if q.name in self.answers)

    def sentence(self, question):
        """What was understood of a question's answer."""
        return " ".join(question.sentence(self.answers[question.name], self.answers).split())

    def type(self, name, value):
        """Note what stands in a field. Nothing is read yet."""
        self.typed[name] = value

    def submit(self, question):
        """Read what was typed for a question, and all that follows from it.

        Returns
        -------
        bool
            True if it was accepted. Otherwise `remarks` says what would help, and the answers and
            the result stay as they were.
        """
        before = self.questions[: self.questions.index(question)]
        missing = next((q for q in before if q.name not in self.answers), None)
        if missing:
            self.remarks[question.name] = f"First comes the question '{missing.prompt}'"
            return False
        given = {**self._given, question.name: self._typed_for(question)}
        try:
            answers, remarks = self._follow(question, given)
            result = self.finish(answers) if len(answers) == len(self.questions) else None
        except ValueError as error:
            self.remarks[question.name] = str(error)
            return False
        self._given, self.answers, self.remarks, self.result = given, answers, remarks, result
        return True

    def _typed_for(self, question):
        return {field.name: self.typed[field.name] for field in question.fields}

    def _follow(self, question, given):
        """Answers from this question on, with what was accepted for the later ones.

        A later answer that no longer fits opens its question again, with a remark; the answers
        after it wait until it is mended.
        """
        start = self.questions.index(question)
        answers = {q.name: self.answers[q.name] for q in self.questions[:start]}
        answers[question.name] = question.answer(given[question.name], answers)
        remarks = {name: text for name, text in self.remarks.items() if name != question.name}
        for later in self.questions[start + 1 :]:
            if later.name not in given:
                break
            try:
                answers[later.name] = later.answer(given[later.name], answers)
            except ValueError as error:
                remarks[later.name] = str(error)
                break
        return answers, remarks

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
            raise ValueError(f"'{unknown[0]}' is not asked here; asked are {either(self.typed)}.")
        for name, value in typed.items():
            self.type(name, value)
        for question in self.questions:
            if any(field.name in typed for field in question.fields) and not self.submit(question):
                raise ValueError(self.remarks[question.name])

    def markdown(self):
        """The questions with their sentences, as a page prints them; open ones with their hint."""
        return "\n".join(
            f"{number}. **{in_markdown(question.prompt)}** {in_markdown(self._standing(question))}"
            for number, question in enumerate(self.questions, 1)
        )

    def _standing(self, question):
        if question.name in self.answers:
            return self.sentence(question)
        return self.remarks.get(question.name, question.hint)

    def __repr__(self):
        return self.markdown()


def _of(label, sentence):
    """Name the field in front of a sentence, unless the sentence does so itself."""
    return sentence if sentence.startswith(label) else f"{label}: {sentence}"

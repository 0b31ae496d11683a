"""Question boxes: one, a mixed set, a warm-up, the same kind three times with less and less help."""

import re

from dragwork.escaping import in_markdown
from dragwork.teaching.figures.two_worlds import in_words, two_worlds
from dragwork.teaching.forms.answer_views import BoxSetView, BoxView
from dragwork.teaching.forms.form import LINE, Form
from dragwork.teaching.profile import Profile
from dragwork.teaching.questions import ask
from dragwork.teaching.questions.question import CLOCK
from dragwork.teaching.questions.sets import faded_stages, place_of, questions_of
from dragwork.teaching.telling import Shown

MISSED = ("slip", "off")
COMES_BACK = 2  # warm-ups in which a missed question is asked again
WARM_UP = "warm-up"  # a place that begins so is a warm-up


class Box(Form):
    """A question with a field for the answer, Check, Hint and Solution.

    By code: `q.check("4.3 W")`, `q.hint()`, `q.solution()`.

    Parameters
    ----------
    question : questions.Question
    place : str
        Where it stands: 'practice'. With it the learner's file knows the answer again.
    profile : Profile
    number : int, optional
        In front of the prompt, in a set.
    given : str
        Help that stands below the prompt from the start.
    facts : dict, optional
        Kept in the learner's file with each answer.

    Attributes
    ----------
    typed : str
        What stands in the field.
    says : str
        What was last said to it.
    slip : str or None
        The slip that was found in it.
    hints : tuple of str
        Those that are open.
    worked : str
        The solution, once it is open.
    wrong : bool
        Whether what was last said to it asks for another answer.
    """

    view = BoxView

    def __init__(self, question, place, profile, number=None, given="", facts=None):
        super().__init__(profile)
        self.question, self.place, self.number, self.given = question, place, number, given
        self.says, self.slip, self.hints, self.worked, self.wrong = "", None, (), "", False
        self.id, self.prompt = question.id, question.prompt
        self.unit = question.printed_unit
        self._key = f"{place}: {self.prompt}"
        self._facts = {"place": place, "question": self.id, "prompt": self.prompt} | (facts or {})
        self.typed = profile.typed(self._key) or self._typed_under_other_words()
        tries = [] if self.typed else profile.entries("attempt", place=place, question=self.id)
        tries = [each["typed"] for each in tries if _numbers(each["prompt"]) == _numbers(self.prompt)]
        if tries:
            self._note(tries[-1])

    def _typed_under_other_words(self):
        """What was left in the field while the question had other words and the same numbers."""
        same = self.place, self.prompt.split()[:1], _numbers(self.prompt)
        for key, text in self.profile.content["typed"].items():
            place, _, prompt = key.partition(": ")
            if (place, prompt.split()[:1], _numbers(prompt)) == same:
                return text
        return ""

    def _note(self, answer):
        """What there is to say to an answer; it stands in the box."""
        feedback = self.question.check(answer)
        self.typed, self.says, self.slip = _as_text(answer), feedback.text, feedback.slip
        self.wrong = feedback.state not in ("right", "close")
        return feedback

    def type(self, text):
        """Keep what stands in the field. Nothing is read yet."""
        if text != self.typed:
            self.typed = text
            self.profile.keep_typed(self._key, text)

    def check(self, answer):
        """What there is to say to an answer; it is kept in the learner's file.

        Parameters
        ----------
        answer : str, number or None

        Returns
        -------
        Feedback
            .state .slip .text, as of `questions.Question.check`.
        """
        feedback = self._note(answer)
        if feedback.state != "blank":
            found = {"typed": self.typed, "state": feedback.state, "slip": feedback.slip}
            self.profile.keep("attempt", **self._facts, **found)
            self.profile.keep_typed(self._key, "")
        self.follow()
        return feedback

    def hint(self, number=None):
        """The next hint, or the one with that number; there are three."""
        said = self.question.hint(number)
        self.hints = tuple(sorted({*self.hints, said}))
        self.follow()
        return said

    def solution(self, i_have_tried=False):
        """The solution, after one try."""
        said = self.question.solution(i_have_tried)
        if self.question.tried or i_have_tried:
            self.worked = said
        else:
            self.says = said
        self.follow()
        return said

    def picture(self):
        """The formula behind the last answer beside the right one; None where no slip is known.

        Returns
        -------
        Shown or None
        """
        worlds = self.question.worlds(self.slip)
        return None if worlds is None else Shown(lambda: two_worlds(worlds), worlds, in_words(worlds))

    def markdown(self):
        number = f"**{self.number}.** " if self.number else ""
        answer = in_markdown(self.typed) or f"{LINE} {'' if self.unit == CLOCK else self.unit}".rstrip()
        parts = [f"{number}{self.prompt} ({self.id})", self.given, f"My answer: {answer}"]
        return "\n\n".join(filter(None, parts))


class BoxSet(Form):
    """Boxes below each other; `s[0]` is the first."""

    view = BoxSetView

    def __init__(self, boxes, profile):
        super().__init__(profile)
        self.boxes = tuple(boxes)

    def __getitem__(self, place):
        return self.boxes[place]

    def markdown(self):
        return "\n\n".join(box.markdown() for box in self.boxes)


def box(id):
    """One question with a field for its answer.

    Parameters
    ----------
    id : str
        `M01` to `M47`: a key of `questions.KINDS`.

    Returns
    -------
    Box
    """
    profile = Profile()
    return Box(ask(id, profile.name), "box", profile)


def practice(*ids):
    """A mixed set of questions; another set has other numbers.

    Parameters
    ----------
    *ids : str
        `"M07", "M10"`.

    Returns
    -------
    BoxSet
    """
    profile = Profile()
    place = place_of("practice", ids)
    asked = enumerate(questions_of("practice", ids, profile.name), 1)
    return BoxSet([Box(question, place, profile, number) for number, (question, _) in asked], profile)


def warm_up(*ids):
    """Short questions of earlier notebooks; those missed lately come first.

    A question whose last answer somewhere was off comes back in the next two warm-ups, with fresh
    numbers, in place of one of those listed. A warm-up that was begun stays as it is.

    Parameters
    ----------
    *ids : str
        Four as a rule.

    Returns
    -------
    BoxSet
    """
    profile = Profile()
    place = place_of(WARM_UP, ids)
    begun = profile.entries("attempt", place=place)
    asked, back = (begun[-1]["asked"], begun[-1]["back"]) if begun else missed_lately(profile, ids)
    boxes, facts = [], {"asked": list(asked), "back": list(back)}
    for number, id in enumerate(asked, 1):
        series = place if profile.name or id in back else ""
        boxes.append(Box(ask(id, profile.name, series), place, profile, number, facts=facts))
    return BoxSet(boxes, profile)


def missed_lately(profile, ids):
    """What a new warm-up asks: questions that come back, then those listed, as many as listed.

    A question comes back whose last answer at some place was off, until two warm-ups were begun
    after it.

    Returns
    -------
    (asked, back)
        Ids, and those of them that came back from earlier.
    """
    last, begun = {}, {}
    for when, entry in enumerate(profile.entries("attempt")):
        last[entry["place"], entry["prompt"]] = when, entry
        if entry["place"].startswith(WARM_UP):
            begun.setdefault(entry["place"], when)
    missed = [
        entry["question"]
        for when, entry in sorted(last.values(), key=lambda each: each[0])
        if entry["state"] in MISSED
        and sum(start > when for start in begun.values()) < COMES_BACK
    ]
    back = list(dict.fromkeys(missed))[: len(ids)]
    return (*back, *(id for id in ids if id not in back))[: len(ids)], tuple(back)


def faded(id):
    """One kind of question three times, with other numbers and less help each time.

    First all steps stand there and the result is missing; then the relation stands there; then
    nothing.

    Parameters
    ----------
    id : str
        `M01` to `M47`: a key of `questions.KINDS`.

    Returns
    -------
    BoxSet
    """
    profile = Profile()
    stages = enumerate(faded_stages(id, profile.name), 1)
    return BoxSet([Box(q, f"faded {n}", profile, n, help) for n, (q, help) in stages], profile)


def _numbers(prompt):
    """The numbers that a question gives: the same question, however it is worded."""
    told = prompt.rsplit(" Answer ", 1)[0]  # how exactly it wants to be answered is no part of it
    return sorted(re.findall(r"\d+(?:\.\d+)?", told))


def _as_text(answer):
    """An answer as it may stand in the field, whatever code handed in."""
    try:
        return "" if answer is None else str(answer)
    except ValueError:  # thousands of digits
        return "a very long number"

"""Questions that know what slip lies behind a number. Plain Python; the boxes are in `forms`."""

from dragwork.teaching.questions import air, chance, power, road, savings, tunnel, wind
from dragwork.teaching.questions.question import Feedback, Question
from dragwork.teaching.questions.written import Kind

__all__ = ["KINDS", "Feedback", "Kind", "Question", "ask"]

_THEMES = (air, chance, power, road, savings, tunnel, wind)
_WRITTEN = {name: kind for theme in _THEMES for name, kind in vars(theme).items() if name[1:].isdigit()}
KINDS = dict(sorted(_WRITTEN.items()))


def ask(id, learner=None, series="", unlike=()):
    """A question, with numbers of the learner's own.

    Parameters
    ----------
    id : str
        A key of `KINDS`: `M01`.
    learner : str, optional
        The same name gets the same numbers again; capitals and blanks do not matter. None gives
        the numbers of the lesson.
    series : str
        Another series gives the same learner other numbers.
    unlike : sequence of Question
        Questions of the kind whose answers this one must not share.

    Returns
    -------
    Question
        .prompt .unit .answer .slips .check(answer) .hint() .solution()

    Raises
    ------
    ValueError
        For an id that there is not, in words.
    """
    kind = KINDS.get(str(id).strip().upper())
    if kind is None:
        raise ValueError(f"there is no question '{id}'; there are {', '.join(KINDS)}.")
    name = "" if learner is None else str(learner).strip()
    return kind.drawn(name, series, unlike) if name or series else Question(kind, kind.at())

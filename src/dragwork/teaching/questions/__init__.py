"""Questions that know what slip lies behind a number. Plain Python; the boxes are in `forms`."""

from dragwork.teaching.questions import (
    air,
    chance,
    claims,
    power,
    road,
    savings,
    speed,
    trials,
    tunnel,
    wind,
)
from dragwork.teaching.questions.question import Feedback, Kind, Question, Slip

__all__ = ["KINDS", "Feedback", "Kind", "Question", "Slip", "ask"]

_THEMES = (air, chance, claims, power, road, savings, speed, trials, tunnel, wind)
_KINDS = [kind for theme in _THEMES for kind in vars(theme).values() if isinstance(kind, Kind)]
KINDS = {kind.id: kind for kind in sorted(_KINDS, key=lambda kind: kind.id)}


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
    return kind.ask(learner, series, unlike)

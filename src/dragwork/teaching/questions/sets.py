"""Which numbers the questions of a form have. The boxes, the worksheets and the keys ask here."""

from dragwork.teaching.questions import ask

_SETS = {"practice": "practice", "warm_up": "warm-up"}  # sets with numbers of their own


def questions_of(form, ids, learner=None):
    """The questions of a form: 'box', 'faded', 'practice' or 'warm_up'.

    Parameters
    ----------
    form : str
    ids : sequence of str
        Keys of `questions.KINDS`; of 'faded' one.
    learner : str, optional

    Returns
    -------
    sequence of (Question, str)
        Each with the help below it.
    """
    if form == "faded":
        return faded_stages(*ids, learner)
    series = place_of(_SETS[form], ids) if learner and form in _SETS else ""
    return [(ask(id, learner, series), "") for id in ids]


def place_of(sort, ids):
    """The name of a set: 'practice M07 M10'. A learner with a name has other numbers in each."""
    return f"{sort} {' '.join(ids)}"


def faded_stages(id, learner=None):
    """Three of a kind, with other numbers and less help each time.

    Parameters
    ----------
    id : str
        A key of `questions.KINDS`.
    learner : str, optional

    Returns
    -------
    tuple of (Question, str)
        Each with the help below it: the steps, the formula, nothing.
    """
    stages = []
    for number in (1, 2, 3):
        stages.append(ask(id, learner, f"faded {number}", unlike=stages))
    first, second, _ = stages
    steps, formula = f"The steps: {first.steps} What do you get?", f"The formula: {second.kind.relation}"
    return tuple(zip(stages, (steps, formula, "")))

"""What a learner can do by now: statements, not scores."""

from dragwork.teaching.profile import Profile
from dragwork.teaching.telling import table
from dragwork.wording import words_in

OPEN, BEGUN, DONE = "open", "begun", "got right"


# What to be able to do: its "statement", 'I can ...', the number of its "notebook", and what shows it in
# the learner's file: ids of "questions" and numbers of "rules", all of them got right at some time.
ABILITIES = words_in(__package__, "abilities.json")


def so_far(ability, profile):
    """How far the learner's file shows an ability: 'open', 'begun' or 'got right'."""
    entries = [(entry.get("question") or entry.get("rule"), entry) for entry in profile.entries()]
    tried = {name for name, _ in entries}
    right = {name for name, entry in entries if entry.get("state") == "right" or entry.get("fits")}
    wanted = {*ability["questions"], *ability.get("rules", ())}
    if wanted <= right:
        return DONE
    return BEGUN if wanted & tried else OPEN


def can_do():
    """The statements as a table, with what the learner's own file says of each.

    Returns
    -------
    Words
    """
    profile = Profile()
    return table([
        {"I can": each["statement"], "notebook": each["notebook"], "so far": so_far(each, profile)}
        for each in ABILITIES
    ])

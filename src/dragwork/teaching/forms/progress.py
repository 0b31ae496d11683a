"""What a learner can do by now: statements, not scores."""

from dataclasses import dataclass

from dragwork.teaching.profile import Profile
from dragwork.teaching.telling import table

OPEN, BEGUN, DONE = "open", "begun", "got right"


@dataclass(frozen=True)
class Ability:
    """Something to be able to do, and by what the learner's file shows it.

    Parameters
    ----------
    statement : str
        'I can ...'.
    notebook : str
        Its number: '08'.
    questions, rules : tuple of str
        Ids of questions, numbers of rules: all of them got right at some time.
    """

    statement: str
    notebook: str
    questions: tuple = ()
    rules: tuple = ()


ABILITIES = (
    Ability("find the density of the air from temperature, pressure and humidity", "01",
            ("M22", "M23", "M24")),
    Ability("turn km/h into m/s before I square or cube", "02", ("M01", "M02", "M03")),
    Ability("distinguish force and power, and say what 10 % more speed costs", "02", ("M04", "M05")),
    Ability("take a ride's watts apart: air, tyres, slope, chain", "03", ("M06", "M34", "M35")),
    Ability("make a drag area from a tunnel's sheet", "04", ("M27", "M28")),
    Ability("say whether a difference is more than chance", "05", ("M30", "M32")),
    Ability("say what an error that all laps share does to a difference", "06", ("M33",)),
    Ability("find the wind that a rider feels, and its angle", "07", ("M17", "M18", "M19")),
    Ability("carry a claim to my own speed", "08", ("M10", "M11"), ("08",)),
    Ability("keep percent of drag and percent of speed apart", "08", ("M08", "M09")),
    Ability("add up the minutes of a road with wind and hills", "09", ("M15", "M16")),
    Ability("say who saves more, and in which sense", "09", ("M38", "M39")),
    Ability("judge a claim by its speed, its spread and what it was compared with", "10",
            ("M31",), ("10",)),
    Ability("weigh drag against mass and power", "11", ("M12", "M37"), ("11",)),
)  # fmt: skip


def so_far(ability, profile):
    """How far the learner's file shows an ability: 'open', 'begun' or 'got right'."""
    attempts, gaps = profile.entries("attempt"), profile.entries("gaps")
    tried = {entry.get("question") for entry in attempts} | {entry.get("rule") for entry in gaps}
    right = {entry.get("question") for entry in attempts if entry.get("state") == "right"}
    right |= {entry.get("rule") for entry in gaps if entry.get("fits")}
    wanted = {*ability.questions, *ability.rules}
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
    return table(
        [
            {"I can": each.statement, "notebook": each.notebook, "so far": so_far(each, profile)}
            for each in ABILITIES
        ]
    )

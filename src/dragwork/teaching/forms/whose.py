"""Two questions that several forms ask: for whom, and on which road."""

from dragwork.scenario.riders import MEMBERS
from dragwork.scenario.roads import ROADS
from dragwork.teaching.forms.course_editor import my_own_road
from dragwork.teaching.forms.flow import Choice, Question
from dragwork.teaching.forms.mine import my_rider

MINE = "mine"


def _riders(answers):
    me = my_rider()
    kept = {} if me.name in MEMBERS else {MINE: f"{me.name}: {me.power:.0f} W"}
    return kept | {name: f"{name}: {m.power:.0f} W" for name, m in MEMBERS.items()}


def _rider_in_words(member, answers):
    return (
        f"{member.name}: {member.power:.0f} W at the crank, {member.rider.all_up_mass:.0f} kg all up."
    )


def _roads(answers):
    own = my_own_road()
    kept = {} if own is None else {MINE: f"{own.name}: my own road"}
    return kept | {name: f"{name}: {road.about}" for name, road in ROADS.items()}


RIDER = Question(
    "rider",
    "For whom?",
    "Watts and minutes are those of one rider. Your own stands here once you have told it in notebook 00.",
    (Choice("rider", "The rider", options=_riders),),
    lambda values, answers: my_rider() if values["rider"] == MINE else MEMBERS[values["rider"]],
    _rider_in_words,
)
ROAD = Question(
    "road",
    "On which road?",
    "A hill, a head wind and a calm flat road give three answers. Your own road stands here once you "
    "have built it in notebook 09.",
    (Choice("road", "The road", options=_roads),),
    lambda values, answers: my_own_road() if values["road"] == MINE else ROADS[values["road"]],
    lambda road, answers: f"{road.name}: {road.about}",
)

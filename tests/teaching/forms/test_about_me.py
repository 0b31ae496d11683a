"""The questions about the learner, and the statements of what they can do."""

import pytest

from dragwork.scenario.riders import TOBIN
from dragwork.teaching.forms import AboutMe, box, can_do, my_rider, one_rule
from dragwork.teaching.forms.flow_view import FlowView
from dragwork.teaching.forms.progress import ABILITIES, BEGUN, DONE, OPEN, so_far
from dragwork.teaching.profile import Profile
from dragwork.teaching.questions import KINDS
from dragwork.teaching.questions.rules import RULES

ADA = {
    "nickname": " Ada  B", "all_up_mass": "78,5 kg", "power": "180", "knows": "not yet",
    "rolling_coefficient": "0.005",
}  # fmt: skip


@pytest.fixture
def flow():
    flow = AboutMe()
    flow.answer(**ADA)
    return flow


def test_it_prints_as_five_questions():
    printed = AboutMe().markdown()
    assert printed.count("**") == 10 and printed.startswith("1. **What shall we call you?**")


def test_what_is_answered_is_kept_and_rides(flow, own_file):
    me = my_rider()
    assert (me.name, me.power, me.rider.all_up_mass) == ("Ada B", 180, 78.5)
    assert me.rider.drag_area == TOBIN.rider.drag_area and "borrowed" in me.about
    assert "Kept in learner.json" in flow.markdown() and "km/h" in flow.markdown()
    assert flow.result.pieces[0] in flow.result.body(3).replace("&#39;", "'")
    assert AboutMe().markdown() == flow.markdown()


def test_a_name_alone_is_kept_at_once():
    AboutMe().answer(nickname="Ada")
    assert Profile().name == "Ada" and Profile().rider is None
    again = AboutMe()
    assert again.open.name == "mass" and again.typed["nickname"] == "Ada"


def test_no_name_keeps_the_lessons_numbers():
    flow = AboutMe()
    flow.answer(nickname="")
    assert Profile().name is None and "numbers of the lesson" in flow.sentences[0]
    with pytest.raises(ValueError, match="Up to 40 letters"):
        flow.answer(nickname="a" * 41)


def test_a_drag_area_with_its_spread_and_where_it_came_from(flow):
    flow.answer(knows="known", drag_area="0.301", drag_area_sd="0.006", drag_area_from="tunnel")
    assert Profile().rider["drag_area_sd"] == 0.006
    assert (my_rider().rider.drag_area, my_rider().about) == (0.301, "tunnel")
    flow.answer(drag_area_sd="", drag_area_from="")
    assert Profile().rider["drag_area_sd"] is None and my_rider().about == "own number"
    flow.answer(knows="not yet")
    assert my_rider().rider.drag_area == TOBIN.rider.drag_area


def test_a_drag_area_that_another_notebook_found_stays(flow):
    found = {"drag_area": 0.288, "drag_area_from": "from one known ride"}
    Profile().keep_me(rider={**Profile().rider, **found})
    AboutMe().answer(power="200 W")
    assert (my_rider().rider.drag_area, my_rider().power) == (0.288, 200)


@pytest.mark.parametrize(
    ("name", "typed", "words"),
    [("all_up_mass", "8", "goes from 20"), ("power", "lots", "not read as a number")],
)
def test_what_cannot_be_used_helps(flow, name, typed, words):
    kept = Profile().content
    with pytest.raises(ValueError, match=words):
        flow.answer(**{name: typed})
    assert flow.typed[name] == typed
    assert Profile().content == kept


def test_the_view_has_nothing_to_save(flow):
    view = FlowView(flow)
    assert view.actions == []
    assert "Kept in learner.json" in view.page.value
    view.close()


# -- what one can do --------------------------------------------------------------------------------


def test_statements_name_questions_that_there_are():
    for each in ABILITIES:
        assert set(each["questions"]) <= set(KINDS) and set(each.get("rules", ())) <= set(RULES), each["statement"]
    assert len({each["statement"] for each in ABILITIES}) == len(ABILITIES)


def test_a_statement_is_open_then_begun_then_got_right():
    carry = next(each for each in ABILITIES if "08" in each.get("rules", ()))
    assert so_far(carry, Profile()) == OPEN
    for id in carry["questions"]:
        q = box(id)
        q.check("12")
        assert so_far(carry, Profile()) == BEGUN
        q.check(q.question.answer)
    one_rule("08").check(*(gap.right for gap in RULES["08"].gaps))
    assert so_far(carry, Profile()) == DONE
    box(carry["questions"][0]).check("12")
    assert so_far(carry, Profile()) == DONE, "got right once is got right"
    assert "| turn a claim into watts at my own speed | 08 | got right |" in can_do().markdown


def test_on_a_clean_checkout_all_is_open():
    assert can_do().markdown.count(f"| {OPEN} |") == len(ABILITIES)

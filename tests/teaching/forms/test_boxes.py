"""Question boxes by code: what they say, print, remember; warm-ups and their spacing."""

import pytest
from loops import over

from dragwork.teaching.forms import box, faded, practice, warm_up
from dragwork.teaching.forms.form import LINE
from dragwork.teaching.profile import Profile
from dragwork.teaching.questions import KINDS, ask

RIGHT, SLIP = "4.3 W", "12"  # of M10 in the lesson, as lessons.json has it


def ids(form):
    return [each.id for each in form]


def miss(form, id):
    """Give an answer that is off to the box with that question."""
    each = next(each for each in form if each.id == id)
    assert each.check(1e9 if each.unit else 1).state in ("off", "slip")


# -- one box ----------------------------------------------------------------------------------------


def test_a_box_prints_as_a_worksheet():
    q = box("M10")
    assert q.markdown() == f"{ask('M10').prompt} (M10)\n\nMy answer: {LINE} W"
    assert repr(q) == q.markdown()
    assert box("M42").markdown().endswith(f"My answer: {LINE}")


def test_by_code_as_by_hand():
    q = box("M10")
    assert "opens after one try" in q.solution() and q.worked == ""
    feedback = q.check(RIGHT)
    assert (feedback.state, str(feedback)) == ("right", feedback.text)
    assert [q.hint() for _ in range(4)] == [*q.hints, q.hints[2]]
    assert [hint[:6] for hint in q.hints] == ["Hint 1", "Hint 2", "Hint 3"]
    assert q.solution() == q.worked and "4.3 W" in q.worked


def test_hints_stand_in_their_order_however_they_were_opened():
    q = box("M10")
    for number in (3, 1, 1, 2):
        q.hint(number)
    assert [hint[5] for hint in q.hints] == ["1", "2", "3"]


@pytest.mark.parametrize("nothing", [None, "", "  ", "...", "____"])
def test_blank_is_not_attempted_and_is_not_kept(nothing):
    q = box("M10")
    assert q.check(nothing).state == "blank"
    assert "Not attempted" in q.says
    assert Profile().entries() == []


def test_a_slip_is_drawn_beside_the_right_formula():
    q = box("M10")
    assert q.picture() is None
    q.check(SLIP)
    shown = q.picture()
    assert "yours gives 24 W, the right one 34.6 W" in shown.sentence  # 20 × 60/50, 20 × (60/50)³
    assert shown.sentence in shown.alt
    q.check(RIGHT)
    assert q.picture() is None


# -- what was typed comes back ----------------------------------------------------------------------


def test_an_answer_comes_back_with_what_was_said(own_file):
    q = box("M10")
    q.check("12,0 W")
    again = box("M10")
    assert (again.typed, again.says, again.slip) == ("12,0 W", q.says, "M10-in-step")
    assert again.markdown().endswith("My answer: 12,0 W")
    assert "4.3 W" in again.solution(), "the try counts"
    assert len(Profile().entries("attempt")) == 1, "coming back is no try"
    assert box("M01").typed == ""


def test_what_was_typed_and_not_checked_comes_back():
    box("M10").type("11 perhaps")
    q = box("M10")
    assert (q.typed, q.says) == ("11 perhaps", "")
    q.check("12")
    assert box("M10").typed == "12"


def test_what_cannot_be_read_is_not_lost():
    box("M10").check("about twelve")
    q = box("M10")
    assert q.typed == "about twelve" and "not read as a number" in q.says


ODD = [10**5000, "\ud800", [1], b"12", float("nan"), {}, "x" * 10_000]


@pytest.mark.parametrize("odd", ODD, ids=range(len(ODD)))
def test_whatever_code_hands_in_nothing_raises_and_the_file_stays_sound(odd):
    q = box("M10")
    assert q.check(odd).state in ("blank", "off")
    q.check(SLIP)
    assert Profile().entries("attempt")[-1]["typed"] == SLIP and Profile().remark == ""


def test_another_name_has_other_numbers_and_no_answer_of_the_first():
    box("M10").check("12")
    Profile().keep_me(name="Ada")
    q = box("M10")
    assert q.prompt == ask("M10", "Ada").prompt != ask("M10").prompt
    assert q.typed == ""


# -- sets -------------------------------------------------------------------------------------------


def test_a_mixed_set():
    form = practice("M07", "M10")
    assert ids(form) == ["M07", "M10"] and len(form.boxes) == 2
    assert form[1].check(RIGHT).state == "right"
    assert form.markdown().startswith("**1.** ") and "\n\n**2.** " in form.markdown()
    assert form.text().startswith("1. ") and "**" not in form.text()
    assert practice("M07", "M10")[1].typed == RIGHT, "the same set again"
    assert practice("M10")[0].typed == "", "another set"


def test_another_set_has_other_numbers_for_a_learner_with_a_name():
    Profile().keep_me(name="Ada")
    lesson, exercise = practice("M10"), practice("M10", "M07")
    assert lesson[0].prompt == practice("M10")[0].prompt != exercise[0].prompt


@over(KINDS)
def test_faded_stages_have_other_numbers_and_less_help(id):
    form = faded(id)
    first, second, third = form
    assert len({each.prompt for each in (*form, box(id))}) == 4
    for one in form:
        for other in form:
            assert one is other or one.question.differs_from(other.question)
    assert first.question.steps in first.markdown()
    assert second.question.kind.relation in second.markdown()
    assert third.given == ""
    assert faded(id).markdown() == form.markdown()
    for each in form:
        assert f"Answer: {each.question._rounded(each.question._answer)}" not in form.markdown()
        assert each.question.kind.why not in form.markdown()


# -- warm-ups ---------------------------------------------------------------------------------------

LISTED = ("M05", "M17", "M27", "M30")
NEXT, THEN, LATER = ("M01", "M02", "M03", "M04"), ("M06", "M07", "M08", "M09"), ("M12", "M13")


def test_without_a_file_a_warm_up_asks_what_is_listed_with_the_lessons_numbers():
    form = warm_up(*LISTED)
    assert ids(form) == list(LISTED)
    assert [each.prompt for each in form] == [ask(id).prompt for id in LISTED]


def test_with_a_name_it_has_fresh_numbers():
    Profile().keep_me(name="Ada")
    assert warm_up("M10")[0].prompt not in (ask("M10").prompt, box("M10").prompt)


def test_a_missed_question_comes_back_in_the_next_two_warm_ups():
    q = box("M10")
    q.check(SLIP)
    first = warm_up(*LISTED)
    assert ids(first) == ["M10", "M05", "M17", "M27"]
    assert first[0].prompt != q.prompt, "fresh numbers"
    first[0].check(first[0].question.answer)
    second = warm_up(*NEXT)
    assert ids(second) == ["M10", "M01", "M02", "M03"]
    assert len({q.prompt, first[0].prompt, second[0].prompt}) == 3
    second[1].check("1")
    miss(second, "M03")
    assert ids(warm_up(*THEN)) == ["M01", "M03", "M06", "M07"], "M10 came back twice"


def test_faded_stages_are_the_learners_own():
    before = faded("M10").markdown()
    Profile().keep_me(name="Ada")
    assert faded("M10").markdown() != before


def test_a_warm_up_that_was_begun_stays_as_it_is():
    first = warm_up(*LISTED)
    miss(first, "M17")
    box("M10").check(SLIP)
    again = warm_up(*LISTED)
    assert ids(again) == list(LISTED)
    assert again[1].typed == first[1].typed
    assert [each.prompt for each in again] == [each.prompt for each in first]
    assert ids(warm_up(*NEXT))[:2] == ["M17", "M10"]


def test_looking_at_a_warm_up_does_not_begin_it():
    box("M10").check(SLIP)
    for _ in range(3):
        assert ids(warm_up(*NEXT))[0] == ids(warm_up(*THEN))[0] == "M10"


def test_a_question_mended_at_once_was_not_missed():
    q = box("M10")
    q.check(SLIP)
    q.check(RIGHT)
    assert ids(warm_up(*NEXT)) == list(NEXT)


def test_missed_again_it_is_counted_again():
    box("M10").check(SLIP)
    for listed in (LISTED, NEXT):
        miss(warm_up(*listed), "M10")
    assert ids(warm_up(*THEN))[0] == "M10"


def test_a_warm_up_is_never_longer_than_listed_and_asks_nothing_twice():
    for id in ("M10", "M05", "M17", "M27", "M31", "M33"):
        miss([box(id)], id)
    form = warm_up(*LISTED)
    assert len(form.boxes) == len(set(ids(form))) == 4
    assert ids(form) == ["M10", "M05", "M17", "M27"]
    assert warm_up("M05", "M12")[1].id == "M05"

"""The learner's own formula beside the right one: for every question and every slip."""

from itertools import combinations

import numpy as np
import pytest
from loops import over

from dragwork.teaching.figures.two_worlds import in_words, two_worlds
from dragwork.teaching.questions import KINDS, ask

WITH_CURVE = [id for id, kind in KINDS.items() if kind.along]


def test_nearly_every_question_can_be_drawn():
    assert [id for id in KINDS if id not in WITH_CURVE] == ["M42"]
    assert ask("M42").worlds("M42") is None and ask("M01").worlds("no such slip") is None


@pytest.mark.parametrize("id", WITH_CURVE)
@pytest.mark.parametrize("learner", ["Ada"])
def test_both_formulas_go_through_the_questions_own_number(id, learner):
    question = ask(id, learner)
    _, low, high = KINDS[id].given[KINDS[id].along].along
    for slip in list(question.slips)[:2]:
        worlds = question.worlds(slip)
        assert low <= worlds.at <= high
        assert worlds.own == pytest.approx(question.slips[slip])
        here = {name: np.interp(worlds.at, worlds.numbers, getattr(worlds, name))
                for name in ("right", "slip")}  # fmt: skip
        assert here["right"] == pytest.approx(question.answer, rel=0.05, abs=1e-6)
        assert here["slip"] == pytest.approx(question.slips[slip], rel=0.05, abs=1e-6)
        assert np.isfinite(worlds.right).all()
        assert np.isfinite(worlds.slip).mean() > 0.5, "a gap is where no slip can be told"


@over(WITH_CURVE)
def test_the_sentence_does_not_tell_the_answer(id):
    question = ask(id)
    for slip in list(question.slips)[:2]:
        worlds = question.worlds(slip)
        said = in_words(worlds)
        assert said.endswith(".") and "e+" not in said and "nan" not in said
        shown = float(said.rstrip(".").split("the right one ")[1].split()[0].rstrip("°"))
        assert not question._fits(shown, question._answer), said


def test_the_world_of_km_h_cubed():
    """1/2 × 1.2 × 0.32 × 60³ = 41,472 W, and with 60 km/h = 16.667 m/s it is 888.9 W."""
    said = in_words(ask("M01").worlds("M01"))
    assert "Speed 60 km/h: yours gives 41500 W, the right one 889 W" in said


def test_names_are_apart_and_inside_the_picture():
    for id, slip in (("M01", "M01"), ("M24", "M24"), ("M22", "M22"), ("M37", "M37-rolling")):
        worlds = ask(id).worlds(slip)
        picture = two_worlds(worlds)
        picture.update(worlds)
        picture.figure.canvas.draw()
        names = [text for text in picture.figure.axes[0].texts if text.get_visible()]
        assert {name.get_text() for name in names} == {"right formula", "your formula", "your answer"}
        boxes, page = [name.get_window_extent() for name in names], picture.figure.bbox
        assert not any(one.overlaps(other) for one, other in combinations(boxes, 2)), id
        for box in boxes:
            assert page.x0 <= box.x0 and box.x1 <= page.x1 and box.y1 <= page.y1, id

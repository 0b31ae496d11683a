"""The clinic's form: three answers, a sheet, and what it shares with the lesson and the page."""

import re
from html import unescape
from pathlib import Path

import nbformat
import pytest

from dragwork.decisions.claims import Claim
from dragwork.decisions.verdicts import IGNORE
from dragwork.scenario.riders import ROSALIND, TOBIN
from dragwork.scenario.roads import CINDER_LANE, THREE_KILNS
from dragwork.teaching.class_papers import worksheet
from dragwork.teaching.forms.claim_flow import ClaimFlow, kept_claims
from dragwork.teaching.profile import PLACE, Profile
from dragwork.teaching.told import claim_of
from dragwork.teaching.verdicts import (
    BOXES,
    claim_part,
    dials_picture,
    eight_boxes,
    judged_on,
    outcome,
    verdict,
)
from dragwork.units import deg, grams_force, kmh

pytestmark = pytest.mark.usefixtures("few_days")

HELMET = {"heard": "20 W at 50", "at": "air"}
ROOT = Path(__file__).parents[2]
THERE = {"rider": "Rosalind", "road": "Cinder Lane 40"}


@pytest.fixture(autouse=True)
def own_file(monkeypatch, tmp_path):
    monkeypatch.setenv(PLACE, str(tmp_path / "learner.json"))


def made(**typed):
    flow = ClaimFlow()
    flow.answer_all(**THERE, **typed)
    return flow


def claim(flow):
    """The claim behind the answers."""
    told, evidence = flow.answers["tested"]
    return claim_of(told, **evidence)


def test_before_anything_is_answered_it_reads_as_a_worksheet():
    flow = ClaimFlow()
    assert flow.markdown().count("\n") == 4 and "What did you hear?" in flow.markdown()


def test_three_answers_are_enough_and_the_rest_refines_them():
    """57.5 s by hand at 0.01244 m2; the sheet's range holds it, and names what is missing."""
    flow = ClaimFlow()
    assert flow.result is None
    flow.answer(heard="20 W in the air at 50", **THERE)
    wide = flow.result.seconds
    assert wide.low < 57.5 < wide.high
    flow.answer(yaw="0", air_density="1,2")
    seconds = flow.result.seconds
    assert seconds.mid == pytest.approx(57.5, abs=1.5) and seconds.high - seconds.low < wide.high - wide.low
    assert "0.0124 m²" in flow.markdown() and "Test it yourself." in flow.markdown()
    assert "How many runs" in flow.markdown() and "The air density" not in flow.markdown()
    assert "<table" in flow.result.html()


@pytest.mark.parametrize(
    "typed",
    [
        {"heard": "1 minute", "claim_distance": "40", "claim_speed": "50 km/h"},
        {"heard": "5 %", "of_what": "whole", "drag_area": "0,30", "runs": "4", "spread": "1"},
        {"heard": "4 % less power", "claim_speed": "45"},
        {"heard": "80 g of drag", "claim_speed": "48", "yaw": "10", "runs": "3", "spread": "5"},
        {"heard": "0,3 kg lighter"},
        {"heard": "-3 W", "at": "crank", "worthwhile": "10", "besides": "hot"},
    ],
    ids=lambda typed: typed["heard"],
)
def test_each_kind_ends_in_a_sheet(typed):
    sheet = made(**typed).result
    (table,) = (piece for part in sheet.parts for piece in part.pieces if part.heading == "The eight boxes")
    assert [row["Box"] for row in table.rows] == list(BOXES) and all(row["What is in it"] for row in table.rows)
    assert sheet.answer[0] == sheet.spoken


def test_the_form_and_the_library_take_one_claim_for_the_same():
    """20 W in the air at 50 km/h: 0.0124416 m2 by hand; at the crank, or untold, it is less."""
    air, crank, silent = (made(heard="20 W at 50", at=at) for at in ("air", "crank", "silent"))
    area = claim(air).drag_area_change
    assert area == Claim.watts(20, kmh(50)).drag_area_change and area.mid == pytest.approx(0.0124416)
    assert "It says: 20 W saved at 50.0 km/h, in the air." in air.markdown()
    mids = [claim(flow).drag_area_change.mid for flow in (crank, silent, air)]
    assert mids == sorted(mids) and "It says: 20 W saved at 50.0 km/h, at the crank." in crank.markdown()


def test_what_it_is_about_is_read_or_chosen_and_widens_an_untold_yaw():
    """Of 20 W at 50 km/h in 1.2 kg/m3, 0.0124416 m2 by hand, wheels may keep a tenth."""
    hat, wheels = (made(**HELMET, about=a, air_density="1.2") for a in ("other", "wheels"))
    low = [claim(flow).drag_area_change.low for flow in (hat, wheels)]
    assert low == pytest.approx([0.7 * 0.0124416, 0.1 * 0.0124416], rel=1e-9)
    assert "20 W saved by wheels" in wheels.markdown() and " by " not in hat.sentences[0]
    read = made(heard="the wheels save 20 W in the air at 50", air_density="1.2")
    assert claim(read).drag_area_change == claim(wheels).drag_area_change
    with pytest.raises(ValueError, match="What kind of thing: 'hat' is not there"):
        made(**HELMET, about="hat")


def test_a_percentage_of_one_part_is_less_than_that_of_the_whole():
    """10 % of a part that makes up 5 to 30 % of 0.32 m2; and of all of it. COMMON_PRACTICE for the part."""
    part, whole = (claim(made(heard="10 % less drag", of_what=of, drag_area="0.32", yaw="0")).drag_area_change for of in ("part", "whole"))
    assert (part.low, part.high) == pytest.approx((0.1 * 0.05 * 0.32, 0.1 * 0.3 * 0.32))
    assert whole.low == whole.high == pytest.approx(0.032)
    assert claim(made(heard="10 % less drag of the frame", drag_area="0.32", yaw="0")).drag_area_change.high < 0.0101


def test_the_spread_is_read_in_the_unit_of_the_claim():
    """80 g with runs that lie 4 g apart is as wide as 20 W with runs that lie 1 W apart."""
    grams = claim(made(heard="80 g of drag at 48", runs="3", spread="4"))
    watts = claim(made(**HELMET, runs="3", spread="1"))
    relative = [c.drag_area_change for c in (grams, watts)]
    assert relative[0].high / relative[0].mid == pytest.approx(relative[1].high / relative[1].mid)


HEARD = [  # what is in the boxes, and what the form says that it understood
    ({"heard": "15 to 20 W at 50"}, "It says: 15 to 20 W saved at 50.0 km/h."),
    ({"heard": "up to 20 W", "claim_speed": "30 mph"}, "It says: up to 20 W saved at 48.3 km/h."),
    ({"heard": "-3 W at 45", "at": "crank"}, "It says: −3 W saved at 45.0 km/h, at the crank."),
    ({"heard": "1 min 30 s", "claim_distance": "40 km in 1:06:40"}, "It says: 90 s saved over 40 km in 1:06:40."),
    ({"heard": "20 minutes over 180 km"}, "It says: 20:00 min saved over 180 km."),
    ({"heard": "60 s", "claim_distance": "25 miles"}, "It says: 60 s saved over 40.2336 km."),
    ({"heard": "300 g lighter"}, "It says: 300 g lighter."),
    ({"heard": "80 g of drag", "claim_speed": "48"}, "It says: 80 grams of drag saved at 48.0 km/h."),
    ({"heard": "4 to 6 % less drag"}, "It says: 4 to 6 % of the drag saved."),
    ({"heard": "20 W", "claim_speed": "90"}, "90.0 km/h is outside riding: faster than anybody"),
    ({"heard": "2 % more power"}, "It says: 2 % more power. That is power, not drag."),
    ({"heard": "costs 2 % power"}, "It says: 2 % less power. That is power, not drag."),
    ({"heard": "train instead"}, "It says that training does more. That is power, not drag."),
    ({"heard": "tyres save 10 W at 40"}, "It says: 10 W on tyres at 40.0 km/h. That is rolling, not drag."),
    ({"heard": "the faster you are the more you gain"}, "It says that faster riders gain more."),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "words"), HEARD)
def test_it_is_told_back_as_it_was_understood(typed, words):
    flow = ClaimFlow()
    flow.answer(**typed)
    assert words in flow.sentences[0]


def test_a_range_is_worked_through_to_the_verdict():
    """Its drag areas are 2 P/(rho v^3) at both ends; the sheet says what to ask."""
    flow = made(heard="10 to 20 W in the air at 50", yaw="0", air_density="1.2")
    area = claim(flow).drag_area_change
    assert (area.low, area.high) == pytest.approx([2 * p / (1.2 * kmh(50) ** 3) for p in (10, 20)])
    assert "Which number of its own range holds" in flow.result.markdown()


def test_two_numbers_of_one_claim_are_read_and_held_against_each_other():
    """80 g less drag is 0.785 N, and 0.785 N at 50 km/h is 10.9 W, not 40."""
    flow = made(heard="40 W at 50, 80 g of drag at 50", air_density="1.2", yaw="0", at="air")
    assert "It says 80 grams of drag saved too." in flow.sentences[0]
    assert "Both numbers cannot be true of one item" in flow.result.spoken
    assert "Its two numbers" in flow.result.markdown()
    flow = made(heard="10.9 W at 50 and 80 g of drag", at="air")
    assert "Both can be true of one item" in flow.markdown()


def test_a_number_told_twice_and_not_alike_is_refused():
    with pytest.raises(ValueError, match="given twice, with different values"):
        made(heard="20 W in air of 1.1 kg/m3 at 50", air_density="1.2")


def test_a_percentage_of_a_part_or_over_100_is_refused_in_words():
    for typed, words in (("120 % less drag", "120 % cannot be"), ("150 to 200 %", "150 to 200 % cannot be")):
        with pytest.raises(ValueError, match=words) as refusal:
            made(heard=typed)
        assert "units." not in str(refusal.value) and "fraction" not in str(refusal.value)


def test_it_is_saved_beside_the_notebook_and_never_over_another(tmp_path):
    flow = made(**HELMET)
    first = flow.save(tmp_path)
    assert first.name == "my_verdict.html" and flow.save(tmp_path) == first
    other = made(**{**HELMET, "heard": "10 W at 50"})
    assert other.save(tmp_path).name == "my_verdict_2.html"


def test_the_picture_of_the_dials_says_the_widest():
    shown = dials_picture(Claim.percent(0.05, part=None))
    assert "The biggest unknown is percent of what" in shown.sentence
    with pytest.raises(ValueError, match="nothing is left open"):
        dials_picture(Claim.watts(20, kmh(50), air_density=1.2, yaw=0.0))


# -- one verdict ------------------------------------------------------------------------------------

GRID = [
    ({"heard": "20 W at 50", "at": "air"}, Claim.watts(20, kmh(50))),
    (
        {"heard": "20 W in the air at 50", "yaw": "0", "air_density": "1.2",
         "compared_with": "hat", "who": "club", "measured": "measured", "runs": "20", "spread": "0.3"},
        Claim.watts(20, kmh(50), yaw=0.0, air_density=1.2, compared_with="hat", who="club",
                    measured=True, runs=20, spread=0.3),
    ),
    ({"heard": "40 W", "at": "silent"}, Claim.watts(40, at=None)),
    ({"heard": "wheels save 12 W in the air at 45", "yaw": "15"}, Claim.watts(12, kmh(45), yaw=deg(15), about="wheels")),
    (
        {"heard": "10 % less drag", "of_what": "whole", "drag_area": "0.32", "about": "position"},
        Claim.percent(0.10, drag_area=0.32, about="position"),
    ),
    ({"heard": "4 % less power at 45"}, Claim.percent(0.04, "power", speed=kmh(45))),
    ({"heard": "60 s over 40 km"}, Claim.time(60, 40e3)),
    ({"heard": "80 g of drag at 48"}, Claim.force(grams_force(80), kmh(48))),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "claim"), GRID, ids=lambda x: getattr(x, "words", ""))
@pytest.mark.parametrize(("member", "road"), [(TOBIN, CINDER_LANE), (ROSALIND, THREE_KILNS)], ids=lambda x: x.name)
def test_lesson_form_and_page_say_the_same_of_one_claim(typed, claim, member, road):
    """The same seconds, range, verdict and reasons, in numbers and as they are printed."""
    flow = ClaimFlow()
    flow.answer_all(**typed, rider=member.name, road=road.name, worthwhile="15")
    here, day = flow.answers["else"][0].judged, road.day(member.power)
    in_lesson = judged_on(claim, member, road, 15.0)
    called = claim.for_rider(member.rider, road.course, worthwhile=15.0, **day)
    for other in (in_lesson, called):
        assert (other.seconds, other.watts, other.drag_area_change) == (
            here.seconds, here.watts, here.drag_area_change
        )  # fmt: skip
        assert (other.verdict, other.reasons, other.spoken) == (here.verdict, here.reasons, here.spoken)
    printed = outcome(here, member, road)
    assert printed in flow.result.answer
    page = claim_part(claim, member, road, worthwhile=15.0).pieces
    assert printed in page and here.sentence in page
    lesson = repr(verdict(claim, member, road, worthwhile=15.0))
    assert printed in lesson and " ".join(here.reasons) in lesson


def test_what_matters_to_me_is_asked_once_and_travels():
    first = made(**HELMET)
    assert first.typed["worthwhile"] == "0" and Profile().worthwhile == 0
    first.answer(worthwhile="25 s")
    assert Profile().worthwhile == 25 and ClaimFlow().typed["worthwhile"] == "25"
    again = made(**HELMET)
    assert again.answers["else"][1] == 25
    example = ClaimFlow(example=True)
    example.answer_all(**HELMET, **THERE, worthwhile="90")
    assert example.answers["else"][0].verdict == IGNORE and Profile().worthwhile == 25
    again.answer(worthwhile="")
    assert Profile().worthwhile == 0


@pytest.mark.parametrize("kept", ["twenty", None, -5, float("nan"), [20]])
def test_a_damaged_threshold_counts_as_none(kept):
    Profile().keep_me(worthwhile=kept)
    assert Profile().worthwhile == 0 and ClaimFlow().typed["worthwhile"] == "0"


def test_the_sheet_says_first_what_to_tell_a_friend_then_the_range_then_the_question():
    answer = made(**HELMET).result.answer
    assert answer[0].startswith("It may come to")
    assert answer[1].startswith("For Rosalind on Cinder Lane 40: ")
    assert answer[2] == "The one question to ask: What was it compared with?"
    assert "m²" not in "".join(answer)


def test_a_position_says_on_the_sheet_what_it_may_cost():
    sheet = made(heard="a position with 10 % less drag", of_what="whole", drag_area="0.34", yaw="0").result
    assert any("The gain is gone if the new position costs you more than" in s for s in sheet.sentences)


def test_a_claim_kept_by_an_earlier_workbook_is_read_by_its_words():
    Profile().keep_named("claim", "20 W in the air at 50 km/h", typed={"kind": "watts", "watts": "20", "speed": "50"})
    ((told, _),) = kept_claims(Profile()).values()
    assert claim_of(told).drag_area_change == Claim.watts(20, kmh(50)).drag_area_change


# -- the eight boxes are one list -----------------------------------------------------------------------


@pytest.mark.parametrize("path", ["workbook/10_claims_clinic.ipynb", "exercises/10_claims_clinic.ipynb"])
def test_the_eight_boxes_are_one_list_in_lesson_and_exercise(path):
    """The form's are held above; here each shows the library's table, and none has one of its own."""
    assert [line.split(" | ")[0].strip("| ") for line in repr(eight_boxes()).splitlines()[2:]] == list(BOXES) and len(BOXES) == 8
    cells = nbformat.read(ROOT / path, as_version=4).cells
    assert sum(cell.cell_type == "code" and "eight_boxes(" in cell.source for cell in cells) == 1
    prose = "".join(cell.source for cell in cells if cell.cell_type == "markdown")
    assert "| box |" not in prose and "Box 1" not in prose and "compared with what |" not in prose.casefold()


def test_the_printed_sheet_has_the_same_eight_boxes():
    page = worksheet(ROOT / "exercises/10_claims_clinic.ipynb", [None])
    printed = [unescape(cell) for cell in re.findall(r"<td>(\d [^<]+)</td>", page)]
    assert printed == list(BOXES)

"""The verdict sheet: eight questions, a page, and sentences where something cannot be used."""

import pytest

from dragwork.decisions.claims import Claim
from dragwork.decisions.verdicts import IGNORE
from dragwork.scenario.riders import ROSALIND, TOBIN
from dragwork.scenario.roads import CINDER_LANE, THREE_KILNS
from dragwork.teaching.forms.claim_flow import ClaimFlow
from dragwork.teaching.profile import PLACE, Profile
from dragwork.teaching.report.claim import claim_part
from dragwork.teaching.verdicts import dials_picture, judged_on, outcome, verdict
from dragwork.units import deg, grams_force, kmh

HELMET = {"kind": "watts", "watts": "20", "at": "air", "speed": "50"}
THERE = {"rider": "Rosalind", "road": "Cinder Lane 40"}


@pytest.fixture(autouse=True)
def own_file(monkeypatch, tmp_path):
    monkeypatch.setenv(PLACE, str(tmp_path / "learner.json"))


def made(**typed):
    flow = ClaimFlow()
    flow.answer_all(**THERE, **typed)
    return flow


def test_before_anything_is_answered_it_reads_as_a_worksheet():
    flow = ClaimFlow()
    assert flow.markdown().count("\n") == 7 and "What does it say?" in flow.markdown()


def test_the_helmet_for_rosalind():
    """57.5 s by hand at 0.01244 m2; the sheet's range holds it, and names what is missing."""
    flow = made(**HELMET, yaw="0", air_density="1,2")
    seconds = flow.result.seconds
    assert seconds.low < 57.5 < seconds.high and seconds.mid == pytest.approx(57.5, abs=1.5)
    assert "0.0124 m²" in flow.markdown()
    assert "The verdict: Test it yourself." in flow.result.answer[0]
    assert "How many runs" in flow.markdown() and "The air density" not in flow.markdown()
    assert "<table" in flow.result.html()


@pytest.mark.parametrize(
    "typed",
    [
        {"kind": "time", "seconds": "1:00", "distance": "40", "speed": "50 km/h"},
        {"kind": "percent of drag", "percent": "5", "baseline": "0,30", "runs": "4", "spread": "1"},
        {"kind": "percent of power", "percent": "4", "speed": "45"},
        {"kind": "force", "grams": "80", "speed": "48", "yaw": "10", "runs": "3", "spread": "5"},
        {"kind": "mass", "kilograms": "0,3"},
        {"kind": "watts", "watts": "-3", "at": "crank", "worthwhile": "10", "besides": "hot"},
    ],
    ids=lambda typed: typed["kind"],
)
def test_each_kind_ends_in_a_sheet(typed):
    flow = made(**typed)
    assert flow.result.answer[0].startswith("The verdict: ")
    assert len(flow.result.parts[1].pieces[0].rows) == 8


def test_the_form_and_the_library_take_one_claim_for_the_same():
    """20 W in the air at 50 km/h: 0.0124416 m2 by hand; at the crank, or untold, it is less."""
    air, crank, silent = (made(**{**HELMET, "at": at}) for at in ("air", "crank", "silent"))
    area = air.answers["runs"].drag_area_change
    assert area == Claim.watts(20, kmh(50)).drag_area_change and area.mid == pytest.approx(0.0124416)
    assert "It says: 20 W saved, in the air." in air.markdown()
    mids = [flow.answers["runs"].drag_area_change.mid for flow in (crank, silent, air)]
    assert mids == sorted(mids) and "It says: 20 W saved, at the crank." in crank.markdown()


def test_what_it_is_about_is_asked_and_widens_an_untold_yaw():
    """Of 20 W at 50 km/h in 1.2 kg/m3, 0.0124416 m2 by hand, wheels may keep a tenth."""
    hat, wheels = (made(**HELMET, about=a, air_density="1.2") for a in ("other", "wheels"))
    low = [flow.answers["runs"].drag_area_change.low for flow in (hat, wheels)]
    assert low == pytest.approx([0.7 * 0.0124416, 0.1 * 0.0124416], rel=1e-9)
    assert "20 W saved by wheels" in wheels.markdown() and " by " not in hat.sentences[0]
    with pytest.raises(ValueError, match="What kind of thing: 'hat' is not there"):
        made(**HELMET, about="hat")


def test_the_spread_is_read_in_the_unit_of_the_claim():
    """80 g with runs that lie 4 g apart is as wide as 20 W with runs that lie 1 W apart."""
    grams = made(kind="force", grams="80", speed="48", runs="3", spread="4").answers["runs"]
    watts = made(**HELMET, runs="3", spread="1").answers["runs"]
    relative = [c.drag_area_change for c in (grams, watts)]
    assert relative[0].high / relative[0].mid == pytest.approx(relative[1].high / relative[1].mid)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"kind": "watts", "watts": "many"}, "'many' is not read as watts"),
        ({"kind": "watts", "watts": "2000", "speed": "50", "at": "air"}, "more than the whole air drag"),
        ({"kind": "time", "seconds": "4000", "distance": "40", "speed": "45"}, "as long as the whole"),
        ({}, "nothing chosen yet"),
    ],
)
def test_what_cannot_be_used_gets_a_sentence_and_nothing_is_lost(typed, words):
    flow = ClaimFlow()
    with pytest.raises(ValueError, match=words):
        flow.answer_all(**typed)
    assert flow.result is None
    assert {name: flow.typed[name] for name in typed} == typed


HEARD = [  # what stands in the boxes, and what the form says that it understood
    ({"kind": "watts", "watts": "15 to 20 W at 50"}, "It says: 15 to 20 W saved. Found at 50.0 km/h."),
    ({"kind": "watts", "watts": "up to 20 W", "speed": "30 mph"}, "It says: up to 20 W saved. Found at 48.3 km/h."),
    ({"kind": "watts", "watts": "-3 W at 45", "at": "crank"}, "It says: −3 W saved, at the crank."),
    ({"kind": "time", "seconds": "1 min 30 s", "distance": "40 km in 1:06:40"},
     "It says: 90 s saved over 40 km in 1:06:40."),
    ({"kind": "time", "seconds": "20 minutes over 180 km"}, "It says: 20:00 min saved over 180 km."),
    ({"kind": "time", "seconds": "60", "distance": "25 miles"}, "It says: 60 s saved over 40.2336 km."),
    ({"kind": "mass", "kilograms": "300 g lighter"}, "It says: 0.3 kg saved. For a mass none of this"),
    ({"kind": "force", "grams": "80 g of drag", "speed": "48"}, "It says: 80 grams of drag saved."),
    ({"kind": "percent of drag", "percent": "4 to 6 % less"}, "It says: 4 to 6 % of the drag saved."),
    ({"kind": "watts", "watts": "20", "speed": "90"}, "90.0 km/h is outside riding: faster than anybody"),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "words"), HEARD)
def test_a_claim_is_typed_as_it_is_heard(typed, words):
    flow = ClaimFlow()
    flow.answer(**{"yaw": "", **typed})
    assert words in " ".join(flow.sentences[:2])


def test_a_range_is_worked_through_to_the_verdict():
    """Its drag areas are 2 P/(rho v^3) at both ends; the sheet says what to ask."""
    flow = made(kind="watts", watts="10 to 20 W at 50", at="air", yaw="0", air_density="1.2")
    area = flow.answers["runs"].drag_area_change
    assert (area.low, area.high) == pytest.approx([2 * p / (1.2 * kmh(50) ** 3) for p in (10, 20)])
    assert "Which number of its own range holds" in flow.result.markdown()


def test_two_numbers_of_one_claim_are_read_and_held_against_each_other():
    """80 g less drag is 0.785 N, and 0.785 N at 50 km/h is 10.9 W, not 40."""
    flow = made(kind="watts", watts="40 W at 50, 80 g of drag at 50", air_density="1.2", yaw="0", at="air")
    assert "It says 80 grams of drag saved too." in flow.sentences[0]
    assert "both numbers cannot be true of one item" in flow.markdown()
    assert "Its two numbers" in flow.result.markdown()
    flow = made(kind="watts", watts="10.9 W at 50 and 80 g of drag", at="air")
    assert "Both can be true of one item" in flow.markdown()


def test_grams_are_of_drag_or_of_mass_by_what_is_chosen():
    drag = made(kind="force", grams="80 g", speed="48").answers["runs"]
    mass = made(kind="mass", kilograms="80 g").answers["runs"]
    assert (drag.saved, mass.saved) == pytest.approx((0.08 * 9.80665, 0.08))


def test_percent_over_100_is_refused_in_words():
    for typed, words in (("120", "120 % cannot be"), ("150 to 200 %", "150 to 200 % cannot be")):
        with pytest.raises(ValueError, match=words) as refusal:
            made(kind="percent of drag", percent=typed)
        assert "units." not in str(refusal.value) and "fraction" not in str(refusal.value)


def test_it_is_saved_beside_the_notebook_and_never_over_another(tmp_path):
    flow = made(**HELMET)
    first = flow.save(tmp_path)
    assert first.name == "my_verdict.html" and flow.save(tmp_path) == first
    other = made(**{**HELMET, "watts": "10"})
    assert other.save(tmp_path).name == "my_verdict_2.html"


def test_the_picture_of_the_dials_says_the_widest():
    shown = dials_picture(Claim.percent(0.05, part=None))
    assert "Most is left open by percent of what" in shown.sentence
    with pytest.raises(ValueError, match="nothing is left open"):
        dials_picture(Claim.watts(20, kmh(50), air_density=1.2, yaw=0.0))


# -- one verdict ------------------------------------------------------------------------------------

GRID = [
    (
        {"kind": "watts", "watts": "20", "speed": "50", "at": "air"},
        Claim.watts(20, kmh(50)),
    ),
    (
        {"kind": "watts", "watts": "20", "speed": "50", "at": "air", "yaw": "0", "air_density": "1.2",
         "compared_with": "hat", "who": "club", "measured": "measured", "runs": "20", "spread": "0.3"},
        Claim.watts(20, kmh(50), yaw=0.0, air_density=1.2, compared_with="hat", who="club",
                    measured=True, runs=20, spread=0.3),
    ),
    ({"kind": "watts", "watts": "40", "at": "silent"}, Claim.watts(40, at=None)),
    (
        {"kind": "watts", "watts": "12", "speed": "45", "at": "air", "yaw": "15", "about": "wheels"},
        Claim.watts(12, kmh(45), yaw=deg(15), about="wheels"),
    ),
    (
        {"kind": "percent of drag", "percent": "10", "baseline": "0.32", "about": "position"},
        Claim.percent(0.10, drag_area=0.32, about="position"),
    ),
    ({"kind": "percent of power", "percent": "4", "speed": "45"}, Claim.percent(0.04, "power", speed=kmh(45))),
    ({"kind": "time", "seconds": "60", "distance": "40"}, Claim.time(60, 40e3)),
    ({"kind": "force", "grams": "80", "speed": "48"}, Claim.force(grams_force(80), kmh(48))),
    ({"kind": "mass", "kilograms": "0.3"}, Claim.mass(0.3)),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "claim"), GRID, ids=lambda x: getattr(x, "words", ""))
@pytest.mark.parametrize("member", [TOBIN, ROSALIND], ids=lambda member: member.name)
@pytest.mark.parametrize("road", [CINDER_LANE, THREE_KILNS], ids=lambda road: road.name)
def test_lesson_form_and_page_say_the_same_of_one_claim(typed, claim, member, road):
    """The same seconds, range, verdict and reasons, in numbers and as they are printed."""
    flow = ClaimFlow()
    flow.answer_all(**typed, rider=member.name, road=road.name, worthwhile="15")
    here, day = flow.answers["else"][0], road.day(member.power)
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
    assert first.typed["worthwhile"] == "" and Profile().worthwhile == 0
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
    assert Profile().worthwhile == 0 and ClaimFlow().typed["worthwhile"] == ""


def test_the_sheet_says_first_what_to_tell_a_friend_then_the_range_then_the_question():
    answer = made(**HELMET).result.answer
    assert answer[0].startswith("The verdict: Test it yourself. It may come to")
    assert answer[1].startswith("For Rosalind on Cinder Lane 40: ")
    assert answer[2] == "The one question to the seller: What was it compared with?"
    assert "m²" not in "".join(answer)


def test_a_position_says_on_the_sheet_what_it_may_cost():
    sheet = made(kind="percent of drag", percent="10", baseline="0.34", about="position", yaw="0").result
    assert any("All of it is gone if the new position costs you more than" in s for s in sheet.sentences)

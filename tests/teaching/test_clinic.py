"""The clinic: a claim as it is heard, and the ending that it has."""

import re
from itertools import product

import numpy as np
import pytest
from answered import answered
from loops import over
from ode_ride import ode_ride

from dragwork.decisions.claims import Claim
from dragwork.decisions.verdicts import ASK, IGNORE, TEST, seconds_in_words
from dragwork.scenario.riders import FAROUK, IMKE, MEMBERS, ROSALIND, TOBIN
from dragwork.scenario.roads import CINDER_LANE, LONG_HILL, ROADS, THREE_KILNS
from dragwork.teaching.clinic import ending, option_of, share_of_step, side_part, side_wind
from dragwork.teaching.forms.claim_flow import ClaimFlow
from dragwork.teaching.forms.options_flow import OptionsFlow
from dragwork.teaching.forms.report_flow import ReportFlow
from dragwork.teaching.profile import PLACE
from dragwork.teaching.told import claim_of, read_told
from dragwork.units import kilometres, kmh, minutes

pytestmark = pytest.mark.usefixtures("few_days", "unpainted")


@pytest.fixture(autouse=True)
def own_file(monkeypatch, tmp_path):
    monkeypatch.setenv(PLACE, str(tmp_path / "learner.json"))


HEARD = [  # what is typed, of which sort it is, and words of what can be said to a friend
    ("20 W at 50", "watts", "on your road"),
    ("up to 20 W", "watts", "without a speed"),
    ("15 to 20 W", "watts", "without a speed"),
    ("40 W", "watts", "without a speed"),
    ("saves 12 watts at 45", "watts", "on your road"),
    ("20W@50kph", "watts", "on your road"),
    ("20 watts at 30 mph for 200 euros", "watts", "on your road"),
    ("12 + 8 W at 45", "watts", "on your road"),
    ("8 W, three riders, wind tunnel, 48 km/h, best of four runs", "watts", "on your road"),
    ("twenty watts at fifty", "watts", "on your road"),
    ("5 W loss at 40", "watts", "no time"),
    ("20 minutes over 180 km", "time", ""),
    ("worth half an hour over a 180 km bike leg", "time", ""),
    ("a minute over 40 km", "time", "on your road"),
    ("1:30 over 40 km in 1:06:40", "time", "on your road"),
    ("2 sec per km at 45 km/h", "time", "on your road"),
    ("1 km/h faster at 40 km/h", "time", "on your road"),
    ("5 % faster at 40", "time", "on your road"),
    ("4 % less drag", "percent", "Percent of what"),
    ("up to 8 %", "percent", "on your road"),
    ("4 percent", "percent", "Percent of what"),
    ("10 % less drag of the frame", "percent", "on your road"),
    ("4 % less power at 45 km/h", "percent", "on your road"),
    ("11 + 9 + 14 + 7 %", "percent", "Not 41 %: one after the other they make 35.2 %"),
    ("11 % and 9 % and 14 % and 7 % less drag", "percent", "35.2 %"),
    ("3 + 2 %", "percent", "4.9 %"),
    ("80 g less drag", "force", "without a speed"),
    ("80 grams of drag at 30 mph", "force", "on your road"),
    ("80 g lighter", "mass", "Weight, not drag: 80 g lighter"),
    ("600 g lighter matters on hills", "mass", "up 10 km at 5 %"),
    ("1.5 kg off the bike", "mass", "1.5 kg lighter"),
    ("0.5 lb lighter", "mass", "226.8 g lighter"),
    ("2 % more power", "power", "power, not drag"),
    ("a season gives 2 % more power", "power", "power, not drag"),
    ("train instead", "power", "each 1 % more power"),
    ("20 more watts", "power", "20 W more power"),
    ("3 W more from a cleaner chain", "power", "3 W more from the drivetrain"),
    ("costs 2 % power", "power", "loses time"),
    ("faster tyres save 10 W at 40", "rolling", "rolling, not drag"),
    ("the faster you are the more you gain", "sense", "depends on what you count"),
    ("slower riders save more", "sense", "depends on what you count"),
    ("better in a crosswind", "crosswind", "no wind from the side"),
    ("deep wheels are quicker in side winds", "crosswind", "the air comes in at"),
    ("wheels save 12 W at 45 and 15° of yaw, better in a crosswind", "watts", "with 3 m/s from the side"),
    ("cheap bars give most of it", "share", "clip-on bars give"),
    ("clip-ons give 30 % of the benefit", "share", "Not on the club's sheet"),
    ("40 W at 50 km/h, and 20 minutes over 180 km", "watts", "cannot be true of one item"),
    ("20 W at 50 and 60 s over 40 km", "watts", "on your road"),
]  # fmt: skip


@over(HEARD)
def test_each_claim_ends_in_a_sentence_that_can_be_said(text, sort, words):
    """At most 40 words, no drag area; then the range, then the one question."""
    there = ("Tobin", "Cinder Lane 40") if len(text) % 2 else ("Rosalind", "Three Kilns 60")
    flow = answered(ClaimFlow, heard="20 W at 50", rider=there[0], road=there[1])
    flow.answer(heard=text)
    assert flow.answers["said"].sort == sort
    assert words in flow.result.spoken and flow.result.spoken.endswith((".", "?"))
    assert len(flow.result.spoken.split()) <= 40
    assert not re.search(r"m2|m²|0\.0\d|nan|inf\b|-\d", flow.result.spoken)
    answer = flow.result.answer
    assert answer[0] == flow.result.spoken and answer[1].startswith(f"For {there[0]} on {there[1]}")
    asked = answer[-1].startswith("The one question to ask: ") and answer[-1].count("?") == 1
    assert asked or flow.answers["else"][0].verdict == IGNORE
    assert len(answer) == 2 + asked + 3 * (sort == "sense"), "of the faster there are three lines"
    page = flow.result.body(3)
    assert page.index(flow.result.spoken[:10]) < page.index("<details><summary>How this was found") < page.index("The verdict")
    assert "<details" not in flow.result.html(), "printed, all is open"


@over([
    ("", "Nothing typed yet"),
    ("it is faster", "no number in it"),
    ("20", "'20' has no unit"),
    ("80 g", "Write 80 g of drag, or 80 g lighter"),
    ("60 s", "Over what distance"),
    ("saves 20 seconds an hour", "Over what distance"),
    ("20 s faster up the climb over 10 km", "mostly weight"),
    ("1 km/h faster", "such as 1 km/h faster at 40 km/h"),
    ("tyres save 4 %", "Type their watts and the speed"),
    ("10 % lighter", "300 g lighter"),
    ("lose 3 kg", "not for body mass"),
    ("a lower body weight", "not for body mass"),
    ("0.010 m2 less", "is a drag area. Lesson 12"),
    ("2 watts per kilo", "is no saving"),
    ("a clean chain", "Type them, such as 3 W from a cleaner chain"),
    ("more power", ""),
    ("4 % less time", "type the time itself"),
    ("the helmet gives most of it", "Your own sheet goes into lesson 12"),
    ("20 W and 30 W", "Keep one"),
    ("20 W at 20 °C", "has no place here"),
    ("120 % less drag", "120 % cannot be"),
    ("2000 W at 50", "more than the whole air drag"),
    ("2 hours over 40 km", "as long as the whole ride"),
    ("10 W from tyres at 5 km/h", "in all"),
])  # fmt: skip
def test_what_cannot_be_read_is_said_with_what_to_type_instead(text, words):
    flow = ClaimFlow()
    if not words:
        return flow.answer_all(heard=text, rider="Tobin", road="Cinder Lane 40")
    with pytest.raises(ValueError) as refusal:
        flow.answer_all(heard=text, rider="Tobin", road="Cinder Lane 40")
    assert words in str(refusal.value) and str(refusal.value).rstrip()[-1] in ".?"
    assert flow.result is None and flow.typed["heard"] == text


# -- the numbers, held from outside ------------------------------------------------------------------


def test_more_power_is_worth_what_an_ode_solver_says():
    """2 % more power on Cinder Lane, without any uncertainty, is the middle of the range."""
    was, now = (ode_ride(CINDER_LANE.course, TOBIN.rider, **CINDER_LANE.day(220 * f)).time for f in (1, 1.02))
    found = ending(read_told("2 % more power"), TOBIN, CINDER_LANE).seconds
    assert found.mid == pytest.approx(was - now, rel=0.05) and found.low < was - now < found.high


def test_watts_of_a_chain_and_of_tyres_are_no_drag():
    """3 W of 220 W is 1.36 % of the power; 10 W at 40 km/h on 80 kg is 10/(80 g 11.1) of rolling."""
    chain = option_of(read_told("3 W from a waxed chain"), TOBIN, CINDER_LANE)
    assert chain.power_factor == pytest.approx(1 + 3 / 220) and chain.after_rider is TOBIN.rider
    tyres = option_of(read_told("tyres save 10 W at 40 km/h"), TOBIN, CINDER_LANE)
    less = TOBIN.rider.rolling_coefficient - tyres.after_rider.rolling_coefficient
    assert less == pytest.approx(10 / (80 * 9.80665 * 40 / 3.6))
    assert tyres.after_rider.drag_area == TOBIN.rider.drag_area


def test_a_mass_is_told_on_three_roads():
    """600 g for Tobin by the ODE solver: on the flat, and up the long hill."""
    told = ending(read_told("600 g lighter"), TOBIN, THREE_KILNS)
    lighter = TOBIN.rider.__class__(**{**vars(TOBIN.rider), "all_up_mass": 83.4})
    for road, where in ((CINDER_LANE, "40 flat"), (LONG_HILL, "up 10 km")):
        was, now = (ode_ride(road.course, rider, **road.day(220)).time for rider in (TOBIN.rider, lighter))
        (said,) = re.findall(rf"([\d.]+) s (?:on )?{where}", told.spoken)
        assert float(said) == pytest.approx(was - now, abs=0.06 if was - now < 10 else 0.6)


def test_percentages_one_after_the_other():
    """1 - 0.89 0.91 0.86 0.93 is 35.2 %; 23 % is the step from hoods to a time-trial bike on 0.30 m2."""
    told = read_told("11 + 9 + 14 + 7 %")
    assert told.numbers["percent"][0] == pytest.approx(1 - 0.89 * 0.91 * 0.86 * 0.93)
    assert "more than any one body gives" in ending(told, TOBIN, CINDER_LANE).spoken
    assert "any one body" not in ending(read_told("3 + 2 %"), TOBIN, CINDER_LANE).spoken


def test_the_side_part_of_the_wind():
    """3 m/s straight across a calm flat road: the yaw is the arc tangent of 3 over Tobin's speed."""
    speed = 40e3 / ode_ride(CINDER_LANE.course, TOBIN.rider, **CINDER_LANE.day(220) | side_wind(CINDER_LANE)).time
    across, yaw = side_part(TOBIN, CINDER_LANE, **side_wind(CINDER_LANE))
    assert across == pytest.approx(3.0) and yaw == pytest.approx(np.arctan2(3.0, speed), rel=5e-3)
    assert side_part(TOBIN, CINDER_LANE)[0] == 0


def test_in_which_sense_the_faster_gain_more():
    """The same percent: more watts, fewer seconds over a flat road (cubics by hand in notebook 10's test)."""
    found = ending(read_told("the faster you are, the more you gain"), TOBIN, CINDER_LANE)
    watts, road, hour = found.lines
    assert "The faster gains more." in watts and "The faster gains less." in road and hour.startswith("In seconds for each hour")
    was, quick = (ode_ride(CINDER_LANE.course, TOBIN.rider, **CINDER_LANE.day(p)).time for p in (220, 275))
    slim = TOBIN.rider.__class__(**{**vars(TOBIN.rider), "drag_area": 0.96 * 0.32})
    saved = [w - ode_ride(CINDER_LANE.course, slim, **CINDER_LANE.day(p)).time for w, p in ((was, 220), (quick, 275))]
    assert [float(n) for n in re.findall(r"([\d.]+) s\b", road)] == pytest.approx(saved, abs=1.5)


def test_the_share_of_a_step_is_a_range_from_the_draws():
    share, bars, step = share_of_step(TOBIN, CINDER_LANE)
    assert 0 < share.low < share.mid < share.high < 1
    assert share.mid == pytest.approx(bars.mid / step.mid, abs=0.02)
    said = ending(read_told("cheap bars give most of it"), TOBIN, CINDER_LANE).spoken
    assert f"{100 * share.low:.0f} to {100 * share.high:.0f} %" in said


# -- two numbers of one claim --------------------------------------------------------------------------


def flat_seconds(area, before, distance, speed, density=1.2, mass=80.0, rolling=0.004):
    """Seconds saved at the same power on a calm flat road: two cubics by numpy, apart from the library."""
    tyres = mass * 9.80665 * rolling
    power = (density / 2 * before * speed**2 + tyres) * speed
    roots = np.roots([density / 2 * (before - area), 0.0, tyres, -power])
    after = float(roots[np.abs(roots.imag) < 1e-9].real.max())
    return distance / speed - distance / after


def test_where_both_agree_a_setting_is_named_and_it_is_true():
    claim, other = Claim.watts(20, kmh(50), yaw=0.0), Claim.time(60, kilometres(40), yaw=0.0)
    found = claim.consistency_with(other)
    assert found.agree
    density, speed, mass, before = (
        float(re.search(pattern, found.needed)[1])
        for pattern in (r"air of ([\d.]+)", r"a ride at ([\d.]+)", r"([\d.]+) kg all up", r"a rider of ([\d.]+)")
    )
    area = 2 * 20 / (density * kmh(50) ** 3)
    assert flat_seconds(area, before, 40e3, kmh(speed), density, mass) == pytest.approx(60, rel=0.03)


def test_where_they_cannot_agree_it_says_what_the_one_would_make_of_the_other():
    """40 W at 50 km/h in usual air is 0.0249 m2: 20 minutes over 180 km are far from it."""
    claim, other = Claim.watts(40, kmh(50), air_density=1.2, yaw=0.0), Claim.time(minutes(20), kilometres(180), speed=kmh(30), yaw=0.0)
    found = claim.consistency_with(other)
    low, high = re.search(r"would save ([\d:]+) to ([\d:]+) min over 180 km, not 20:00", found.needed).groups()
    assert low == high, "nothing is open in the watts"
    before = next(c.mid for c in other.conditions if c.name == "drag_area")
    minute, second = map(int, low.split(":"))
    assert 60 * minute + second == pytest.approx(flat_seconds(2 * 40 / (1.2 * kmh(50) ** 3), before, 180e3, kmh(30)), abs=1)
    assert not found.agree


# -- one claim, one number of seconds -------------------------------------------------------------------

SAME = ["20 W at 50", "15 to 20 W in the air at 45", "90 s over 40 km at 36 km/h", "4 % less drag", "80 g of drag at 48", "300 g lighter",
        "wheels save 12 W at 45", "4 % less power at 45 km/h"]  # fmt: skip


THERE = [(TOBIN, CINDER_LANE), (ROSALIND, THREE_KILNS), (IMKE, LONG_HILL)]


@pytest.mark.parametrize(("text", "member", "road"), [(t, *THERE[i % 3]) for i, t in enumerate([*SAME, SAME[0], SAME[0]])])
def test_the_same_claim_gives_the_same_seconds_in_10_in_11_and_in_12(text, member, road):
    """Typed into each form; in 12 the sheet holds the rider's own drag area."""
    there = {"rider": member.name, "road": road.name}
    clinic, options = (answered(form, heard="20 W at 50", **there) for form in (ClaimFlow, OptionsFlow))
    clinic.answer(heard=text)
    options.answer(heard=text)
    area = member.rider.drag_area
    page = answered(
        ReportFlow, "answer", sheet="numbers", numbers=f"mine {area:.3f}, {area - 0.001:.3f} to {area + 0.001:.3f}; less {area - 0.02:.3f} ± 0.001",
        before="mine", after="less", air="usual", **there,
    )  # fmt: skip
    page.answer(claim="heard", heard=text)
    mine, ranked = clinic.result.seconds, options.result.seconds
    assert [ranked.low, ranked.mid, ranked.high] == pytest.approx([mine.low, mine.mid, mine.high], rel=1e-6)
    assert clinic.result.answer[1] in page.sentences[6]
    name = claim_of(read_told(text)).words
    assert name in clinic.result.title and name in page.result.settings["Claim"]
    assert (seconds_in_words(mine) in options.result.answer[1]) == (name in options.result.answer[1] or "kg off" in options.result.answer[1])


def test_more_power_is_worth_the_same_in_10_and_in_11_and_is_carried_along():
    clinic = ClaimFlow()
    clinic.answer_all(heard="2 % more power", rider="Rosalind", road="Three Kilns 60")
    options = OptionsFlow()
    assert options.typed["more"] == "2"
    options.answer_all(rider="Rosalind", road="Three Kilns 60")
    assert options.result.seconds == clinic.result.seconds


EVERYWHERE = list(product(MEMBERS.values(), ROADS.values(), (
    "20 W at 50", "40 W at 50, and 20 minutes over 180 km", "the faster you are the more you gain", "11 + 9 + 14 + 7 %",
)))  # fmt: skip


@pytest.mark.parametrize("each", [5, pytest.param(1, marks=pytest.mark.tour)], ids=["one in five", "all"])
def test_every_member_on_every_road_gets_an_ending(each):
    """One in five of them holds each member, each road and each claim, and mixes them."""
    for member, road, text in EVERYWHERE[::each]:
        found = ending(read_told(text), member, road)
        assert len(found.spoken.split()) <= 40 and found.verdict in (ASK, IGNORE, TEST)
    assert ending(read_told("40 W"), FAROUK, CINDER_LANE).verdict == ASK


# -- what is worth it, and a test of one's own ------------------------------------------------------------


@pytest.mark.parametrize("text", ["20 W at 50", "80 g lighter", "2 % more power", "tyres save 1 W at 40"])
def test_below_the_learner_s_own_seconds_it_is_said_so(text):
    flow = ClaimFlow()
    flow.answer_all(heard=text, rider="Tobin", road="Cinder Lane 40", worthwhile="300")
    assert "300 s does" in flow.result.spoken or "5:00 min does" in flow.result.spoken
    assert flow.answers["else"][0].verdict == IGNORE and len(flow.result.spoken.split()) <= 40


def test_a_test_of_one_s_own_is_that_of_the_planner():
    """0.0114 m2 and 0.0033 m2: the smaller needs more runs; half of a difference about four times as many."""
    runs = []
    for text in ("40 W at 50", "20 W at 50", "5 W at 50"):
        flow = ClaimFlow()
        flow.answer_all(heard=text, rider="Tobin", road="Cinder Lane 40")
        said = next(part for part in flow.result.parts if part.heading == "A test of your own").pieces[0]
        runs.append(int(re.match(r"(\d+) runs of each", said)[1] if said[0].isdigit() else 99))
        assert "each, on different days" in said or "Not even" in said
    assert runs == sorted(runs) and runs[0] >= 4 and runs[-1] > 2 * runs[1]

"""What is said to an answer, however it is typed."""

import re
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as some
from loops import over

from dragwork.teaching.answers import parse_quantity, read_quantity
from dragwork.teaching.questions import KINDS, Kind, Question, ask
from dragwork.teaching.questions.written import Number

STATES = {"blank", "right", "close", "slip", "off"}


def question(right=12.0, unit="m/s", digits=1, slips=(), **others):
    """A bare question with the answer given; slips: (name among the answers, number, what is said to it)."""

    class T01(Kind):
        """test

        How much?

        Idea: Idea.
        Relation: Relation.
        Work: Steps.
        Why: Because.
        """

        unit, x = "1", Number(1, 1, 2, 1)

    said = {T01.slip_id(name): lambda g, text=text: text for name, _, text in slips}
    answers = [("right", right), *((name, value) for name, value, _ in slips if value is not None)]
    for name, value in {"unit": unit, "digits": digits, "answers": lambda g: answers, "slips": said, **others}.items():
        setattr(T01, name, value)
    return Question(T01, T01.at())


@pytest.mark.parametrize(
    "way",
    ["12", "12,0", "12.0 m/s", "12 m/s", "+12", " 12 ", "43.2 km/h", "43,2 kmh", "24/2", "48/4 m/s",
     12, 12.0, np.float64(12), np.float32(12), np.int64(12), np.array(12.0), Decimal("12.0"),
     Fraction(24, 2), "1.2e1"],
)  # fmt: skip
def test_right_however_it_is_typed(way):
    feedback = question().check(way)
    assert feedback.state == "right" and feedback.slip is None
    assert feedback.text.startswith("Read as 12 m/s. Right, within 1 %. Because.")
    assert feedback.value == pytest.approx(12)


@pytest.mark.parametrize("dash", "-‐‑‒–—−﹣－")
def test_any_dash_is_a_minus(dash):
    assert question(-12.0).check(f"{dash} 12").state == "right"
    assert question(-12.0).check(f"{dash}12,0 m/s").state == "right"


@pytest.mark.parametrize(
    "nothing", [None, "", "  ", "...", "…", "?", "-", "___", Ellipsis, float("nan"), np.nan]
)
def test_blank_is_not_attempted(nothing):
    asked = question()
    feedback = asked.check(nothing)
    assert (feedback.state, feedback.slip, feedback.value) == ("blank", None, None)
    assert "Not attempted yet" in feedback.text
    assert "one try" in asked.solution()


@pytest.mark.parametrize(
    ("bad", "words"),
    [("12 W", "'W' is a unit of power, not a unit of speed here. Use m/s, km/h."),
     ("12 apples", "'apples' is not a unit of speed"), ("fast", "not read as a number"),
     ("12/0", "divides by 0"), ("2^^3", "not read"), ("__import__('os')", "not read"),
     ("1e999", "too large"), ([12], "A list is not read"), (True, "A bool is not read"),
     (float("inf"), "finite"), (np.array([1, 2]), "ndarray"), ("9" * 5000, "too long")],
)  # fmt: skip
def test_what_cannot_be_read_is_said_and_is_no_try(bad, words):
    asked = question()
    feedback = asked.check(bad)
    assert (feedback.state, feedback.slip, feedback.value) == ("off", None, None)
    assert words in feedback.text
    assert not asked.tried


@pytest.mark.parametrize(("text", "unit", "number"), [
    ("3/4", "min", 0.75), ("1/2 km", "m", 500.0), ("-1 / 4", "%", -0.25), ("1,5/2", "W", 0.75),
])  # fmt: skip
def test_a_fraction_is_read(text, unit, number):
    assert parse_quantity(text, unit) == pytest.approx(number)


@pytest.mark.parametrize(("text", "figures"), [
    ("0.21352", 5), ("0.0210", 3), ("8958", 4), ("12000", 2), ("192.0", 4), ("1.50e3", 3), ("3/7", 0),
])  # fmt: skip
def test_figures_are_counted(text, figures):
    assert read_quantity(text, "1").figures == figures


def test_over_precise_is_right_with_advice():
    asked = question(0.21352, "m2", 2)
    assert asked.check("0.21352").text.endswith("Report 0.21, not 0.21352.")
    assert "Report" not in asked.check("0.2135").text
    assert "Report" not in asked.check("0.21").text


def test_bands():
    asked = question(100.0, "W", 0)
    states = [asked.check(v).state for v in (99, 101, 98.9, 97, 102.9, 103.2, 96.9, 92)]
    assert states == ["right"] * 2 + ["close"] * 3 + ["off"] * 3
    assert question(10.0, "W", 0).check(10.5).state == "right", "half a unit of the last digit"
    assert question(10.0, "W", 1).check(10.5).state == "off"
    assert question(10.0, "W", 1, floor=0.6).check(10.5).state == "right"
    assert "a little too large" in asked.check(102).text
    assert "a little too small" in asked.check(98).text


@pytest.mark.parametrize(
    ("factor", "words"),
    [(3.6, "3.6 times too large: is there km/h"), (1 / 3.6, "3.6 times too small"),
     (12.96, "13 times too large: is there km/h"), (46.656, "46.7 times too large"),
     (1.609344, "miles"), (2, "half"), (0.5, "half"), (10, "decimal point"), (60, "minutes"),
     (100, "percent"), (1000, "about 1000 times too large: is there a kilo"), (9.80665, "mass where a force"), (101.97, "grams-force"),
     (1.7453, "degrees"), (-1, "sign"), (3.6 * 1.007, "km/h"), (1 / 49, "upside down")],
)  # fmt: skip
def test_a_known_ratio_is_asked_about_and_never_named(factor, words):
    feedback = question(7.0, "W", 3).check(7.0 * factor)
    assert (feedback.state, feedback.slip) == ("off", None)
    assert words in feedback.text and "?" in feedback.text


def test_a_ratio_beside_a_known_one_is_not_asked_about():
    for factor in (3.6 * 1.01, 2.02, 9.9, 101, 0.98 / 60, -1.02, -3):
        assert "?" not in question(7.0, "W", 3).check(7.0 * factor).text


def test_celsius_and_kelvin():
    assert "kelvin" in ask("M25").check(ask("M25").answer * (20 + 273.15) / 20).text


@pytest.mark.parametrize(
    ("factor", "words"),
    [(4.1, "about 4 times too large"), (1 / 4.1, "about 4 times too small"),
     (1.23, "about 20 % too large"), (0.72, "about 30 % too small"), (1.7, "about 1.7 times"),
     (45, "about 40 times"), (1e9, "more than a million times"), (-5, "sign is the other way round"),
     (0, "The answer here is not zero")],
)  # fmt: skip
def test_direction_and_size_and_the_next_hint(factor, words):
    asked = question(13.0, "W", 3)
    feedback = asked.check(13.0 * factor)
    assert feedback.state == "off" and words in feedback.text
    assert feedback.text.endswith("Hint 1 shows which idea to use.")
    asked.hint()
    assert asked.check(13.0 * factor).text.endswith("Hint 2 shows the relation with its units.")


SLIPS = (
    ("slip", 20.0, "First thing."),
    ("slip b", 20.3, "Second thing."),
    ("slip c", 12.26, "Third thing."),
    ("slip d", 0.0, "Fourth thing."),
    ("slip e", None, "Never said."),
)


def test_slips_are_named_and_two_that_fit_are_named_together():
    asked = question(12.0, "W", 2, slips=SLIPS, near={"T01-c"})
    assert list(asked.slips) == ["T01", "T01-b", "T01-c", "T01-d"]
    first, second = asked.check(19.9), asked.check("20.4 W")
    assert (first.state, first.slip) == ("slip", "T01")
    assert first.text == "Read as 19.9 W. Either: First thing. Or: Second thing."
    assert (second.state, second.slip) == ("slip", "T01-b")
    near = asked.check(12.26)
    assert near.slip == "T01-c" and "Or: It is rounding" in near.text
    assert asked.check(0).slip == "T01-d"
    assert asked.check(0.004).state == "off", "next to nothing is not nothing"


def test_the_small_change_rule_is_right_and_the_full_solve_stays_unsaid():
    asked = ask("M08")
    feedback = asked.check(asked._rule)
    assert feedback.state == "right"
    assert "Right by the small-change rule; the full solve gives more." in feedback.text
    assert not re.search(r"3\.3|3\.4", feedback.text)
    assert "small-change rule gives 3.15 %" in asked.solution()


def test_a_time_is_written_as_a_time():
    asked = ask("M42")
    assert (asked.unit, asked.answer, asked.slips["M42"]) == ("min:s", "1:05", "1:08")
    assert [asked.check(t).state for t in ("1:05", "65 s", "1:05,0")] == ["right"] * 3
    assert asked.check("1:08").slip == "M42"
    for copied in ("1.08", "1.08 min", 65):
        feedback = asked.check(copied)
        assert feedback.state == "off" and "minutes:seconds" in feedback.text
    assert "Read as 1:05." in asked.check("1:05").text
    assert asked.check("1:75").state == "off"


NAMED = [  # question, numbers in it, what is typed, the slip: each worked out by hand from the prompt
    ("M13", {"before": 85, "fewer": 4}, "−4 percentage points", "M13"),
    ("M13", {"before": 85, "fewer": 4}, "4 points", "M13"),
    ("M05", {"faster": 13}, "1.443", "M05-factor"),  # 1.13³
    ("M05", {"faster": 13}, "1.13^3", "M05-factor"),
    ("M05", {"faster": 13}, "144.3 per cent", "M05-new"),
    ("M05", {"faster": 13}, "28", "M05"),  # 1.13² is 1.2769
    ("M05", {"faster": 13}, "about 28 %", "M05"),
    ("M34", {"steep": 5, "speed": 4}, "168", "M34-ten"),  # 84 x 10 x 0.04994 x 4 = 167.8
    ("M34", {"steep": 5, "speed": 4}, "169", "M34-crank"),  # 164.55 / 0.975 = 168.8
    ("M36", {"steep": 5, "speed": 4}, "167.8", "M36-ten"),
    ("M19", {}, "−19.1", "M19-left"),  # atan(4.330 / 12.5) to the other side
    ("M19", {"angle": 60, "wind": 3, "speed": 14.5}, "-9.2°", "M19-left"),  # atan(2.598 / 16)
    ("M30", {"runs": 4}, "0.0067", "M30-one-more-degree"),  # t of 7: 2.365 x 0.004 x sqrt(1/2)
    ("M30", {"runs": 2}, "0.0127", "M30-one-more-degree"),  # t of 3: 3.182 x 0.004
    ("M09", {"more": 5}, "2.5", "M09-square"),  # sqrt(1.05) is 1.0247
    ("M12", {}, "45", "M12"),
]  # fmt: skip


@pytest.mark.parametrize(("id", "numbers", "typed", "slip"), NAMED)
def test_what_people_got_wrong_and_how_they_typed_it_is_named(id, numbers, typed, slip):
    kind = KINDS[id]
    feedback = Question(kind, kind.at(**numbers)).check(typed)
    assert (feedback.state, feedback.slip) == ("slip", slip), feedback


def test_a_hint_points_the_way_that_the_number_is_off():
    """The best of three is 0.846 SD below the mean (Tippett 1925), nearer than the SD; of five, 1.163."""
    kind = KINDS["M31"]
    of_three, of_five = (Question(kind, kind.at(runs=runs)).check(0.004).text for runs in (3, 5))
    assert "a little nearer" in of_three and "further" not in of_three
    assert "the further the best is" in of_five


def test_a_percentage_has_no_miles_in_it():
    asked = Question(KINDS["M05"], KINDS["M05"].at(faster=13))
    for typed in ("27.4", "71.3", "12.3", "159"):  # ratios 1.609 and 3.6, either way
        text = asked.check(typed).text
        assert "?" not in text and "miles" not in text, text
    assert "percent where a fraction" in asked.check("0.443").text


@pytest.mark.parametrize(("id", "whole", "factor"), [
    ("M29", "105.1", "1.051"), ("M43", "111.8", "1.118"), ("M13", "80.4", "0.804"), ("M09", "101.82", "1.018"),
])  # fmt: skip
def test_the_whole_or_a_factor_typed_for_a_change_is_asked_about(id, whole, factor):
    """The lesson plan's answers, 5.1, 11.8, -19.6 and 1.82 %, with the 100 % from before."""
    assert "the 100 % from before?" in ask(id).check(whole).text
    assert "Is it a factor?" in ask(id).check(factor).text


def test_a_size_is_never_written_with_an_exponent():
    asked = question(1.0, "W", 3)
    for factor in (1180, 1000, 99400, 1 / 1180, 4.4e5):
        assert "e+" not in asked.check(factor).text.partition(". ")[2]
    assert "about 1000 times too large" in asked.check(1180).text


TYPED = [("M42", {}, text) for text in ("1 min 5 s", "1m05s", "1:05 min", "65 s", "about 1:05", "1'05\"")]
TYPED += [("M15", {}, text) for text in ("~26.7", "= 26.7", "26,7 km/h", "16.6 mph", "about 26.7 km an hour")]
TYPED += [("M05", {"faster": 13}, text) for text in ("44.3 per cent", "about 44", "~44", "44.3 % more", "+44,3%")]
TYPED += [("M13", {}, text) for text in ("minus 19.6", "−19.6 per cent", "negative 19.6 %")]
TYPED += [("M16", {}, text) for text in ("73:05", "1 h 13 min", "1:13:05", "73 min 5 s")]


@over(TYPED)
def test_a_right_answer_is_read_as_people_type_it(id, numbers, typed):
    kind = KINDS[id]
    assert Question(kind, kind.at(**numbers)).check(typed).state == "right"


def test_the_small_change_rule_is_not_taken_for_watts_at_the_crank():
    """M11: both are a little low. Each typed as the prompt asks is known as what it is."""
    for learner in range(24):
        asked = ask("M11", f"rule {learner}")
        assert asked.check(f"{asked.slips['M11-crank']:.2f}").slip == "M11-crank"
        assert asked.check(asked._rule).state == "right"


def test_a_wrong_dimension_is_named():
    feedback = ask("M01").check("23 N")
    assert feedback.state == "off"
    assert "'N' is a unit of force, not a unit of power" in feedback.text


def test_the_prompt_is_what_a_question_shows():
    assert repr(ask("M01")) == f"M01. {ask('M01').prompt}"
    assert str(ask("M01").check(None)) == ask("M01").check(None).text


anything = some.one_of(
    some.text(some.characters(exclude_categories=["Cs"]), max_size=50),
    some.from_regex(r"[-+−]?[0-9]{0,4}[.,:/ ]?[0-9]{0,4} ?(m/s|km/h|W|%|s|min|e9)?", fullmatch=True),
    some.floats(), some.integers(), some.complex_numbers(), some.decimals(), some.fractions(),
    some.binary(), some.booleans(), some.none(), some.lists(some.integers()), some.dates(),
)  # fmt: skip
ASKED = {id: ask(id) for id in ("M01", "M22", "M30", "M37", "M42")}


@given(anything, some.sampled_from(sorted(ASKED)))
@example("1/0", "M01")
@example("\ud800", "M42")
@example(Decimal("sNaN"), "M01")
@example(10**5000, "M01")
@example("0:0", "M42")
@example("99999999999999999999999999999999:00", "M42")
def test_checking_never_raises(answer, id):
    feedback = ASKED[id].check(answer)
    assert feedback.state in STATES and feedback.text
    assert (feedback.state == "slip") == (feedback.slip is not None)

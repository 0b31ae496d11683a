"""A plan of one's own in notebook 05: against statsmodels' power of a t test, counting by hand, and the sheet reader."""

import csv

import pytest

from dragwork.teaching.forms.plan_flow import PlanFlow, in_hours

HELMETS = {"set_ups": "helmet A; helmet B", "speeds": "36; 45", "yaw": "0; 10", "repeats": "6", "wanted": "0.004"}


def answered(**typed):
    flow = PlanFlow()
    flow.answer_all(**HELMETS | typed)
    return flow


def detectable(n, spread):
    """The difference that two groups of n detect at 80 % power, 5 % two-sided: statsmodels."""
    from statsmodels.stats.power import TTestIndPower  # slow to load

    return TTestIndPower().solve_power(nobs1=n, alpha=0.05, power=0.8) * spread


@pytest.mark.parametrize(("passes", "spread"), [(2, 0.003), (6, 0.0021), (12, 0.004)])
def test_what_it_detects_is_what_a_t_test_detects(passes, spread):
    found = answered(repeats=str(passes), spread=str(spread)).result
    assert found.detects == pytest.approx(detectable(passes, spread), rel=2e-3)


def test_the_practised_rider_is_the_spread_of_the_plan():
    """0.0012 and 0.0025 m2 of two runs: the root of their squares."""
    spread = (0.0012**2 + 0.0025**2 / 2) ** 0.5
    found = answered().result
    assert found.detects == pytest.approx(detectable(6, spread), rel=2e-3)
    assert f"spread of {spread:.4f} m²" in found.sentences[-1]


def test_the_time_is_counted_by_hand():
    """4 tares and 2 x 6 x 4 runs of 40 s, 12 changes of 6 min."""
    found = answered().result
    assert found.plan.time == pytest.approx(52 * 40 + 12 * 360)
    assert "48 runs: about 1 h 47 min" in found.sentences[0]


def test_too_small_a_plan_says_how_many_passes_do():
    found = answered(repeats="3", wanted="0.003", spread="0.003").result
    enough = next(n for n in range(2, 51) if detectable(n, 0.003) <= 0.003)
    assert f"you need {enough} passes of each" in " ".join(found.sentences)
    assert "even 50 passes" in " ".join(answered(wanted="0.0005").result.sentences)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"booked": "2"}, "The plan fits in the 2 h you booked."),
        ({"booked": "1:30"}, "17 min more than the 1 h 30 min you booked. There is time for 5 passes of each"),
        ({"booked": "0.5"}, "not even two passes"),
        ({"booked": "2", "wanted": "0.002"}, "and 19 passes do not"),
        ({"repeats": "3"}, "An even number cancels it"),
        ({"set_ups": "A; B; C"}, "For a pair picked afterwards, out of 3"),
    ],
    ids=str,
)
def test_what_does_not_fit_is_said(typed, words):
    assert words in " ".join(answered(**typed).result.sentences)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"set_ups": "hoods, drops and clip-ons"}, "hoods, drops and clip-ons"),
        ({"set_ups": "hoods vs drops"}, "hoods and drops"),
        ({"speeds": "36, 45 km/h"}, "36 and 45 km/h"),
        ({"speeds": "10; 12,5 m/s"}, "36 and 45 km/h"),
        ({"speeds": "36,5; 45"}, "36.5 and 45 km/h"),
        ({"speeds": "36/45"}, "36 and 45 km/h"),
        ({"speeds": "45,5"}, "45.5 km/h"),
        ({"yaw": "0, 5, 10"}, "0, 5 and 10° of yaw"),
        ({"yaw": "0,5,10"}, "0, 5 and 10° of yaw"),
        ({"yaw": "-10 0 10"}, "−10, 0 and 10° of yaw"),
        ({"yaw": "0°, 5,5° and 10°"}, "0, 5.5 and 10° of yaw"),
        ({"run_time": "1 min"}, "60 s a run"),
        ({"run_time": "0:45"}, "45 s a run"),
    ],
    ids=str,
)
def test_lists_are_read_as_people_type_them(typed, words):
    assert words in " ".join(answered(**typed).sentences)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"set_ups": "helmet A"}, "compares 2 to 12 set-ups"),
        ({"set_ups": "A; a"}, "same name"),
        ({"set_ups": "A; empty stand"}, "empty stand"),
        ({"speeds": "36,45"}, "one number or two. Write 36; 45 or 36.45"),
        ({"yaw": "0,10"}, "one number or two"),
        ({"speeds": "45; 45.5"}, "within 2 %"),
        ({"yaw": "10; 10"}, "are the same"),
        ({"yaw": "0; 80"}, "outside"),
        ({"repeats": "1"}, "outside"),
        ({"repeats": "2,5"}, "not a whole number"),
        ({"repeats": "50", "run_time": "10 min"}, "more than a day"),
        ({"wanted": "4"}, "outside"),
    ],
    ids=str,
)
def test_what_cannot_be_run_is_refused_with_what_to_do(typed, words):
    with pytest.raises(ValueError, match=words):
        answered(**typed)


def test_the_run_sheet_is_saved_once_for_each_press_and_holds_the_runs(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    flow = answered()
    (button,) = flow.words["buttons"]
    assert "Saved as run_sheet.csv, to fill in, and run_sheet.html, to print" in flow.press(**button)
    assert "run_sheet_2.csv" in flow.press(**button)
    text = (tmp_path / "run_sheet.csv").read_text(encoding="utf-8")
    runs = list(csv.DictReader(text[text.index("\nrun,") + 1 :].splitlines()))
    assert len(runs) == 48
    assert [run["set-up"][-1] for run in runs[::4]] == list("ABBAABBAABBA")
    with pytest.raises(ValueError, match="is open"):
        PlanFlow().save(tmp_path)


@pytest.mark.parametrize(("seconds", "words"), [(3600, "1 h"), (2400, "40 min"), (6420, "1 h 47 min"), (3899, "1 h 05 min")])
def test_a_length_of_time_is_read_in_hours(seconds, words):
    assert in_hours(seconds) == words

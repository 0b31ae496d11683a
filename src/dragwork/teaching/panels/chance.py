"""Panels of lesson 5: labels of one helmet, of which chance makes a winner, and what a session can detect."""

from functools import partial
from math import comb, sqrt

import numpy as np

from dragwork import units
from dragwork.measurement.comparison import difference_interval, expected_range
from dragwork.measurement.plan import PASS_SPREAD, RUN_SPREAD, plan_session
from dragwork.measurement.uncertainty import half_width
from dragwork.teaching.figures.curves import GUIDE, Axis, Curves, Line, Plane, plot, ranges
from dragwork.teaching.figures.style import BEFORE, SET_UP, bare
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import sentence

TRUTH = 0.250  # m2, of each of them
LEAD = 0.004  # m2, what Tobin's second helmet led by
DAYS = int(knob("day").high)
SEED = 213  # one whose hundred days of two helmets are ordinary ones: a learner meets no others
LABELS = "ABCDEFGHIJKL"


@model
def measured(number, runs, spread, day):
    """One helmet under several labels, as one day measured it, and all days so far [m2].

    It is the same luck at every spread, more runs go on from fewer, all days are from one sequence.
    mean, half: of each label, with half its 95 % interval; best, worst: places; gap: from best to worst.
    Of each day so far: gaps; named, picked: half the interval of the gap, as if the two had been named
    before, and as the outermost of all pairs. A half is nan where each label has one run. Up to each
    of the days: leads, on how many the gap was LEAD or more; alarms, on how many the interval of a pair
    named before left out zero. expected_gap: the mean gap of a day by chance; expected_leads: how often,
    0 to 1, two labels have a gap of at least LEAD by chance.
    """
    runs, day = int(runs), int(day)
    luck = np.random.default_rng(SEED).standard_normal((DAYS, number, int(knob("runs").high)))
    readings = TRUTH + spread * luck[:day, :, :runs]
    means, dof = readings.mean(axis=2), number * (runs - 1)
    u, one, all_pairs = np.full(day, np.nan), 1.0, 1.0
    if dof:
        u = np.sqrt(readings.var(axis=2, ddof=1).mean(axis=1) / runs)
        one, all_pairs = (half_width(1.0, dof, confidence=1 - 0.05 / tests) for tests in (1, comb(number, 2)))
    mean, gaps, named = means[-1], np.ptp(means, axis=1), one * sqrt(2) * u
    return dict(
        runs=runs,
        day=day,
        mean=mean,
        half=one * u[-1],
        best=int(mean.argmin()),
        best_mean=mean.min(),
        worst=int(mean.argmax()),
        gap=float(gaps[-1]),
        gaps=gaps,
        named=named,
        picked=all_pairs * sqrt(2) * u,
        days=np.arange(day + 1),
        leads=np.cumsum([0, *(gaps >= LEAD)]),
        alarms=np.cumsum([0, *(gaps > named)]),
        expected_gap=expected_range(number) * spread / sqrt(runs),
        expected_leads=difference_interval(LEAD, spread * sqrt(2 / runs), np.inf).p_value,
    )


_SINGLE = "One run each can't show how much runs differ, so there is no interval."


@sentence
def labels_in_words(result):
    """Day {day}, {each}, SD {spread:.4f m2}: helmet {first} leads helmet {last} by {gap:.4f m2}. {found}"""
    each = "one run each" if result.runs == 1 else f"{result.runs} runs each"
    found = _of_two(result) if result.number == 2 else _of_many(result)
    return dict(each=each, first=LABELS[result.best], last=LABELS[result.worst], found=found)


@sentence
def _of_two(result):
    """{interval} So far, {leads} of {days} had a lead of {lead:.3f m2} or more (chance alone: about {chance:.0f} in
    100){alarms}."""
    interval, alarms = _SINGLE, ""
    if result.runs > 1:
        zero = "leaves out" if result.gap > result.named[-1] else "includes"
        interval = f"The 95 % interval of the difference, {_interval(result.gap, result.named)}, {zero} zero."
        alarms = f", and on {result.alarms[-1]} the interval left out zero"
    counts = dict(leads=result.leads[-1], days=_days(result.day), lead=LEAD, chance=100 * result.expected_leads)
    return dict(interval=interval, alarms=alarms, **counts)


@sentence
def _of_many(result):
    """On an average day, chance alone puts best and worst {expected_gap:.4f m2} apart. {rest}"""
    return dict(rest=_picked(result) if result.runs > 1 else f"{_SINGLE} All {result.number} are the same helmet.")


@sentence
def _picked(result):
    """As if named before the test, these two differ by {before}; picked from {pairs} pairs afterwards, by {after}. So
    far, the first interval left out zero on {wrong[0]} of {days}, the second on {wrong[1]}."""
    before, after = (_interval(result.gap, half) for half in (result.named, result.picked))
    wrong = [int(np.sum(result.gaps > half)) for half in (result.named, result.picked)]
    return dict(before=before, after=after, pairs=comb(result.number, 2), wrong=wrong, days=_days(result.day))


def _days(number):
    return f"{number} day{'s' * (number > 1)}"


def _interval(gap, halves):
    return f"{gap - halves[-1]:.4f} to {gap + halves[-1]:.4f} m²"


_DOT, _LEADS, _ALARMS = SET_UP.values()
COUNTS = Plane(
    Axis("Day", "1", 0, DAYS),
    Axis(f"Days so far with a lead of {LEAD:.3f} m² or more", "1", 0, 100),
    Line([0, DAYS], lambda r: np.array([0, DAYS]) * r.expected_leads, GUIDE),
    Line("days", "leads", bare(_LEADS)),
    Line("days", "alarms", bare(_ALARMS)),
    Line("day", lambda r: r.leads[-1], _LEADS, lambda r: f"{r.leads[-1]} lead so far"),
    Line("day", lambda r: r.alarms[-1], _ALARMS, lambda r: f"{r.alarms[-1]}: interval without zero"),
    guesses=lambda guess, result: (DAYS, guess.value),
    share=1.8,
)  # fmt: skip

_REACH = 0.026  # m2, of the axis to either side of the truth
_RING = {**BEFORE, "linestyle": "None", "marker": "o", "fillstyle": "none"}


def _bar(place, gap, look):
    """A gap from the best mean on, and its number in a column at the right."""
    return (
        Line(lambda r: r.best_mean + np.array([0, getattr(r, gap)]), place, {**look, "marker": "|", "markersize": 11}),
        Line(TRUTH + _REACH, place, bare(look, linewidth=0), f"{{{gap}:.4f}}", sides=("right",)),
    )


def identical_helmets(number=8, runs=None):
    """The panel: turn the runs of each label, the spread of a run, and which day it is.

    Two labels count the days with a lead as large as Tobin's; more show the best and the worst.
    Rows, with the gap of today below, and for two labels the days so far, else an average day's gap.

    Parameters
    ----------
    number : int
        How many labels, 2 to 12.
    runs : int, optional
        How many runs of each it opens with; by default 2 for two labels, and 1 for more.
    """
    rows, two = list(range(number)), number == 2
    bars = {number + 0.1: ("gap today", "gap", {**_LEADS, "linestyle": "-"})}
    if not two:
        bars[number + 1.0] = ("average gap", "expected_gap", {**GUIDE, "linestyle": "-"})
    names = {row: f"helmet {LABELS[row]}" for row in rows} | {place: name for place, (name, _, _) in bars.items()}
    plane = Plane(
        Axis(f"Drag area, m². Dashed: the truth, {TRUTH:.3f}", "m2", TRUTH - _REACH, TRUTH + _REACH),
        Axis("Dot: mean. Line: 95 % interval. Ring: before.", "1", max(names) + 0.6, -0.6, names),
        Line(TRUTH, None, GUIDE),
        Line(lambda r: ranges(r.mean - r.half, r.mean + r.half), np.repeat(rows, 3),
             bare(_DOT, marker="|", markersize=9)),
        Line("mean", rows, {**_DOT, "linestyle": "None"}, trace=_RING),
        Line("best_mean", "best", {**_LEADS, "linestyle": "None", "markersize": 12}),
        Line(TRUTH + _REACH, "best", bare(_LEADS, linewidth=0), "leads", sides=("right",)),
        *(line for place, (_, gap, look) in bars.items() for line in _bar(place, gap, look)),
        guesses=None if two else lambda guess, result: (result.best_mean + guess.value, max(names)),
    )
    picture = Curves(
        "Measured drag areas of one helmet under several labels", plane, *([COUNTS] if two else []),
        height=4.0 if two else 0.28 * number + 1.8, left=0.19, right=0.85, hspace=0.85,
        bottom=0.13, top=0.91, told=False,
    )  # fmt: skip
    knobs = knob("runs", reference=runs or (2 if two else 1)), "spread", "day"
    return Panel(
        knobs, partial(measured, number), picture, labels_in_words, jumps={f"{DAYS} days": {"day": DAYS}},
        observed=lambda result: float(round(100 * result.expected_leads)) if two else result.expected_gap,
    )  # fmt: skip


# -- a session planned ----------------------------------------------------------------------------------

SPEEDS, YAW = units.kmh(np.array([36.0, 45.0])), units.deg(np.array([0.0, 10.0]))
RUN_TIME, CHANGE_TIME = 40.0, units.minutes(6)  # s
WANTED = 0.004  # m2
# Of the spread of a run, what comes with the pass and what with the run itself: only the latter
# averages out over the runs of a pass.
OF_PASS, OF_RUN = np.array([PASS_SPREAD, RUN_SPREAD]) / np.hypot(PASS_SPREAD, RUN_SPREAD)
REPEATS = knob("repeats")
_TICKS = (0.001, 0.002, 0.005, 0.01, 0.02, 0.05)


@model
def planned(set_ups, repeats, spread):
    """The plan for so many set-ups and passes, where a run of the day scatters by `spread`.

    A plan, what it detects [m2], and the same for fewer and more passes [s, m2].
    """
    names = list(LABELS[: int(set_ups)])
    plans = [
        plan_session(names, SPEEDS, YAW, number, run_time=RUN_TIME, change_time=CHANGE_TIME)
        for number in range(int(REPEATS.low), int(REPEATS.high) + 1)
    ]
    smallest = [plan.smallest_difference(OF_PASS * spread, OF_RUN * spread) for plan in plans]
    here, times = int(repeats - REPEATS.low), [plan.time for plan in plans]
    return dict(plan=plans[here], smallest_difference=smallest[here], times=times, smallest=smallest)


@sentence
def plan_in_words(result):
    """{set_ups:.0f} set-ups, {plan.repeats} passes each: {runs} runs, {length}. With a spread of {spread:.4f m2} (SD of
    a run), four sessions out of five would detect a true difference of {smallest_difference:.4f m2}. That is {enough}
    to see {wanted:.3f m2}."""
    hours, minutes = divmod(round(units.to_minutes(result.plan.time)), 60)
    length = f"{hours} h {minutes:02d} min" if hours else f"{minutes} min"
    enough = "small enough" if result.smallest_difference <= WANTED else "too large"
    return dict(runs=len(result.plan.runs), length=length, enough=enough, wanted=WANTED)


def planner():
    """The panel: turn the set-ups, the passes and the spread; two speeds, two yaw angles.

    Smallest difference over the length of the session.
    """
    longest = planned(knob("set_ups").high, REPEATS.high, 0.0025).times[-1]
    marks = {**SET_UP["C"], "linestyle": ":", "markersize": 5}
    picture = plot(
        "Smallest difference that a session detects, against its length",
        Axis("Length of the session, hours", "h", 0, 1.02 * units.to_hours(longest)),
        Axis("Smallest difference detected, m²", "m2", 0.0008, 0.06, _TICKS, log=True),
        Line(None, WANTED, GUIDE, f"a difference of {WANTED:.3f} m²", sides=("above left", "below left")),
        Line("times", "smallest", marks, trace=True),
        Line("plan.time", "smallest_difference", bare(SET_UP["C"], marker="o", markersize=12),
             "{plan.repeats} passes: {smallest_difference:.4f m2}", sides=("above right", "above", "above left")),
        guesses=lambda guess, result: (result.times[int(guess.at["repeats"] - REPEATS.low)], guess.value),
        left=0.12,
    )  # fmt: skip
    knobs = "set_ups", "repeats", knob("spread", reference=0.0025)
    return Panel(knobs, planned, picture, plan_in_words, observed="smallest_difference")

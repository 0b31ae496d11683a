"""Panel: a session planned: how long it takes, and how small a difference it detects."""

import numpy as np

from dragwork import units
from dragwork.measurement.plan import PASS_SPREAD, RUN_SPREAD, plan_session
from dragwork.teaching.figures.curves import GUIDE, Axis, Curves, Line, Plane
from dragwork.teaching.figures.style import SET_UP, bare
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import sentence

SPEEDS, YAW = units.kmh(np.array([36.0, 45.0])), units.deg(np.array([0.0, 10.0]))
RUN_TIME, CHANGE_TIME = 40.0, units.minutes(6)  # s
WANTED = 0.004  # m2
# Of the spread of a run, what comes with the pass and what with the run itself: only the latter
# averages out over the runs of a pass.
OF_PASS, OF_RUN = np.array([PASS_SPREAD, RUN_SPREAD]) / np.hypot(PASS_SPREAD, RUN_SPREAD)
REPEATS = knob("repeats")
LETTERS = "ABCDEF"
_TICKS = (0.001, 0.002, 0.005, 0.01, 0.02, 0.05)


@model
def planned(set_ups, repeats, spread):
    """The plan for so many set-ups and passes, where a run of the day scatters by `spread`.

    A plan, what it detects [m2], and the same for fewer and more passes [s, m2].
    """
    names = list(LETTERS[: int(set_ups)])
    plans = [
        plan_session(names, SPEEDS, YAW, number, run_time=RUN_TIME, change_time=CHANGE_TIME)
        for number in range(int(REPEATS.low), int(REPEATS.high) + 1)
    ]
    smallest = np.array([plan.smallest_difference(OF_PASS * spread, OF_RUN * spread) for plan in plans])
    here = int(repeats - REPEATS.low)
    return dict(
        plan=plans[here],
        smallest_difference=float(smallest[here]),
        times=np.array([plan.time for plan in plans]),
        smallest=smallest,
    )


_MARKS = {**SET_UP["C"], "linestyle": ":", "markersize": 5}


def _picture(most_time):
    """Smallest difference over the length of the session."""
    return Curves(
        "Smallest difference that a session detects, against its length",
        Plane(
            Axis("Length of the session, hours", "h", 0, units.to_hours(most_time)),
            Axis("Smallest difference detected, m²", "m2", 0.0008, 0.06, _TICKS, log=True),
            (
                Line(None, WANTED, GUIDE, f"a difference of {WANTED:.3f} m²", sides=("above left", "below left")),
                Line("times", "smallest", _MARKS, trace=True),
                Line(
                    "plan.time", "smallest_difference", bare(SET_UP["C"], marker="o", markersize=12),
                    lambda r: f"{r.plan.repeats} passes: {r.smallest_difference:.4f} m²",
                    sides=("above right", "above", "above left"),
                ),
            ),
            guesses=lambda guess, result: (result.times[int(guess.at["repeats"] - REPEATS.low)], guess.value),
        ),
        left=0.12,
    )  # fmt: skip


@sentence
def in_words(result):
    """{number} set-ups, {plan.repeats} passes each: {runs} runs, {length}. With a spread of {spread:.4f m2} (SD of a
    run), four sessions out of five would detect a true difference of {smallest_difference:.4f m2}. That is {enough}
    to see {wanted:.3f m2}."""
    hours, minutes = divmod(round(units.to_minutes(result.plan.time)), 60)
    return dict(
        number=len(result.plan.set_ups),
        runs=len(result.plan.runs),
        length=f"{hours} h {minutes:02d} min" if hours else f"{minutes} min",
        enough="small enough" if result.smallest_difference <= WANTED else "too large",
        wanted=WANTED,
    )


def planner():
    """The panel: turn the set-ups, the passes and the spread; two speeds, two yaw angles."""
    longest = planned(knob("set_ups").high, REPEATS.high, 0.0025).times[-1]
    knobs = "set_ups", "repeats", knob("spread", reference=0.0025)
    return Panel(knobs, planned, _picture(longest * 1.02), in_words, observed="smallest_difference")

"""M30 to M33: what chance and a shared error do to differences."""

from functools import cache
from math import sqrt

from numpy import inf

from dragwork.measurement.comparison import flattery
from dragwork.measurement.uncertainty import half_width, propagate
from dragwork.teaching.questions.drawing import Number, OneOf
from dragwork.teaching.questions.question import Along, Kind, Slip
from dragwork.units import percent

_SD = Number(0.004, 0.003, 0.006, 0.0005)


def _half_width(g, spread):
    """Half the width of a 95 % interval, with the degrees of freedom of both sets of runs."""
    return half_width(spread, 2 * g.runs - 2)


def _of_the_difference(sd, runs):
    return propagate(lambda a, b: a - b, [0, 0], [sd / sqrt(runs)] * 2).standard_uncertainty


@cache
def _expected_largest(number):
    """Mean of the largest of some standard normal numbers, in standard deviations."""
    return flattery(number, 1.0)


def _as_the_meter_sees(g, drag_area):
    """Air drag is what is left of the power, so a meter's factor passes to a difference whole."""
    return drag_area * (1 - percent(g.low))


M30 = Kind(
    "M30", "How wide is the interval?", "m2", 4,
    given={
        "runs": OneOf((2, 3, 4)),
        "sd": _SD,
        "difference": Number(0.006, 0.002, 0.007, 0.001),
    },
    asks=lambda g: f"""Two helmets have {g.runs} runs each. Their mean CdA differs by
        {g.difference:.3f} m². Within each helmet one run scatters with a standard deviation of
        {g.sd:.4f} m², pooled from both helmets. What is half the width of the 95 % interval of the
        difference, in m²? Use Student's t, with the degrees of freedom of the pooled spread.""",
    right=lambda g: _half_width(g, _of_the_difference(g.sd, g.runs)),
    slips=(
        Slip("M30", lambda g: half_width(_of_the_difference(g.sd, g.runs), inf),
             "This uses 1.96, as if the spread were known. It comes from these few runs, so use "
             "Student's t instead."),
        Slip("M30-no-root", lambda g: _half_width(g, g.sd * sqrt(2)),
             "This uses the SD of one run, without the root of the number of runs. A mean scatters "
             "less than a run."),
        Slip("M30-one-mean", lambda g: _half_width(g, g.sd / sqrt(g.runs)),
             "This is the interval of one mean. A difference has two means, and both are uncertain."),
        Slip("M30-fewer-degrees",
             lambda g: half_width(_of_the_difference(g.sd, g.runs), g.runs - 1),
             "This uses t with the degrees of freedom of one set-up. Both sets of runs show the "
             "spread."),
        Slip("M30-one-more-degree",
             lambda g: half_width(_of_the_difference(g.sd, g.runs), 2 * g.runs - 1),
             lambda g: f"This uses t with {2 * g.runs - 1} degrees of freedom, as for one set of "
             f"{2 * g.runs} runs. Each helmet has a mean of its own, so there is one fewer."),
        Slip("M30-sd", lambda g: g.sd,
             "This is the SD of one run. The question asks for 95 %, and for a difference of two "
             "means."),
        Slip("M30-difference", lambda g: g.difference,
             "This is the difference itself. How far could chance alone move it?"),
    ),
    idea="How uncertain is one mean? And a difference of two? With few runs, use t, not 1.96.",
    relation="half-width = t(95 %, 2n - 2) × SD × sqrt(2 / n), in m².",
    work=lambda g: f"""Degrees of freedom: 2 × {g.runs} - 2 = {2 * g.runs - 2}, for which t is
        {_half_width(g, 1.0):.4f}. Half-width: {_half_width(g, 1.0):.4f} × {g.sd:.4f} ×
        sqrt(2 / {g.runs}).""",
    why="Few runs leave a wide interval: check whether it includes zero.",
    along=Along("sd", "SD of one run, m²", 0.001, 0.01),
)  # fmt: skip

M31 = Kind(
    "M31", "The best of several runs", "m2", 4,
    given={"runs": OneOf((5, 3, 6, 7, 8)), "sd": _SD},
    asks=lambda g: f"""One run of a set-up has a standard deviation of {g.sd:.4f} m². The lowest CdA of
        {g.runs} runs is reported. On average, how far below the true mean is that lowest run, in m²?
        Assume a normal distribution.""",
    right=lambda g: g.sd * _expected_largest(g.runs),
    slips=(
        Slip("M31", lambda g: g.sd,
             lambda g: "This is the SD of one run, a fair guess. "
             + ("With only three runs the best is on average a little nearer to the mean."
                if g.runs == 3 else
                "But the more runs you pick from, the further the best is from the mean.")),
        Slip("M31-none", lambda g: 0.0,
             "This assumes that the best run is the true value. The best of several looks good even "
             "if nothing changed."),
        Slip("M31-gap", lambda g: 2 * g.sd * _expected_largest(g.runs),
             "This is the gap from best to worst. The best is half of that from the mean."),
        Slip("M31-mean", lambda g: g.sd / sqrt(g.runs),
             "This is how uncertain the mean is. The best run is a single run, and further away."),
    ),
    idea="If you pick the best, you pick luck too. How far is the luckiest run from the mean?",
    relation="expected largest of n = n ∫ x f(x) F(x)^(n-1) dx, in SD; times the SD in m².",
    work=lambda g: f"""For {g.runs} runs the integral is {_expected_largest(g.runs):.4f} SD. In m²:
        {_expected_largest(g.runs):.4f} × {g.sd:.4f}.""",
    why="Report the mean: if you report only the best run, you are reporting luck.",
    along=Along("runs", "Runs to pick from", 2, 20, whole=True),
)  # fmt: skip

M32 = Kind(
    "M32", "Identical helmets", "m2", 4,
    given={"helmets": Number(8, 5, 12, 1), "sd": _SD},
    asks=lambda g: f"""{g.helmets} identical helmets have one run each. The standard deviation of a run
        is known: {g.sd:.4f} m², with a normal distribution. On average, how far apart are the best and
        the worst, in m²?""",
    right=lambda g: 2 * g.sd * _expected_largest(g.helmets),
    slips=(
        Slip("M32", lambda g: 0.0,
             "This is the true gap, as the helmets are identical. Chance alone still makes a winner "
             "and a loser."),
        Slip("M32-sd", lambda g: g.sd,
             "This is the SD of one run. Best and worst are the extremes, so they are further apart."),
        Slip("M32-pair", lambda g: None if g.helmets == 8 else g.sd * sqrt(2),
             "This is the SD of the difference of two helmets. The best and worst of many are "
             "further apart."),
        Slip("M32-best", lambda g: g.sd * _expected_largest(g.helmets),
             lambda g: "This is how far the best is from the mean. The worst is as far away on the other "
             "side." + (" The SD of a difference of two helmets is nearly the same number, and no answer either."
                        if g.helmets == 8 else "")),
        Slip("M32-all", lambda g: g.sd * g.helmets,
             "This adds an SD for every helmet. Most are near the middle, so the gap grows slowly."),
    ),
    idea="Only chance differs. How far apart are the luckiest and the unluckiest?",
    relation="expected range of n = 2 n ∫ x f(x) F(x)^(n-1) dx, in SD; times the SD in m².",
    work=lambda g: f"""For {g.helmets} helmets the range is {2 * _expected_largest(g.helmets):.4f} SD.
        In m²: {2 * _expected_largest(g.helmets):.4f} × {g.sd:.4f}.""",
    why="With many tries chance alone makes a winner.",
    along=Along("helmets", "Helmets", 2, 20, whole=True),
)  # fmt: skip

M33 = Kind(
    "M33", "A meter that reads low both times", "m2", 4,
    given={
        "before": Number(0.320, 0.300, 0.340, 0.002),
        "after": Number(0.304, 0.280, 0.310, 0.002),
        "low": Number(2, 3, 5, 0.5),
    },
    where=lambda g: 0.014 <= g.before - g.after <= 0.030,
    asks=lambda g: f"""Two set-ups truly have CdA {g.before:.3f} and {g.after:.3f} m². Both are tested on
        a flat, calm road at one speed, with the rolling resistance known. The power meter reads
        {g.low:g} % low in both tests. What difference in CdA do they measure?""",
    right=lambda g: _as_the_meter_sees(g, g.before) - _as_the_meter_sees(g, g.after),
    slips=(
        Slip("M33", lambda g: sqrt(2) * percent(g.low) * (g.before + g.after) / 2,
             "This combines two independent errors. Both tests share one error, so it hardly "
             "changes the difference."),
        Slip("M33-one-test", lambda g: percent(g.low) * (g.before + g.after) / 2,
             "This is the error of one CdA. In the difference most of it cancels."),
        Slip("M33-only-one", lambda g: _as_the_meter_sees(g, g.before) - g.after,
             "This lets the meter read low in one test only. It reads low in both."),
        Slip("M33-unchanged", lambda g: g.before - g.after,
             "This is the true difference, as if a shared error vanished completely. A shared factor "
             "scales the difference too.", near=True),
    ),
    idea="Both tests share one factor. What does a common factor do to a difference?",
    relation="measured = (1 - low) × (CdA1 - CdA2), in m²: what does not change cancels.",
    work=lambda g: f"""The true difference: {g.before:.3f} - {g.after:.3f} = {g.before - g.after:.3f} m².
        The rolling part is the same in both tests and drops out. Measured: (1 -
        {percent(g.low):.3f}) × {g.before - g.after:.3f}.""",
    why="A shared factor changes a small difference by very little, and each CdA by much more.",
    along=Along("low", "Meter reads low by, %", 0, 10),
)  # fmt: skip

QUESTIONS = (M30, M31, M32, M33)

"""M30 to M33 and M44 to M46: what chance, a shared error, the order of runs and an unseen wind do to a test."""

from functools import cache
from math import sqrt

from numpy import inf

from dragwork.measurement.comparison import flattery
from dragwork.measurement.uncertainty import half_width, propagate
from dragwork.physics.drag import drag_force
from dragwork.teaching.questions.written import Kind, Number, OneOf
from dragwork.units import percent, to_percent

_SD = Number(0.004, 0.003, 0.006, 0.0005)


@cache
def _expected_largest(number):
    """Mean of the largest of some standard normal numbers, in standard deviations."""
    return flattery(number, 1.0)


class M30(Kind):
    """How wide is the interval?

    Two helmets have {runs} runs each. Their mean CdA differs by {difference:.3f} m². Within each
    helmet one run scatters with a standard deviation of {sd:.4f} m², pooled from both helmets. What
    is half the width of the 95 % interval of the difference, in m²? Use Student's t, with the
    degrees of freedom of the pooled spread.

    Idea: How uncertain is one mean? And a difference of two? With few runs, use t, not 1.96.
    Relation: half-width = t(95 %, 2n - 2) × SD × sqrt(2 / n), in m².
    Work: Degrees of freedom: 2 × {runs} - 2 = {degrees:.0f}, for which t is {t:.4f}. Half-width:
    {t:.4f} × {sd:.4f} × sqrt(2 / {runs}).
    Why: Few runs leave a wide interval: check whether it includes zero.

    Slip: This uses 1.96, as if the spread were known. It comes from these few runs, so use
    Student's t instead.
    Slip no root: This uses the SD of one run, without the root of the number of runs. A mean
    scatters less than a run.
    Slip one mean: This is the interval of one mean. A difference has two means, and both are
    uncertain.
    Slip fewer degrees: This uses t with the degrees of freedom of one set-up. Both sets of runs
    show the spread.
    Slip one more degree: This uses t with {one_more} degrees of freedom, as for one set of {both}
    runs. Each helmet has a mean of its own, so there is one fewer.
    Slip sd: This is the SD of one run. The question asks for 95 %, and for a difference of two
    means.
    Slip difference: This is the difference itself. How far could chance alone move it?
    """

    unit, digits = "m2", 4
    runs = OneOf((2, 3, 4))
    sd = Number(0.004, 0.003, 0.006, 0.0005, along=("SD of one run, m²", 0.001, 0.01))
    difference = Number(0.006, 0.002, 0.007, 0.001)
    derived = {
        "t": lambda g: half_width(1.0, 2 * g.runs - 2),
        "one_more": lambda g: 2 * g.runs - 1,
        "both": lambda g: 2 * g.runs,
    }

    def answers(g):
        degrees, mean = 2 * g.runs - 2, g.sd / sqrt(g.runs)
        difference = propagate(lambda a, b: a - b, [0, 0], [mean, mean]).standard_uncertainty
        yield "right", half_width(difference, degrees)
        yield "slip", half_width(difference, inf)
        yield "slip no root", half_width(g.sd * sqrt(2), degrees)
        yield "slip one mean", half_width(mean, degrees)
        yield "slip fewer degrees", half_width(difference, g.runs - 1)
        yield "slip one more degree", half_width(difference, g.one_more)
        yield "slip sd", g.sd
        yield "slip difference", g.difference


class M31(Kind):
    """The best of several runs

    One run of a set-up has a standard deviation of {sd:.4f} m². The lowest CdA of {runs} runs is
    reported. On average, how far below the true mean is that lowest run, in m²? Assume a normal
    distribution.

    Idea: If you pick the best, you pick luck too. How far is the luckiest run from the mean?
    Relation: expected largest of n = n ∫ x f(x) F(x)^(n-1) dx, in SD; times the SD in m².
    Work: For {runs} runs the integral is {largest:.4f} SD. In m²: {largest:.4f} × {sd:.4f}.
    Why: Report the mean: if you report only the best run, you are reporting luck.

    Slip: This is the SD of one run, a fair guess. {yet}
    Slip none: This assumes that the best run is the true value. The best of several looks good even
    if nothing changed.
    Slip gap: This is the gap from best to worst. The best is half of that from the mean.
    Slip mean: This is how uncertain the mean is. The best run is a single run, and further away.
    """

    unit, digits = "m2", 4
    runs = OneOf((5, 3, 6, 7, 8), along=("Runs to pick from", 2, 20))
    sd = _SD
    derived = {
        "largest": lambda g: _expected_largest(g.runs),
        "yet": lambda g: "With only three runs the best is on average a little nearer to the mean."
        if g.runs == 3
        else "But the more runs you pick from, the further the best is from the mean.",
    }

    def answers(g):
        yield "right", g.sd * g.largest
        yield "slip", g.sd
        yield "slip none", 0.0
        yield "slip gap", 2 * g.sd * g.largest
        yield "slip mean", g.sd / sqrt(g.runs)


class M32(Kind):
    """Identical helmets

    {helmets} identical helmets have one run each. The standard deviation of a run is known:
    {sd:.4f} m², with a normal distribution. On average, how far apart are the best and the worst,
    in m²?

    Idea: Only chance differs. How far apart are the luckiest and the unluckiest?
    Relation: expected range of n = 2 n ∫ x f(x) F(x)^(n-1) dx, in SD; times the SD in m².
    Work: For {helmets} helmets the range is {reach:.4f} SD. In m²: {reach:.4f} × {sd:.4f}.
    Why: With many tries chance alone makes a winner.

    Slip: This is the true gap, as the helmets are identical. Chance alone still makes a winner and
    a loser.
    Slip sd: This is the SD of one run. Best and worst are the extremes, so they are further apart.
    Slip pair: This is the SD of the difference of two helmets. The best and worst of many are
    further apart.
    Slip best: This is how far the best is from the mean. The worst is as far away on the other
    side. {besides}
    Slip all: This adds an SD for every helmet. Most are near the middle, so the gap grows slowly.
    """

    unit, digits = "m2", 4
    helmets = Number(8, 5, 12, 1, along=("Helmets", 2, 20))
    sd = _SD
    derived = {
        "reach": lambda g: 2 * _expected_largest(g.helmets),
        "besides": lambda g: "The SD of a difference of two helmets is nearly the same number, and no answer either."
        if g.helmets == 8
        else "",
    }

    def answers(g):
        yield "right", g.sd * g.reach
        yield "slip", 0.0
        yield "slip sd", g.sd
        if g.helmets != 8:
            yield "slip pair", g.sd * sqrt(2)
        yield "slip best", g.sd * g.reach / 2
        yield "slip all", g.sd * g.helmets


class M33(Kind):
    """A meter that reads low both times

    Two set-ups truly have CdA {before:.3f} and {after:.3f} m². Both are tested on a flat, calm road
    at one speed, with the rolling resistance known. The power meter reads {low:g} % low in both
    tests. What difference in CdA do they measure?

    Idea: Both tests share one factor. What does a common factor do to a difference?
    Relation: measured = (1 - low) × (CdA1 - CdA2), in m²: what does not change cancels.
    Work: The true difference: {before:.3f} - {after:.3f} = {difference:.3f} m². The rolling part is
    the same in both tests and drops out. Measured: (1 - {share:.3f}) × {difference}.
    Why: A shared factor changes a small difference by very little, and each CdA by much more.

    Slip: This combines two independent errors. Both tests share one error, so it hardly changes the
    difference.
    Slip one test: This is the error of one CdA. In the difference most of it cancels.
    Slip only one: This lets the meter read low in one test only. It reads low in both.
    Slip unchanged (near): This is the true difference, as if a shared error vanished completely. A
    shared factor scales the difference too.
    """

    unit, digits = "m2", 4
    before = Number(0.320, 0.300, 0.340, 0.002)
    after = Number(0.304, 0.280, 0.310, 0.002)
    low = Number(2, 3, 5, 0.5, along=("Meter reads low by, %", 0, 10))
    derived = {"share": lambda g: percent(g.low)}

    def where(g):
        return 0.014 <= g.before - g.after <= 0.030

    def answers(g):
        # Air drag is what is left of the power, so the meter's factor passes to each CdA whole.
        before, after = (area * (1 - g.share) for area in (g.before, g.after))
        one_error = g.share * (g.before + g.after) / 2
        yield "right", before - after
        yield "slip", sqrt(2) * one_error
        yield "slip one test", one_error
        yield "slip only one", before - g.after
        yield "slip unchanged", g.before - g.after


def _one_way(g, wind):
    """Error of a CdA [%] where the air speed is assumed to be the ground speed."""
    felt, assumed = (drag_force(1.0, 1.2, speed) for speed in (g.speed + wind, g.speed))
    return to_percent(felt / assumed - 1)


class M44(Kind):
    """Drift and the order of runs

    Set-ups A and B truly have the same CdA. The balance drifts: each run reads {drift:.4f} m² more
    than the run before it. The order is {block_a} {block_b}. How far is the mean of B above the
    mean of A, in m²?

    Idea: On average, how many runs later does B come than A?
    Relation: gap = drift × (mean place of B - mean place of A): m² = m² per run × runs.
    Work: Mean place of A: (1 + {runs}) / 2 = {mean_a:.1f}; of B: ({first_b} + {last_b}) / 2 =
    {mean_b:.1f}. Gap: ({mean_b} - {mean_a}) × {drift:.4f}.
    Why: Blocks turn a drift into a false difference; A B B A cancels a steady drift.

    Slip: This is the true difference, as if averaging removed the drift. All runs of B came later
    than those of A.
    Slip neighbours: This is the drift from one run to the next, right for A B A B. Here the set-ups
    are run in blocks.
    Slip ends: This is the drift from the first run to the last. The means are closer together.
    Slip one mean: This is how far the drift moved the mean of one set-up. Both means moved.
    """

    unit, digits = "m2", 4
    runs = OneOf((2, 4, 5))
    drift = Number(0.001, 0.001, 0.003, 0.0002, along=("Drift from run to run, m²", 0.0, 0.005))
    derived = {
        "block_a": lambda g: ' '.join('A' * g.runs),
        "block_b": lambda g: ' '.join('B' * g.runs),
        "first_b": lambda g: g.runs + 1,
        "last_b": lambda g: 2 * g.runs,
    }

    def answers(g):
        readings = [g.drift * run for run in range(2 * g.runs)]
        yield "right", (sum(readings[g.runs :]) - sum(readings[: g.runs])) / g.runs
        yield "slip", 0.0
        yield "slip neighbours", g.drift
        yield "slip ends", (2 * g.runs - 1) * g.drift
        yield "slip one mean", (g.runs - 1) / 2 * g.drift


class M45(Kind):
    """One way on a calm day

    A rider tests in one direction at {speed:g} m/s and assumes there is no wind. In fact there is a
    headwind of {wind:g} m/s. Rolling resistance and power are known, and the road is flat. What is
    the percentage error in the CdA? Use the exact square; do not use the small-change rule.

    Idea: Which air speed made the force, and which one did the rider divide by?
    Relation: error = ((v + w) / v)² - 1: m/s over m/s, so a fraction.
    Work: Air speed over assumed speed: ({speed:g} + {wind:g}) / {speed:g} = {ratio:.6f}. Error: 100
    × ({ratio}² - 1).
    Why: Even a breath of wind counts twice. Ride out and back, and it nearly cancels.

    Slip: This makes the force proportional to the air speed. It grows with the square, so the error
    counts twice.
    Slip cubed: This cubes the air speed. The force grows with its square, and the ground speed
    doesn't change.
    Slip from behind: This is for a tailwind. Here it is a headwind, so the CdA is too large.
    Slip both ways: This is what is left after a ride out and back. One way keeps the whole error.
    """

    unit, digits = "%", 2
    speed = Number(11, 9, 12.5, 0.5)
    wind = Number(0.5, 0.5, 1.4, 0.1, along=("Wind against the rider, m/s", 0.0, 3.0))

    def answers(g):
        share = g.wind / g.speed
        yield "right", _one_way(g, g.wind)
        yield "rule", to_percent(2 * share)
        yield "slip", to_percent(share)
        yield "slip cubed", to_percent((1 + share) ** 3 - 1)
        yield "slip from behind", _one_way(g, -g.wind)
        yield "slip both ways", to_percent(share**2)


class M46(Kind):
    """Several uncertainties together

    The CdA from a field test has three independent standard uncertainties: {wind:.4f} m² from the
    wind, {slope:.4f} m² from the slope and {tyres:.4f} m² from the tyres. What is the standard
    uncertainty of the CdA?

    Idea: The three are independent. How do independent errors add?
    Relation: u = sqrt(u1² + u2² + u3²), in m².
    Work: {wind:.4f}² + {slope:.4f}² + {tyres:.4f}² = {squares:.8f} m⁴. u = sqrt({squares}).
    Why: Independent uncertainties add in squares, so work on the largest first.

    Slip: This adds them, as if all erred the same way at once. Independent uncertainties add in
    squares.
    Slip largest: This is the largest alone. It matters most, but the others still widen the range.
    Slip mean: This is their mean. Each further uncertainty makes the range wider.
    """

    unit, digits = "m2", 4
    wind = Number(0.006, 0.004, 0.009, 0.0005)
    slope = Number(0.009, 0.004, 0.009, 0.0005, along=("Uncertainty from the slope, m²", 0.0, 0.02))
    tyres = Number(0.005, 0.004, 0.009, 0.0005)

    def where(g):
        return len({g.wind, g.slope, g.tyres}) == 3

    def answers(g):
        each = g.wind, g.slope, g.tyres
        yield "right", propagate(lambda a, b, c: a + b + c, [0, 0, 0], each).standard_uncertainty
        yield "slip", sum(each)
        yield "slip largest", max(each)
        yield "slip mean", sum(each) / 3

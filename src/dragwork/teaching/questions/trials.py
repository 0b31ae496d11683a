"""M44 to M46: what the order of runs, an unseen wind and several uncertainties do to a test."""

from dragwork.measurement.uncertainty import propagate
from dragwork.physics.drag import drag_force
from dragwork.teaching.questions.drawing import Number, OneOf
from dragwork.teaching.questions.question import Along
from dragwork.teaching.questions.written import question
from dragwork.units import to_percent


def _gap_of_drift(g):
    """Mean of the later half of the runs less that of the earlier half."""
    readings = [g.drift * run for run in range(2 * g.runs)]
    return (sum(readings[g.runs :]) - sum(readings[: g.runs])) / g.runs


def _one_way(g, wind):
    """Error of a CdA [%] where the air speed is assumed to be the ground speed."""
    felt, assumed = (drag_force(1.0, 1.2, speed) for speed in (g.speed + wind, g.speed))
    return to_percent(felt / assumed - 1)


def _uncertainties(g):
    return (g.wind, g.slope, g.tyres)


@question
class M44:
    """Drift and the order of runs

    Set-ups A and B truly have the same CdA. The balance drifts: each run reads {drift:.4f} m² more
    than the run before it. The order is {block_a} {block_b}. How far is the mean of B above the
    mean of A, in m²?

    Idea: On average, how many runs later does B come than A?
    Relation: gap = drift × (mean place of B - mean place of A): m² = m² per run × runs.
    Work: Mean place of A: (1 + {runs}) / 2 = {mean_a:.1f}; of B: ({first_b} + {last_b}) / 2 =
    {mean_b:.1f}. Gap: ({mean_b} - {mean_a}) × {drift:.4f}.
    Why: Blocks turn a drift into a false difference; A B B A cancels a steady drift.
    """

    unit, digits = "m2", 4
    runs = OneOf((2, 4, 5))
    drift = Number(0.001, 0.001, 0.003, 0.0002)
    along = Along("drift", "Drift from run to run, m²", 0.0, 0.005)
    shown = {
        "block_a": lambda g: ' '.join('A' * g.runs),
        "block_b": lambda g: ' '.join('B' * g.runs),
        "first_b": lambda g: g.runs + 1,
        "last_b": lambda g: 2 * g.runs,
    }
    right = _gap_of_drift

    def slip(g):
        """This is the true difference, as if averaging removed the drift. All runs of B came later
        than those of A."""
        return 0.0

    def slip_neighbours(g):
        """This is the drift from one run to the next, right for A B A B. Here the set-ups are run
        in blocks."""
        return g.drift

    def slip_ends(g):
        """This is the drift from the first run to the last. The means are closer together."""
        return (2 * g.runs - 1) * g.drift

    def slip_one_mean(g):
        """This is how far the drift moved the mean of one set-up. Both means moved."""
        return (g.runs - 1) / 2 * g.drift


@question
class M45:
    """One way on a calm day

    A rider tests in one direction at {speed:g} m/s and assumes there is no wind. In fact there is a
    headwind of {wind:g} m/s. Rolling resistance and power are known, and the road is flat. What is
    the percentage error in the CdA? Use the exact square; do not use the small-change rule.

    Idea: Which air speed made the force, and which one did the rider divide by?
    Relation: error = ((v + w) / v)² - 1: m/s over m/s, so a fraction.
    Work: Air speed over assumed speed: ({speed:g} + {wind:g}) / {speed:g} = {ratio:.6f}. Error: 100
    × ({ratio}² - 1).
    Why: Even a breath of wind counts twice. Ride out and back, and it nearly cancels.
    """

    unit, digits = "%", 2
    speed = Number(11, 9, 12.5, 0.5)
    wind = Number(0.5, 0.5, 1.4, 0.1)
    along = Along("wind", "Wind against the rider, m/s", 0.0, 3.0)

    def right(g):
        return _one_way(g, g.wind)

    def rule(g):
        return to_percent(2 * g.wind / g.speed)

    def slip(g):
        """This makes the force proportional to the air speed. It grows with the square, so the
        error counts twice."""
        return to_percent(g.wind / g.speed)

    def slip_cubed(g):
        """This cubes the air speed. The force grows with its square, and the ground speed doesn't
        change."""
        return to_percent((1 + g.wind / g.speed) ** 3 - 1)

    def slip_from_behind(g):
        """This is for a tailwind. Here it is a headwind, so the CdA is too large."""
        return _one_way(g, -g.wind)

    def slip_both_ways(g):
        """This is what is left after a ride out and back. One way keeps the whole error."""
        return to_percent((g.wind / g.speed) ** 2)


@question
class M46:
    """Several uncertainties together

    The CdA from a field test has three independent standard uncertainties: {wind:.4f} m² from the
    wind, {slope:.4f} m² from the slope and {tyres:.4f} m² from the tyres. What is the standard
    uncertainty of the CdA?

    Idea: The three are independent. How do independent errors add?
    Relation: u = sqrt(u1² + u2² + u3²), in m².
    Work: {wind:.4f}² + {slope:.4f}² + {tyres:.4f}² = {squares:.8f} m⁴. u = sqrt({squares}).
    Why: Independent uncertainties add in squares, so work on the largest first.
    """

    unit, digits = "m2", 4
    wind = Number(0.006, 0.004, 0.009, 0.0005)
    slope = Number(0.009, 0.004, 0.009, 0.0005)
    tyres = Number(0.005, 0.004, 0.009, 0.0005)
    along = Along("slope", "Uncertainty from the slope, m²", 0.0, 0.02)

    def right(g):
        return propagate(lambda wind, slope, tyres: wind + slope + tyres, [0, 0, 0], _uncertainties(g)).standard_uncertainty

    def where(g):
        return len(set(_uncertainties(g))) == 3

    def slip(g):
        """This adds them, as if all erred the same way at once. Independent uncertainties add in
        squares."""
        return sum(_uncertainties(g))

    def slip_largest(g):
        """This is the largest alone. It matters most, but the others still widen the range."""
        return max(_uncertainties(g))

    def slip_mean(g):
        """This is their mean. Each further uncertainty makes the range wider."""
        return sum(_uncertainties(g)) / 3

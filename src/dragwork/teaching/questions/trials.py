"""M44 to M46: what the order of runs, an unseen wind and several uncertainties do to a test."""

from dragwork.measurement.uncertainty import propagate
from dragwork.physics.drag import drag_force
from dragwork.teaching.questions.drawing import Number, OneOf
from dragwork.teaching.questions.question import Along, Kind, Slip
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


M44 = Kind(
    "M44", "Drift and the order of runs", "m2", 4,
    given={"runs": OneOf((2, 4, 5)), "drift": Number(0.001, 0.001, 0.003, 0.0002)},
    asks=lambda g: f"""Set-ups A and B truly have the same CdA. The balance drifts: each run reads
        {g.drift:.4f} m² more than the run before it. The order is {" ".join("A" * g.runs)}
        {" ".join("B" * g.runs)}. How far is the mean of B above the mean of A, in m²?""",
    right=_gap_of_drift,
    slips=(
        Slip("M44", lambda g: 0.0,
             "This is the true difference, as if averaging removed the drift. All runs of B came "
             "later than those of A."),
        Slip("M44-neighbours", lambda g: g.drift,
             "This is the drift from one run to the next, right for A B A B. Here the set-ups are "
             "run in blocks."),
        Slip("M44-ends", lambda g: (2 * g.runs - 1) * g.drift,
             "This is the drift from the first run to the last. The means are closer together."),
        Slip("M44-one-mean", lambda g: (g.runs - 1) / 2 * g.drift,
             "This is how far the drift moved the mean of one set-up. Both means moved."),
    ),
    idea="On average, how many runs later does B come than A?",
    relation="gap = drift × (mean place of B - mean place of A): m² = m² per run × runs.",
    work=lambda g: f"""Mean place of A: (1 + {g.runs}) / 2 = {(g.runs + 1) / 2:.1f}; of B:
        ({g.runs + 1} + {2 * g.runs}) / 2 = {(3 * g.runs + 1) / 2:.1f}. Gap: ({(3 * g.runs + 1) / 2:.1f} -
        {(g.runs + 1) / 2:.1f}) × {g.drift:.4f}.""",
    why="Blocks turn a drift into a false difference; A B B A cancels a steady drift.",
    along=Along("drift", "Drift from run to run, m²", 0.0, 0.005),
)  # fmt: skip

M45 = Kind(
    "M45", "One way on a calm day", "%", 2,
    given={"speed": Number(11, 9, 12.5, 0.5), "wind": Number(0.5, 0.5, 1.4, 0.1)},
    asks=lambda g: f"""A rider tests in one direction at {g.speed:g} m/s and assumes there is no wind. In
        fact there is a headwind of {g.wind:g} m/s. Rolling resistance and power are known, and the road
        is flat. What is the percentage error in the CdA? Use the exact square; do not use the
        small-change rule.""",
    right=lambda g: _one_way(g, g.wind),
    rule=lambda g: to_percent(2 * g.wind / g.speed),
    slips=(
        Slip("M45", lambda g: to_percent(g.wind / g.speed),
             "This makes the force proportional to the air speed. It grows with the square, so the "
             "error counts twice."),
        Slip("M45-cubed", lambda g: to_percent((1 + g.wind / g.speed) ** 3 - 1),
             "This cubes the air speed. The force grows with its square, and the ground speed doesn't "
             "change."),
        Slip("M45-from-behind", lambda g: _one_way(g, -g.wind),
             "This is for a tailwind. Here it is a headwind, so the CdA is too large."),
        Slip("M45-both-ways", lambda g: to_percent((g.wind / g.speed) ** 2),
             "This is what is left after a ride out and back. One way keeps the whole error."),
    ),
    idea="Which air speed made the force, and which one did the rider divide by?",
    relation="error = ((v + w) / v)² - 1: m/s over m/s, so a fraction.",
    work=lambda g: f"""Air speed over assumed speed: ({g.speed:g} + {g.wind:g}) / {g.speed:g} =
        {(g.speed + g.wind) / g.speed:.6f}. Error: 100 × ({(g.speed + g.wind) / g.speed:.6f}² - 1).""",
    why="Even a breath of wind counts twice. Ride out and back, and it nearly cancels.",
    along=Along("wind", "Wind against the rider, m/s", 0.0, 3.0),
)  # fmt: skip

M46 = Kind(
    "M46", "Several uncertainties together", "m2", 4,
    given={
        "wind": Number(0.006, 0.004, 0.009, 0.0005),
        "slope": Number(0.009, 0.004, 0.009, 0.0005),
        "tyres": Number(0.005, 0.004, 0.009, 0.0005),
    },
    where=lambda g: len(set(_uncertainties(g))) == 3,
    asks=lambda g: f"""The CdA from a field test has three independent standard uncertainties:
        {g.wind:.4f} m² from the wind, {g.slope:.4f} m² from the slope and {g.tyres:.4f} m² from the tyres.
        What is the standard uncertainty of the CdA?""",
    right=lambda g: propagate(
        lambda wind, slope, tyres: wind + slope + tyres, [0, 0, 0], _uncertainties(g)
    ).standard_uncertainty,
    slips=(
        Slip("M46", lambda g: sum(_uncertainties(g)),
             "This adds them, as if all erred the same way at once. Independent uncertainties add in "
             "squares."),
        Slip("M46-largest", lambda g: max(_uncertainties(g)),
             "This is the largest alone. It matters most, but the others still widen the range."),
        Slip("M46-mean", lambda g: sum(_uncertainties(g)) / 3,
             "This is their mean. Each further uncertainty makes the range wider."),
    ),
    idea="The three are independent. How do independent errors add?",
    relation="u = sqrt(u1² + u2² + u3²), in m².",
    work=lambda g: f"""{g.wind:.4f}² + {g.slope:.4f}² + {g.tyres:.4f}² =
        {sum(u**2 for u in _uncertainties(g)):.8f} m⁴. u = sqrt({sum(u**2 for u in _uncertainties(g)):.8f}).""",
    why="Independent uncertainties add in squares, so work on the largest first.",
    along=Along("slope", "Uncertainty from the slope, m²", 0.0, 0.02),
)  # fmt: skip

QUESTIONS = (M44, M45, M46)

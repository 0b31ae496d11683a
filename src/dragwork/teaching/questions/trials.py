"""M44 to M46: what the order of runs, an unseen wind and several doubts do to a test."""

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
    """Percent by which a CdA comes out too large where the air speed is taken for the ground's."""
    felt, assumed = (drag_force(1.0, 1.2, speed) for speed in (g.speed + wind, g.speed))
    return to_percent(felt / assumed - 1)


def _doubts(g):
    return (g.wind, g.slope, g.tyres)


M44 = Kind(
    "M44", "Drift and the order of runs", "m2", 4,
    given={"runs": OneOf((2, 3, 4)), "drift": Number(0.001, 0.001, 0.003, 0.0002)},
    asks=lambda g: f"""Set-ups A and B truly have the same CdA. The balance drifts: each run reads
        {g.drift:.4f} m² more than the run before it. The order is {" ".join("A" * g.runs)}
        {" ".join("B" * g.runs)}. By how many m² does the mean of B lie above the mean of A?""",
    right=_gap_of_drift,
    slips=(
        Slip("M44", lambda g: 0.0,
             "This is the true difference, as if means took the drift away. All of B ran later than "
             "all of A."),
        Slip("M44-neighbours", lambda g: g.drift,
             "This is the drift from one run to the next, right for A B A B. Here the set-ups are "
             "run in blocks."),
        Slip("M44-ends", lambda g: (2 * g.runs - 1) * g.drift,
             "This is the drift from the first run to the last. The means lie between the ends."),
        Slip("M44-one-mean", lambda g: (g.runs - 1) / 2 * g.drift,
             "This is how far the drift moved the mean of one set-up. Both means moved."),
    ),
    idea="How many runs lie, on the mean, between a run of A and a run of B?",
    relation="gap = drift × (mean place of B - mean place of A): m² = m² per run × runs.",
    work=lambda g: f"""The mean place of A is {(g.runs + 1) / 2:g}, that of B
        {(3 * g.runs + 1) / 2:g}. Their distance times {g.drift:.4f}.""",
    why="Blocks turn drift into a difference; A B B A takes a steady drift out.",
    along=Along("drift", "Drift from run to run, m²", 0.0, 0.005),
)  # fmt: skip

M45 = Kind(
    "M45", "One way on a calm day", "%", 2,
    given={"speed": Number(11, 9, 12.5, 0.5), "wind": Number(0.5, 0.5, 1.4, 0.1)},
    asks=lambda g: f"""A rider tests one way at {g.speed:g} m/s and takes the day for calm. In truth
        {g.wind:g} m/s of wind blow straight against the rider. Rolling resistance and power are known, the
        road is flat. By how many percent does the CdA come out too large? Square in full; do not use
        the small-change rule.""",
    right=lambda g: _one_way(g, g.wind),
    rule=lambda g: to_percent(2 * g.wind / g.speed),
    slips=(
        Slip("M45", lambda g: to_percent(g.wind / g.speed),
             "This takes the wind in step with the air speed. The force goes with the square of it, "
             "so the error counts twice."),
        Slip("M45-cubed", lambda g: to_percent((1 + g.wind / g.speed) ** 3 - 1),
             "This cubes the air speed. The rider pushes against its square, over the ground at "
             "ground speed."),
        Slip("M45-from-behind", lambda g: _one_way(g, -g.wind),
             "This has the wind in the rider's back. Here it blows in the face, and the CdA comes "
             "out too large."),
        Slip("M45-both-ways", lambda g: to_percent((g.wind / g.speed) ** 2),
             "This is what is left after a ride out and back. One way alone keeps all of it."),
    ),
    idea="Which air speed made the force, and which one was the force divided by?",
    relation="error = ((v + w) / v)² - 1: m/s over m/s, so a fraction.",
    work=lambda g: f"""The air comes at {g.speed + g.wind:.1f} m/s and is taken for {g.speed:g} m/s: a
        ratio of {(g.speed + g.wind) / g.speed:.4f}, to be squared.""",
    why="A breath of wind is squared; ride out and back, and it nearly cancels.",
    along=Along("wind", "Wind against the rider, m/s", 0.0, 3.0),
)  # fmt: skip

M46 = Kind(
    "M46", "Several doubts together", "m2", 4,
    given={
        "wind": Number(0.006, 0.004, 0.009, 0.0005),
        "slope": Number(0.009, 0.004, 0.009, 0.0005),
        "tyres": Number(0.005, 0.004, 0.009, 0.0005),
    },
    where=lambda g: len(set(_doubts(g))) == 3,
    asks=lambda g: f"""A field test gives a CdA. Three doubts stand behind it, each a standard
        uncertainty of the CdA: {g.wind:.4f} m² from wind, {g.slope:.4f} m² from the slope and
        {g.tyres:.4f} m² from the tyres. They have nothing to do with each other. What is the standard
        uncertainty of the CdA?""",
    right=lambda g: propagate(
        lambda wind, slope, tyres: wind + slope + tyres, [0, 0, 0], _doubts(g)
    ).standard_uncertainty,
    slips=(
        Slip("M46", lambda g: sum(_doubts(g)),
             "This adds the doubts, as if all erred the same way at once. Doubts that know "
             "nothing of each other add in squares."),
        Slip("M46-largest", lambda g: max(_doubts(g)),
             "This is the largest doubt alone. It leads, and the others still widen it."),
        Slip("M46-mean", lambda g: sum(_doubts(g)) / 3,
             "This is the mean doubt. More doubts make a wider range, never a middling one."),
    ),
    idea="Do the three err together, or each by itself? How do such errors add?",
    relation="u = sqrt(u1² + u2² + u3²), in m².",
    work=lambda g: f"""The squares add to {1e6 * sum(u**2 for u in _doubts(g)):.2f} × 10⁻⁶ m⁴; take the
        root.""",
    why="Independent doubts add in squares, so the largest is the one to work on first.",
    along=Along("slope", "Doubt from the slope, m²", 0.0, 0.02),
)  # fmt: skip

QUESTIONS = (M44, M45, M46)

"""Small changes that the tests must notice: each is made in a copy, and the tests named beside it run there.

    .venv/bin/python tests/mutations.py              all of them, and what survived
    .venv/bin/python tests/mutations.py drag wind    those of files with such a word in their name

At least 95 % are to be caught. A survivor wants a test, not another mutation.
"""

import os
import shlex
import shutil
import subprocess
import sys
import tempfile
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[1]
PACKAGE = "src/dragwork"
LEAST = 0.95  # of the mutations, caught


@dataclass(frozen=True)
class Mutation:
    """`old`, which is once in the file, becomes `new`; `tests` are arguments of pytest."""

    file: str
    old: str
    new: str
    tests: str

    def __str__(self):
        return f"{self.file}: {self.old}  ->  {self.new}"


def _of(file, tests, *changes):
    return [Mutation(file, old, new, tests) for old, new in changes]


def _physics(name, *changes, tests=None):
    return _of(f"physics/{name}.py", f"tests/physics/test_{tests or name}.py", *changes)


def _slip(name, id, *changes):
    return _of(f"teaching/questions/{name}.py", f"tests/teaching/questions/test_slips_from_outside.py -k {id}", *changes)


MUTATIONS = [
    *_physics(
        "air",
        ("A * T**2 + B * T", "A * T**2 - B * T"),
        ("dry * (1 - vapour * (1 - mass_ratio))", "dry * (1 + vapour * (1 - mass_ratio))"),
        ("alpha + beta * p + gamma", "alpha + gamma"),
        ("(p / T) ** 2 * (k.d", "(p / T) * (k.d"),
        ("T**1.5 / (T +", "T**0.5 / (T +"),
        ("H = k.earth_radius * z / (k.earth_radius + z)", "H = z"),
    ),
    *_of(
        "physics/air.py", "tests/published/test_published.py -k reduced",
        ("ISO2533.lapse_rate / 2 * z", "ISO2533.lapse_rate * z"),
    ),
    *_physics(
        "wind",
        ("along = v + w * np.cos(phi)", "along = v - w * np.cos(phi)"),
        ("across = w * np.sin(phi)", "across = w * np.cos(phi)"),
        ("np.arctan2(across, along), along", "np.arctan2(across, v), along"),
        ("np.log(h / z0) / np.log(reference / z0)", "np.log(h) / np.log(reference)"),
        ("-np.pi / 4 * (w / mean) ** 2", "-np.pi / 2 * (w / mean) ** 2"),
        ("(np.pi - wind_from + heading)", "(np.pi + wind_from - heading)"),
        ("counted / weights.sum()", "counted / counted.sum()"),
    ),
    *_of("physics/drag.py", "tests/published/test_published.py -k martin-air-force", ("0.5 * rho * v**2", "rho * v**2")),
    *_physics(
        "drag",
        ("area * np.cos(yaw) ** 2", "area * np.cos(yaw)"),
        ("D * np.cos(yaw) - S * np.sin(yaw)", "D * np.cos(yaw) + S * np.sin(yaw)"),
        ("1 / (1 - S / C) ** 2", "1 / (1 - S / C)"),
        ("area * (along / edge)", "area * along"),
        ("np.mean(curve(felt.yaw) * felt.speed**2, axis=-1) / v**2", "np.mean(curve(felt.yaw), axis=-1)"),
        ("right = yaw > 0", "right = yaw > yaw[0]"),
    ),
    *_physics(
        "forces",
        ("self.rolling + self.slope + self.bearings", "self.rolling + self.slope"),
        ("half_density = conditions.shelter * conditions.air_density / 2", "half_density = conditions.air_density / 2"),
        ('"inertia": mass + rider.rotating_mass', '"inertia": mass'),
        ('air = self["drag"] * along', 'air = self["drag"] * air_speed'),
    ),
    *_physics(
        "forces",
        ("(air_speed + along * along / air_speed)", "air_speed"),
        ("2 * along * area - across * by_yaw", "2 * along * area + across * by_yaw"),
        tests="savings",
    ),
    *_physics(
        "resistance",
        ("C_rr * m * STANDARD_GRAVITY / np.sqrt(1 + G**2)", "C_rr * m * STANDARD_GRAVITY"),
        ("STANDARD_GRAVITY * G / np.sqrt(1 + G**2)", "STANDARD_GRAVITY * G"),
        ("return J / r**2", "return J / r"),
        ("np.where(wheel >= 0, wheel / eta, wheel)", "np.where(wheel >= 0, wheel / eta, wheel * eta)"),
    ),
    *_physics("power", ("(resisting + inertia) * v", "resisting * v"), ("inertia * v)", "inertia)")),
    *_physics(
        "savings",
        ("distance / was - distance / now", "distance / now - distance / was"),
        ("hours(1) * (1 - was / now)", "hours(1) * (now / was - 1)"),
        ("s / (1 + 2 * s) * x", "s / (1 + 3 * s) * x"),
        ("felt.speed * felt.along * v)", "felt.speed * felt.speed * v)"),
        ("np.maximum(was, 0.0) - np.maximum(now, 0.0)", "was - now"),
    ),
    *_physics(
        "course",
        ('np.maximum(asked, 0.0) / rows["efficiency"][i]', "np.maximum(asked, 0.0)"),
        ("leg.distance * leg.gradient / np.hypot(1, leg.gradient)", "leg.distance * leg.gradient"),
    ),
    *_physics("relaxation", ("time + left, end,", "time, end,"), tests="course"),
    *_of(
        "measurement/uncertainty.py", "tests/measurement/test_uncertainty.py",
        ("stdtrit(degrees_of_freedom, (1 + confidence) / 2)", "stdtrit(degrees_of_freedom, confidence)"),
        ("np.sum(share) ** 2 / known", "np.sum(share) / known"),
        ("max((between - within) / mean_size, 0.0)", "max(between / mean_size, 0.0)"),
        ("ndtri((1 + confidence) / 2) * spread", "2 * spread"),
    ),
    *_of(
        "measurement/comparison.py", "tests/measurement/test_comparison.py",
        ("spread.s_r * sqrt(1 / a.size + 1 / b.size)", "spread.s_r * sqrt(1 / a.size)"),
        ("(a - b).std(ddof=1) / sqrt(a.size)", "(a - b).std() / sqrt(a.size)"),
        ("2 * runs - 2, confidence) - power", "runs - 1, confidence) - power"),
    ),
    *_of(
        "measurement/regression.py", "tests/measurement/test_regression.py",
        ("left @ left / (n - k)", "left @ left / n"),
        ("t * np.sqrt(variance + new)", "t * np.sqrt(variance)"),
    ),
    *_of("decisions/pacing.py", "tests/decisions/test_pacing.py", ("1 - even.legs.speed / mean", "even.legs.speed / mean - 1")),
    *_of(
        "decisions/options.py", "tests/decisions/test_options.py",
        ("share * time_in + (1 - share) * time_out", "share * time_out + (1 - share) * time_in"),
        ("return (s * x)[()]", "return (x + 0 * s)[()]"),
        ("leads = drawn == drawn.max(axis=0)", "leads = drawn == drawn.min(axis=0)"),
    ),
    *_of(
        "decisions/rides.py", "tests/decisions/test_unstated.py",
        ("np.arctan2(east, north)", "np.arctan2(north, east)"),
        ("unstated.gusts * np.hypot(north, east) * gust", "0 * gust"),
        ('1 + shift["power"]', '1 + 2 * shift["power"]'),
    ),
    *_of("decisions/shelter.py", "tests/decisions/test_shelter.py", ("uniform(place.low, place.high, draws)", "uniform(place.low, 1.0, draws)")),
    *_of("decisions/verdicts.py", "tests/decisions/test_verdicts.py", ("seconds.high < worthwhile", "seconds.low < worthwhile")),
    *_slip("power", "M07", ("g.share * needed.rolling / 0.975", "g.share * needed.rolling * 0.975")),
    *_slip("air", "M24", ("-0.622 * g.vapour", "-0.378 * g.vapour")),
    *_slip("chance", "M31", ("2 * g.sd * g.largest", "g.sd * g.largest")),
    *_slip("chance", "M30", ("half_width(g.sd * sqrt(2), degrees)", "half_width(g.sd, degrees)")),
    *_of(
        "teaching/questions/question.py", "tests/teaching/questions/test_feedback.py",
        ("<= self.kind.band(target) * (1 + 1e-9)", "<= self.kind.band(target) * 10"),
        ("abs(value - right) <= APART", "abs(value - right) <= 0 * APART"),
    ),
]  # fmt: skip


@contextmanager
def project():
    """A copy of what the tests need, for changes; it goes again."""
    with tempfile.TemporaryDirectory(prefix="mutations-") as folder:
        for name in ("src", "tests", "pyproject.toml", "README.md", "DEVELOPERS.md", "exercises", "workbook"):
            copy = shutil.copytree if (ROOT / name).is_dir() else shutil.copy
            copy(ROOT / name, Path(folder) / name)
        yield Path(folder)


@contextmanager
def changed(folder, file, old, new):
    """A file of the copy with one change in it."""
    path = folder / PACKAGE / file
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1, f"{file}: '{old}' is there {text.count(old)} times"
    path.write_text(text.replace(old, new), encoding="utf-8")
    try:
        yield
    finally:
        path.write_text(text, encoding="utf-8")


def passes(folder, tests):
    """Whether tests of the copy pass; what pytest said."""
    unused = (f"-pno:{name}" for name in ("cacheprovider", "nbval", "anyio"))  # slow to load
    command = [sys.executable, "-B", "-m", "pytest", "-x", "-q", *unused]
    command += ["--hypothesis-profile", "unshrunk", *shlex.split(tests)]
    settings = {**os.environ, "PYTHONPATH": str(folder / "src")}
    done = subprocess.run(command, cwd=folder, env=settings, capture_output=True, text=True, check=False)
    assert done.returncode in (0, 1), f"{tests} did not run: {done.stdout[-1500:]}{done.stderr[-500:]}"
    return done.returncode == 0, done.stdout


def survivors(mutations, tell=lambda line: None):
    """Those mutations that no test notices."""
    found = []
    with project() as folder:
        for number, mutation in enumerate(mutations, 1):
            with changed(folder, mutation.file, mutation.old, mutation.new):
                alive, _ = passes(folder, mutation.tests)
            tell(f"{number:2d} of {len(mutations)} {'SURVIVED' if alive else 'caught  '} {mutation}")
            found += [mutation] * alive
    return found


def main(words):
    """Try the mutations, say what survived; 0 where enough were caught."""
    wanted = [m for m in MUTATIONS if not words or any(word in m.file for word in words)]
    alive = survivors(wanted, lambda line: print(line, flush=True))
    caught = 1 - len(alive) / len(wanted)
    print(f"\n{len(wanted) - len(alive)} of {len(wanted)} caught, {caught:.0%}; at least {LEAST:.0%} are to be.")
    return 0 if caught >= LEAST else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

"""What a claim hangs on: its conditions, each from low to high, and the usual range of an open one."""

from dataclasses import dataclass
from zlib import crc32

import numpy as np

from dragwork.decisions.sentences import say
from dragwork.files import rows_of_table
from dragwork.measurement.uncertainty import half_width
from dragwork.quantities import QUANTITIES, checked, in_words
from dragwork.units import kmh


@dataclass(frozen=True)
class Condition:
    """One thing that a claim hangs on, from low to high. Stated: all three are the same.

    .words name it, .question asks the seller for it. With degrees of freedom the ends are those of
    a 95 % interval of Student's t.
    """

    name: str
    words: str
    low: float
    mid: float
    high: float
    stated: bool
    degrees_of_freedom: int | None = None
    question: str = ""

    @property
    def ends(self):
        """Its two ends, or the one value."""
        return (self.low,) if self.low == self.high else (self.low, self.high)

    def stream(self, seed):
        """Its own random numbers, by its name: two claims that leave it open draw the same."""
        return np.random.default_rng([seed, crc32(self.name.encode())])

    def drawn(self, rng, n):
        """n draws, the middle most likely."""
        if self.low == self.high:
            return np.full(n, self.mid)
        if self.degrees_of_freedom:
            uncertainty = (self.high - self.mid) / half_width(1.0, self.degrees_of_freedom)
            drawn = self.mid + uncertainty * rng.standard_t(self.degrees_of_freedom, n)
            return np.clip(drawn, self.low, self.high)  # beyond them the tails have no end
        return rng.triangular(self.low, self.mid, self.high, n)


# What stands for a condition that is not stated. COMMON_PRACTICE: common in the trade, no source.
USUAL = {
    "speed": (kmh(40), kmh(45), kmh(50)),
    "air_density": (1.15, 1.2, 1.25),
    "yaw": (0.7, 1.0, 1.1),  # of the drag area that was found at the test's yaw
    "drivetrain_efficiency": (0.96, 0.975, 0.985),
    "drag_area": (0.20, 0.30, 0.40),
    "all_up_mass": (65.0, 80.0, 95.0),
    "rolling_coefficient": (0.003, 0.004, 0.006),
    "part": (0.1, 1.0, 1.0),
    "at": (0.96, 0.9875, 1.0),  # watts at the crank or at the wheel, the wheel's over those
}
ONE_PART = (0.05, 0.1, 0.3)  # of the drag, what one part may make up: COMMON_PRACTICE
# Speeds at which items are tested; watts and grams without a speed are counted at the fastest.
TEST_SPEEDS = (kmh(40), kmh(50), kmh(60))  # COMMON_PRACTICE
# The same as USUAL["yaw"], by what the claim is about. Wheels and frames are sold by the angle
# that suits them best; from straight ahead a tenth of it may be left. COMMON_PRACTICE.
YAW_HOLDS = {
    "other": USUAL["yaw"], "wheels": (0.1, 0.6, 1.1), "frame": (0.1, 0.6, 1.1),
    "position": USUAL["yaw"], "shelter": USUAL["yaw"],
}  # fmt: skip
ABOUT = tuple(YAW_HOLDS)


def _told(kind):
    """How each thing is called, and the question that asks for it."""
    rows = rows_of_table("dragwork.decisions", "condition_words.csv")
    return {row["name"]: (row["words"], row["question"]) for row in rows if row["list"] == kind}


_TOLD = _told("condition")
MORE_RUNS = _TOLD["saved"][1]
QUOTED = ("which number of its own range holds", "What did most tests find: the low or the high end?")
RIDE_TIME = ("how long the ride took before", "How long did the ride take before?")
# What is told about how a claim was found, in the order in which it is worth asking for.
EVIDENCE = _told("evidence")


def between(name, low, mid, high, stated=False, degrees_of_freedom=None, told=None):
    """A condition with its words and its question."""
    words, question = told or _TOLD[name]
    return Condition(name, words, low, mid, high, stated, degrees_of_freedom, question)


def given(name, value, usual=None, told=None):
    """A condition that is stated, or its usual range."""
    if value is None:
        return between(name, *(usual or USUAL[name]), told=told)
    value = one(name, value) if name in QUANTITIES else float(value)
    return between(name, value, value, value, True, told=told)


def all_given(**values):
    """A condition for each value, stated or its usual range."""
    return [given(name, value) for name, value in values.items()]


def moving(speed, usual=None, told=None):
    """The speed of a test, which has to be one."""
    if speed is not None and one("speed", speed) == 0:
        raise ValueError("A speed of 0: where nothing moves, nothing is saved.")
    return given("speed", speed, usual, told)


def at_yaw(yaw, about):
    """A yaw that is stated leaves the drag area as it was found there."""
    if about not in YAW_HOLDS:
        most, last = ABOUT[:-1], ABOUT[-1]
        raise ValueError(
            f"about {about!r} is not known; give {', '.join(map(repr, most))} or {last!r}."
        )
    if yaw is None:
        return between("yaw", *YAW_HOLDS[about])
    checked(yaw=yaw)
    return between("yaw", 1.0, 1.0, 1.0, True)


def speed_before(distance, ride_time, speed):
    """The speed before the change [m/s], from the ride time or as it is told."""
    if ride_time is not None and speed is not None:
        raise ValueError("The ride time and the speed are both given. Keep one: the other follows from it.")
    if ride_time is None:
        return moving(speed, told=RIDE_TIME)
    time = seconds("ride time", ride_time)
    fastest = QUANTITIES["speed"].high
    if not time > 0 or distance / time > fastest:
        minutes = time > 0 and distance / (60 * time) < fastest
        guess = f" Were {ride_time:g} minutes meant?" if minutes else ""
        gaps = {"time": time, "distance": distance, "fastest": fastest, "guess": guess}
        raise ValueError(say("claim", "too fast before", **gaps))
    return given("speed", distance / time)


def claimed(saved, runs, spread):
    """The middle of a claim's number, and the condition of where in its range it is, or None.

    saved: a number, or its (low, high) where it is quoted as a range: `15 to 20 W`, and 0 to 20
    for `up to 20 W`. The spread of its own runs widens it. It is that of the difference of two
    means of n runs each: spread sqrt(2/n), Student's t with 2(n - 1) degrees of freedom. One run of
    each tells no spread of its own: the one that is given counts as known as badly as that of two,
    so that one run is never surer than two.
    """
    low, high = ends_of(saved)
    half, dof = 0.0, None
    if runs is not None and spread:
        dof = 2 * (max(int(runs), 2) - 1)
        half = half_width(spread * np.sqrt(2 / runs), dof)
    middle = (low + high) / 2
    if low < high:
        return middle, between("saved", low - half, middle, high + half, told=QUOTED)
    return middle, between("saved", low - half, middle, high + half, True, dof) if half else None


def ends_of(saved):
    """(low, high) of a number, or of a range as it is quoted."""
    ends = saved if isinstance(saved, (tuple, list)) else (saved, saved)
    if len(ends) != 2 or not all(is_number(end) for end in ends):
        raise ValueError(f"A saving is one number, or the two ends of its range; {saved!r} is neither.")
    return float(min(ends)), float(max(ends))


def seconds(name, value):
    """A number of seconds, checked."""
    if not is_number(value) or not np.isfinite(value):
        raise ValueError(f"The {name} must be a number of seconds.")
    return float(value)


def one(name, value):
    """One number, checked as the library's quantity of that name."""
    number = checked(**{name: value})
    if number.ndim:
        raise ValueError(f"The {in_words(name)} of a claim is one number.")
    return float(number)


def is_number(value):
    """Whether it is one real number."""
    return np.ndim(value) == 0 and np.asarray(value).dtype.kind in "iuf"

"""What a claim hangs on: its conditions, each from low to high, and the usual range of an open one."""

from dataclasses import dataclass
from zlib import crc32

import numpy as np

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


def _told(kind):
    """How each thing is called, and the question that asks for it."""
    rows = rows_of_table("dragwork.decisions", "condition_words.csv")
    return {row["name"]: (row["words"], row["question"]) for row in rows if row["list"] == kind}


TOLD = _told("condition")
MORE_RUNS = TOLD["saved"][1]
# What is told about how a claim was found, in the order in which it is worth asking for.
EVIDENCE = _told("evidence")


def between(name, low, mid, high, stated=False, degrees_of_freedom=None, told=None):
    """A condition with its words and its question: those of its name, or as it is told here."""
    words, question = TOLD[told or name]
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
        raise ValueError(f"about {about!r} is not known; give one of {', '.join(YAW_HOLDS)}.")
    if yaw is None:
        return between("yaw", *YAW_HOLDS[about])
    checked(yaw=yaw)
    return between("yaw", 1.0, 1.0, 1.0, True)


def one(name, value):
    """One number, checked as the library's quantity of that name."""
    number = checked(**{name: value})
    if number.ndim:
        raise ValueError(f"The {in_words(name)} of a claim is one number.")
    return float(number)

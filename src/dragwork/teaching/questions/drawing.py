"""Numbers drawn for one learner: the same for the same name, on every machine and every day."""

import random
import unicodedata
from dataclasses import dataclass
from hashlib import sha256

from dragwork.physics.power import Rider
from dragwork.scenario.riders import Member

NAMES = ("Amara", "Bram", "Corin", "Dilys", "Edda", "Finlay", "Goran", "Hana", "Idris", "Junia")


def seeded(*words):
    """A source of random numbers that depends on the words alone, capitals and blanks aside."""
    text = "\n".join(" ".join(str(word).split()) for word in words)
    text = unicodedata.normalize("NFC", text).casefold()
    return random.Random(int.from_bytes(sha256(text.encode("utf-8", "replace")).digest()[:8], "big"))


def _step(source, number):
    """A whole number below `number`; of the source only `random()` is used, which never changes."""
    return int(source.random() * number)


@dataclass(frozen=True)
class Number:
    """A number to draw, one of low, low + step, ... high; `reference` is the lesson's own."""

    reference: float
    low: float
    high: float
    step: float

    def draw(self, source):
        steps = round((self.high - self.low) / self.step)
        value = round(self.low + self.step * _step(source, steps + 1), 9)
        return int(value) if isinstance(self.step, int) else value


@dataclass(frozen=True)
class OneOf:
    """One of a few things; the first is the lesson's own."""

    choices: tuple

    @property
    def reference(self):
        return self.choices[0]

    def draw(self, source):
        return self.choices[_step(source, len(self.choices))]


@dataclass(frozen=True)
class Someone:
    """An invented rider, somewhat like a member of the club, who is the lesson's own."""

    reference: Member

    def draw(self, source):
        like, rider = self.reference, self.reference.rider
        return Member(
            NAMES[_step(source, len(NAMES))],
            Rider(
                all_up_mass=rider.all_up_mass - 8 + _step(source, 17),
                drag_area=round(float(rider.drag_area) - 0.03 + 0.005 * _step(source, 13), 3),
                rolling_coefficient=round(
                    float(rider.rolling_coefficient) - 0.0005 + 0.0005 * _step(source, 3), 4
                ),
            ),
            like.power - 20 + 10 * _step(source, 5),
            like.about,
        )

"""A question as it is written: a class whose docstring is what is said, and whose `answers` are the numbers.

    class M17(LikeTobin):
        \"\"\"Power into a headwind

        {about_who} The rider goes at {speed:g} m/s into a headwind ... How much power does the air take?

        Idea: Which speed makes the force?
        Relation: P = 1/2 ρ CdA (v + w)² v: W = kg/m³ × m² × (m/s)² × m/s.
        Work: P = 1/2 × {density:.2f} × ({speed:g} + {wind:g})² × {speed:g}.
        Why: Drag grows with the air speed squared.

        Slip: This leaves the wind out, as a bike computer does.
        Slip from behind: This subtracts the wind, as if it came from behind.
        \"\"\"

        unit, digits = "W", 0
        speed = Number(10, 8, 12, 0.5)
        ...

        def answers(g):
            yield "right", power_balance(...).air
            yield "slip", ...
            yield "slip from behind", ...

`answers` takes the given numbers: the right answer, and what each slip leads to; a slip that these numbers do not
tell from the right answer is left out. "slip" is the main one, `M17`; "slip from behind" is `M17-from-behind`. One
that lies within three bands of the right answer is marked: `Slip crank (near): ...`; its feedback then names rounding
too. Besides: "rule" among the answers, the one by the small-change rule, where the full solve is asked for; `where`,
which draws are allowed; `relative` and `floor` of the band, the floor in `unit`; `work`, a function, where the steps
are sums of their own; `derived`, numbers and words that follow from those drawn, by name, each from those before it.
"""

import math
import random
import re
import unicodedata
from dataclasses import dataclass
from hashlib import sha256
from inspect import cleandoc
from operator import attrgetter
from string import Formatter
from types import SimpleNamespace

from dragwork.physics.power import Rider
from dragwork.scenario.riders import TOBIN, Member
from dragwork.teaching.questions.question import Question
from dragwork.teaching.questions.wording import PHRASES, about

_DRAWS = 500  # tries to find numbers whose slips stand apart
_LABELS = re.compile(r"^(Idea|Relation|Work|Why|Slip[^:\n]*): ", re.MULTILINE)
_SUM = re.compile(r"(?=[\d(-]|[a-z]+\()(?:sqrt|exp|ln|sin|cos|[\d.×/+()² ³°-])+(?= = $)")
_AS_CODE = str.maketrans({"×": "*", "²": "**2", "³": "**3", "°": "*deg"})
_FUNCTIONS = {"sqrt": math.sqrt, "exp": math.exp, "ln": math.log, "sin": math.sin, "cos": math.cos, "deg": math.pi / 180}


def template(words):
    """Words with gaps for numbers, `{speed:g}`, as a function of the given numbers that fills them.

    A name that is not known stands for the sum before it, `{kmh:g} / 3.6 = {v:.5f} m/s`, worked out from its
    printed digits; from there on `{v}` is its result, as printed.
    """

    def filled(g):
        said, results = "", {}
        for text, name, how, _ in Formatter().parse(" ".join(words.split())):
            said += text
            if name is None:
                continue
            value = _known(name, g)
            if value is None and name not in results:
                results[name] = format(_worked_out(said), how)
            said += results[name] if value is None else format(value, how)
        return " ".join(said.split())

    return filled


def _known(name, g):
    """What a name stands for: given, `about_` a rider, or a phrase; None for the sum before it."""
    if hasattr(g, name.partition(".")[0]):
        return attrgetter(name)(g)
    if name.startswith("about_"):
        return about(getattr(g, name.removeprefix("about_")))
    return template(PHRASES[name])(g) if name in PHRASES else None


def _worked_out(said):
    """The result of the sum that a text ends with: `v = 36 / 3.6 = `."""
    return eval(_SUM.search(said)[0].translate(_AS_CODE), dict(_FUNCTIONS))


# -- numbers drawn for one learner: the same for the same name, on every machine and every day ------------

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
    """A number to draw, one of low, low + step, ... high; `reference` is the lesson's own.

    along: where a formula is drawn over it, the name of that axis, and its ends: wider than the numbers drawn.
    """

    reference: float
    low: float
    high: float
    step: float
    along: tuple = ()

    def draw(self, source):
        steps = round((self.high - self.low) / self.step)
        value = round(self.low + self.step * _step(source, steps + 1), 9)
        return int(value) if isinstance(self.step, int) else value


@dataclass(frozen=True)
class OneOf:
    """One of a few things; the first is the lesson's own."""

    choices: tuple
    along: tuple = ()
    step = 1  # what is chosen from is counted

    @property
    def reference(self):
        return self.choices[0]

    def draw(self, source):
        return self.choices[_step(source, len(self.choices))]


@dataclass(frozen=True)
class Someone:
    """An invented rider, somewhat like a member of the club, who is the lesson's own."""

    reference: Member
    along = ()

    def draw(self, source):
        like, rider = self.reference, self.reference.rider
        name = NAMES[_step(source, len(NAMES))]
        mass = rider.all_up_mass - 8 + _step(source, 17)
        area = round(float(rider.drag_area) - 0.03 + 0.005 * _step(source, 13), 3)
        rolling = round(float(rider.rolling_coefficient) - 0.0005 + 0.0005 * _step(source, 3), 4)
        power = like.power - 20 + 10 * _step(source, 5)
        drawn = Rider(all_up_mass=mass, drag_area=area, rolling_coefficient=rolling)
        return Member(name, drawn, power, like.about)


DENSITY = Number(1.20, 1.14, 1.26, 0.01)


# -- questions ------------------------------------------------------------------------------------------


class Kind:
    """One question, before numbers are drawn for it: a class as it is written here, of which there are no instances.

    .id .topic; .unit of the answer: a key of `units.UNITS`, or `CLOCK`; .digits, decimals that the prompt asks for;
    .given, by name what draws each number; .asks and .work, functions of the given numbers: the prompt without its
    last line, the worked solution without its result; .answers; .slips, by id what is said to each, a function of the
    given numbers, and .near, the ids of those near the right answer; .idea .relation .why: hint 1, hint 2, and
    what the right method was; .along, the name of the number over which formulas are drawn, or None.
    """

    derived, said, relative, floor = {}, {}, 0.01, 0.0

    def __init_subclass__(cls):
        """Take the docstring apart, and put what is written in order; what several questions share has no unit."""
        if not hasattr(cls, "unit"):
            return
        head, *rest = _LABELS.split(cleandoc(cls.__doc__))
        cls.topic, _, asks = head.partition("\n")
        cls.id, cls.asks = cls.__name__, template(asks)
        cls.said = cls.said | dict(zip(rest[::2], (" ".join(words.split()) for words in rest[1::2])))
        cls.idea, cls.relation, cls.why = (cls.said[label] for label in ("Idea", "Relation", "Why"))
        if "Work" in rest:
            cls.work = template(cls.said["Work"])
        slips = {label: words for label, words in cls.said.items() if label.startswith("Slip")}
        cls.slips = {cls.slip_id(label): template(words) for label, words in slips.items()}
        cls.near = {cls.slip_id(label) for label in slips if label.endswith("(near)")}
        has = {name: value for base in reversed(cls.__mro__) for name, value in vars(base).items()}
        cls.given = {name: number for name, number in has.items() if hasattr(number, "draw")}
        cls.along = next((name for name, number in cls.given.items() if number.along), None)

    @classmethod
    def slip_id(cls, name):
        """The id of a slip by its name among the answers, or its label in the docstring."""
        return "-".join([cls.id, *name.removesuffix("(near)").split()[1:]])

    def where(g):
        """Whether numbers may be drawn: all, but where a question says otherwise."""
        return True

    @classmethod
    def band(cls, value):
        """How far from a value an answer may lie and still be taken for it."""
        return max(cls.relative * abs(value), 0.5 * 10.0**-cls.digits, cls.floor)

    @classmethod
    def bands_between(cls, a, b):
        """Distance of two values, in bands of the wider one."""
        return abs(a - b) / max(cls.band(a), cls.band(b))

    @classmethod
    def at(cls, **changes):
        """The lesson's numbers, some of them changed, and what follows from them."""
        references = {name: number.reference for name, number in cls.given.items()}
        g = SimpleNamespace(**references | changes)
        for name, follows in cls.derived.items():
            setattr(g, name, follows(g))
        return g

    @classmethod
    def drawn(cls, learner="", series="", unlike=()):
        """A question with drawn numbers whose slips can be told from the right answer.

        unlike: questions whose answers this one must not share.
        """
        source = seeded(learner, cls.id, *([series] if series else []))
        for _ in range(_DRAWS):
            given = cls.at(**{name: number.draw(source) for name, number in cls.given.items()})
            if cls.where(given):
                question = Question(cls, given, learner)
                if question.can_be_judged() and all(map(question.differs_from, unlike)):
                    return question
        raise RuntimeError(f"{cls.id}: no numbers found whose slips stand apart.")


class LikeTobin(Kind):
    """A question about a rider like Tobin, and air of a density that is given."""

    who, density = Someone(TOBIN), DENSITY

"""A question as it is written: a class whose docstring is what is said, and whose functions are the numbers.

    @question
    class M17:
        \"\"\"Power into a headwind

        {about_who} The rider goes at {speed:g} m/s into a headwind ... How much power does the air take?

        Idea: Which speed makes the force?
        Relation: P = 1/2 ρ CdA (v + w)² v: W = kg/m³ × m² × (m/s)² × m/s.
        Work: P = 1/2 × {density:.2f} × ({speed:g} + {wind:g})² × {speed:g}.
        Why: Drag grows with the air speed squared.
        \"\"\"

        unit, digits = "W", 0
        who = Someone(TOBIN)
        speed = Number(10, 8, 12, 0.5)
        ...

        def right(g): ...

        def slip(g):
            \"\"\"This leaves the wind out, as a bike computer does.\"\"\"
            return ...

Besides: `along`, `where`, `rule`, `relative` and `floor`, of `Kind`; `work`, a function, where the steps are
sums of their own; `shown`, what names in braces stand for that are neither given nor a phrase of `wording`.
`slip` is the main one, `M17`; `slip_from_behind` is `M17-from-behind`.
"""

import math
import re
from dataclasses import dataclass
from functools import reduce
from inspect import cleandoc
from string import Formatter

from dragwork.teaching.questions.question import Kind, Slip
from dragwork.teaching.questions.wording import PHRASES, about

_LABELS = re.compile(r"^(Idea|Relation|Work|Why): ", re.MULTILINE)
_AS_IN_A_KIND = ("unit", "digits", "right", "where", "rule", "relative", "floor", "along")


_SUM = re.compile(r"(?=[\d(-]|[a-z]+\()(?:sqrt|exp|ln|sin|cos|[\d.×/+()² ³°-])+(?= = $)")
_AS_CODE = str.maketrans({"×": "*", "²": "**2", "³": "**3", "°": "*deg"})
_FUNCTIONS = {"sqrt": math.sqrt, "exp": math.exp, "ln": math.log, "sin": math.sin, "cos": math.cos, "deg": math.pi / 180}


@dataclass(frozen=True)
class _Template:
    """Words with gaps for numbers: `{speed:g}`; called with the given numbers, it fills them.

    A name that is not known stands for the sum before it, `{kmh:g} / 3.6 = {v:.5f} m/s`, worked out from its
    printed digits; from there on `{v}` is its result, as printed.
    """

    words: str
    shown: dict

    def __call__(self, g):
        said, results = "", {}
        for words, name, how, _ in Formatter().parse(" ".join(self.words.split())):
            said += words
            if name is None:
                continue
            value = self._known(name, g)
            if value is not None:
                said += format(value, how)
            else:
                if name not in results:
                    results[name] = format(_worked_out(said), how)
                said += results[name]
        return " ".join(said.split())

    def _known(self, name, g):
        """What a name stands for: shown, given, `about_` a rider, or a phrase; None for the sum before it."""
        first, *fields = name.split(".")
        if first in self.shown:
            return self.shown[first](g)
        if hasattr(g, first):
            return reduce(getattr, fields, getattr(g, first))
        if first.startswith("about_"):
            return about(getattr(g, first.removeprefix("about_")))
        return _Template(PHRASES[first], self.shown)(g) if first in PHRASES else None


def _worked_out(said):
    """The result of the sum that a text ends with: `v = 36 / 3.6 = `."""
    return eval(_SUM.search(said)[0].translate(_AS_CODE), dict(_FUNCTIONS))


def near(slip):
    """Mark a slip that is within three bands of the right answer; its feedback then names rounding too."""
    slip.near = True
    return slip


def question(written):
    """A class as it is written here, as a `Kind`."""
    has, id = vars(written), written.__name__
    shown = has.get("shown", {})
    (topic, asks), *labelled = _paragraphs(written.__doc__)
    said = dict(labelled)
    return Kind(
        id,
        topic,
        asks=_Template(asks, shown),
        slips=tuple(
            Slip(id + name.removeprefix("slip").replace("_", "-"), slip, _Template(slip.__doc__, shown), hasattr(slip, "near"))
            for name, slip in has.items()
            if name.startswith("slip")
        ),
        given={name: number for name, number in has.items() if hasattr(number, "draw")},
        work=has.get("work") or _Template(said["Work"], shown),
        **{name.lower(): said[name] for name in ("Idea", "Relation", "Why")},
        **{name: has[name] for name in _AS_IN_A_KIND if name in has},
    )


def _paragraphs(doc):
    """Topic and prompt, then each label with what it says."""
    head, *rest = _LABELS.split(cleandoc(doc))
    topic, _, asks = head.partition("\n")
    return [(topic, asks), *zip(rest[::2], (" ".join(words.split()) for words in rest[1::2]))]

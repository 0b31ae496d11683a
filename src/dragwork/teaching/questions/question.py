"""A question with its numbers: what is asked, and what is said to an answer.

An answer is held against the right one and against what each slip leads to; both are functions of the numbers,
as `written.Kind` has them.
"""

import re
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property
from itertools import combinations
from math import floor, isfinite, log10
from numbers import Real

import numpy as np

from dragwork.escaping import in_markdown
from dragwork.teaching.answers import UNITS, read_quantity
from dragwork.teaching.questions import ratios
from dragwork.units import clock

CLOCK = "min:s"  # the unit of an answer that is written as a time
APART = 3  # bands between the right answer and a slip
_NEAR_BUT_TELLABLE = 1.9  # bands, for a slip whose text names rounding too
_TWO_SLIPS = 2  # bands between two slips, so that no number fits both
_COARSEST = 0.05  # of a number: half its last digit, where a rounded slip is still known
_CLEAR = 0.02  # of the last digit, between an answer and where it would round the other way
_MANY_FIGURES = 4
_POINTS = 25  # of a curve
_HINTS = ("which idea to use", "the relation with its units", "a worked problem like it")


@dataclass(frozen=True, eq=False)
class Worlds:
    """Two formulas over one number: the right one, and the one behind a slip.

    Parameters
    ----------
    label : str
        What the number is, with its unit: 'Speed, km/h'.
    unit : str
        Of the answers, as a page shows it.
    at, own : float
        The number in the question, and what the slip makes of it.
    numbers, right, slip : array
        The two curves.
    """

    label: str
    unit: str
    at: float
    own: float
    numbers: np.ndarray
    right: np.ndarray
    slip: np.ndarray


@dataclass(frozen=True)
class Feedback:
    """What is said to an answer.

    Parameters
    ----------
    state : str
        'blank', 'right', 'close', 'slip' or 'off'.
    slip : str or None
        Its id, the nearest where two fit.
    text : str
    value : float or None
        What was read, in the question's unit (a time in seconds).
    """

    state: str
    slip: str | None
    text: str
    value: float | None = None

    def __str__(self):
        return self.text

    def _repr_markdown_(self):
        return in_markdown(self.text)


class Question:
    """A question with its numbers: `.prompt`, `.check(answer)`, `.hint()`, `.solution()`.

    It remembers which hint was opened last and whether there was a try; nothing else.
    """

    def __init__(self, kind, given, learner=""):
        self.kind, self.given, self._learner = kind, given, learner
        found = {name: float(value) for name, value in kind.answers(given)}
        self._answer, self._rule = found.pop("right"), found.pop("rule", None)
        self._slips = {kind.slip_id(name): value for name, value in found.items()}
        self.id, self.unit = kind.id, kind.unit
        self._hints_opened, self.tried = 0, False

    def __repr__(self):
        return f"{self.id}. {self.prompt}"

    @property
    def prompt(self):
        """What is asked, with its numbers and units, and how to answer."""
        return f"{self.kind.asks(self.given)} {self._how_to_answer()}"

    @property
    def steps(self):
        """The worked solution, its result left out."""
        return " ".join(self.kind.work(self.given).split())

    @property
    def answer(self):
        """The right answer: a float in `.unit`, or text for a time."""
        return self._typed_as(self._answer)

    @property
    def slips(self):
        """Slip id -> the answer that it leads to, as `.answer`."""
        return {id: self._typed_as(value) for id, value in self._slips.items()}

    def can_be_judged(self):
        """Whether every slip can be told from the right answer, the rule's and the others, however one rounds.

        Two slips that are near the answer must only differ in digits; no other number fits two.
        """
        near, between = self.kind.near, self.kind.bands_between
        if abs(self._answer * 10.0**self.kind.digits % 1 - 0.5) <= _CLEAR:
            return False
        for id, value in self._slips.items():
            if between(value, self._answer) < (_NEAR_BUT_TELLABLE if id in near else APART):
                return False
            if self._rule is not None and abs(value - self._rule) <= 10.0**-self.kind.digits:
                return False
        for (one, a), (other, b) in combinations(self._slips.items(), 2):
            both_near, alike = {one, other} <= near, self._rounded(a) == self._rounded(b)
            if alike if both_near else between(a, b) <= _TWO_SLIPS:
                return False
        return True

    @property
    def printed_unit(self):
        """The unit of the answer as a page prints it; `min:s` of a time."""
        return CLOCK if self.unit == CLOCK else UNITS[self.unit].printed

    def differs_from(self, other):
        """Whether the answers of two questions of a kind lie apart."""
        return self.kind.bands_between(self._answer, other._answer) >= APART

    def check(self, answer):
        """Feedback on what a learner typed; never an exception.

        Parameters
        ----------
        answer : str, number or None
            None, an empty text or a placeholder is 'blank'.

        Returns
        -------
        Feedback
        """
        if _is_blank(answer):
            return Feedback("blank", None, "Not attempted yet. Type a number whenever you like.")
        unit = "s" if self.unit == CLOCK else self.unit
        try:
            typed = read_quantity(_as_text(answer), unit)
        except ValueError as error:
            return Feedback("off", None, str(error))
        if self.unit == CLOCK and typed.unit not in (":", "s"):
            return Feedback("off", None, "Write it as minutes:seconds, such as 3:20.", typed.number)
        self.tried = True
        state, slip, says = self._judged(typed)
        return Feedback(state, slip, f"Read as {self._with_unit(_plain(typed.number), typed.number)}. {says}", typed.number)

    def hint(self, number=None):
        """The next hint, or the one with that number.

        1 which idea; 2 the relation with its units; 3 a problem like this one, fully worked.
        """
        number = self._hints_opened + 1 if number is None else number
        number = min(max(int(number), 1), 3)
        self._hints_opened = max(self._hints_opened, number)
        if number == 3:
            return f"Hint 3. The same with other numbers. {self.sibling().worked()}"
        return f"Hint {number}. {(self.kind.idea, self.kind.relation)[number - 1]}"

    def solution(self, i_have_tried=False):
        """The solution with its why, after one try (or where the caller vouches for it)."""
        if not (self.tried or i_have_tried):
            return "The solution opens after one try. A rough guess counts."
        rule = "" if self._rule is None else f" The small-change rule gives {self._rounded(self._rule)}."
        return f"{self.worked(prompt=False)} {self.kind.why}{rule}"

    def worlds(self, slip):
        """The right formula and that of a slip as curves; None where the question has none.

        Parameters
        ----------
        slip : str
            Its id.

        Returns
        -------
        Worlds or None
        """
        name = self.kind.along
        if name is None or slip not in self._slips:
            return None
        right = np.array([each._answer for each in self._asked_along])
        slips = np.array([each._slips.get(slip, np.nan) for each in self._asked_along])
        numbers = np.array([getattr(each.given, name) for each in self._asked_along])
        label, here = self.kind.given[name].along[0], float(getattr(self.given, name))
        return Worlds(label, UNITS[self.unit].printed, here, self._slips[slip], numbers, right, slips)

    @cached_property
    def _asked_along(self):
        """The same question for each of the numbers over which its formulas are drawn."""
        number, own = self.kind.given[self.kind.along], vars(self.given)
        _, low, high = number.along
        few_and_whole = isinstance(number.step, int) and high - low < _POINTS
        numbers = np.arange(low, high + 1) if few_and_whole else np.linspace(low, high, _POINTS)
        return [Question(self.kind, self.kind.at(**own | {self.kind.along: x.item()})) for x in numbers]

    def sibling(self):
        """The same question with other numbers and another answer."""
        return self.kind.drawn(self._learner, "sibling", unlike=[self])

    def worked(self, prompt=True):
        """The steps and the result, after the prompt if wanted."""
        steps = f"{self.steps} Answer: {self._rounded(self._answer)}."
        return f"{self.prompt} {steps}" if prompt else steps

    def _judged(self, typed):
        """State, slip and words for a number that was read."""
        value, right, kind = typed.number, self._answer, self.kind
        if self._fits(value, right):
            by_share = kind.relative * abs(right) >= kind.band(right)
            within = f"within {100 * kind.relative:g} %" if by_share else "within rounding"
            return "right", None, f"Right, {within}. {kind.why}{self._finer(typed)}"
        named = self._named(typed)
        if self._rule is not None and self._fits(value, self._rule):
            nearest = self._slips[named[0]] if named else np.inf
            if abs(value - self._rule) <= abs(value - nearest):
                more = "more" if right > self._rule else "less"
                says = f"Right by the small-change rule; the full solve gives {more}."
                return "right", None, f"{says} The change is not small, so the rule departs a little."
        if named:
            return "slip", named[0], self._either_or(named)
        turned = self._named(replace(typed, number=-value))
        if turned:
            return "slip", turned[0], f"{self._either_or(turned)} Its sign is the other one, too."
        if abs(value - right) <= APART * kind.band(right):
            way = "large" if value > right else "small"
            return "close", None, f"Close, and a little too {way}. Look at rounding on the way, and at the given numbers."
        celsius, hint = getattr(self.given, "celsius", None), min(self._hints_opened, 2)
        says = ratios.in_words(value, right, celsius, UNITS.get(self.unit))
        return "off", None, f"{says} Hint {hint + 1} shows {_HINTS[hint]}."

    def _fits(self, value, target):
        if target == 0:
            return value == 0  # a slip that leaves nothing is typed as 0
        return abs(value - target) <= self.kind.band(target) * (1 + 1e-9)

    def _named(self, typed):
        """The slip that fits, nearest first, with those too near to it to be told apart: their ids.

        It fits within its band, or rounded as far as the number was typed.
        """
        value, half = typed.number, _half_a_digit(typed)
        off = {id: abs(slip - value) for id, slip in self._slips.items()}
        nearest = sorted(off, key=off.get)
        if not nearest or not (self._fits(value, self._slips[nearest[0]]) or off[nearest[0]] <= half):
            return []
        first, between = self._slips[nearest[0]], self.kind.bands_between
        return [id for id in nearest if between(self._slips[id], first) < APART or off[id] <= half]

    def _either_or(self, named):
        says = [self.kind.slips[id](self.given) for id in named]
        if any(self.kind.bands_between(self._slips[id], self._answer) < APART for id in named):
            says.append("It is rounding on the way, as it lies close to the mark.")
        return says[0] if len(says) == 1 else "Either: " + " Or: ".join(says)

    def _finer(self, typed):
        rounded = f"{typed.number:.{self.kind.digits}f}"
        if self.unit == CLOCK or typed.figures <= _MANY_FIGURES or float(rounded) == typed.number:
            return ""
        return f" Report {rounded}, not {_plain(typed.number, typed.figures)}."

    def _how_to_answer(self):
        if self.unit == CLOCK:
            return "Answer as minutes:seconds, such as 3:20, to the nearest second."
        if not self.kind.digits:
            return f"Answer to the nearest {UNITS[self.unit].spoken.removesuffix('s')}."
        return f"Answer to the nearest {self._with_unit(f'{10.0**-self.kind.digits:.{self.kind.digits}f}', 0)}."

    def _typed_as(self, value):
        return clock(value) if self.unit == CLOCK else value

    def _rounded(self, value):
        return self._with_unit(f"{value:.{self.kind.digits}f}", value)

    def _with_unit(self, text, value):
        return clock(value) if self.unit == CLOCK else UNITS[self.unit].behind(text)


def _half_a_digit(typed):
    """Half of the last digit of a number typed with two figures or more; 0 where that is coarse."""
    value = abs(typed.number)
    if typed.figures < 2 or not value:
        return 0.0
    place = floor(log10(value)) - typed.figures + 1
    half = 0.5 * 10.0**place * (1 + 1e-9)
    return half if place <= 0 and half <= _COARSEST * value else 0.0


def _plain(value, figures=_MANY_FIGURES):
    """A number with so many figures, without an exponent while it is of a usual size."""
    if value == 0 or not 1e-6 < abs(value) < 1e12:
        return f"{value:.{figures}g}"
    return np.format_float_positional(value, figures, fractional=False, trim="-")


def _is_blank(answer):
    if answer is None or answer is Ellipsis:
        return True
    if isinstance(answer, str):
        return not re.sub(r"[\s.…?_-]", "", answer)
    return isinstance(answer, (float, np.floating)) and bool(np.isnan(answer))


def _as_text(answer):
    """Text to read; a ValueError for a thing that is neither text nor one number."""
    if isinstance(answer, np.ndarray) and answer.ndim == 0:
        answer = answer.item()
    if isinstance(answer, bool) or not isinstance(answer, (str, Real, Decimal)):
        raise ValueError(f"A {type(answer).__name__} is not read as a number. Type one number.")
    if isinstance(answer, (float, np.floating)) and not isfinite(answer):
        raise ValueError(f"{answer} is not a number to compare with. Type a finite number.")
    return str(answer)

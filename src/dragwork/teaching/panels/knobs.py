"""The knobs of the panels: what can be turned, in which unit, from where to where, and how a sentence says it.

One catalogue, `knobs.csv`, so that a drag-area slider is the same in every notebook. A lesson that needs other
limits takes `knob("drag_area", high=0.60)`. Reference rider: Tobin.
"""

import json
from dataclasses import dataclass, replace
from math import ceil

from dragwork.files import rows_of_table
from dragwork.quantities import true_minus
from dragwork.teaching.answers import parse_quantity
from dragwork.units import UNITS, to_percent


@dataclass(frozen=True)
class Knob:
    """One quantity that a learner can turn. All numbers are in `unit`, as shown on the page.

    Parameters
    ----------
    quantity : str
        Argument name in `dragwork.physics`.
    label, symbol : str
        For the page: `Drag area`, `CdA`.
    unit : str
        A key of `units.UNITS`.
    low, reference, high, step : float
    digits : int
        Decimals shown.

    Raises
    ------
    ValueError
        Unless the unit is in the table, low <= reference <= high, and step > 0.
    """

    quantity: str
    label: str
    symbol: str
    unit: str
    low: float
    reference: float
    high: float
    step: float
    digits: int

    def __post_init__(self):
        if self.unit not in UNITS or not self.low <= self.reference <= self.high or not self.step > 0:
            raise ValueError(f"{self} needs a unit of the table, low <= reference <= high, and a step above 0.")

    @property
    def shown_in(self):
        """The unit of the page."""
        return UNITS[self.unit]

    def into_si(self, number):
        """From the knob's unit into SI."""
        return float(self.shown_in.into_si(tidy(number)))

    def out_of_si(self, value):
        """From SI into the knob's unit, tidy: 0.301, never 0.30100000000000005."""
        return tidy(self.shown_in.out_of_si(value))

    @property
    def steps(self):
        """How many steps lie between low and high; the last may be a short one."""
        return ceil(tidy((self.high - self.low) / self.step))

    def position(self, value):
        """The step nearest to a value in SI, counted from low."""
        return min(round(tidy((self.out_of_si(value) - self.low) / self.step)), self.steps)

    def at(self, position):
        """The value in SI at a step counted from low."""
        return self.into_si(min(self.low + position * self.step, self.high))

    def starting_at(self, number):
        """The same knob with another start, its range widened where that is outside."""
        return replace(self, low=min(self.low, number), reference=number, high=max(self.high, number))

    def words(self, value):
        """A value in SI as the page shows it: `0.320 m²`."""
        return self.shown_in.behind(self.number(value))

    def spoken(self, value):
        """A value in SI as it should be read aloud: `0.320 square metres`."""
        return f"{self.number(value)} {self.shown_in.spoken}".strip()

    def number(self, value):
        """A value in SI as a bare number in the knob's unit, with more decimals if it has them.

        Two decimals more at the most; a number without an end, as 20 km/h in m/s, gets one more.
        """
        shown = self.out_of_si(value)
        texts = [f"{shown:.{self.digits + more}f}" for more in range(3)]
        return true_minus(next((text for text in texts if float(text) == shown), texts[1]))

    @property
    def range(self):
        """From where to where, in words: `0.180 to 0.450 m²`."""
        low, high = self.number(self.into_si(self.low)), self.words(self.into_si(self.high))
        return f"{low} to {high}"

    def read(self, text):
        """What a learner typed, into SI.

        Raises
        ------
        ValueError
            Unreadable or out of range, in words.
        """
        try:
            number = tidy(parse_quantity(text, self.unit))
        except ValueError as error:
            raise ValueError(f"{error} {self.label} goes from {self.range} here.") from None
        if not self.low <= number <= self.high:
            typed = self.words(self.shown_in.into_si(number))
            raise ValueError(f"{self.label} goes from {self.range} here; {typed} is outside.")
        return self.into_si(number)

    def check(self, value):
        """A value in SI, tidied; refused outside the knob's range.

        Raises
        ------
        ValueError
            Not one finite number in the range; in words, guessing a forgotten unit.
        """
        try:
            number = self.out_of_si(float(value))
        except (TypeError, ValueError):
            raise ValueError(f"{self.quantity}: needs one number in SI, got {value!r}.") from None
        if not self.low <= number <= self.high:
            guess = ""
            if self.into_si(1.0) != 1.0 and self.low <= float(value) <= self.high:
                meant = self.shown_in.behind(f"{value:g}")
                guess = f" Was {meant} meant? Panels are set in SI: see dragwork.units."
            raise ValueError(f"{self.quantity} {self.words(value)} is outside {self.range} here.{guess}")
        return self.into_si(number)


def signed(number, decimals=0):
    """A change as a page shows it: `+1.2`, `−3`, and zero without a sign."""
    rounded = round(float(number), decimals)
    return true_minus(f"{rounded:+.{decimals}f}") if rounded else f"{0:.{decimals}f}"


def into_wind(speed):
    """A headwind in a sentence, where there is one: ` into 3.0 m/s of wind`."""
    return f" into {speed:.1f} m/s of wind" if speed else ""


def on_a_slope(gradient, so="at"):
    """A gradient in a sentence: `on the flat`, or `at 3.0 %`."""
    return f"{so} {to_percent(gradient):.1f} %" if gradient else "on the flat"


def tidy(number):
    """A float without the dust of binary arithmetic: nine figures."""
    return float(f"{float(number):.9g}")


_ROWS = [list(row.values()) for row in rows_of_table(__package__, "knobs.csv")]  # words, then numbers
CATALOGUE = {row[0]: Knob(*row[:4], *map(json.loads, row[4:])) for row in _ROWS}


def knob(name, /, **changes):
    """A knob of the catalogue, with other limits, label or start where a lesson needs them."""
    if name not in CATALOGUE:
        raise ValueError(f"'{name}' is not in the catalogue of knobs: {', '.join(CATALOGUE)}.")
    return replace(CATALOGUE[name], **changes)

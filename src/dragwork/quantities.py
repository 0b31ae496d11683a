"""What each argument of the library is: its words, unit and allowed range, and the check on it.

One table (`quantities.csv`), keyed by the argument's name, so that `ground_speed` means the same in
every function. A value outside its range is refused in the words of the page: what it is, the value,
the range and the unit, the same in the unit that pages show, and a guess at the slip behind it where
one fits.
"""

import re
from dataclasses import dataclass
from math import inf

import numpy as np

from dragwork import units
from dragwork.files import rows_of_table


@dataclass(frozen=True)
class Quantity:
    """An allowed range [low, high] in an SI unit, and the slip that leads out of it."""

    unit: str
    low: float
    high: float
    above_low: bool = False  # True: `low` itself is refused as well
    other: str = ""  # the unit that pages show it in and people slip into, in words
    converter: str = ""  # of that unit, in dragwork.units

    def allows(self, values):
        low = values > self.low if self.above_low else values >= self.low
        return np.isfinite(values) & low & (values <= self.high)

    def allows_all(self, values):
        """The same of all values of an array, by the smallest and the largest; of none, yes."""
        low = values.min(initial=self.high) if values.ndim else values.item()
        high = values.max(initial=self.low) if values.ndim else low
        return (low > self.low if self.above_low else low >= self.low) and high <= self.high and high < inf

    def range_in_words(self):
        """From where to where, in SI and in brackets as pages show it."""
        low = f"above {_plain(self.low)}" if self.above_low else _plain(self.low)
        if self.high == inf:
            return self._with_unit(low if self.above_low else f"at least {low}")
        ends = self._with_unit(f"{low} to {_plain(self.high)}")
        return ends + self._shown_as(self.low, self.high)

    def in_words(self, value):
        """A value in SI, and in brackets as pages show it."""
        text = _plain(value, ".6g")
        if self.allows(float(text.replace("−", "-"))) and not self.allows(value):
            text = true_minus(repr(float(value)))  # rounded back into the range, which would puzzle
        return self._with_unit(text) + self._shown_as(value)

    def slip(self, value):
        """A guess at what was meant by a value outside; empty where none fits."""
        if self.other and self.allows(meant := getattr(units, self.converter)(value)):
            return f" Were {_plain(value)} {self.other} meant? That is {self._with_unit(_plain(meant))}."
        return ""

    def _with_unit(self, text):
        unit = units.UNITS[self.unit].printed if self.unit in units.UNITS else self.unit
        return f"{text} {unit}".rstrip()

    def _shown_as(self, *values):
        if not self.other:
            return ""
        shown = (_plain(getattr(units, f"to_{self.converter}")(value), ".4g") for value in values)
        return f" ({' to '.join(shown)} {self.other})"


def true_minus(text):
    """Words as a page prints them: a minus sign before a number, none before a zero; other hyphens stay.

    Examples
    --------
    >>> true_minus("BL-7, an S-bend: -0.2 W, -0.0 W")
    'BL-7, an S-bend: −0.2 W, 0.0 W'
    """
    text = re.sub(r"(?<![\w.])-(?=\d)|(?<=\de)-(?=\d)", "−", text)
    return re.sub(r"(?<!\w)−(?=0(\.0+)?(?![.,:]?\d))", "", text)


def _plain(number, form="g"):
    """A number without an exponent where people write none, and with a true minus."""
    text = f"{float(number):{form}}"
    if "e+" in text and abs(number) < 1e9:
        text = f"{float(number):.0f}"
    return true_minus(text)


def _quantity(row):
    low, high, above = float(row["low"]), float(row["high"]), row["low_itself"] == "no"
    return Quantity(row["unit"], low, high, above, row["slip"], row["converter"])


# A line an argument: what it is called on a page, where its name with blanks is not it; its unit and
# range, whether the low end itself is allowed, and the slip that leads out of it.
_ROWS = {row["argument"]: row for row in rows_of_table("dragwork", "quantities.csv")}
QUANTITIES = {name: _quantity(row) for name, row in _ROWS.items()}
_WORDS = {name: row["words"] for name, row in _ROWS.items() if row["words"]} | {"set_ups": "set-ups"}


def kept_within(argument, values):
    """Values cut off at the ends of an argument's allowed range."""
    allowed = QUANTITIES[argument]
    low = np.nextafter(allowed.low, np.inf) if allowed.above_low else allowed.low
    return np.clip(values, low, allowed.high)


def in_words(argument):
    """What an argument of the library is called on a page: `drag area`."""
    return _WORDS.get(argument, argument.replace("_", " "))


@dataclass(frozen=True)
class Estimate:
    """A number with its range: low, middle, high, and the level of the range.

    The middle of an estimate made from draws is their median. Seconds, watts and drag areas are
    positive where something is saved.

    Parameters
    ----------
    low, mid, high : float
        In one SI unit.
    level : float
        Share of the cases that the range holds, 0 to 1, as 0.95.

    Examples
    --------
    >>> Estimate(31.2, 40.0, 49.3, 0.8).in_words(lambda seconds: f"{seconds:.0f} s")
    '31 to 49 s saved'

    Source: JCGM101
    """

    low: float
    mid: float
    high: float
    level: float

    @classmethod
    def of(cls, draws, level):
        """The median of draws along their last axis, and the quantiles around it."""
        tail = (1 - level) / 2
        return cls(*np.quantile(draws, [tail, 0.5, 1 - tail], axis=-1).tolist(), level)

    @property
    def sign(self):
        """1 where the whole range is a saving, -1 where it is a loss, 0 where it holds zero."""
        return 1 if self.low > 0 else -1 if self.high < 0 else 0

    @property
    def percent(self):
        """The level as it is written: `95 %`."""
        return f"{units.to_percent(self.level):.0f} %"

    def in_words(self, words, gain="saved", loss="lost"):
        """Its ends, with `saved` or `lost` for the sign: '0:52 to 1:49 min saved'.

        words: turns a number that is not negative into text with its unit.
        """
        if self.low >= 0:
            return f"{_pair(words(self.low), words(self.high))} {gain}"
        if self.high <= 0:
            return f"{_pair(words(-self.high), words(-self.low))} {loss}"
        return f"{words(-self.low)} {loss} to {words(self.high)} {gain}"


def _pair(low, high):
    """Two numbers with units, or one where both read the same; the unit is said once."""
    unit = high.rpartition(" ")[1:]
    return high if low == high else f"{low.removesuffix(''.join(unit))} to {high}"


def checked(**arguments):
    """The arguments as float arrays, in order; the first bad one raises a helpful ValueError.

    A single argument comes back bare, several as a list.
    """
    arrays = [_checked(name, value) for name, value in arguments.items()]
    return arrays[0] if len(arrays) == 1 else arrays


def check_uncertainties(record, most, units=None):
    """Raise a helpful ValueError unless each field is a standard uncertainty from 0 to its most.

    record: a dataclass of numbers. most: field to the largest allowed, 0.2 where it is not named.
    units: field to unit, for the sentence.
    """
    for name, value in vars(record).items():
        largest, unit = most.get(name, 0.2), f" {(units or {}).get(name, '')}".rstrip()
        if not 0 <= one_number(name, value) <= largest:
            raise ValueError(
                f"{in_words(name)} {_plain(value)}{unit} is outside the allowed range of a standard "
                f"uncertainty here, 0 to {largest:g}{unit}."
            )


def needs(kind, **arguments):
    """Raise a ValueError unless each argument is a record of that kind."""
    for name, value in arguments.items():
        if not isinstance(value, kind):
            raise ValueError(f"{in_words(name)} {_shown(value)} is not a {kind.__name__}; give one.")


def one_number(name, value):
    """The value as a float; anything that is not one number raises a helpful ValueError."""
    array = _or_none(value)
    if array.ndim or array.dtype.kind not in "iuf":
        raise ValueError(f"{in_words(name)} {_shown(value)} is not a number; give one.")
    return float(array)


def number_within(name, value, low, high, unit=""):
    """The value as a float from low to high, in a unit for the sentence; else a helpful ValueError."""
    number, unit = one_number(name, value), f" {unit}".rstrip()
    if not low <= number <= high:
        raise ValueError(
            f"{in_words(name)} {_plain(number)}{unit} is outside the allowed range, "
            f"{_plain(low)} to {_plain(high)}{unit}."
        )
    return number


def whole_number(name, value, low, high):
    """The value as an int from low to high; anything else raises a helpful ValueError."""
    if isinstance(value, bool) or not isinstance(value, (int, np.integer)) or not low <= value <= high:
        raise ValueError(
            f"{in_words(name)} {_shown(value)} must be a whole number from {low} to {high}."
        )
    return int(value)


def refuse(bad, sentence, *values):
    """Raise a ValueError where `bad` holds: the sentence, filled with the values found there."""
    found = np.argwhere(bad)
    if len(found):
        index = tuple(found[0])
        shown = [np.broadcast_to(value, np.shape(bad))[index] for value in values]
        raise ValueError(sentence.format(*shown) + _which(index, np.shape(bad)))


def _checked(name, value):
    quantity = QUANTITIES[name]
    array = _or_none(value)
    if array.dtype.kind not in "iuf":
        raise ValueError(
            f"{in_words(name)} {_shown(value)} is not a number; give {quantity.range_in_words()}."
        )
    array = array.astype(float)
    if quantity.allows_all(array):
        return array
    index = tuple(np.argwhere(~quantity.allows(array))[0])
    what, bad = in_words(name) + _which(index, array.shape), float(array[index])
    if not np.isfinite(bad):
        raise ValueError(f"{what} is {bad}; a number is needed, {quantity.range_in_words()}.")
    raise ValueError(
        f"{what} {quantity.in_words(bad)} is outside the allowed range, "
        f"{quantity.range_in_words()}.{quantity.slip(bad)}"
    )


def _or_none(value):
    """The value as an array; None where it can be none, as a list of lists of unequal lengths."""
    try:
        return np.asarray(value)
    except ValueError:
        return np.array(None)


def _which(index, shape):
    """Which of many values, counted from 1 as people count: ` (value 2 of 5)`."""
    of = f" of {shape[0]}" if len(shape) == 1 else ""
    return f" (value {', '.join(str(i + 1) for i in index)}{of})" if index else ""


def _shown(value):
    text = repr(value)
    return text if len(text) <= 40 else text[:37] + "..."

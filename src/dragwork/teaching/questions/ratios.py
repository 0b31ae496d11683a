"""An answer that no slip explains: ratios that a slip of units leaves behind are asked about, never asserted."""

from math import isclose, pi

from dragwork.constants import STANDARD_GRAVITY, ZERO_CELSIUS

_WIDTH = 0.008  # either side: narrow enough to tell 9.81 from 10, and 100 from 102
_MILE = 1.609344  # km
_RATIOS = (
    *((3.6**n, "is there km/h where m/s is meant, or the reverse?") for n in (1, 2, 3)),
    *((_MILE**n, "are there miles in it?") for n in (1, 2, 3)),
    (2, "is a half, or a factor of two, in its place?"),
    (10, "has the decimal point moved?"),
    (60, "are there minutes where seconds are meant, or the reverse?"),
    (100, "is there a percent where a fraction is meant, or the reverse?"),
    (1000, "is there a kilo, or a comma meant for thousands?"),
    (STANDARD_GRAVITY, "is there a mass where a force is meant, or the reverse?"),
    (1000 / STANDARD_GRAVITY, "are there grams-force where newtons are meant?"),
    (100 * pi / 180, "is a gradient in percent read as degrees?"),
)


_OF_SHARES = (2, 10, 100, 1000)  # ratios that an answer in percent can have, or one without a unit


def in_words(answer, right, celsius, unit):
    """A question about the ratio of an answer to the right one; its way and rough size where no ratio fits.

    Parameters
    ----------
    answer, right : float
        The right one is not 0.
    celsius : float or None
        The temperature of the question, where it has one.
    unit : Unit or None
        Of the answer: nobody has miles, minutes or newtons in a percentage; None of a time.

    Returns
    -------
    str
    """
    ratio = answer / right
    if ratio == 0:
        return "The answer here is not zero."
    if isclose(ratio, -1, rel_tol=_WIDTH):
        return "Its sign is the other way round: what counts as plus here?"
    if unit is not None and unit.name == "%":
        near = max(2 * _WIDTH * abs(right), 0.06)
        if abs(answer - 100 - right) < near:
            return "Is it the whole, with the 100 % from before? How much more or less is that?"
        if abs(100 * (answer - 1) - right) < near:
            return "Is it a factor? How much more or less is that, in %?"
    ratios = _RATIOS
    if unit is not None and unit.measures == "plain number":
        ratios = [pair for pair in _RATIOS if pair[0] in _OF_SHARES]
    if celsius:
        kelvin = (celsius + ZERO_CELSIUS) / celsius
        ratios = ((kelvin, "is there °C where kelvin is meant, or the reverse?"), *ratios)
    for size, question in ratios:
        for factor, way in ((size, "large"), (1 / size, "small")):
            if isclose(ratio, factor, rel_tol=_WIDTH):
                times = f"{float(f'{size:.3g}'):g}"  # 1000, never 1e+03
                return f"It is about {times} times too {way}: {question}"
    if isclose(answer * right, 1, rel_tol=_WIDTH):
        return "It looks upside down: which number should be divided by which?"
    if ratio < 0:
        return "The sign is the other way round, and the size differs too."
    way, size = ("large", ratio) if ratio > 1 else ("small", 1 / ratio)
    if size < 1.5:
        return f"It is about {_rough(100 * abs(ratio - 1))} % too {way}."
    if size > 1e6:
        return f"It is more than a million times too {way}."
    rough = f"{size:.2g}" if size < 2 else _rough(size)
    return f"It is about {rough} times too {way}."


def _rough(size):
    """One figure, without an exponent."""
    return f"{float(f'{size:.1g}'):.0f}"

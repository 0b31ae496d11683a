"""The sentence of a panel: words with gaps, and what several panels say alike."""

from functools import wraps

from dragwork.teaching.telling import filled_in
from dragwork.units import to_percent


def sentence(gaps):
    """A panel's sentence, from a function of the result whose docstring is the sentence.

    Its gaps are fields of the result, in SI where they name a unit, and what the function returns by name.
    """

    @wraps(gaps)
    def said(result):
        return filled_in(gaps.__doc__, vars(result) | gaps(result))

    return said


def into_wind(speed):
    """A headwind, where there is one: ` into 3.0 m/s of wind`."""
    return f" into {speed:.1f} m/s of wind" if speed else ""


def on_a_slope(gradient, so="at"):
    """`on the flat`, or `at 3.0 %`."""
    return f"{so} {to_percent(gradient):.1f} %" if gradient else "on the flat"

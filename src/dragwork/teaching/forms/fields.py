"""Boxes that several flows have: for a knob's quantity, for a number with its unit, left empty."""

from dragwork.teaching.answers import parse_quantity
from dragwork.teaching.forms.flow import Typed


def knob_box(knob, start="", when=None, hint="", read=None):
    """A box for a knob's quantity, with the knob's limits.

    Parameters
    ----------
    knob : Knob
    start, when, hint
        As of a `Field`; the hint is the knob's range where none is given.
    read : callable, optional
        Instead of the knob's own.

    Returns
    -------
    Typed
    """
    hint = hint or knob.range
    return Typed(
        knob.quantity, knob.label, hint, start, when, knob.printed_unit, read or knob.read
    )


def number_in(unit, into_si=None):
    """Reads a number with its unit: text to float, in SI where `into_si` says how."""

    def read(text):
        number = parse_quantity(text, unit)
        return float(into_si(number) if into_si else number)

    return read


def maybe(read):
    """Reads a box that may stay empty: then nothing is stated, and it is None."""
    return lambda text: read(text) if str(text).strip() else None

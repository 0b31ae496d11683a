"""Sentences that are kept as data beside the code that uses them, and the gaps in them."""

import json
from functools import reduce
from operator import getitem
from string import Formatter

from dragwork.files import text_of
from dragwork.quantities import true_minus
from dragwork.units import UNITS


def words_in(package, name):
    """Words that are kept as data, beside the code that uses them: a JSON file of a package."""
    return json.loads(text_of(package, name))


class _WithUnits(Formatter):
    """As str.format; a unit behind the format takes a value in SI: `{ground_speed:.1f km/h}`."""

    def format_field(self, value, format_spec):
        digits, _, name = format_spec.partition(" ")
        if not name:
            return format(value, digits) if isinstance(value, str) else true_minus(format(value, digits))
        unit = UNITS[name]
        return unit.behind(true_minus(f"{float(unit.out_of_si(value)):{digits}}"))


def filled_in(template, values, in_order=()):
    """A template with its gaps filled, in SI where they name a unit; it may run over lines."""
    return _WithUnits().vformat(" ".join(template.split()), in_order, values)


class Sentences:
    """The sentences of a JSON file of a package: called with the names that lead to one, and its gaps."""

    def __init__(self, package, name):
        self._words = words_in(package, name)

    def __call__(self, /, *names, **gaps):
        found = reduce(getitem, names, self._words)
        if isinstance(found, dict):
            return {filled_in(name, gaps): filled_in(said, gaps) for name, said in found.items()}
        return filled_in(found, gaps) if isinstance(found, str) else [filled_in(x, gaps) for x in found]

"""The registry of equations: each equation that a docstring names, with its sympy twin.

A twin is read from the `Equation:` line of the function's docstring; a test turns it into numbers
and compares them with the function's. What each symbol stands for is in `symbols.csv`.
"""

import re
from dataclasses import dataclass
from functools import cached_property

import sympy
from sympy import Eq, Function, Symbol

from dragwork.files import rows_of_table
from dragwork.physics import air, course, drag, power, resistance, savings, speed, wind


@dataclass(frozen=True)
class Name:
    """A symbol of the equations: its unit, what it stands for, and how it is printed."""

    unit: str
    words: str
    latex: str
    sign: str  # 'positive' or 'any'

    def symbol(self, name):
        """As the name is written in a text."""
        return Symbol(name, real=True) if self.sign == "any" else Symbol(name, positive=True)


NAMES = {row.pop("symbol"): Name(**row) for row in rows_of_table("dragwork", "symbols.csv")}
SYMBOLS = {name: entry.symbol(name) for name, entry in NAMES.items()}
_WORDS = {"mean": Function("mean"), "sum": Function("sum")}
_LATEX = {SYMBOLS[name]: entry.latex for name, entry in NAMES.items() if entry.latex}


@dataclass(frozen=True)
class Equation:
    """An equation as text, `left = right`, and as sympy."""

    text: str

    @cached_property
    def left(self):
        return self._parse(self.text.split("=")[0])

    @cached_property
    def right(self):
        return self._parse(self.text.split("=")[1])

    @property
    def latex(self):
        return latex(Eq(self.left, self.right, evaluate=False))

    @staticmethod
    def _parse(text):
        return sympy.sympify(text, locals=SYMBOLS | _WORDS)


def latex(expression):
    """LaTeX with the library's symbols."""
    return sympy.latex(expression, symbol_names=_LATEX)


def _equations_of(module):
    """'module.function' to its equations, as the docstrings of a module of physics have them."""
    for name, thing in vars(module).items():
        own = getattr(thing, "__module__", "") == module.__name__
        texts = re.findall(r"^ *Equation: (.+)$", thing.__doc__ or "", re.MULTILINE) if own else ()
        if texts:
            yield f"{module.__name__.rpartition('.')[2]}.{name}", tuple(map(Equation, texts))


EQUATIONS = {
    name: twins
    for module in (air, wind, drag, resistance, power, speed, course, savings)
    for name, twins in _equations_of(module)
}


def nomenclature():
    """The symbols as a Markdown table."""
    rows = [f"| `{name}` | {entry.words} | {entry.unit or 'any'} |" for name, entry in NAMES.items()]
    return "\n".join(["| symbol | what | unit |", "| --- | --- | --- |", *rows])


if __name__ == "__main__":
    print(nomenclature())

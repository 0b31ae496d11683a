"""Fewer drawn days than a page takes, and no paint, for tests of words, forms and widgets.

What such tests look for does not depend on how finely the ends of a range have settled. A test of
numbers in such a file says `all_days`.
"""

import base64
import inspect
import sys
from functools import cache

import pytest

from dragwork.decisions import rides

FEW = 100
ALL = rides.DRAWS
NAMES = ("draws", "n")  # of an argument that says how many days


def _functions(module):
    """Functions of a module and of its classes."""
    for thing in vars(module).values():
        if inspect.isfunction(thing):
            yield thing
        elif inspect.isclass(thing) and thing.__module__ == module.__name__:
            yield from filter(inspect.isfunction, vars(thing).values())


def _fewer(function):
    """Its two sorts of defaults with few days in them; None where it draws none."""
    code, plain, named = function.__code__, function.__defaults__ or (), function.__kwdefaults__ or {}
    names = (*code.co_varnames[code.co_argcount - len(plain) : code.co_argcount], *named)
    new = [FEW if name in NAMES and value is ALL else value for name, value in zip(names, (*plain, *named.values()))]
    if all(one is other for one, other in zip(new, (*plain, *named.values()))):
        return None
    return tuple(new[: len(plain)]) or None, dict(zip(named, new[len(plain) :])) or None


@cache
def _that_draw(loaded):
    """Modules that name the number of days, and functions with their new defaults."""
    modules = [module for name, module in sorted(sys.modules.items()) if name.startswith("dragwork.")]
    functions = {function: _fewer(function) for module in modules for function in _functions(module)}
    naming = [module for module in modules if getattr(module, "DRAWS", None) is ALL and module is not rides]
    return naming, {function: new for function, new in functions.items() if new}


@pytest.fixture
def few_days(monkeypatch, request):
    """All modules that are loaded draw few days where no number is named."""
    if request.node.get_closest_marker("all_days"):
        return
    naming, functions = _that_draw(len(sys.modules))
    assert {f.__name__ for f in functions} >= {"drawn_days"}
    for module in naming:
        monkeypatch.setattr(module, "DRAWS", FEW)
    for function, (plain, named) in functions.items():
        monkeypatch.setattr(function, "__defaults__", plain)
        monkeypatch.setattr(function, "__kwdefaults__", named)


ONE_PIXEL = base64.b64decode("iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==")


@pytest.fixture
def unpainted(monkeypatch):
    """Still pictures are made, and painted as one pixel: for tests that read the words beside them."""
    from dragwork.teaching.figures.picture import Picture

    monkeypatch.setattr(Picture, "saved_png", lambda picture: ONE_PIXEL)

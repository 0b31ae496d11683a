"""Forms that are answered once for many tests."""

from copy import copy
from functools import cache


@cache
def _answered(form, way, typed):
    flow = form()
    getattr(flow, way)(**dict(typed))
    return flow


def answered(form, way="answer_all", **typed):
    """A form with these answers, for each test its own: what is changed in it stays there."""
    flow = copy(_answered(form, way, tuple(typed.items())))
    for name in ("typed", "remarks", "at_fault", "_given"):
        setattr(flow, name, dict(getattr(flow, name)))
    flow.finish = form.finish.__get__(flow)
    return flow

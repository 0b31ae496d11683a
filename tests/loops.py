"""One test for many things of a kind: a loop that goes on after a failure and names all that failed."""

import pytest

PARAM = type(pytest.param())


def over(things):
    """Run a test of one argument, or of several, over things: values, or `pytest.param`s with an id."""

    def looped(test):
        def loop():
            failed, first, number = [], None, 0
            for number, thing in enumerate(things, 1):
                values, name = (thing.values, thing.id) if isinstance(thing, PARAM) else (thing, None)
                values = values if isinstance(values, tuple) else (values,)
                try:
                    test(*values)
                except (Exception, pytest.fail.Exception) as error:
                    failed.append(f"{name or values}: {error or type(error).__name__}")
                    first = first or error
            assert number, "there is nothing of the kind"
            if failed:
                raise AssertionError(f"{len(failed)} of {number}:\n" + "\n".join(failed)) from first

        loop.__name__, loop.__doc__, loop.__module__ = test.__name__, test.__doc__, test.__module__
        return loop

    return looped

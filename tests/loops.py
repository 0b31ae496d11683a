"""One test for many things of a kind: a loop that goes on after a failure and names all that failed."""


def over(things):
    """Run a test of one argument, or of several, over things: values, or `pytest.param`s with an id."""

    def looped(test):
        def loop():
            failed, number = [], 0
            for number, thing in enumerate(things, 1):
                values, name = getattr(thing, "values", (thing,)), getattr(thing, "id", None)
                values = values if isinstance(values, tuple) else (thing,)
                try:
                    test(*values)
                except AssertionError as error:
                    failed.append(f"{name or values}: {error}")
            assert number, "there is nothing of the kind"
            assert not failed, f"{len(failed)} of {number}:\n" + "\n".join(failed)

        loop.__name__, loop.__doc__, loop.__module__ = test.__name__, test.__doc__, test.__module__
        return loop

    return looped

"""What all pictures over ground speed share: the trace of the state before, the learner's guesses."""

from dragwork import units


def draw_trace(line, before, values):
    """Set a line to one of the curves of the result before, or to nothing.

    Parameters
    ----------
    line : Line2D
    before : record or None
        With `.speeds` [m/s].
    values : str
        Which field of the record holds the curve.
    """
    if before is None:
        line.set_data([], [])
    else:
        line.set_data(units.to_kmh(before.speeds), getattr(before, values))


def mark_guesses(line, predictions):
    """Set a line's marks to the learner's predictions, each at its ground speed."""
    line.set_data(
        [units.to_kmh(guess.at["ground_speed"]) for guess in predictions],
        [guess.value for guess in predictions],
    )

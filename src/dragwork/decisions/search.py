"""Where a curve crosses zero: the one search that decisions need."""

from functools import cache

import scipy

SETTLED = 1e-12  # relative


def crossing(f, low, high, sentence, settled=SETTLED):
    """Where f is 0 between low and high.

    Parameters
    ----------
    f : callable
        Of one number.
    low, high : float
    sentence : str
        What is said where f has the same sign at both.
    settled : float
        Relative: how closely it is found. Where f is a whole ride, less is enough.

    Returns
    -------
    float

    Raises
    ------
    ValueError
        Where f does not cross zero there: the sentence.

    Source: SCIPY
    """
    f = cache(f)  # the search begins with both ends once more
    if f(low) * f(high) > 0:
        raise ValueError(sentence)
    return scipy.optimize.brentq(f, low, high, xtol=settled, rtol=settled)

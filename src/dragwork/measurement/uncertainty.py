"""Uncertainty: what a result is worth, from the spread of readings and from what is known apart.

A standard uncertainty is a standard deviation, however it was come by. Nothing here knows of
tunnels or roads.
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri, stdtrit

from dragwork.quantities import in_words, one_number, whole_number

_STEP = 1e-2  # standard uncertainties: the step of a slope; its own error falls with its square


@dataclass(frozen=True)
class Propagated:
    """A value with its standard uncertainty and the ends of its interval, in the value's unit."""

    value: float
    standard_uncertainty: float
    low: float
    high: float
    confidence: float


def propagate(
    f,
    values,
    standard_uncertainties,
    correlation=None,
    method="linear",
    *,
    confidence=0.95,
    draws=200_000,
    seed=0,
):
    """Uncertainty of a function of uncertain inputs.

    `linear` takes the slopes of f at the values: u(y)^2 = sum over i, j of c_i c_j r_ij u_i u_j.
    `sampled` draws the inputs from normal distributions and looks at what f makes of them; needed
    where f bends within the width of its inputs (at the bottom of a bowl all slopes are zero).

    Parameters
    ----------
    f : callable
        f(x1, x2, ...) -> y; for `sampled` it must take arrays.
    values : (k,) sequence of float [any units]
        Best estimates of the inputs.
    standard_uncertainties : (k,) sequence of float [each as its value]
        At least 0.
    correlation : (k, k) array, optional
        Correlation coefficients of the inputs; None = independent.
    method : str
        'linear' or 'sampled'.
    confidence : float
        Level of the interval, above 0 to below 1.
    draws : int
        How many samples, 100 to 10 million.
    seed : int
        Of the samples; the same seed gives the same answer.

    Returns
    -------
    Propagated [unit of y]
        .value (linear: f at the values; sampled: mean of the draws), .standard_uncertainty,
        .low and .high (linear: a normal interval; sampled: quantiles with equal tails).

    Raises
    ------
    ValueError
        For inputs that do not fit together, an impossible correlation, or an f that is not
        finite, in words.

    Source: GUM, JCGM101
    """
    x = numbers("values", values)
    u = numbers("standard_uncertainties", standard_uncertainties)
    if x.size != u.size:
        raise ValueError(f"{x.size} values need as many standard uncertainties, not {u.size}.")
    if np.any(u < 0):
        raise ValueError(f"standard uncertainty {u.min():g} is negative; it is at least 0.")
    check_confidence(confidence)
    whole_number("draws", draws, 100, 10_000_000)
    whole_number("seed", seed, 0, 2**63)
    r = _correlation(correlation, x.size)
    if method == "linear":
        steps = np.diag(_STEP * u)
        rises = [float(_finite(f(*(x + step))) - _finite(f(*(x - step)))) for step in steps]
        contributions = np.array(rises) / (2 * _STEP)
        value = float(_finite(f(*x)))
        spread = float(np.sqrt(max(contributions @ r @ contributions, 0.0)))
        half = float(ndtri((1 + confidence) / 2) * spread)
        return Propagated(value, spread, value - half, value + half, confidence)
    if method != "sampled":
        raise ValueError(f"method {method!r} is not known; give 'linear' or 'sampled'.")
    sizes, vectors = np.linalg.eigh(r)
    root = vectors * np.sqrt(np.maximum(sizes, 0))
    normal = np.random.default_rng(seed).standard_normal((draws, x.size))
    y = np.broadcast_to(_finite(f(*(x + u * (normal @ root.T)).T)), (draws,))
    low, high = np.quantile(y, [(1 - confidence) / 2, (1 + confidence) / 2])
    return Propagated(float(y.mean()), float(y.std(ddof=1)), float(low), float(high), confidence)


def half_width(standard_uncertainty, degrees_of_freedom, *, confidence=0.95):
    """Half the width of an interval: t times the standard uncertainty.

    Parameters
    ----------
    standard_uncertainty : float [any unit]
        At least 0.
    degrees_of_freedom : float
        Of that uncertainty, above 0; numpy.inf for one taken as known, which makes t 1.96 at 95 %.
    confidence : float
        Above 0 to below 1.

    Returns
    -------
    float [unit of the uncertainty]

    Source: GUM
    """
    check_confidence(confidence)
    standard_uncertainty = one_number("standard_uncertainty", standard_uncertainty)
    degrees_of_freedom = one_number("degrees_of_freedom", degrees_of_freedom)
    if not (standard_uncertainty >= 0 and np.isfinite(standard_uncertainty)):
        raise ValueError(f"standard uncertainty {standard_uncertainty:g} must be at least 0.")
    if not degrees_of_freedom > 0:
        raise ValueError("degrees of freedom must be above 0, infinite for a known uncertainty.")
    return float(stdtrit(degrees_of_freedom, (1 + confidence) / 2) * standard_uncertainty)


def welch_satterthwaite(u, dof):
    """Effective degrees of freedom of a combined standard uncertainty.

    nu = (sum u_i^2)^2 / sum(u_i^4 / nu_i), for independent contributions.

    Parameters
    ----------
    u : (k,) sequence of float [all in one unit]
        Contributions to the result (slope times standard uncertainty), at least 0.
    dof : (k,) sequence of float
        Degrees of freedom of each, above 0; numpy.inf for one taken as known.

    Returns
    -------
    float
        From the smallest of `dof` to their sum; inf where no contribution has finite degrees of
        freedom, or where all are 0. It is used as it is, or rounded down for a printed table.

    Raises
    ------
    ValueError
        For lists that do not fit together or negative entries, in words.

    Source: GUM
    """
    u = numbers("u", u)
    dof = _array("dof", dof)
    if dof.shape != u.shape:
        raise ValueError(f"u has {u.size} entries and dof {dof.size}: give one a contribution.")
    if np.any(u < 0):
        raise ValueError(f"u {u.min():g} is negative; a standard uncertainty is at least 0.")
    if not np.all(dof > 0):
        raise ValueError("dof must be above 0, numpy.inf for a contribution taken as known.")
    largest = u.max()
    if largest == 0:
        return np.inf
    share = (u / largest) ** 2
    known = np.sum(share**2 / dof)
    return float(np.sum(share) ** 2 / known) if known > 0 else np.inf


@dataclass(frozen=True)
class Repeatability:
    """General mean, and the spreads within cells (s_r) and over all (s_R), in the readings' unit."""

    mean: float
    s_r: float
    s_R: float
    degrees_of_freedom: int


def repeatability(cells):
    """How far repeats lie apart within a cell, and results over all cells.

    s_r^2 is the variance within cells, pooled: sum (n_i - 1) s_i^2 / sum (n_i - 1).
    s_R^2 adds the variance between cells: s_R^2 = s_r^2 + s_L^2, s_L^2 not below 0.

    Parameters
    ----------
    cells : sequence of sequences of float [all in one unit]
        Repeats under the same conditions, one list a cell (a laboratory, a set-up). Cells may
        differ in size; one needs two repeats at least.

    Returns
    -------
    Repeatability [unit of the readings]
        .mean, .s_r, .s_R (nan with a single cell), .degrees_of_freedom (of s_r)

    Raises
    ------
    ValueError
        For empty cells, or where nothing was repeated, in words.

    Source: ISO5725
    """
    if isinstance(cells, str) or not np.iterable(cells):
        raise ValueError(f"cells must be a list; {cells!r:.40} is none.")
    cells = [numbers(f"cells[{i}]", cell) for i, cell in enumerate(cells)]
    if not cells:
        raise ValueError("cells is empty: give one list of repeats a cell.")
    n = np.array([cell.size for cell in cells])
    means = np.array([cell.mean() for cell in cells])
    dof = int(np.sum(n - 1))
    if dof == 0:
        raise ValueError("no cell holds a repeat, so nothing tells how far repeats lie apart.")
    within = sum(np.sum((cell - mean) ** 2) for cell, mean in zip(cells, means)) / dof
    mean = float(np.sum(n * means) / n.sum())
    spread = np.sqrt(within + _between(n, means, mean, within))
    return Repeatability(mean, float(np.sqrt(within)), float(spread), dof)


def _between(n, means, mean, within):
    """Variance between cells: s_L^2 of the standard, with its mean cell size."""
    p = n.size
    if p == 1:
        return np.nan
    between = np.sum(n * (means - mean) ** 2) / (p - 1)
    mean_size = (n.sum() - np.sum(n**2) / n.sum()) / (p - 1)
    return max((between - within) / mean_size, 0.0)


def numbers(name, values):
    """Readings as an array; refused in words where they are none.

    Parameters
    ----------
    name : str
        What the message calls them.
    values : sequence of float [any one unit]

    Returns
    -------
    (n,) array [the same unit]

    Raises
    ------
    ValueError
        For an empty list, or an entry that is not a finite number.
    """
    array = _array(name, values)
    if array.ndim != 1 or array.size == 0:
        raise ValueError(f"{in_words(name)} must be a list of numbers with at least one entry.")
    if not np.all(np.isfinite(array)):
        raise ValueError(f"{name} holds an entry that is not a finite number.")
    return array


def _array(name, values):
    try:
        return np.asarray(values, dtype=float)
    except (TypeError, ValueError):  # words, or lists of unequal lengths
        raise ValueError(f"{in_words(name)} must be a list of numbers; {values!r:.40} is none.") from None


def check_confidence(confidence, name="confidence", above=0.0, usual=0.95):
    """Refuse a level, of confidence or another, that is not above a number and below 1; 95 is
    guessed to be percent."""
    level = one_number(name, confidence)
    if not above < level < 1:
        guess = " Is it in percent? Then divide by 100." if 1 < level < 100 else ""
        raise ValueError(f"{name} {level:g} must lie between {above:g} and 1, as {usual:g}.{guess}")


def _correlation(correlation, size):
    if correlation is None:
        return np.eye(size)
    r = _array("correlation", correlation)
    if r.shape != (size, size):
        raise ValueError(f"correlation must be a {size} by {size} table, not {r.shape}.")
    # 1e-6 lets coefficients through that were printed with six decimals or more.
    symmetric = np.allclose(r, r.T, atol=1e-9) and np.allclose(np.diag(r), 1)
    if not (symmetric and np.linalg.eigvalsh(r).min() > -1e-6):
        raise ValueError(
            "correlation is impossible: it must be symmetric with ones on its diagonal, and no "
            "combination of the inputs may have a negative variance."
        )
    return r


def _finite(y):
    if not np.all(np.isfinite(y)):
        raise ValueError("f gives a value that is not finite near these inputs.")
    return y

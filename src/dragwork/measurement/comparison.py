"""Comparison: is a difference real, how small a one can be seen, and who wins by chance alone.

Everything here takes plain readings or their spread, in any one unit. Nothing here knows of
tunnels or roads. A difference is a minus b: positive where b is smaller.
"""

from dataclasses import dataclass, field
from math import ceil, sqrt

import numpy as np
import scipy
from scipy.special import ndtr, ndtri, stdtr

from dragwork.measurement import uncertainty
from dragwork.measurement.uncertainty import check_confidence, half_width
from dragwork.quantities import number_within, one_number, whole_number

_MOST_RUNS = 10_000_000


@dataclass(frozen=True)
class Comparison:
    """A difference of two set-ups [unit of the readings], with its interval at a confidence.

    low, high: ends of the interval; standard_uncertainty; degrees_of_freedom, effective; notes:
    sentences on what the readings cannot tell, and what the interval holds in its place.
    """

    difference: float
    low: float
    high: float
    confidence: float
    standard_uncertainty: float
    degrees_of_freedom: float
    notes: tuple = field(default=(), kw_only=True)

    @property
    def p_value(self):
        """How often chance alone would set two equal set-ups at least so far apart, 0 to 1."""
        if self.standard_uncertainty == 0:
            return 0.0 if self.difference else 1.0
        t = abs(self.difference) / self.standard_uncertainty
        return float(2 * stdtr(self.degrees_of_freedom, -t))


def difference_interval(difference, standard_uncertainty, degrees_of_freedom, *, confidence=0.95):
    """The interval of a difference whose uncertainty is known.

    difference -+ t standard_uncertainty, with Student's t.

    Parameters
    ----------
    difference : float [any unit]
    standard_uncertainty : float [the same unit]
        At least 0.
    degrees_of_freedom : float
        Above 0; numpy.inf for an uncertainty taken as known.
    confidence : float
        Above 0 to below 1.

    Returns
    -------
    Comparison [the same unit]

    Source: GUM
    """
    difference = _finite("difference", difference)
    half = half_width(standard_uncertainty, degrees_of_freedom, confidence=confidence)
    return Comparison(
        difference, difference - half, difference + half, confidence,
        float(standard_uncertainty), float(degrees_of_freedom),
    )  # fmt: skip


def difference(a, b, *, paired=False, equal_spread=True, confidence=0.95):
    """Difference of two set-ups from their repeats: mean of a less mean of b.

    Unpaired: the spread is pooled over both (Student), or each set-up keeps its own (Welch).
    Paired: each reading of a belongs to one of b, run beside it, and the differences of the pairs
    are what is spread. Pairs that share what the day does to both are worth it.

    Parameters
    ----------
    a, b : sequence of float [any one unit]
        Repeats of each set-up; independent of each other, unless paired.
    paired : bool
    equal_spread : bool
        Whether both set-ups spread alike; of no matter where paired.
    confidence : float
        Above 0 to below 1.

    Returns
    -------
    Comparison [unit of the readings]

    Raises
    ------
    ValueError
        For too few readings, or pairs that do not match, in words.

    Source: GUM
    """
    a, b = uncertainty.numbers("a", a), uncertainty.numbers("b", b)
    if paired:
        if a.size != b.size or a.size < 2:
            raise ValueError(
                f"pairs need as many readings of a ({a.size}) as of b ({b.size}), and two at least."
            )
        u, dof = (a - b).std(ddof=1) / sqrt(a.size), a.size - 1
    elif equal_spread:
        spread = uncertainty.repeatability([a, b])
        u, dof = spread.s_r * sqrt(1 / a.size + 1 / b.size), spread.degrees_of_freedom
    else:
        if min(a.size, b.size) < 2:
            raise ValueError("each set-up needs two readings at least to have a spread of its own.")
        parts = [x.std(ddof=1) / sqrt(x.size) for x in (a, b)]
        dof = uncertainty.welch_satterthwaite(parts, [a.size - 1, b.size - 1])
        u = np.hypot(*parts)
    return difference_interval(a.mean() - b.mean(), u, dof, confidence=confidence)


def smallest_difference(spread, runs, *, degrees_of_freedom=None, confidence=0.95, power=0.8):
    """The smallest true difference that a session of so many runs tells apart, most times.

    Parameters
    ----------
    spread : float [any unit]
        Standard deviation of one independent repeat, above 0.
    runs : float
        Independent repeats of each set-up, 1 or more.
    degrees_of_freedom : float, optional
        Of the spread; by default 2 runs - 2. More where other set-ups tell of it too, numpy.inf
        for a spread taken as known.
    confidence : float
        Of the interval, above 0 to below 1.
    power : float
        The share of such sessions that shall tell it, above 1 - confidence to below 1.

    Returns
    -------
    float [unit of the spread]

    Source: COHEN1988
    """
    runs = number_within("runs", runs, 1, _MOST_RUNS)
    dof = 2 * runs - 2
    if degrees_of_freedom is not None:
        dof = one_number("degrees_of_freedom", degrees_of_freedom)
    if not dof >= 1:
        raise ValueError(
            f"{runs:g} run each shows nothing of the spread: give at least two, or the degrees of "
            "freedom of a spread that is known from elsewhere."
        )
    check_confidence(confidence)
    check_confidence(power, "power", above=1 - confidence, usual=0.8)
    spread = _above_zero("spread", spread)
    high = 1.0
    while _power(high, dof, confidence) < power:
        high *= 2
    shift = scipy.optimize.brentq(lambda x: _power(x, dof, confidence) - power, 0, high, xtol=1e-10)
    return float(shift * spread * sqrt(2 / runs))


def runs_needed(difference, spread, *, confidence=0.95, power=0.8):
    """How many independent repeats of each of two set-ups a wanted difference needs.

    Parameters
    ----------
    difference : float [any unit]
        The smallest that shall be told, not 0; its sign does not matter.
    spread : float [the same unit]
        Standard deviation of one repeat, above 0.
    confidence : float
        Of the interval, above 0 to below 1.
    power : float
        The share of such sessions that shall tell it, above 1 - confidence to below 1.

    Returns
    -------
    int
        A pure number, 2 or more.

    Raises
    ------
    ValueError
        For a number outside its range, or where more than 10 million would be needed, in words.

    Source: COHEN1988
    """
    wanted = _above_zero("difference", abs(_finite("difference", difference)))
    spread = _above_zero("spread", spread)
    check_confidence(confidence)
    check_confidence(power, "power", above=1 - confidence, usual=0.8)

    def missing(runs):
        return _power(wanted / (spread * sqrt(2 / runs)), 2 * runs - 2, confidence) - power

    if missing(2) >= 0:
        return 2
    if missing(_MOST_RUNS) < 0:
        raise ValueError(
            f"a difference of {wanted:g} under a spread of {spread:g} would need more than "
            f"{_MOST_RUNS} runs each: no session would detect it."
        )
    return ceil(round(scipy.optimize.brentq(missing, 2, _MOST_RUNS, xtol=1e-9), 6))


def runs_needed_rule(difference, spread):
    """The same by the rule of thumb: 16 (spread/difference)^2 repeats of each set-up.

    For 95 % confidence, found in four sessions of five. For few runs it is short by one or so,
    because it takes the spread as known.

    Parameters
    ----------
    difference : float [any unit]
        Not 0; its sign does not matter.
    spread : float [the same unit]
        Standard deviation of one repeat, above 0.

    Returns
    -------
    float
        A pure number, not rounded.
    """
    wanted = _above_zero("difference", abs(_finite("difference", difference)))
    return 16 * (_above_zero("spread", spread) / wanted) ** 2


def expected_range(number):
    """How far apart best and worst of some identical set-ups are expected, in their spread.

    The mean of largest less smallest of independent standard normal numbers.

    Parameters
    ----------
    number : int
        How many, 2 to 100,000.

    Returns
    -------
    float
        A pure number: times the standard deviation of one result.

    Source: ASTM_E2587
    """
    number = whole_number("number", number, 2, 100_000)

    def between(x):  # the chance that x lies between smallest and largest
        return 1 - ndtr(x) ** number - ndtr(-x) ** number

    return float(2 * scipy.integrate.quad(between, 0, 12, epsabs=1e-12)[0])


def flattery(number, spread):
    """By how much the best of several repeats is expected to flatter the set-up.

    Half the expected range: the luckiest lies as far from the mean as the unluckiest.

    Parameters
    ----------
    number : int
        Repeats of which the best is reported, 2 to 100,000.
    spread : float [any unit]
        Standard deviation of one repeat, above 0.

    Returns
    -------
    float [unit of the spread]

    Source: ASTM_E2587
    """
    return expected_range(number) / 2 * _above_zero("spread", spread)


def false_alarm(number, *, confidence=0.95):
    """How often at least one of several separate tests claims a difference that is not there.

    Parameters
    ----------
    number : int
        Independent tests, 1 to 100,000.
    confidence : float
        Of each, above 0 to below 1.

    Returns
    -------
    float
        A fraction.
    """
    check_confidence(confidence)
    return float(1 - confidence ** whole_number("number", number, 1, 100_000))


def false_winner(number, *, confidence=0.95):
    """How often the best of identical set-ups beats the worst 'significantly', picked afterwards.

    Parameters
    ----------
    number : int
        Identical set-ups, 2 to 1000, of known spread.
    confidence : float
        Of the interval that the two would have if named before, above 0 to below 1.

    Returns
    -------
    float
        A fraction.

    Source: TUKEY1953
    """
    check_confidence(confidence)
    number = whole_number("number", number, 2, 1000)
    gap = sqrt(2) * ndtri((1 + confidence) / 2)
    return float(scipy.stats.studentized_range.sf(gap, number, np.inf))


def _power(shift, dof, confidence):
    """Chance that t, shifted by so many standard uncertainties, leaves the interval about 0."""
    limit = half_width(1, dof, confidence=confidence)
    if np.isinf(dof):
        return float(ndtr(shift - limit) + ndtr(-shift - limit))
    # The far tail is taken as the near one of the mirror image: scipy loses its way otherwise.
    return float(scipy.stats.nct.sf(limit, dof, shift) + scipy.stats.nct.sf(limit, dof, -shift))


def _above_zero(name, value):
    value = one_number(name, value)
    if not (value > 0 and np.isfinite(value)):
        raise ValueError(f"{name} {value:g} is outside the allowed range, above 0.")
    return value


def _finite(name, value):
    value = one_number(name, value)
    if not np.isfinite(value):
        raise ValueError(f"{name} {value:g} is not a finite number.")
    return value

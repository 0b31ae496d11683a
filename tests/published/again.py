"""What was written down from memory, worked out again apart from the library.

Each record that is marked `recomputed` has an expression in these names, of which numpy, scipy, pint,
statsmodels and uncertainties do the sums.
"""

import warnings
from functools import cache

import numpy as np
import statsmodels.api as sm
import uncertainties as un
from pint import UnitRegistry
from scipy import integrate, stats
from scipy.optimize import brentq
from statsmodels.stats.power import TTestIndPower
from uncertainties import umath

import published

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    Quantity = UnitRegistry().Quantity

# Wind: six angles between the road and a wind of 7/55 of the speed


def sae_yaws():
    angle = np.radians(np.arange(15, 166, 30))
    return np.degrees(np.arctan2(7 * np.sin(angle), 55 + 7 * np.cos(angle)))


def sae_pressures():
    """Over that of the ground speed."""
    angle, wind = np.radians(np.arange(15, 166, 30)), 7 / 55
    return (wind * np.sin(angle)) ** 2 + (1 + wind * np.cos(angle)) ** 2


# Statistics


def student(test, **how):
    """Difference, 95 % interval, degrees of freedom of the sleep of ten patients."""
    inputs = published.record("sleep-paired").inputs
    a, b = inputs["a"], inputs["b"]
    found = test(a, b, **how)
    return [np.mean(a) - np.mean(b), *found.confidence_interval(0.95), found.df]


def mean_range(n):
    """Of n standard normal numbers, Tippett's integral."""
    return integrate.quad(lambda x: 1 - stats.norm.cdf(x) ** n - stats.norm.sf(x) ** n, -9, 9)[0]


def mean_largest(n):
    return integrate.quad(lambda x: x * n * stats.norm.pdf(x) * stats.norm.cdf(x) ** (n - 1), -9, 9)[0]


# Uncertainty: the examples of the guides


@cache
def thermometer():
    inputs = published.record("gum-h3-line").inputs
    return sm.OLS(inputs["b"], sm.add_constant(np.array(inputs["t"]) - 20)).fit()


def at_30(line):
    found = line.get_prediction([[1, 10]])
    return [found.predicted_mean[0], found.se_mean[0]]


def impedance():
    inputs = published.record("gum-h2-resistance").inputs
    readings = np.array([inputs[name] for name in ("V", "I", "phi")])
    volt, ampere, phase = un.correlated_values(readings.mean(axis=1), np.cov(readings) / readings.shape[1])
    found = {"R": volt / ampere * umath.cos(phase), "X": volt / ampere * umath.sin(phase), "Z": volt / ampere}
    between = un.correlation_matrix(list(found.values()))
    return {name: [value.n, value.s] for name, value in found.items()} | {"r": between[np.triu_indices(3, 1)]}


def bowl(spread):
    found = sum(un.ufloat(0, spread) ** 2 for _ in range(2))
    return [found.n, found.s]


def sulphur(cells):
    """Mean, repeatability and reproducibility by an analysis of variance with cells of unlike size."""
    n, means = np.array([len(cell) for cell in cells]), np.array([np.mean(cell) for cell in cells])
    mean = np.average(means, weights=n)
    within = sum(np.sum((np.array(cell) - np.mean(cell)) ** 2) for cell in cells) / np.sum(n - 1)
    between = np.sum(n * (means - mean) ** 2) / (len(n) - 1)
    size = (n.sum() - np.sum(n**2) / n.sum()) / (len(n) - 1)
    return [mean, np.sqrt(within), np.sqrt(within + (between - within) / size)]


# Places on the ellipsoid of WGS 84: the radii of curvature

EQUATOR, FLATTENING = 6378137.0, 1 / 298.257223563
SQUARED = FLATTENING * (2 - FLATTENING)


def meridian(south, north):
    """Metres between two latitudes in degrees."""
    curved = integrate.quad(lambda x: (1 - SQUARED * np.sin(x) ** 2) ** -1.5, *np.radians([south, north]))[0]
    return EQUATOR * (1 - SQUARED) * curved


def parallel(latitude):
    """The radius of a parallel."""
    x = np.radians(latitude)
    return EQUATOR * np.cos(x) / np.sqrt(1 - SQUARED * np.sin(x) ** 2)


# The run of the road-power model: its numbers, and mechanics with g 9.81

MASS, INERTIA, STEEP = 90, 0.14 / 0.311**2, np.arctan(0.003)


def martin_force(v):
    """N by term, without that of acceleration; the drag areas are of the air speed along the road."""
    air = 1.2234 / 2 * (0.2565 + 0.0044) * (v + 2.94 * np.cos(np.radians(310 - 340))) ** 2
    weight = MASS * 9.81
    return {"air": air, "rolling": 0.0032 * weight * np.cos(STEEP), "bearings": 0.091 + 0.0087 * v,
            "slope": weight * np.sin(STEEP)}  # fmt: skip


def martin():
    """W by term, at the mean speed."""
    kinetic = (MASS + INERTIA) / 2 * (8.45**2 - 8.28**2) / 56.42
    return {name: force * 471.8 / 56.42 for name, force in martin_force(471.8 / 56.42).items()} | {"acceleration": kinetic}


def martin_steady():
    """m/s at the printed power less its kinetic part."""
    watts = 213.16 - 2.30 / 0.97698
    return brentq(lambda v: v * sum(martin_force(v).values()) / 0.97698 - watts, 1, 20)


def martin_run():
    """Seconds and end speed of the run at even power, by an adaptive solver over the distance."""

    def slope(_, state):
        v = state[1]
        return 1 / v, (213.16 * 0.97698 / v - sum(martin_force(v).values())) / (MASS + INERTIA) / v

    return integrate.solve_ivp(slope, (0, 471.8), [0, 8.28], rtol=1e-8).y[:, -1]


def value(record):
    """What a record's expression comes to, in the record's unit."""
    return np.asarray(eval(record.again, globals(), {"record": record}), dtype=float)


__all__ = ["Quantity", "TTestIndPower", "brentq", "value"]

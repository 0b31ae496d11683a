"""Straight-line regression: least squares with weights, what it is worth, and where it fails."""

from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from dragwork.measurement.uncertainty import half_width
from dragwork.quantities import Estimate


@dataclass(frozen=True, eq=False)
class LeastSquares:
    """What a regression found; see `least_squares`.

    Parameters
    ----------
    coefficients : (k,) array
    covariance : (k, k) array
    residual_spread : float
        Standard deviation of the residuals, in units of their standard uncertainties.
    degrees_of_freedom : int
        Observations less coefficients.
    residuals : (n,) array
        Response less fit, in the response's unit.
    deleted_residuals : (n,) array
        Each residual over its own standard deviation, as found without that observation: Student's
        t where nothing is wrong. nan with a single degree of freedom, and where an observation
        alone fixes a coefficient.

    Source: GUM, BELSLEY1980
    """

    coefficients: np.ndarray
    covariance: np.ndarray
    residual_spread: float
    degrees_of_freedom: int
    residuals: np.ndarray
    deleted_residuals: np.ndarray

    @property
    def standard_errors(self):
        """Standard uncertainty of each coefficient."""
        return np.sqrt(np.diag(self.covariance))

    def predict(self, design, standard_uncertainty=0.0, confidence=0.95):
        """The fit at other rows, with its interval.

        Parameters
        ----------
        design : (k,) or (n, k) array
        standard_uncertainty : float or (n,) array
            Of a new observation, on the scale of those in the fit; 0 = the line itself.
        confidence : float
            Level of the interval.

        Returns
        -------
        Estimate [unit of the response]
            Of arrays for (n, k) rows; .mid is the fit.

        Raises
        ------
        ValueError
            For a confidence outside 0 to 1, in words.

        Source: GUM
        """
        rows = np.asarray(design, dtype=float)
        value = rows @ self.coefficients
        variance = np.einsum("...i,ij,...j->...", rows, self.covariance, rows)
        new = (self.residual_spread * np.asarray(standard_uncertainty)) ** 2
        t = half_width(1.0, self.degrees_of_freedom, confidence=confidence)
        half = t * np.sqrt(variance + new)
        return Estimate(value - half, value, value + half, confidence)


def condition_of(design, standard_uncertainties):
    """Condition of a design, its weighted columns made 1 long.

    1 where the columns have nothing in common; above 30 they can hardly be told apart.

    Parameters
    ----------
    design : (n, k) array
    standard_uncertainties : (n,) array

    Returns
    -------
    float
        A pure number, at least 1; inf where a column is made of the others.

    Source: BELSLEY1980
    """
    weighted = np.asarray(design, dtype=float) / np.asarray(standard_uncertainties)[:, None]
    size = np.linalg.svd(weighted / np.linalg.norm(weighted, axis=0), compute_uv=False)
    alike = size[-1] <= weighted.shape[1] * np.finfo(float).eps * size[0]
    return np.inf if alike else float(size[0] / size[-1])


def least_squares(design, response, standard_uncertainties=None, least_spread=0.0):
    """Fit response = design @ coefficients by weighted least squares.

    The weights are 1/u^2. Only the ratios of the u count: how large they are is shown by the
    residuals, so that the standard errors rest on the scatter found and on nothing claimed.

    Parameters
    ----------
    design : (n, k) array
        One row an observation, one column a coefficient.
    response : (n,) array
    standard_uncertainties : (n,) array, optional
        Of the responses, above 0; by default all alike.
    least_spread : float
        Of the residuals, in units of their standard uncertainties: no smaller one is believed, so
        that responses that happen to agree give no interval of width 0.

    Returns
    -------
    LeastSquares [units of response and design]

    Raises
    ------
    ValueError
        For arrays that do not fit together, too few observations, or columns that are multiples
        of each other, in words.

    Source: GUM, NIST_STRD
    """
    x, y, u = _arrays(design, response, standard_uncertainties)
    n, k = x.shape
    weighted, target = x / u[:, None], y / u
    length = np.linalg.norm(weighted, axis=0)
    if not np.all(length > 0):
        raise ValueError("a column of the design is 0 throughout: nothing tells its coefficient.")
    u_left, size, v = np.linalg.svd(weighted / length, full_matrices=False)
    if size[-1] <= k * np.finfo(float).eps * size[0]:
        raise ValueError("columns of the design are multiples of each other: nothing parts them.")
    root = v.T / size / length[:, None]
    coefficients = root @ (u_left.T @ target)
    # Once more for what rounding left over: the standard data sets then agree to their last digit.
    coefficients += root @ (u_left.T @ (target - weighted @ coefficients))
    left = target - weighted @ coefficients
    spread = max(float(np.sqrt(left @ left / (n - k))), least_spread)
    return LeastSquares(
        coefficients,
        spread**2 * root @ root.T,
        spread,
        n - k,
        left * u,
        _deleted(left, 1 - np.sum(u_left**2, axis=1), n - k),
    )


def odd_ones(design, response, standard_uncertainties, risk, most, least_spread=0.0):
    """Observations that do not belong to the line of all others, the oddest first.

    One after the other is left out while its deleted residual is larger than Student's t allows.
    Columns may be multiples of each other: what they say together is enough.

    Parameters
    ----------
    design : (n, k) array
    response : (n,) array
    standard_uncertainties : (n,) array
        Only their ratios count.
    risk : float
        Of calling any sound observation of the whole set odd.
    most : float
        Share of the observations that may be odd; with more, nothing says which they are.
    least_spread : float
        As for `least_squares`.

    Returns
    -------
    list of (int, float)
        Place of the observation, and its deleted residual: a pure number, Student's t.

    Source: BELSLEY1980
    """
    x = np.asarray(design, dtype=float) / standard_uncertainties[:, None]
    y, kept, found = response / standard_uncertainties, np.arange(len(response)), []
    while len(found) < most * len(response):
        u_left, size, _ = np.linalg.svd(x[kept], full_matrices=False)
        u_left = u_left[:, size > 1e-9 * size[0]]
        dof = kept.size - u_left.shape[1]
        if dof < 3:
            break
        free = 1 - np.sum(u_left**2, axis=1)
        left = y[kept] - u_left @ (u_left.T @ y[kept])
        t = np.nan_to_num(_deleted(left, free, dof))
        unlikely = stdtrit(dof - 1, 1 - risk / 2 / kept.size)
        # Laps that agree better than anybody can measure make no lap odd.
        believed = np.abs(left) > least_spread * unlikely
        worst = int(np.argmax(np.abs(t) * believed))
        if not believed[worst] or abs(t[worst]) <= unlikely:
            break
        found.append((int(kept[worst]), float(t[worst])))
        kept = np.delete(kept, worst)
    return found


def _deleted(left, free, dof):
    """Residuals over their standard deviation without themselves; `free` is 1 less the leverage."""
    if dof < 2:
        return np.full(left.size, np.nan)
    with np.errstate(invalid="ignore", divide="ignore"):
        variance = (left @ left - np.where(free > 1e-12, left**2 / free, np.nan)) / (dof - 1)
        return np.where(variance > 0, left / np.sqrt(np.abs(variance) * free), np.nan)


def _arrays(design, response, standard_uncertainties):
    x, y = np.asarray(design, dtype=float), np.asarray(response, dtype=float)
    u = np.ones(y.shape) if standard_uncertainties is None else np.asarray(standard_uncertainties, dtype=float)
    if x.ndim != 2 or y.shape != x.shape[:1] or u.shape != y.shape:
        raise ValueError(
            f"design {x.shape}, response {y.shape} and standard uncertainties {u.shape} do not fit "
            "together: one row, one response and one uncertainty an observation."
        )
    if not (np.isfinite(x).all() and np.isfinite(y).all() and np.isfinite(u).all()):
        raise ValueError("design, response or standard uncertainties holds no finite number.")
    if not np.all(u > 0):
        raise ValueError("standard uncertainties must be above 0; leave them out if all are alike.")
    if x.shape[0] <= x.shape[1]:
        raise ValueError(
            f"{x.shape[0]} observations for {x.shape[1]} coefficients: at least one more than "
            "coefficients is needed to see any scatter."
        )
    return x, y, u

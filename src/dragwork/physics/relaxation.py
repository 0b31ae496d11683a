"""A leg ridden with inertia: the speed settles towards the leg's steady speed, in closed form.

On a leg of constant power, slope and wind the motion M dv/dt = P eta/v - F(v) has one steady speed
v_s. Write v = v_s + D u with D the start's distance from it and u = exp(-s) from 1 to 0. Then

    dt/ds = h = M v/(F(v_s) + v (F(v) - F(v_s))/(v - v_s))

is smooth in u, also at v_s, so a polynomial through a few Chebyshev points gives the time t(s) and
the road x(s) as s and powers of u, for all riders at once; Newton's method finds the s at which x
is the leg's length. Where the polynomial is too coarse it gets more points; and where the force
has a kink (an angle of a yaw curve, a tailwind as fast as the rider) the integrals over s are
summed piece by piece between the kinks.
"""

from typing import NamedTuple

import numpy as np
from numpy.polynomial import chebyshev, legendre

_CLOSE = 1e-5  # relative distance from the steady speed at which differences still have digits
_SETTLED = 1e-3  # of s, or of 1: a Newton step this small leaves its square
_STEPS = 100  # of Newton's method; it takes three as a rule
_TOO_COARSE = 3e-3  # s: a polynomial that is off by more gives way to a finer one
_MANY_ROWS = 100  # from here on it pays to try few points first


class LegTimes(NamedTuple):
    """A ridden leg: time [s], end_speed [m/s], time_at_limit [s], and the integral over time of
    the speed's square [m2/s], which bearings take. A rider who halts on the way never arrives:
    the time is infinite or not a number."""

    time: np.ndarray
    end_speed: np.ndarray
    time_at_limit: np.ndarray
    square_of_speed: np.ndarray


def ride_leg(rows, steady_speed, steady_force, steady_slope, start_speed, distance, limit):
    """Ride one leg with inertia, all rows at once; nothing is checked.

    Parameters
    ----------
    rows : Rows
    steady_speed : (n,) array [m/s]
    steady_force : (n,) array [N]
        What resists at the steady speed.
    steady_slope : (n,) array [N/(m/s)]
        Its slope by speed there.
    start_speed : (n,) array [m/s]
        At most the limit.
    distance : float [m]
    limit : float [m/s]
        Infinity where there is none.

    Returns
    -------
    LegTimes
        .time [s] .end_speed [m/s] .time_at_limit [s] .square_of_speed [m2/s]

    Source: MARTIN1998
    """
    gap = start_speed - steady_speed
    leg = _Leg(rows, steady_speed, steady_force, steady_slope, gap, distance, limit)
    ways = (_FEW, _MANY, _Pieces) if gap.size >= _MANY_ROWS else (_MANY, _Pieces)
    return LegTimes(*_ridden(leg, *ways))


def _ridden(leg, way, *finer):
    """The leg by one way of taking the integrals; by a finer one where that is too coarse."""
    path = way(leg)
    found = leg.arrival(path)
    if finer:
        coarse = ~(path.error <= _TOO_COARSE)
        if coarse.any():
            found[:, coarse] = _ridden(leg.taken(np.flatnonzero(coarse)), *finer)
    return found


class _Leg(NamedTuple):
    """What is asked: rows, their steady speeds, force and slope there, how far the starts are from
    them, and the road."""

    rows: object
    steady: np.ndarray
    force: np.ndarray
    slope: np.ndarray
    gap: np.ndarray
    distance: float
    limit: float

    def taken(self, places):
        rows, *riders, distance, limit = self
        return _Leg(rows.taken(places), *(each[places] for each in riders), distance, limit)

    def speed(self, u):
        return self.steady + self.gap * u

    def time_scale(self, u):
        """h [s] at points u above 0 along the first axis."""
        least = _CLOSE * self.steady  # nearer than that, h is that of a start this far away
        away = np.where(np.abs(self.gap) < least, least, self.gap) * u
        speed = self.steady + away
        resisting = self.rows.forces(speed, slope=False).total  # from here on in place: it is
        resisting -= self.force  # where a ride spends its time
        resisting /= away
        resisting *= speed
        resisting += self.force
        speed *= self.rows["inertia"]
        speed /= resisting
        return speed

    def last_time_scale(self):
        """h [s] where the steady speed is reached."""
        return self.rows["inertia"] * self.steady / (self.force + self.steady * self.slope)

    def times_speed(self, a):
        """Coefficients in u of a polynomial times v = v_s + D u."""
        found = np.zeros((len(a) + 1, self.gap.size))
        np.multiply(self.steady, a, out=found[:-1])
        found[1:] += self.gap * a
        return found

    def arrival(self, path):
        """The fields of `LegTimes`, as rows."""
        s = path.guess()
        for _ in range(_STEPS):
            x, pace = path.road(s)
            step = (self.distance - x) / pace
            s = np.maximum(s + step, 0.0)
            if not (np.abs(step) > _SETTLED * np.minimum(s, 1.0)).any():
                break
        limited = self.steady > self.limit
        if limited.any():
            s_limit = np.log(self.gap / (self.limit - self.steady))
            limited &= s_limit < s
            s = np.where(limited, s_limit, s)
        end = np.where(limited, self.limit, self.speed(np.exp(-s)))
        time, x, square = path.integrals(s)
        x = np.maximum(x, 0.0)  # rounding takes no metre back,
        time = np.maximum(time, x / self.limit)  # nor is anybody faster than the limit by it
        left = (self.distance - x) / end
        return np.array([
            time + left, end, np.where(limited, left, 0.0), square + left * end**2,
        ])  # fmt: skip


class _Points:
    """Chebyshev points of u from 1 to 0; called with a leg, its path as a polynomial through them.

    powers, last: turn values there into a polynomial, and into its last Chebyshev coefficient.
    """

    def __init__(self, number):
        x = np.cos(np.pi * np.arange(number) / (number - 1))
        u = (1 + x) / 2
        self.u = u[:-1, None]
        self.powers = np.linalg.inv(np.vander(u, increasing=True))
        self.last = np.linalg.inv(chebyshev.chebvander(x, number - 1))[-1]
        self.per_count = 1 / np.arange(1.0, number + 2)[:, None]

    def __call__(self, leg):
        return _Polynomial(leg, self)


_FEW, _MANY = _Points(8), _Points(14)


class _Polynomial:
    """Time and road by h as a polynomial in u: the integral over s of a_k u^k is a_0 s and
    a_k (1 - u^k)/k. error: about how far the polynomial is off [s]."""

    def __init__(self, leg, points):
        h = np.concatenate([leg.time_scale(points.u), leg.last_time_scale()[None]])
        self.error = np.abs(points.last @ h)
        self.leg, self.per_count, self.h = leg, points.per_count, points.powers @ h
        self.pace = leg.times_speed(self.h)
        self.pace_k = self.pace[1:] * self.per_count[: len(h)]
        self.whole = self.pace_k.sum(axis=0)

    def road(self, s):
        powers = _powers(np.exp(-s), len(self.pace_k))
        x = self.pace[0] * s + self.whole - np.einsum("kn,kn->n", self.pace_k, powers)
        return x, self.pace[0] + np.einsum("kn,kn->n", self.pace[1:], powers)

    def integrals(self, s):
        """The integrals over time of 1, v and v^2 up to s."""
        powers = _powers(np.exp(-s), len(self.h) + 1)
        for a in self.h, self.pace, self.leg.times_speed(self.pace):
            a_k = a[1:] * self.per_count[: len(a) - 1]
            yield a[0] * s + a_k.sum(axis=0) - np.einsum("kn,kn->n", a_k, powers[: len(a_k)])

    def guess(self):
        asymptote = (self.leg.distance - self.whole) / self.pace[0]
        return _closing_in(self.leg, self.pace.sum(axis=0), asymptote)


def _powers(u, number):
    """u, u^2 ... as rows."""
    powers = np.empty((number, u.size))
    powers[0] = u
    for k in range(1, number):
        np.multiply(powers[k - 1], u, out=powers[k])
    return powers


def _closing_in(leg, pace, asymptote):
    """A first s, on the side from which Newton's method closes in: x bends one way only, so its
    tangent at the start and its asymptote both lie on that side."""
    tangent = np.where(pace > 0, leg.distance / pace, np.inf)
    faster = np.minimum(tangent, np.maximum(asymptote, 1.0))
    return np.where(leg.gap < 0, faster, np.maximum(tangent, asymptote))


_LADDER = np.array([0.0, 0.7, 1.4, 2.1, 3.0, 4.0, 6.0, 9.0, 14.0])[:, None]
_NODES, _WEIGHTS = (part[:, None, None] / 2 for part in legendre.leggauss(5))


class _Pieces:
    """Time and road summed piece by piece over s, no piece across a kink of the force."""

    def __init__(self, leg):
        self.leg, self.far = leg, leg.last_time_scale()
        kinks = np.log(leg.gap / (leg.rows.kinks() - leg.steady))
        edges = [np.broadcast_to(_LADDER, (len(_LADDER), leg.gap.size)), kinks]
        self.edges = np.sort(np.nan_to_num(np.clip(np.vstack(edges), 0.0, _LADDER[-1])), axis=0)

    def road(self, s):
        weights, h, v, beyond = self._places(s)
        x = np.sum(weights * v[:-1] * h[:-1], axis=0) + beyond * self.leg.steady
        return x, v[-1] * h[-1]

    def integrals(self, s):
        """The integrals over time of 1, v and v^2 up to s."""
        weights, h, v, beyond = self._places(s)
        for power in range(3):
            found = np.sum(weights * v[:-1] ** power * h[:-1], axis=0)
            yield found + beyond * self.leg.steady**power

    def _places(self, s):
        """Weights, h and speeds on the way to s, the last of them at s; and the time beyond the
        ladder, where the steady speed is reached [s]."""
        edges = np.minimum(self.edges, s)
        width = np.diff(edges, axis=0)
        u = np.exp(-(edges[:-1] + width * (0.5 + _NODES))).reshape(-1, s.size)
        u = np.vstack([u, np.exp(-np.minimum(s, _LADDER[-1]))])
        weights = (width * _WEIGHTS).reshape(-1, s.size)
        beyond = np.maximum(s - _LADDER[-1], 0.0) * self.far
        return weights, self.leg.time_scale(u), self.leg.speed(u), beyond

    def guess(self):
        _, start = self.road(np.zeros_like(self.leg.gap))
        x, pace = self.road(np.full_like(self.leg.gap, _LADDER[-1, 0]))
        return _closing_in(self.leg, start, _LADDER[-1] + (self.leg.distance - x) / pace)

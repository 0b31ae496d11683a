"""The steady speed of many rows at once: Newton's method, and a bracket for the few that need it."""

import numpy as np

_BLOCK = 16_384  # rows solved together: few enough to stay in the processor's cache
_PLAIN_STEPS = 6  # enough for nearly every row
_NEWTON_STEPS = 60  # hardly ever used up; after these bisection alone ends in another 60
_SETTLED = 1e-12  # of the speed: the step that follows a Newton step this small is lost in rounding
_ROUNDING = 4 * np.finfo(float).eps
_HARDLY_ANY_DRAG = 1e-9  # kg/m, so that the bracket is finite where the drag area is 0


def steady_speeds(rows):
    """The steady speed of every row; nothing is checked.

    Parameters
    ----------
    rows : Rows
        With a column `power` [W at the crank].

    Returns
    -------
    array [m/s]
        Not a number where nothing holds a rider back.

    Source: MARTIN1998
    """
    rows.columns["wheel_power"] = rows["power"] * rows["efficiency"]
    speed = np.empty(len(rows))
    for start in range(0, speed.size, _BLOCK):
        block = slice(start, start + _BLOCK)
        speed[block] = _newton(rows.taken(block))
    left = np.flatnonzero(np.isnan(speed))
    if left.size:
        speed[left] = _newton_in_bracket(rows.taken(left))
    return speed


def _newton(rows):
    """Speeds of one block by a few steps of Newton; NaN where they have not settled."""
    v, _ = _guess_and_bound(rows)
    with np.errstate(all="ignore"):  # a row that runs away has not settled
        for _ in range(_PLAIN_STEPS):
            before, (_, v) = v, _newton_step(v, rows)
        return np.where((v > 0) & (np.abs(v - before) <= _SETTLED * v), v, np.nan)


def _newton_in_bracket(rows):
    """The same, safe for riders pushed by the wind, for kinks of a curve and for power 0.

    NaN where power is left over at any speed.
    """
    v, high = _guess_and_bound(rows)
    low = np.zeros_like(high)
    endless = high * rows.forces(high).total < rows["wheel_power"]
    rests = (rows["wheel_power"] == 0) & (rows.forces(low).total >= 0)
    speed = np.where(endless, np.nan, 0.0)
    left = np.flatnonzero(~(endless | rests))
    rows, low, high, v = rows.taken(left), low[left], high[left], v[left]
    for step in range(2 * _NEWTON_STEPS):
        excess, new = _newton_step(v, rows)
        low, high = np.where(excess > 0, low, v), np.where(excess > 0, v, high)
        safe = (new >= low) & (new <= high) & (step < _NEWTON_STEPS)
        new = np.where(safe, new, (low + high) / 2)
        settled = safe & (np.abs(new - v) <= _SETTLED * v) | (high - low <= _ROUNDING * high)
        speed[left] = new
        going = np.flatnonzero(~settled)
        if going.size == 0:
            break
        left, rows = left[going], rows.taken(going)
        low, high, v = low[going], high[going], new[going]
    return speed


def _newton_step(v, rows):
    """Wheel power that a speed asks for less what there is [W], and the speed of the next step."""
    forces = rows.forces(v)
    force = forces.total
    excess = v * force - rows["wheel_power"]
    with np.errstate(divide="ignore", invalid="ignore"):
        return excess, v - excess / (force + v * forces.by_speed)


def _guess_and_bound(rows):
    """A likely speed, and one that asks for more power than there is."""
    a = np.maximum(rows.least_drag(), _HARDLY_ANY_DRAG)
    pedalled = np.cbrt(rows["wheel_power"] / a)
    downhill = np.sqrt(np.maximum(-rows["rolling"] - rows["slope"], 0) / a)
    still, head = np.sqrt(pedalled**2 + downhill**2), rows["head_wind"]
    guess = np.maximum(still - 0.7 * head, 0.1 * still + 0.1)  # nearer than the bound, no more
    return guess, pedalled + downhill + np.maximum(-head, 0) + 1

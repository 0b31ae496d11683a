"""From recorded points to a road: the shape behind `road.read_gpx`.

Positions become metres on a plane, points that crowd together become one, the road is measured out
in equal steps, noise is smoothed away, bends are found, and neighbouring steps are joined for as
long as the road of straight legs keeps beside the smoothed one, in height and in plan.
"""

from typing import NamedTuple

import numpy as np
import scipy

_EQUATOR, _FLATTENING = 6378137.0, 1 / 298.257223563  # m; WGS84
_NEAR = 5.0  # m: points closer than this to the first of them count as one ...
_CROWD, _STOPPED = 12.0, 10  # m: ... and so many of them that are closer than this, as at a red light
_STEP = 5.0  # m of road from one sample to the next
_BEND = 45.0  # m of road over which positions are smoothed where their noise is 1 m3
_SLOPE = 200.0  # m of road over which elevation is smoothed at least; noise asks for more
_SPIKE = 5  # points: a jump in elevation shorter than half of them is no road ...
_JUMP, _JUMP_SCATTERS = 3.0, 5.0  # ... if it is higher than so many m and so many times the scatter
# Neighbours are joined where these differ by less, all together: how far the legs may lie off the
# road. A kink of 0.2 m changes the speed on it by a fiftieth at most, and that averages out.
_HEIGHT = 0.2  # m
_ASIDE = 4.0  # m
_CREST = 0.8  # m: a crest or a hollow lower than this is no hill
_NOISE_IN_HEIGHT, _NOISE_IN_CREST = 1.5, 126.0  # the same in variances of what noise makes of it
_GENTLE = 75.0  # m: bends of a larger radius slow nobody
_TURN = np.deg2rad(40.0)  # a bend turns by as much at least; noise does not
_LEVELS = 8  # how often the joining of neighbours looks again, for those four times as far apart
_AWAY, _AWAY_STEPS = 200.0, 20.0  # m, and in usual steps: a point so far off its line is no place


class Pieces(NamedTuple):
    """Stretches of road, one value each: length [m], slope, compass heading [rad], and the radius of
    the bend that it is in [m], infinite where it is in none."""

    distance: np.ndarray
    gradient: np.ndarray
    heading: np.ndarray
    radius: np.ndarray


def on_a_plane(latitude, longitude):
    """Metres east and north of the first point, from degrees; exact step by step on WGS84."""
    lat, lon = np.deg2rad(latitude), np.deg2rad(longitude)
    middle = (lat[1:] + lat[:-1]) / 2
    turn = np.mod(np.diff(lon) + np.pi, 2 * np.pi) - np.pi  # the short way over the date line
    squared = _FLATTENING * (2 - _FLATTENING)
    bulge = 1 - squared * np.sin(middle) ** 2
    north = _EQUATOR * (1 - squared) / bulge**1.5 * np.diff(lat)
    east = _EQUATOR / np.sqrt(bulge) * np.cos(middle) * turn
    return _from_zero(east), _from_zero(north)


def strays(east, north):
    """Which points lie far off the line of their neighbours: away at once, and back at once."""
    off = np.zeros(east.size, bool)
    step = np.hypot(np.diff(east), np.diff(north))
    skip = np.hypot(east[2:] - east[:-2], north[2:] - north[:-2])
    away = np.minimum(step[1:], step[:-1])
    off[1:-1] = away > np.maximum(_AWAY, np.maximum(_AWAY_STEPS * np.median(step), 5 * skip))
    return off


def without_crowds(east, north, elevation):
    """Points at least some metres apart; those that crowd together become their mean."""
    place, starts = east + 1j * north, [0]
    while True:
        ahead = abs(place[starts[-1] :][:_STOPPED] - place[starts[-1]])
        stopped = ahead.size == _STOPPED and ahead.max() < _CROWD
        reach, at = (_CROWD, starts[-1] + 1) if stopped else (_NEAR, starts[-1] + 1)
        while at < place.size and abs(place[at] - place[starts[-1]]) < reach:
            at += 1
        if at == place.size:
            break
        starts.append(at)
    number = np.diff([*starts, east.size])
    return tuple(np.add.reduceat(part, starts) / number for part in (east, north, elevation))


def measured_out(east, north, elevation):
    """The road in equal steps, smoothed: a quartic fitted along it keeps bends and crests.

    Rows of chainage, east, north and elevation [m], and the noise [m3]: the variance of a recorded
    elevation times the metres from one to the next, which is what tells a hill from chance however
    densely the points lie.
    """
    raw = _from_zero(np.hypot(np.diff(east), np.diff(north)))
    apart = raw[-1] / raw.size
    scatter = _scatter(raw, elevation)
    noise, wander = (each**2 * apart for each in (scatter, _scatter_aside(east, north)))
    usual = scipy.ndimage.median_filter(elevation, _SPIKE, mode="nearest")
    spike = abs(elevation - usual) > max(_JUMP, _JUMP_SCATTERS * scatter)
    elevation = np.where(spike, usual, elevation)
    marks = np.linspace(0, raw[-1], max(2, round(raw[-1] / _STEP) + 1))
    east, north, elevation = (np.interp(marks, raw, part) for part in (east, north, elevation))
    east, north = (_smooth(part, _BEND * wander**0.2) for part in (east, north))
    chainage = _from_zero(np.hypot(np.diff(east), np.diff(north)))
    elevation = _without_false_hills(_smooth(elevation, _slope_window(noise)), noise)
    return np.array([chainage, east, north, elevation]), noise


def in_pieces(road, noise):
    """The road of `measured_out` as pieces alike in slope, heading and bend.

    Slopes first, whatever the heading: so a bend on a flat road does not cut it into short slopes
    that chance tilts up and down.
    """
    run, east, north, rise = np.diff(road)
    still, steps = np.zeros(run.size), np.ones(run.size)
    slopes = _joined(np.array([run, rise, still, still, still, steps]), noise)
    gradient = np.repeat(slopes[1] / slopes[0], slopes[-1].astype(int))
    turn = _bends(run, east, north)
    run, rise, east, north, turn = _joined(np.array([run, gradient * run, east, north, turn]), noise)
    heading = np.mod(np.arctan2(east, north), 2 * np.pi)
    with np.errstate(divide="ignore"):
        return Pieces(np.hypot(run, rise), rise / run, heading, run / turn)


def summed_up(table, most):
    """The columns of a table added up to at most so many, the most alike neighbours first."""
    costs = _costs(table, 0.0)
    while table.shape[1] > most:
        i = int(costs.argmin())
        table[:, i] += table[:, i + 1]
        table, costs = np.delete(table, i + 1, axis=1), np.delete(costs, i)
        costs[max(i - 1, 0) : i + 1] = _costs(table[:, max(i - 1, 0) : i + 2], 0.0)
    return table


def _joined(table, noise):
    """The columns of a table added up where neighbours are alike, the most alike first.

    The rows are run, rise, way east, way north, turn; more rows are added up with them.
    """
    for level in 4.0 ** -np.arange(_LEVELS, -1, -1):
        while table.shape[1] > 1:
            low = _costs(table, noise) < level
            if not low.any():
                break
            edges = np.arange(low.size)
            before = np.maximum.accumulate(np.where(low, -1, edges))
            join = low & ((edges - before) % 2 == 1)  # every other one of a row of like pieces
            table = np.add.reduceat(table, np.flatnonzero(np.concatenate([[True], ~join])), axis=1)
    return table


def _costs(table, noise):
    """How far joining each piece to the next one takes the road off its place; below 1 is near."""
    run, rise, east, north, turn = table[:5]
    half = run[1:] * run[:-1] / (run[1:] + run[:-1])
    slope, over_east, over_north = (np.diff(part / run) ** 2 for part in (rise, east, north))
    height = _HEIGHT**2 + _NOISE_IN_HEIGHT * noise / _slope_window(noise)
    return (
        half**2 * slope / height
        + half**2 * (over_east + over_north) / _ASIDE**2
        + (np.diff(turn / run) * 2 * _GENTLE) ** 2
    )


def _bends(run, east, north):
    """How far each step turns [rad] where it is in a bend, which is as sharp throughout as its middle."""
    heading = np.unwrap(np.arctan2(east, north))
    if heading.size < 3:
        return np.zeros(run.size)
    curved = np.gradient(heading, _from_zero(run[1:] / 2 + run[:-1] / 2))
    side = np.sign(curved) * (abs(curved) > 1 / _GENTLE)
    starts = np.flatnonzero(np.diff(side, prepend=np.nan) != 0)
    bent = np.where(side, abs(curved), 0.0)
    turned, sharp = np.add.reduceat(np.array([bent, bent**2]) * run, starts, axis=1)
    sharp = np.where(turned > _TURN, sharp / np.maximum(turned, _TURN), 0.0)
    return np.repeat(sharp, np.diff([*starts, run.size])) * run


def _slope_window(noise):
    """Metres of road over which elevation is smoothed: a local polynomial's best grows as noise^(1/5)."""
    return _SLOPE * (1 + noise) ** 0.2


def _without_false_hills(height, noise):
    """No crest and no hollow that noise may have made: between the others the road only climbs or falls."""
    least = np.sqrt(_CREST**2 + _NOISE_IN_CREST * noise / _slope_window(noise))
    turns, last, way = [0], 0, 1
    for i, h in enumerate(height.tolist()):
        if way * (h - height[last]) >= 0:
            last = i
        elif abs(h - height[last]) > least:
            turns.append(last)
            last, way = i, -way
    result = height.copy()
    for start, end in zip(turns, [*turns[1:], height.size - 1]):
        way = 1 if height[end] >= height[start] else -1
        part = height[start : end + 1] * way
        highest, lowest = np.maximum.accumulate(part), np.minimum.accumulate(part[::-1])[::-1]
        result[start : end + 1] = (highest + lowest) / 2 * way
    return result


def _scatter(along, values):
    """Standard deviation of what does not lie between its neighbours."""
    if values.size < 3:
        return 0.0
    share = np.diff(along)[:-1] / (along[2:] - along[:-2])
    between = values[:-2] + share * (values[2:] - values[:-2])
    return 1.4826 * np.median(abs(values[1:-1] - between)) / np.sqrt(1.5)


def _scatter_aside(east, north):
    """The same across the road, where it does not bend on as it bends."""
    if east.size < 4:
        return 0.0
    e, n = np.diff(east), np.diff(north)
    aside = (e[1:] * n[:-1] - n[1:] * e[:-1]) / np.hypot(e[1:] + e[:-1], n[1:] + n[:-1])
    return 1.4826 * np.nanmedian(abs(np.diff(aside))) / np.sqrt(5)


def _smooth(values, over):
    window = min(round(over / _STEP) | 1, (values.size - 1) | 1)
    window -= 2 * (window > values.size)
    return scipy.signal.savgol_filter(values, window, 4, mode="interp") if window > 5 else values


def _from_zero(steps):
    return np.concatenate([[0.0], np.cumsum(steps)])

"""From recorded points to a road: the shape behind `road.read_gpx`.

Positions become metres on a plane, points that crowd together become one, the road is measured out
in equal steps, noise is smoothed away, and neighbouring pieces are joined as long as slope and
heading are alike.
"""

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import median_filter
from scipy.signal import savgol_filter

_EQUATOR, _FLATTENING = 6378137.0, 1 / 298.257223563  # m; WGS84
_CROWDED = 10.0  # m: points closer than this to the first of them count as one, as at a red light
_STEP = 10.0  # m of road from one sample to the next
_BEND = 70.0  # m of road over which positions are smoothed
_SLOPE = 150.0  # m of road over which elevation is smoothed at least; noise asks for more
_SPIKE = 5  # points: a jump in elevation shorter than half of them is no road
_PIECE = 50.0  # m of road in the pieces that are then joined
# Neighbours are joined where these differ by less, all three together (Ward's criterion for the
# first two: square of the difference times half the length of two equal ones, in m).
_ALIKE_SLOPE = 0.05  # 2 % over 250 m each
_ALIKE_HEADING = 30.0  # 30 deg over 220 m each
_ALIKE_CREST = 0.8  # m: a crest or a hollow lower than this is no hill
_NOISE_IN_SLOPE, _NOISE_IN_CREST = 72.0, 60.0  # the same in variances of what noise makes of it
_AWAY, _AWAY_STEPS = 200.0, 20.0  # m, and in usual steps: a point so far off its line is no place


@dataclass(frozen=True, eq=False)
class Samples:
    """A road in equal steps: chainage, east, north and elevation [m], one value each.

    noise [m3]: variance of a recorded elevation times the metres from one to the next, which is
    what tells a hill from chance however densely the points lie.
    """

    chainage: np.ndarray
    east: np.ndarray
    north: np.ndarray
    elevation: np.ndarray
    noise: float

    @property
    def length(self):
        return float(self.chainage[-1] - self.chainage[0])

    def without_ends(self, dropped):
        """The same road without the first and last metres."""
        kept = (self.chainage >= dropped) & (self.chainage <= self.chainage[-1] - dropped)
        return Samples(
            self.chainage[kept], self.east[kept], self.north[kept], self.elevation[kept],
            self.noise,
        )  # fmt: skip


@dataclass(frozen=True, eq=False)
class Pieces:
    """Stretches of road: level length, rise, and way made east and north [m]."""

    run: np.ndarray
    rise: np.ndarray
    east: np.ndarray
    north: np.ndarray

    @property
    def gradient(self):
        return self.rise / self.run

    @property
    def heading(self):
        return np.mod(np.arctan2(self.east, self.north), 2 * np.pi)

    @property
    def distance(self):
        return np.hypot(self.run, self.rise)


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
    if east.size < 3:
        return off
    step = np.hypot(np.diff(east), np.diff(north))
    skip = np.hypot(east[2:] - east[:-2], north[2:] - north[:-2])
    away = np.minimum(step[1:], step[:-1])
    off[1:-1] = away > np.maximum(_AWAY, np.maximum(_AWAY_STEPS * np.median(step), 5 * skip))
    return off


def without_crowds(east, north, elevation):
    """Points at least some metres apart; those that crowd together become their mean."""
    starts, x, y = [0], east[0], north[0]
    for i, (e, n) in enumerate(zip(east.tolist(), north.tolist())):
        if (e - x) ** 2 + (n - y) ** 2 >= _CROWDED**2:
            starts.append(i)
            x, y = e, n
    number = np.diff([*starts, east.size])
    return tuple(np.add.reduceat(part, starts) / number for part in (east, north, elevation))


def measured_out(east, north, elevation):
    """The road in equal steps, smoothed: a parabola fitted along it keeps bends and crests."""
    raw = _from_zero(np.hypot(np.diff(east), np.diff(north)))
    noise = _scatter(elevation) ** 2 * raw[-1] / raw.size
    elevation = median_filter(elevation, _SPIKE, mode="nearest")
    marks = np.linspace(0, raw[-1], max(2, round(raw[-1] / _STEP) + 1))
    east, north, elevation = (np.interp(marks, raw, part) for part in (east, north, elevation))
    east, north = _smooth(east, _BEND), _smooth(north, _BEND)
    chainage = _from_zero(np.hypot(np.diff(east), np.diff(north)))
    return Samples(chainage, east, north, _smooth(elevation, _slope_window(noise)), noise)


def in_pieces(samples, most):
    """The road as pieces alike in slope and heading, at most so many.

    Slopes first, whatever the heading: so a bend on a flat road does not cut it into short slopes
    that chance tilts up and down.
    """
    number = max(1, round(samples.length / _PIECE))
    ends = np.unique(np.linspace(0, samples.chainage.size - 1, number + 1).round().astype(int))
    columns = samples.chainage, samples.elevation, samples.east, samples.north
    run, rise, east, north = (np.diff(column[ends]) for column in columns)
    still = np.zeros(run.size)
    slopes = _joined(np.array([run, rise, still, still, still + 1]), samples.noise, run.size)
    gradient = np.repeat(slopes[1] / slopes[0], slopes[4].astype(int))
    table = np.array([run, gradient * run, east, north, still + 1])
    return Pieces(*_joined(table, samples.noise, most)[:4])


def _joined(table, noise, most):
    """The columns of a table added up where neighbours are alike, the most alike first."""
    costs = _costs(table, noise)
    while costs.size and (costs.min() < 1 or table.shape[1] > most):
        i = int(costs.argmin())
        table[:, i] += table[:, i + 1]
        table, costs = np.delete(table, i + 1, axis=1), np.delete(costs, i)
        costs[max(i - 1, 0) : i + 1] = _costs(table[:, max(i - 1, 0) : i + 2], noise)
    return table


def _costs(table, noise):
    """What joining each piece to the next one loses; below 1 they are alike."""
    run, rise, east, north, _ = table
    half = run[1:] * run[:-1] / (run[1:] + run[:-1])
    slope, over_east, over_north = (np.diff(part / run) ** 2 for part in (rise, east, north))
    turns = rise[1:] * rise[:-1] < 0
    crest = np.where(turns, np.minimum(abs(rise[1:]), abs(rise[:-1])), 0) ** 2
    return (
        half * slope / (_ALIKE_SLOPE + _NOISE_IN_SLOPE * noise / (2 * half) ** 2)
        + half * (over_east + over_north) / _ALIKE_HEADING
        + crest / (_ALIKE_CREST**2 + _NOISE_IN_CREST * noise / _slope_window(noise))
    )


def _slope_window(noise):
    """Metres of road over which elevation is smoothed: a local parabola's best grows as noise^(1/5)."""
    return _SLOPE * (1 + noise) ** 0.2


def _scatter(values):
    """Standard deviation of what does not carry on from one value to the next."""
    bends = np.diff(values, 2)
    return 1.4826 * np.median(abs(bends)) / np.sqrt(6) if bends.size else 0.0


def _smooth(values, over):
    window = min(round(over / _STEP) | 1, (values.size - 1) | 1)
    window -= 2 * (window > values.size)
    return savgol_filter(values, window, 2, mode="interp") if window > 3 else values


def _from_zero(steps):
    return np.concatenate([[0.0], np.cumsum(steps)])

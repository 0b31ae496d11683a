"""Passes and sittings: each time that a rider takes up a set-up anew, and what the repeats leave out.

Runs of one sitting share how the rider sat that time, so they tell less about another time than
their number promises. The sittings are the independent repeats: every range of a tunnel sheet rests
on how far they are apart. Where a sheet has one sitting of each set-up, it cannot show that, and a
spread from common practice takes its place.
"""

from dataclasses import dataclass
from functools import cached_property
from itertools import groupby

import numpy as np
import pandas as pd
from scipy.special import fdtrc

from dragwork.measurement.checks import FALSE_ALARMS_PER_SHEET
from dragwork.measurement.comparison import Comparison, difference_interval
from dragwork.measurement.regression import least_squares
from dragwork.measurement.sentences import say

CELL = ["set_up", "speed_setting", "yaw_setting"]  # what was run under the same conditions
PLACE = ["set_up", "yaw_setting"]

# Degrees of freedom of a spread that is known to about a third of itself: 1/(2 (1/3)^2), equation
# G.3 of the GUM. That holds for common practice: riders differ by that much, and more.
KNOWN_TO_A_THIRD = 4.5

# A set-up whose sittings are apart more than those of all others, by an F test at this level, is
# judged by its own spread. The level is the smallest of 0.02, 0.05, 0.1, 0.2 at which a set-up
# three, five or ten times as wild, with three passes, keeps its 95 % range to 92 %.
WILDER = 0.2
LEAST_FOR_OWN_SPREAD = 2  # degrees of freedom; two passes say too little of their own spread

COARSE = 0.001  # m2, a third of a percent of a rider: a step that hides less is not worth a note


def sittings(rows):
    """Number of the sitting that each run belongs to, counted within its set-up.

    A block is what was run of one set-up without another, or the empty stand, between. Where the
    order shows that sittings hold one repeat each (A B B A: at its turn B stands twice), each repeat
    is a sitting. Where blocks hold more (A A A B B B A A A B B B), repeats of one block are back to
    back: one sitting, however they are numbered.

    Parameters
    ----------
    rows : pandas.DataFrame
        With set_up, repeat, order and stand (True for the empty stand).

    Returns
    -------
    pandas.Series of float
        nan where a row lacks set-up or repeat. A pure number: [1].

    Source: COMMON_PRACTICE
    """
    known = rows[(rows.set_up != "") & rows["repeat"].notna() & rows.order.notna() | rows.stand]
    known = known.sort_values("order", kind="stable")
    blocks = [
        (set_up, list(dict.fromkeys(run.repeat for run in runs)))
        for (set_up, stand), runs in groupby(known.itertuples(), lambda run: (run.set_up, run.stand))
        if not stand
    ]
    sizes = [len(repeats) for _, repeats in blocks] or [1]
    each = max(min(sizes[0], sizes[-1]), -(-max(sizes) // 2))  # repeats in a sitting; a turn has two
    found = {}
    for set_up, repeats in blocks:
        for together in np.array_split(repeats, max(1, len(repeats) // each)):
            _join(found.setdefault(set_up, {}), together)
    numbers = {
        (set_up, repeat): list(dict.fromkeys(joined.values())).index(first) + 1.0
        for set_up, joined in found.items()
        for repeat, first in joined.items()
    }
    keys = zip(rows.set_up, rows["repeat"])
    return pd.Series([numbers.get(key, np.nan) for key in keys], rows.index, dtype=float)


def _join(joined, together):
    """Put repeats of one block, and those that share a sitting with them, into one sitting."""
    old = {joined.get(repeat, repeat) for repeat in together}
    first = min(old)
    joined.update({repeat: first for repeat, of in joined.items() if of in old})
    joined.update(dict.fromkeys(together, first))


def as_runs(rows):
    """The table with each line that is a mean of n runs as n runs about it, with its spread.

    Parameters
    ----------
    rows : pandas.DataFrame
        With drag_area and spread [m2], runs_behind, repeat, sitting.

    Returns
    -------
    pandas.DataFrame
        The same table where every line is one run; else one line a run, evenly spaced so that mean
        and standard deviation of the drag areas [m2] are those of the line.
    """
    if not (rows.runs_behind > 1).any():
        return rows
    each = rows.loc[rows.index.repeat(rows.runs_behind.astype(int))]
    place, n = each.groupby(level=0).cumcount().to_numpy(), each.runs_behind.to_numpy()
    away = (place - (n - 1) / 2) / np.sqrt(n * (n + 1) / 12)  # mean 0, standard deviation 1
    areas = each.drag_area + each.spread.fillna(0.0) * away
    return each.assign(drag_area=areas, repeat=place + 1.0, sitting=1.0).reset_index(drop=True)


class Passes:
    """What the sittings of a sheet say, angle by angle; where it has one each, what its repeats say.

    Made of the rows in use, columns as in `TunnelSheet.rows`, each line a run.

    Attributes
    ----------
    mean : pandas.DataFrame [m2]
        Drag area by set-up and yaw: the mean over speeds of the means over repeats; nan where a
        set-up was not measured at a yaw.
    steadiness : pandas.DataFrame
        By set-up and yaw: standard deviation of that mean over that of one pass; 1/sqrt(n) where n
        passes count alike.
    effect : pandas.DataFrame [m2]
        By set-up, pass and yaw: how far each pass is from the mean of its set-up; nan where it
        cannot be told.
    coarse : pandas.DataFrame [m2]
        By set-up and yaw: standard uncertainty from the step in which the balance shows forces.
    place : pandas.DataFrame
        By set-up and yaw: middle place in the run order, from -1/2 (first run of the day) to 1/2.
    order : pandas.DataFrame
        By set-up: place of its first and last run in the order, in columns min and max.
    step : float [N]
        In which the balance shows forces.
    trend : Trend or None
        Steady drift of the repeats.
    key : tuple of str
        The columns that name a pass: its set-up, and its sitting or, where the sheet has one sitting
        of each set-up, its repeat.
    kind : str
        'runs'; 'means' for lines that are means of several runs; 'single' where nothing was repeated.
    """

    def __init__(self, used):
        anew = bool((used.groupby(CELL).sitting.nunique() > 1).any())
        key = ["set_up", "sitting" if anew else "repeat", "yaw_setting"]
        cell = used.groupby(CELL)
        repeats = cell.drag_area.transform("size")
        weight = 1 / (repeats * used.groupby(PLACE).speed_setting.transform("nunique"))
        place = used.order.rank() - 1
        step = used.area_step.clip(lower=0) / 2 / np.sqrt(3)
        runs = used[list(dict.fromkeys([*key, *CELL]))].assign(
            part=used.drag_area * weight,
            weight=weight,
            # A run without a repeat says nothing about how far repeats are apart.
            effect=(used.drag_area - cell.drag_area.transform("mean")).where(repeats > 1),
            place=weight * (place - place.mean()) / max(place.max(), 1),
            step=weight * step,  # repeats may all be rounded alike
        )
        of_cells, of_passes = runs.groupby(CELL).step.sum(), runs.groupby(key).weight.sum()
        self.mean = runs.groupby(PLACE).part.sum().unstack()
        self.steadiness = np.sqrt((of_passes**2).groupby(PLACE).sum()).unstack()
        self.effect = runs.groupby(key).effect.mean().unstack()
        self.coarse = np.sqrt((of_cells**2).groupby(PLACE).sum()).unstack()
        self.place = runs.groupby(PLACE).place.sum().unstack()
        self.order = used.groupby("set_up").order.agg(["min", "max"])
        self.step = float(used.drag_step.max())  # nan for a sheet of drag areas
        self.key = tuple(key[:2])
        self.trend = Trend.of(used, self.key)
        means, repeated = (used.runs_behind > 1).any(), (repeats > 1).any()
        self.kind = "means" if means else "runs" if repeated else "single"

    @cached_property
    def copies(self):
        """Whether all repeats agree to the last digit: nobody sits so still."""
        return not (self.effect.abs() > 1e-12).any(axis=None)

    def cannot_tell(self, shared, set_ups):
        """What the sheet cannot tell of some set-ups, and what their ranges hold in its place:
        sentences; none for several sittings of each set-up in turn and a fine balance."""
        names = list(set_ups)
        said, by_practice = ", ".join(names), shared.sitting == type(shared)().sitting
        gaps = {
            "names": said, "Names": said[0].upper() + said[1:], "step": self.step,
            "sitting": shared.sitting, "drift": shared.drift,
            "source": "common practice, no source" if by_practice else "as stated",
        }  # fmt: skip
        if self.kind in ("single", "means"):
            found = [self.kind]
        elif self.copies:
            found = ["copies"]
        else:
            found = [] if self.sat_anew else ["back to back"]
        order = self.order.loc[names].sort_values("min")
        if (order["min"].to_numpy()[1:] > order["max"].cummax().to_numpy()[:-1]).any():
            found.append("not in turn")
        if np.nanmax(self.coarse.loc[names]) > COARSE:
            found.append("coarse forces" if self.step > 0 else "coarse areas")
        notes = [say("cannot tell", note, **gaps) for note in found]
        wild = self.wildness[names] < FALSE_ALARMS_PER_SHEET / len(self.wildness)
        notes += [say("cannot tell", "wild", name=name) for name in wild.index[wild]]
        trend = self.trend
        if trend and trend.line.p_value < FALSE_ALARMS_PER_SHEET and set(names) & set(trend.set_ups):
            runs = self.order["max"].max() - self.order["min"].min()
            notes.append(say("cannot tell", "drift", over_the_day=trend.line.difference * runs))
        return tuple(notes)

    @property
    def sat_anew(self):
        """Whether the sheet shows how far sittings are apart."""
        return "sitting" in self.key and not self.copies

    @property
    def yaw(self):
        """All angles of the sheet [rad]."""
        return self.mean.columns.to_numpy()

    def measured(self, set_up):
        """Which of the angles a set-up was measured at."""
        return ~np.isnan(self.mean.loc[set_up].to_numpy())

    @cached_property
    def _freedom(self):
        """Degrees of freedom of the passes by set-up and yaw."""
        return (self.effect.notna().groupby("set_up").sum() - 1).clip(lower=0)

    @cached_property
    def wildness(self):
        """By set-up: how often chance alone sets its passes so much further apart than all others."""
        squares = (self.effect**2).groupby("set_up").sum().sum(axis=1)
        own, freedom = self._freedom.sum(axis=1), self._freedom.max(axis=1)
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio = (squares / own) / ((squares.sum() - squares) / (own.sum() - own))
            chance = fdtrc(freedom, freedom.sum() - freedom, ratio)
        return pd.Series(np.where(freedom >= LEAST_FOR_OWN_SPREAD, chance, 1.0), own.index).fillna(1.0)

    def spread_of(self, set_up):
        """The set-ups whose spread a set-up is judged by: itself if it is wild, else all that are not."""
        wild = self.wildness < WILDER
        return frozenset([set_up] if wild[set_up] else wild.index[~wild])

    def scatter(self, set_up):
        """How the means of a set-up scatter, (rows, yaws of the set-up) [m2], with degrees of freedom.

        The rows, weighed with independent standard normal numbers and summed, scatter as the means
        do, angle by angle and between the angles; the length of a column is the standard
        uncertainty at its angle. As few rows as will do. At a yaw where nothing was repeated stands
        what the nearest yaw with repeats says.
        """
        at, alike = self.measured(set_up), list(self.spread_of(set_up))
        dof = self._freedom.loc[alike].sum().to_numpy(dtype=float)
        if not dof.any():  # nothing was repeated: the stated spread is all
            return np.zeros((1, at.sum())), np.full(at.sum(), KNOWN_TO_A_THIRD)
        repeated = np.flatnonzero(dof)
        source = repeated[np.abs(self.yaw[repeated] - self.yaw[at, None]).argmin(axis=1)]
        effect = self.effect[self.effect.index.isin(alike, level="set_up")].fillna(0.0).to_numpy()
        steadiness = self.steadiness.loc[set_up].to_numpy()[at]
        scaled = effect[:, source] / np.sqrt(dof[source]) * steadiness
        return np.linalg.qr(scaled, mode="r"), dof[source]


@dataclass(frozen=True)
class Trend:
    """A steady drift by the repeats of each set-up: one straight line in the run order for all.

    set_ups: those with more than one pass; line: its slope [m2 a run], compared with none.
    """

    set_ups: tuple
    line: Comparison

    @classmethod
    def of(cls, used, passes):
        """The drift of some runs; None where too few passes leave nothing to judge it by."""
        effect = used.drag_area - used.groupby(CELL).drag_area.transform("mean")
        points = used.assign(effect=effect).groupby(list(passes))[["order", "effect"]].mean()
        points = points[points.groupby("set_up").effect.transform("size") > 1]
        names = points.index.unique("set_up")
        level_of_each = [points.index.get_level_values("set_up") == name for name in names]
        rounding = np.sqrt(float((used.area_step**2).mean()) / 12)  # coarse figures may agree by chance
        try:
            design = np.column_stack([*level_of_each, points.order])
            line = least_squares(design, points.effect, least_spread=rounding)
        except ValueError:
            return None
        slope, u = line.coefficients[-1], line.standard_errors[-1]
        return cls(tuple(names), difference_interval(slope, u, line.degrees_of_freedom))

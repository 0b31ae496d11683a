"""Passes: each time that a rider takes up a set-up anew.

Runs of one pass share how the rider sat that time, so they tell less about another time than their
number promises. The passes are the independent repeats: every range of a tunnel sheet rests on how
far they lie apart.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from dragwork.measurement.tunnel_checks import CELL

PASS = ["set_up", "repeat"]
PLACE = ["set_up", "yaw_setting"]


@dataclass(frozen=True, eq=False)
class Passes:
    """What the passes of a sheet say, angle by angle.

    Parameters
    ----------
    mean : pandas.DataFrame [m2]
        Drag area by set-up and yaw: the mean over speeds of the means over repeats; nan where a
        set-up was not measured at a yaw.
    steadiness : pandas.DataFrame
        By set-up and yaw: standard deviation of that mean over that of one pass; 1/sqrt(n) where n
        passes count alike.
    effect : (passes, yaws) array [m2]
        How far each pass lies from the mean of its set-up; 0 where it cannot be told.
    degrees_of_freedom : (yaws,) array
        Passes less set-ups, at each yaw.

    Both arrays hold, at a yaw where nothing was repeated, what the nearest yaw with repeats says.
    """

    mean: pd.DataFrame
    steadiness: pd.DataFrame
    effect: np.ndarray
    degrees_of_freedom: np.ndarray

    @classmethod
    def of(cls, used):
        """The passes of the rows in use (columns as in `TunnelSheet.rows`; something repeated)."""
        cell = used.groupby(CELL).drag_area
        repeats = cell.transform("size")
        speeds = used.groupby(PLACE).speed_setting.transform("nunique")
        runs = used[[*PASS, "yaw_setting"]].assign(
            part=used.drag_area / (repeats * speeds),
            weight=1 / (repeats * speeds),
            # A run without a repeat says nothing about how far repeats lie apart.
            effect=(used.drag_area - cell.transform("mean")).where(repeats > 1),
        )
        by_pass = runs.groupby([*PASS, "yaw_setting"]).agg(
            weight=("weight", "sum"), effect=("effect", "mean")
        )
        effect = by_pass.effect.unstack()
        told = effect.notna().groupby("set_up").sum()
        dof = (told - 1).clip(lower=0).sum().to_numpy(dtype=float)
        source = _nearest(effect.columns.to_numpy(), dof > 0)
        return cls(
            mean=runs.groupby(PLACE).part.sum().unstack(),
            steadiness=np.sqrt((by_pass.weight**2).groupby(PLACE).sum()).unstack(),
            effect=effect.fillna(0.0).to_numpy()[:, source],
            degrees_of_freedom=dof[source],
        )

    @property
    def yaw(self):
        """All angles of the sheet [rad]."""
        return self.mean.columns.to_numpy()

    def measured(self, set_up):
        """Which of the angles a set-up was measured at."""
        return ~np.isnan(self.mean.loc[set_up].to_numpy())

    def scatter(self, set_up):
        """How the means of a set-up scatter, (rows, yaws of the set-up) [m2].

        Its rows, weighed with independent standard normal numbers and summed, scatter as the means
        do, angle by angle and between the angles; the length of a column is the standard
        uncertainty at its angle. As few rows as will do.
        """
        at = self.measured(set_up)
        steadiness = self.steadiness.loc[set_up].to_numpy()[at]
        scaled = self.effect[:, at] / np.sqrt(self.degrees_of_freedom[at]) * steadiness
        return np.linalg.qr(scaled, mode="r")


def _nearest(yaw, known):
    """For each angle the place of the nearest one that is known; its own where none is."""
    places = np.flatnonzero(known if known.any() else ~known)
    return places[np.abs(yaw[places] - yaw[:, None]).argmin(axis=1)]

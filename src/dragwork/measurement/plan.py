"""The plan: before a day in the tunnel, what to run in which order, and what it will tell.

A pass is one set-up taken up once and run at all angles and speeds. Passes are what is repeated:
the rider gets off between them, also where the set-up stays. The plan says how long the day takes
and how small a difference it tells apart, and writes the empty run sheet, which
`tunnel.read_sheet` reads when it is filled in.
"""

from dataclasses import dataclass, replace
from itertools import groupby
from math import sqrt
from pathlib import Path

import numpy as np
from jinja2 import Template

from dragwork.files import numbered, text_of
from dragwork.measurement import tunnel_columns as c
from dragwork.measurement.comparison import smallest_difference
from dragwork.measurement.sentences import say
from dragwork.measurement.sheet_columns import csv_of
from dragwork.measurement.sheet_reading import plain
from dragwork.quantities import in_words, number_within, one_number, true_minus, whole_number
from dragwork.units import to_deg, to_kmh, to_minutes

BASELINE = "baseline"  # the code of the runs that watch for drift
ORDERS = ("abba", "random")

# m2, what to expect of a practised rider on a steady day where nothing better is known
# (COMMON_PRACTICE): of a pass, and of a run within a pass.
PASS_SPREAD, RUN_SPREAD = 0.0012, 0.0025

_ANSWERED = {
    "drag_unit": "N", "tare_unit": "N", "axis": "body", "wheels": "yes", "rider": "pedalling"
}  # fmt: skip
_PLANNED = replace(c.SPEED_KMH, field="planned_speed", name="planned speed")
_SHEET = tuple(
    each
    for column in c.OUR_COLUMNS
    if column not in (c.SPEED, c.SIDE_FORCE, c.SIDE_TARE)
    for each in ((_PLANNED, column) if column is c.SPEED_KMH else (column,))
)
_PAGE = Template(text_of("dragwork.measurement", "run_sheet.html"), autoescape=True, trim_blocks=True)


@dataclass(frozen=True)
class PlannedRun:
    """One run to come: its place in the order run, set-up, pass, speed [m/s] and yaw [rad]."""

    order: int
    set_up: str
    repeat: int
    speed: float
    yaw: float


@dataclass(frozen=True)
class Cut:
    """One thing to leave out when time is short.

    what: in words; loses: what is no longer known; plan: the shorter plan; time_saved [s];
    smallest_difference [m2], of the shorter plan.
    """

    what: str
    loses: str
    plan: "Plan"
    time_saved: float
    smallest_difference: float


@dataclass(frozen=True)
class Plan:
    """A day in the tunnel, planned. Made by `plan_session`; fields as its parameters."""

    set_ups: tuple
    speeds: tuple
    yaw: tuple
    repeats: int
    run_time: float
    change_time: float
    order: str = "abba"
    baseline: bool = False
    seed: int = 0

    @property
    def passes(self):
        """(set-up, repeat) of each pass in the order run; baselines open the day and close rounds."""
        rng = np.random.default_rng(self.seed)
        checks = [(BASELINE, 1)] if self.baseline else []
        found = list(checks)
        for repeat in range(1, self.repeats + 1):
            names = list(self.set_ups)
            if self.order == "random":
                names = [names[place] for place in rng.permutation(len(names))]
            elif repeat % 2 == 0:
                names.reverse()
            found += [(name, repeat) for name in names]
            found += [(BASELINE, repeat + 1) for _ in checks]
        return tuple(found)

    @property
    def runs(self):
        """Every run in order. Angles in random order, and at each angle the speeds."""
        rng = np.random.default_rng([self.seed, 1])
        runs = []
        for set_up, repeat in self.passes:
            for yaw, speed in self._within(set_up, rng):
                runs.append(PlannedRun(len(runs) + 1, set_up, repeat, speed, yaw))
        return tuple(runs)

    def _within(self, set_up, rng):
        """Angle and speed of each run of a pass; a baseline is one run straight ahead."""
        if set_up == BASELINE:
            return [(min(self.yaw, key=abs), max(self.speeds))]
        return [
            (self.yaw[angle], self.speeds[speed])
            for angle in rng.permutation(len(self.yaw))
            for speed in rng.permutation(len(self.speeds))
        ]

    @property
    def tares(self):
        """How many readings of the empty stand, one at each speed and yaw."""
        return len(self.speeds) * len(self.yaw)

    @property
    def time(self):
        """Length of the session [s]: the tares, a change before every pass, and the runs."""
        passes, of_set_ups = len(self.passes), self.repeats * len(self.set_ups)
        readings = (1 + of_set_ups) * self.tares + passes - of_set_ups
        return readings * self.run_time + passes * self.change_time

    @property
    def drift_left(self):
        """Part of a steady drift over the day that may pass for a difference of two set-ups.

        From 0 (none, whatever the drift) to 1; the worst pair of set-ups.
        """
        names = np.array([name for name, _ in self.passes])
        middle = [np.flatnonzero(names == name).mean() for name in self.set_ups]
        return float(np.ptp(middle) / (names.size - 1))

    def spread(self, pass_spread=PASS_SPREAD, run_spread=RUN_SPREAD):
        """Standard deviation [m2] of what one pass says at one yaw: its runs are averaged."""
        number_within("pass_spread", pass_spread, 0, 0.1, "m²")
        number_within("run_spread", run_spread, 0, 0.1, "m²")
        if pass_spread == run_spread == 0:
            raise ValueError("One of the spreads, between runs and between passes, must be above 0 m².")
        return float(np.hypot(pass_spread, run_spread / sqrt(len(self.speeds))))

    def smallest_difference(
        self, pass_spread=PASS_SPREAD, run_spread=RUN_SPREAD, *, confidence=0.95, power=0.8
    ):
        """The smallest true difference [m2] of two set-ups at one yaw that this plan tells apart.

        Parameters
        ----------
        pass_spread, run_spread : float [m2]
            Expected standard deviations: of a pass, and of a run within a pass.
        confidence, power : float
            Of the interval, and the share of such days that shall tell it.

        Returns
        -------
        float [m2]
            For two set-ups named beforehand.

        Raises
        ------
        ValueError
            Where each set-up is run once only, or for a number outside its range, in words.

        Source: COHEN1988
        """
        dof = len(self.set_ups) * (self.repeats - 1)
        if dof == 0:
            raise ValueError("One pass of each shows nothing of the spread: plan two passes at least.")
        return smallest_difference(
            self.spread(pass_spread, run_spread), self.repeats,
            degrees_of_freedom=dof, confidence=confidence, power=power,
        )  # fmt: skip

    def cuts(self, pass_spread=PASS_SPREAD, run_spread=RUN_SPREAD):
        """What to leave out when time is short, the cheapest first.

        Cheapest is what widens the smallest difference least for each minute saved. What else a
        cut loses stands in its `.loses`, and nothing but the question of the day can weigh that.

        Parameters
        ----------
        pass_spread, run_spread : float [m2]

        Returns
        -------
        tuple of Cut
        """
        now = self.smallest_difference(pass_spread, run_spread)
        spreads = pass_spread, run_spread
        found = (
            Cut(what, loses, shorter, self.time - shorter.time, shorter.smallest_difference(*spreads))
            for what, loses, shorter in self._shorter()
        )
        return tuple(sorted(found, key=lambda cut: (cut.smallest_difference - now) / cut.time_saved))

    def _shorter(self):
        """Each way to leave one thing out, where something is left."""
        slowest, widest, last = min(self.speeds), max(self.yaw, key=abs), self.set_ups[-1]
        if self.baseline:
            yield *say("plan", "baseline"), replace(self, baseline=False)
        if len(self.yaw) > 1:
            what, loses = say("plan", "yaw", yaw=to_deg(widest))
            yield true_minus(what), loses, replace(self, yaw=tuple(y for y in self.yaw if y != widest))
        if len(self.speeds) > 1:
            speeds = tuple(speed for speed in self.speeds if speed != slowest)
            yield *say("plan", "speed", speed=slowest), replace(self, speeds=speeds)
        if self.repeats > 2:
            yield *say("plan", "repeat"), replace(self, repeats=self.repeats - 1)
        if len(self.set_ups) > 2:
            yield *say("plan", "set-up", name=last), replace(self, set_ups=self.set_ups[:-1])

    # -- the empty run sheet ------------------------------------------------------------------------

    @property
    def notes(self):
        """What stands above the sheet."""
        gaps = {"minutes": to_minutes(self.time), "change": to_minutes(self.change_time)}
        return tuple(
            say("plan", "above the sheet", plan=self, set_ups=", ".join(self.set_ups), **gaps)
        )

    def sheet(self):
        """The empty run sheet as CSV text, for `tunnel.read_sheet` when it is filled in."""
        return csv_of(_SHEET, self._lines(), [note.replace(",", ";") for note in self.notes])

    def page(self):
        """The empty run sheet as an HTML page, to print and to write on."""
        passes = groupby(self._lines(), lambda line: (line["set_up"], line["repeat"]))
        return _PAGE.render(
            notes=self.notes, columns=_SHEET, passes=[list(lines) for _, lines in passes],
            speeds=[f"{to_kmh(speed):.3g}" for speed in self.speeds],
            angles=[f"{to_deg(yaw):.3g}" for yaw in self.yaw],
        )  # fmt: skip

    def save(self, folder=".", name="run_sheet"):
        """Write the empty sheet as CSV and as a page to print; what is there stays as it is.

        Parameters
        ----------
        folder : str or path
        name : str
            Of both files, without an ending; a number is added where it is taken.

        Returns
        -------
        tuple of Path
            The two files: CSV and HTML.

        Source: COMMON_PRACTICE
        """
        pairs = ((file, file.with_suffix(".html")) for file in numbered(Path(folder, f"{name}.csv")))
        files = next(pair for pair in pairs if not any(file.exists() for file in pair))
        for file, text in zip(files, (self.sheet(), self.page())):
            file.write_text(text, encoding="utf-8", newline="\n")
        return files

    def _lines(self):
        """One line a run: field of a column to what is in it before the day."""
        return [
            {
                **_ANSWERED, "run": str(run.order), "order": str(run.order), "set_up": run.set_up,
                "repeat": str(run.repeat), "planned_speed": f"{to_kmh(run.speed):.3g}",
                "yaw": f"{to_deg(run.yaw):.1f}",
            }
            for run in self.runs
        ]  # fmt: skip


def plan_session(
    set_ups, speeds, yaw, repeats, *, run_time, change_time, order="abba", baseline=False, seed=0
):
    """Plan a day in the tunnel.

    'abba' runs the set-ups forwards and backwards in turn (A B, B A), so that a steady drift falls
    out of their differences after every second pass. 'random' draws the order of each round anew;
    it guards against what comes and goes, and leaves more of a steady drift.

    Parameters
    ----------
    set_ups : sequence of str
        Codes, two at least.
    speeds : sequence of float [m/s]
        Of the tunnel, 1 to 45; no two within 2 % of each other.
    yaw : sequence of float [rad]
        Within 89 degrees.
    repeats : int
        Passes of each set-up, 1 to 50.
    run_time : float [s]
        From one reading to the next, settling included, 1 to 3,600.
    change_time : float [s]
        From the last run of a pass to the first of the next, 0 to 36,000.
    order : str
        'abba' or 'random'.
    baseline : bool
        Whether one run of the first set-up opens the day and closes each round, under the code
        'baseline', to watch for drift.
    seed : int
        Of whatever is random; at least 0. The same seed gives the same plan.

    Returns
    -------
    Plan
        .time [s], .smallest_difference() [m2], .cuts(), .sheet(), .page(), .save()

    Raises
    ------
    ValueError
        For what cannot be run, in words.

    Source: COMMON_PRACTICE
    """
    if not np.iterable(set_ups):
        raise ValueError(f"The set-ups {set_ups!r} must be a list of codes.")
    names = tuple(str(name).strip() for name in set_ups)
    if len(names) < 2 or len(set(names)) < len(names) or "" in names or BASELINE in names:
        raise ValueError(
            f"The set-ups {list(names)} must be two codes at least, each its own and none of them "
            f"'{BASELINE}'."
        )
    for name in names:
        if plain(name) in c.EMPTY_STAND:
            raise ValueError(f"Set-ups: '{name}' would be read as the empty stand. Give another code.")
    speeds = _settings("speeds", speeds, c.TUNNEL_SPEED, "km/h")
    if np.any(np.diff(np.sort(speeds)) < 0.02 * np.sort(speeds)[1:]):
        raise ValueError("Two of the speeds are within 2 % of each other: a sheet would read them as one.")
    yaw = _settings("yaw", yaw, c.TUNNEL_YAW, "degrees: use units.deg")
    if len({round(float(to_deg(angle)) * 2) for angle in yaw}) < len(yaw):
        raise ValueError("Two of the yaw angles are the same: they must be half a degree apart at least.")
    if order not in ORDERS:
        raise ValueError(f"order {order!r} is not known; give 'abba' or 'random'.")
    return Plan(
        names, speeds, yaw, whole_number("repeats", repeats, 1, 50),
        number_within("run_time", run_time, 1, 3600, "s"),
        number_within("change_time", change_time, 0, 36_000, "s"),
        order, bool(baseline), whole_number("seed", seed, 0, 2**63),
    )  # fmt: skip


def _settings(name, values, allowed, slip):
    listed = values if np.iterable(values) and not isinstance(values, str) else [values]
    values = tuple(one_number(name, value) for value in listed)
    bad = [value for value in values if not allowed.allows(value)]
    if bad or not values:
        shown = f"{bad[0]:g} {allowed.unit}" if bad else "is empty, and"
        raise ValueError(
            f"{in_words(name)} {shown} is outside {allowed.range_in_words()}. In {slip}?"
        )
    return values

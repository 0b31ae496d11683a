"""What is known about the drag areas of some set-ups, whichever way it was found.

The page asks all evidence the same: which set-ups, the best curve of each, joint draws, how sure a
difference is, and what to say of how it was measured. Three doors lead here: a tunnel sheet, a
field test, and numbers that somebody published.
"""

from dataclasses import dataclass, replace

import numpy as np

from dragwork.measurement.roadtest import fit
from dragwork.measurement.tunnel import Comparison, TunnelSheet, compare
from dragwork.measurement.tunnel_gaps import REMARK
from dragwork.measurement.uncertainty import half_width
from dragwork.physics.drag import YawCurve
from dragwork.quantities import Estimate, checked, needs
from dragwork.teaching.figures.rows import DragAreas
from dragwork.teaching.report.page import degrees, listed, say
from dragwork.teaching.sheet_pictures import areas_by_yaw

CONFIDENCE = 0.95  # a difference is claimed
_QUANTILE = half_width(1.0, np.inf, confidence=CONFIDENCE)  # of the normal distribution


def _gone(left):
    """How many rows were left out, in words."""
    return say("evidence", "gone", left=left) if left else "none left out."


class Evidence:
    """Drag areas of set-ups. Subclasses say where they come from.

    .name: what a page calls it; .noun: 'sheet' or 'numbers';
    .set_ups; .speeds, the lowest and highest air speed of the measurement [m/s], or None;
    .notes and .faults, as the file has them; .taken, what a file of one's own was taken for, and
    .told, what was assumed or is odd: sentences for the form; .opening, what the page says first of how it was
    measured, and .remarks, what a reader should know besides, about how sure it is: sentences; .count, how much was
    used, for the settings: '108 runs used, 0 left out'.
    Each has besides: .curve(set_up), the best estimate, a `YawCurve`; .draws(n, seed), all set-ups drawn together,
    dict of name to `YawCurve` with a leading axis of n; .compare(a, b, yaw), the difference at one yaw, a
    `Comparison` at the confidence of a claim.
    """

    noun = "sheet"
    body = "the rider in the tunnel"
    speeds = None
    taken = ""
    notes = faults = told = remarks = ()

    def ranges(self, best, drawn):
        """Drag areas with their intervals at every yaw that one of the set-ups was measured at, as `DragAreas`.

        best: the best estimate of each set-up, a curve by its name; drawn: their draws, of more set-ups perhaps.
        """
        tail = (1 - CONFIDENCE) / 2
        yaw = np.unique(np.concatenate([curve.yaw for curve in best.values()]))
        middle, low, high = (np.full((len(best), len(yaw)), np.nan) for _ in range(3))
        for row, (name, curve) in enumerate(best.items()):
            known = np.searchsorted(yaw, curve.yaw)
            middle[row, known] = curve.drag_area
            low[row, known], high[row, known] = np.quantile(drawn[name].drag_area, [tail, 1 - tail], axis=0)
        return DragAreas(tuple(best), yaw, middle, low, high, CONFIDENCE)

    def check(self, *names):
        """Refuse a set-up that is not there; in words."""
        for name in names:
            if name not in self.set_ups:
                raise ValueError(f"'{name}' is not in the {self.noun}; it has {listed(self.set_ups)}.")


def as_evidence(given, name="the sheet"):
    """Evidence as it is; a tunnel sheet becomes evidence under that name.

    Raises
    ------
    ValueError
        For anything else, in words.
    """
    if isinstance(given, TunnelSheet):
        return FromTunnel(given, name)
    needs(Evidence, sheet=given)
    return given


# -- a tunnel sheet -----------------------------------------------------------------------------------


class FromTunnel(Evidence):
    """The drag areas of a tunnel sheet."""

    held, not_held = (tuple(say("evidence", "tunnel", part)) for part in ("held", "not held"))

    def __init__(self, sheet, name="the sheet"):
        self.sheet, self.name = sheet, name
        self.set_ups, self.notes, self.faults = sheet.set_ups, sheet.remarks, sheet.faults
        self.curve, self.draws = sheet.yaw_curve, sheet.draws
        used = int(sheet.rows.used.sum())
        left = len(sheet.rows) - used
        self.count = f"{used} runs used, {left} left out"
        gaps = {"number": len(self.set_ups), "set_ups": listed(self.set_ups), "used": used}
        self.opening = (say("evidence", "tunnel", "opening", name=name, gone=_gone(left), **gaps),)
        speed = sheet.drag_areas().speed.dropna()  # a sheet of drag areas may name none
        self.speeds = (float(speed.min()), float(speed.max())) if len(speed) else None
        self.remarks = sheet.notes[len(sheet.remarks) :]
        if np.any(sheet.rows.wheels == "no"):
            self.remarks = (say("evidence", "tunnel", "still"), *self.remarks)
        assumed = [note.removeprefix(REMARK) for note in sheet.remarks if note.startswith(REMARK)]
        self.told = (*assumed, *self.remarks)

    def ranges(self, best, drawn):
        return areas_by_yaw(self.sheet, tuple(best), CONFIDENCE)

    def compare(self, a, b, yaw):
        return compare(self.sheet, a, b, yaw, confidence=CONFIDENCE)


# -- a field test -------------------------------------------------------------------------------------


class FromField(Evidence):
    """The drag areas of positions tested on a road, from one fit of all laps."""

    body = "the rider of the laps"
    held = tuple(say("evidence", "field", "held"))

    def __init__(self, laps, name="the field sheet", **known):
        """laps: a LapSheet; known: what `roadtest.fit` takes besides."""
        self.name = name
        found = self.fit = fit(laps, **known)
        self.set_ups, self.notes = found.positions, (*laps.notes, *found.notes)
        self.told = (*laps.asked, *found.notes)
        self.faults = (*laps.faults, *found.rejected)
        fitted = "rolling_coefficient" in found.names
        tyres = "fitted together with the drag areas" if fitted else "stated, and its uncertainty is in the range"
        self.not_held = tuple(say("evidence", "field", "not held", tyres=tyres))
        speed = np.sqrt(2 * found.legs.dynamic_pressure / found.legs.air_density)
        self.speeds = (float(speed.min()), float(speed.max()))
        used, pairs = len(found.legs), len(found.observations)
        self.count = f"{used} laps in {pairs} pairs" if pairs < used else f"{used} laps"
        self.opening = (
            say("evidence", "field", "opening", name=name, used=self.count, gone=_gone(len(laps.laps) - used)),
            say("evidence", "field", "fitted" if fitted else "stated", rolling=found.rolling_coefficient),
        )

    def curve(self, set_up):
        return YawCurve([0.0], [self.fit.values[self.set_ups.index(set_up)]])

    def draws(self, n, seed):
        """Scatter as Student's t with the fit's degrees of freedom, shared errors as normal.

        A draw that is no drag area of a rider is kept at a hundredth of the estimate.
        """
        rng, found = np.random.default_rng(seed), self.fit
        dof = found.degrees_of_freedom
        scale = np.sqrt(dof / rng.chisquare(dof, (n, 1)))
        scatter = rng.multivariate_normal(np.zeros(len(found.names)), found.regression.covariance, n, method="eigh")
        shared = sum(rng.standard_normal((n, 1)) * shift for shift in found.shared.values())
        # What the laps betray may be there in part, in whole or not at all.
        shared = shared - sum(rng.random((n, 1)) * shift for shift in found.suspected.values())
        areas = np.maximum(found.values + scale * scatter + shared, 0.01 * found.values)
        return {name: YawCurve([0.0], areas[:, [place]]) for place, name in enumerate(self.set_ups)}

    def compare(self, a, b, yaw):
        return replace(self.fit, confidence=CONFIDENCE).difference(a, b)


# -- numbers that somebody published ------------------------------------------------------------------


@dataclass(frozen=True)
class PublishedArea:
    """A drag area that somebody published, with its 95 % range [m2].

    Raises
    ------
    ValueError
        Outside the library's range, or where the range does not hold the number, in words.
    """

    drag_area: float
    low: float
    high: float

    def __post_init__(self):
        for name, value in vars(self).items():
            value = float(checked(drag_area=value))
            object.__setattr__(self, name, value)
        if not 0 < self.low <= self.drag_area <= self.high:
            raise ValueError(
                f"the range {self.low:g} to {self.high:g} m² does not include {self.drag_area:g} m²; "
                "a drag area is between the ends of its range, all above 0."
            )

    def drawn(self, normal):
        """Draws whose 95 % range is the one told, also where it is wider on one side [m2]."""
        side = np.where(normal < 0, self.drag_area - self.low, self.high - self.drag_area)
        return self.drag_area + side / _QUANTILE * normal


class FromNumbers(Evidence):
    """Drag areas as somebody published them, each with its own range, nothing shared between set-ups.

    Parameters
    ----------
    areas : dict
        Of each set-up a PublishedArea, or a dict of yaw [rad] to PublishedArea.
    name : str
        Where they are from.
    """

    noun = "numbers"
    body = "another rider, or one who is not named"
    held = tuple(say("evidence", "numbers", "held"))

    def __init__(self, areas, name="the numbers"):
        if len(areas) < 2:
            raise ValueError("Two set-ups are needed to compare, each with its drag area.")
        self.areas = {
            set_up: dict(sorted(given.items())) if isinstance(given, dict) else {0.0: given}
            for set_up, given in areas.items()
        }
        self.name, self.set_ups = name, tuple(areas)
        one_yaw = all(set(by_yaw) == {0.0} for by_yaw in self.areas.values())
        what = "speed they were measured: they are used for every speed"
        if one_yaw:
            what = "speed and yaw they were measured: they are used for every speed, and for air from straight ahead"
        self.not_held = tuple(say("evidence", "numbers", "not held", what=what))
        gaps = {"number": len(areas), "set_ups": listed(self.set_ups)}
        self.opening = (say("evidence", "numbers", "opening", name=name, **gaps),)
        self.count = "; ".join(
            f"{set_up if one_yaw else f'{set_up} at {degrees(yaw)}'} {a.drag_area:.6g} m² ({a.low:.6g} to {a.high:.6g})"
            for set_up, by_yaw in self.areas.items()
            for yaw, a in by_yaw.items()
        )

    def curve(self, set_up):
        by_yaw = self.areas[set_up]
        return YawCurve(list(by_yaw), [area.drag_area for area in by_yaw.values()])

    def draws(self, n, seed):
        """A set-up is too large at all its yaws, or too small: a mean over yaws is no surer than one."""
        rng, drawn = np.random.default_rng(seed), {}
        for name, by_yaw in self.areas.items():
            normal = rng.standard_normal((n, 1))
            areas = [np.maximum(area.drawn(normal), 0.01 * area.drag_area) for area in by_yaw.values()]
            drawn[name] = YawCurve(list(by_yaw), np.concatenate(areas, axis=1))
        return drawn

    def compare(self, a, b, yaw):
        first, second = self.areas[a][yaw], self.areas[b][yaw]
        difference = first.drag_area - second.drag_area
        down = np.hypot(first.drag_area - first.low, second.high - second.drag_area)
        up = np.hypot(first.high - first.drag_area, second.drag_area - second.low)
        ends = difference - down, difference + up
        return Comparison(difference, *ends, CONFIDENCE, (down + up) / 2 / _QUANTILE, np.inf)


# -- both ---------------------------------------------------------------------------------------------


def change_of_drag_area(evidence, before, after):
    """The drag area saved at the angle nearest to straight ahead at which both set-ups were measured.

    Returns
    -------
    (yaw, change) : float [rad], Estimate [m2]

    Raises
    ------
    ValueError
        Where they have no angle in common, in words.
    """
    evidence.check(before, after)
    both = np.intersect1d(evidence.curve(before).yaw, evidence.curve(after).yaw)
    if both.size == 0:
        raise ValueError(say("evidence", "no yaw in common", before=before, after=after))
    yaw = float(both[np.argmin(np.abs(both))])
    found = evidence.compare(before, after, yaw)
    return yaw, Estimate(found.low, found.difference, found.high, found.confidence)


def difference_in_words(given, before, after):
    """What the evidence says of two set-ups' drag areas, with the range of the difference."""
    yaw, change = change_of_drag_area(as_evidence(given), before, after)
    smaller = "smaller" if change.mid >= 0 else "larger"
    tells = "" if change.sign else " That range includes zero."
    return (
        f"At yaw {degrees(yaw)} the drag area of set-up {after} is {abs(change.mid):.4f} m² "
        f"{smaller} than that of set-up {before}. {change.percent} range: "
        f"{change.in_words('{:.4f} m²'.format, 'less', 'more')}.{tells}"
    )

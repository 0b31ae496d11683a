"""A claim as it is printed: the drag area behind it, what it comes to for one rider, a verdict.

A claim is a number with conditions. Those that it states are taken; those that it leaves out get
a usual range, and its list of what is missing. The drag area is worked out over all of them.
"""

from dataclasses import dataclass, replace
from itertools import product
from operator import attrgetter

import numpy as np

from dragwork.constants import STANDARD_GRAVITY
from dragwork.decisions import PLANNING
from dragwork.measurement.uncertainty import half_width
from dragwork.physics.course import Course, ride
from dragwork.physics.drag import YawCurve, area_from_force
from dragwork.physics.power import Conditions, Rider
from dragwork.physics.savings import drag_area_behind, watts_saved
from dragwork.physics.speed import steady_speed
from dragwork.physics.wind import angle_to_road
from dragwork.quantities import QUANTITIES, checked, needs
from dragwork.units import clock, deg, kmh, to_deg, to_kilometres, to_kmh, to_percent

WHOLE = "everything that is not stated"
TELLABLE = 0.005  # m2: the smallest difference that a usual test can tell, COMMON_PRACTICE
ON_ME = (0.8, 1.0, 1.2)  # of the test's drag area, on another body: COMMON_PRACTICE
MOST = 1.0  # m2: more than any rider on a bicycle has

ADOPT, TEST, IGNORE, ASK = "adopt", "test it yourself", "ignore", "ask for data"

_YAW_APART = deg(5)  # from here on a test at another yaw says less
_LEFT_OVER = 0.99  # of a drag area: no change takes all of it
_SHORT = 120.0  # s: below, times are told in seconds
_WIDE = 2.0  # a range whose ends lie this far apart decides nothing


@dataclass(frozen=True)
class Bounds:
    """A range: .low .mid .high, and .level, what it covers ('80 %', or the whole of something)."""

    low: float
    mid: float
    high: float
    level: str


@dataclass(frozen=True)
class Condition:
    """One thing that a claim hangs on, from low to high. Stated: all three are the same.

    With degrees of freedom the ends are those of a 95 % interval of Student's t.
    """

    name: str
    words: str
    low: float
    mid: float
    high: float
    stated: bool
    degrees_of_freedom: int | None = None

    @property
    def ends(self):
        """Its two ends, or the one value."""
        return (self.low,) if self.low == self.high else (self.low, self.high)

    def drawn(self, rng, n):
        """n draws, the middle most likely."""
        if self.low == self.high:
            return np.full(n, self.mid)
        if self.degrees_of_freedom:
            uncertainty = (self.high - self.mid) / half_width(1.0, self.degrees_of_freedom)
            drawn = self.mid + uncertainty * rng.standard_t(self.degrees_of_freedom, n)
            return np.clip(drawn, self.low, self.high)  # beyond them the tails have no end
        return rng.triangular(self.low, self.mid, self.high, n)


@dataclass(frozen=True)
class Dial:
    """How far one condition alone moves the drag area [m2], the others in the middle."""

    condition: Condition
    low: float
    high: float

    @property
    def width(self):
        return self.high - self.low


# What stands for a condition that is not stated. COMMON_PRACTICE: common in the trade, no source.
USUAL = {
    "speed": (kmh(40), kmh(45), kmh(50)),
    "air_density": (1.15, 1.2, 1.25),
    "yaw": (0.7, 1.0, 1.1),  # of the drag area that was found at the test's yaw
    "drivetrain_efficiency": (0.96, 0.975, 0.985),
    "drag_area": (0.20, 0.30, 0.40),
    "all_up_mass": (65.0, 80.0, 95.0),
    "rolling_coefficient": (0.003, 0.004, 0.006),
    "part": (0.1, 1.0, 1.0),
}
# The same as USUAL["yaw"], by what the claim is about. Wheels and frames are sold by the angle
# that suits them best; from straight ahead a tenth of it may be left. COMMON_PRACTICE.
YAW_HOLDS = {"other": USUAL["yaw"], "wheels": (0.1, 0.6, 1.1), "frame": (0.1, 0.6, 1.1)}
_THINGS = {"wheels": "wheels save", "frame": "a frame saves"}
_WORDS = {
    "speed": "the speed of the test",
    "air_density": "the air density",
    "yaw": "the yaw of the test",
    "drivetrain_efficiency": "the chain's loss",
    "at": "whether the watts are at the crank or at the wheel",
    "drag_area": "the drag area it started from",
    "all_up_mass": "the mass of the rider in the claim",
    "rolling_coefficient": "the tyres of the rider in the claim",
    "part": "percent of what: of the whole, or of one part",
    "power": "the power of the rider in the claim",
    "saved": "the spread between runs",
    "carried": "how much of it holds on you",
}
_POWERS = (100.0, 500.0)  # W: between these rides whoever a time claim speaks of
_AREAS = (0.16, 0.40)  # m2, likewise
_EVIDENCE = {
    "who": "who says it",
    "compared_with": "compared with what",
    "measured": "whether it was measured or computed",
    "runs": "how many runs",
    "spread": "how far the runs lay apart",
}


@dataclass(frozen=True)
class Consistency:
    """Whether two numbers of one claim can mean the same drag area.

    .agree (their ranges overlap); .ratio, the second's drag area over the first's; .sentence
    """

    agree: bool
    ratio: float
    sentence: str


@dataclass(frozen=True, eq=False)
class Judgement:
    """What a claim comes to for one rider on one course.

    .drag_area_change [m2], .watts [W at the crank, mean over the ride at the speeds before],
    .seconds [s at the same power]: each a `Bounds`, positive where it helps. .dominant, the
    condition that causes most of the width, in words, empty where there is none; .missing, what
    the claim leaves out; .verdict, one of 'adopt', 'test it yourself', 'ignore', 'ask for data';
    .reasons, in words.
    """

    drag_area_change: Bounds
    watts: Bounds
    seconds: Bounds
    dominant: str
    missing: tuple
    verdict: str
    reasons: tuple

    @property
    def sentence(self):
        """The verdict and its reasons."""
        return f"{self.verdict.capitalize()}. {' '.join(self.reasons)}"


@dataclass(frozen=True, eq=False)
class Claim:
    """A claim; made by `watts`, `time`, `percent`, `force` or `mass`, all numbers in SI.

    .kind, .saved (the number, positive where it helps), .conditions, .about ('wheels', 'frame' or
    'other': how much hangs on the yaw), and what is told about it: .who .compared_with .measured
    (True, or False where it was computed) .runs .spread (standard deviation of one run, in the
    unit of the number). None or empty: not stated.
    """

    kind: str
    saved: float
    conditions: tuple
    words: str
    who: str = ""
    compared_with: str = ""
    measured: bool | None = None
    runs: int | None = None
    spread: float | None = None
    yaw: float | None = None
    about: str = "other"
    details: tuple = ()

    # -- the kinds ------------------------------------------------------------------------------

    @classmethod
    def watts(
        cls, saved, speed=None, at="air", air_density=None, yaw=None, drivetrain_efficiency=None,
        about="other", **told,
    ):  # fmt: skip
        """'Saves 20 W at 50 km/h.'

        Parameters
        ----------
        saved : float [W]
        speed : float [m/s], optional
            Of the test.
        at : str or None
            'air' (or 'wheel'): the watts that the air takes; 'crank'; None: not stated.
        air_density : float [kg/m3], optional
        yaw : float [rad], optional
            Of the test.
        drivetrain_efficiency : float, optional
            For watts at the crank.
        about : str
            'wheels', 'frame' or 'other'. Where the yaw is not told, or is larger than the
            rider's own, 10 to 110 % of the drag area may hold for the first two, 70 to 110 %
            for others: common practice.
        **told
            who, compared_with, measured, runs, spread.

        Returns
        -------
        Claim

        Raises
        ------
        ValueError
            Outside the ranges, or more than the whole drag of any rider, in words.

        Source: ALGEBRA, COMMON_PRACTICE
        """
        if at not in ("air", "wheel", "crank", None):
            raise ValueError(f"at {at!r} is not known; give 'air', 'wheel', 'crank' or None.")
        saved = _one("power_saved", saved)
        conditions = [_moving(speed), _given("air_density", air_density), _yaw(yaw, about)]
        if at == "crank":
            conditions.append(_given("drivetrain_efficiency", drivetrain_efficiency))
        if at is None:
            ends = USUAL["drivetrain_efficiency"]
            conditions.append(Condition("at", _WORDS["at"], ends[0], (ends[1] + 1) / 2, 1.0, False))
        where = {"air": " in the air", "wheel": " at the wheel", "crank": " at the crank"}.get(at, "")
        words = f"{saved:g} W{where}" + _at_speed(speed)
        return cls._made("watts", saved, conditions, words, yaw, about, told)

    @classmethod
    def force(cls, saved, speed=None, air_density=None, yaw=None, about="other", **told):
        """'Saves 80 grams of drag at 48 km/h.' Grams enter as `units.grams_force(80)`.

        Parameters
        ----------
        saved : float [N]
        speed : float [m/s], optional
            Of the air in the test.
        air_density : float [kg/m3], optional
        yaw : float [rad], optional
        about, **told
            As in `watts`.

        Returns
        -------
        Claim

        Raises
        ------
        ValueError
            Outside the ranges, in words.

        Source: ALGEBRA, COMMON_PRACTICE
        """
        saved = _one("force", saved)
        conditions = [_moving(speed), _given("air_density", air_density), _yaw(yaw, about)]
        words = f"{saved:.3g} N of drag" + _at_speed(speed)
        return cls._made("force", saved, conditions, words, yaw, about, told)

    @classmethod
    def percent(
        cls, saved, of="drag", drag_area=None, part=1.0, speed=None, air_density=None,
        all_up_mass=None, rolling_coefficient=None, yaw=None, about="other", **told,
    ):  # fmt: skip
        """'5 % less drag', or '4 % less power at 45 km/h'. Percent enter as `units.percent(5)`.

        Parameters
        ----------
        saved : float
            A fraction, below 1.
        of : str
            'drag' or 'power' (on a flat road in still air).
        drag_area : float [m2], optional
            That the claim starts from.
        part : float or None
            The share of that drag area which the percentage speaks of: 1 the whole rider and
            bicycle, 0.1 a part that makes up a tenth; None: not stated.
        speed, air_density, all_up_mass, rolling_coefficient : float, optional
            Of the ride behind a percentage of power [m/s, kg/m3, kg, 1].
        yaw : float [rad], optional
        about, **told
            As in `watts`.

        Returns
        -------
        Claim

        Raises
        ------
        ValueError
            Outside the ranges, or 100 % and more, in words.

        Source: ALGEBRA, COMMON_PRACTICE
        """
        if of not in ("drag", "power"):
            raise ValueError(f"of {of!r} is not known; give 'drag' or 'power'.")
        saved = float(np.asarray(saved, float)) if _is_number(saved) else np.nan
        if not -1 <= saved < 1:
            guess = f" Is it in percent? Then write units.percent({saved:g})." if saved >= 1 else ""
            raise ValueError(f"saved must be a fraction from -1 to below 1, as 0.05.{guess}")
        conditions = [_given("drag_area", drag_area), _yaw(yaw, about)]
        words = f"{to_percent(saved):g} % of the {of}"
        if of == "drag":
            if part is not None and not (_is_number(part) and 0 < part <= 1):
                raise ValueError(f"part {part} must be a share, above 0 to 1.")
            conditions.append(_given("part", part))
        else:
            conditions += [
                _moving(speed), _given("air_density", air_density),
                _given("all_up_mass", all_up_mass),
                _given("rolling_coefficient", rolling_coefficient),
            ]  # fmt: skip
            words += _at_speed(speed)
        return cls._made(f"percent of {of}", saved, conditions, words, yaw, about, told)

    @classmethod
    def time(
        cls, saved, distance, ride_time=None, speed=None, power=None, drag_area=None,
        all_up_mass=None, rolling_coefficient=None, air_density=None, drivetrain_efficiency=None,
        yaw=None, about="other", **told,
    ):  # fmt: skip
        """'Saves 60 s over 40 km', on a flat road in still air, at the same power.

        The steady speed before and the one after at the same power give the drag area exactly;
        the way back, from drag area to seconds, is `physics.savings.time_saved`.

        Parameters
        ----------
        saved : float [s]
            Negative where time is lost. 'Seconds per kilometre': with distance 1000.
        distance : float [m]
        ride_time : float [s], optional
            Of the ride BEFORE the change.
        speed : float [m/s], optional
            Before the change, instead of the ride time.
        power : float [W], optional
            Of the rider in the claim, at the crank. Where no speed is told it follows from the
            power.
        drag_area : float [m2], optional
            Before the change.
        all_up_mass, rolling_coefficient, air_density, drivetrain_efficiency : float, optional
            Of the ride in the claim.
        yaw : float [rad], optional
        about, **told
            As in `watts`; spread in seconds.

        Returns
        -------
        Claim

        Raises
        ------
        ValueError
            Outside the ranges; where the saving is longer than the ride, or more than the whole
            air drag could give; where power and drag area do not fit the speed; in words.

        Source: MARTIN1998, COMMON_PRACTICE
        """
        distance = _one("distance", distance)
        saved = _number_of_seconds("saved", saved)
        before = _speed_before(distance, ride_time, speed)
        by_power = power is not None and not before.stated
        conditions = [] if by_power else [before]
        conditions += [_given("air_density", air_density), _yaw(yaw, about)]
        if by_power or power is None or drag_area is None:  # else the tyres are what is left over
            conditions += [
                _given("all_up_mass", all_up_mass),
                _given("rolling_coefficient", rolling_coefficient),
            ]
        if power is not None:
            power = _one("power", power)
            if power == 0:
                raise ValueError("power 0 W: on a flat road nobody rides, and nothing is saved.")
            conditions += [
                Condition("power", _WORDS["power"], power, power, power, True),
                _given("drivetrain_efficiency", drivetrain_efficiency),
            ]
        if drag_area is not None or by_power:
            conditions.append(_given("drag_area", drag_area))
        elif power is None:
            conditions.append(_of_some_rider(conditions))
        times = distance / _with_speed(_corners(conditions))["speed"]
        if saved >= np.min(times):
            raise ValueError(
                f"saved {saved:g} s is as long as the whole ride, {np.min(times):.0f} s."
            )
        if saved <= -9 * np.max(times):
            raise ValueError(f"saved {saved:g} s loses more than nine times the ride itself.")
        how = f" at {power:g} W" if by_power else _at_speed(before.mid if before.stated else None)
        words = f"{saved:g} s over {to_kilometres(distance):g} km" + how
        claim = cls._made("time", saved, conditions, words, yaw, about, told, (distance,))
        claim._refuse_more_than_the_air()
        return claim

    @classmethod
    def mass(cls, saved, **told):
        """'300 grams lighter', with saved in kg. It leaves the drag area as it is.

        Parameters
        ----------
        saved : float [kg]
        **told
            As in `watts`.

        Returns
        -------
        Claim

        Raises
        ------
        ValueError
            Not a number of kilograms, in words.

        Source: ALGEBRA
        """
        if not _is_number(saved) or not abs(saved) <= 50:
            raise ValueError(f"saved {saved!r} kg is outside -50 to 50 kg. Grams? Divide by 1000.")
        return cls._made("mass", float(saved), [], f"{float(saved):g} kg", 0.0, "other", told)

    @classmethod
    def _made(cls, kind, saved, conditions, words, yaw, about, told, details=()):
        unknown = set(told) - set(_EVIDENCE)
        if unknown:
            raise ValueError(f"'{min(unknown)}' is not asked; told are {', '.join(_EVIDENCE)}.")
        runs, spread = told.get("runs"), told.get("spread")
        if runs is not None and not (_is_number(runs) and 1 <= runs <= 10_000 and runs % 1 == 0):
            raise ValueError(f"runs {runs!r} is not a number of runs, 1 to 10000.")
        if spread is not None and not (_is_number(spread) and 0 <= spread < np.inf):
            raise ValueError(f"spread {spread!r} is not a standard deviation, at least 0.")
        if runs is not None and runs >= 2 and spread:
            dof = 2 * (int(runs) - 1)
            half = half_width(spread * np.sqrt(2 / runs), dof)
            figure = Condition("saved", _WORDS["saved"], saved - half, saved, saved + half, True, dof)
            conditions = [*conditions, figure]
        claim = cls(
            kind, saved, tuple(conditions), words, yaw=yaw, about=about, details=details, **told
        )
        if kind in ("watts", "force") and abs(claim.drag_area_change.mid) > MOST:
            raise ValueError(
                f"{words} stands for {claim.drag_area_change.mid:.2f} m2. That is more than the whole "
                f"air drag of any rider; is the unit right?"
            )
        return claim

    # -- the drag area behind it ----------------------------------------------------------------

    @property
    def drag_area_change(self):
        """The drag area behind the claim [m2], a `Bounds` over all that it leaves open.

        Positive where the drag area falls. The ends are those of the whole box of conditions:
        no choice inside their ranges lies outside, and a corner that no ride can have (tyres that
        push) ends where the tyres take nothing. The spread between runs, where it is told,
        enters with its 95 % interval.
        """
        areas = np.atleast_1d(self._areas(_corners(self.conditions)))
        mid = float(self._areas({c.name: np.array(c.mid) for c in self.conditions}))
        low, high = float(areas.min()), float(areas.max())
        return Bounds(min(low, mid), mid, max(high, mid), WHOLE)

    def draws(self, n=2000, seed=1):
        """Draws of the drag area behind the claim, each condition drawn on its own [m2].

        Draws that no ride can be (tyres that push, a drag area below 0) are drawn again.

        Parameters
        ----------
        n, seed : int

        Returns
        -------
        (n,) array [m2]

        Source: JCGM101
        """
        rng = np.random.default_rng(seed)
        kept = np.empty(0)
        while len(kept) < n:  # the middle is possible, so that a good part of the draws is
            drawn = {c.name: c.drawn(rng, n) for c in self.conditions}
            areas, possible = (np.broadcast_to(f(drawn), n) for f in (self._areas, self._possible))
            kept = np.append(kept, areas[possible])
        return kept[:n]

    @property
    def dials(self):
        """Each condition turned from end to end alone: a tuple of `Dial`, the widest first."""
        middles = {c.name: np.array(c.mid) for c in self.conditions}
        found = []
        for condition in self.conditions:
            ends = [
                float(self._areas({**middles, condition.name: np.array(end)}))
                for end in (condition.low, condition.high)
            ]
            found.append(Dial(condition, min(ends), max(ends)))
        return tuple(sorted(found, key=attrgetter("width"), reverse=True))

    @property
    def missing(self):
        """What the claim does not say, in words."""
        unstated = [c.words for c in self.conditions if not c.stated]
        silent = [
            words for name, words in _EVIDENCE.items() if getattr(self, name) in (None, "")
        ]
        return (*unstated, *silent)

    def consistency_with(self, other):
        """Whether another number of the same claim can mean the same drag area.

        Parameters
        ----------
        other : Claim

        Returns
        -------
        Consistency

        Raises
        ------
        ValueError
            Where the other is no Claim, in words.

        Source: ALGEBRA
        """
        needs(Claim, other=other)
        mine, theirs = self.drag_area_change, other.drag_area_change
        apart = self._apart(other)
        agree = bool(apart.min() <= 0 <= apart.max())
        ratio = theirs.mid / mine.mid if mine.mid else np.inf if theirs.mid else 1.0
        outcome = (
            "Both can be true of one thing."
            if agree
            else "Nothing left open brings them together: they do not speak of the same thing."
        )
        return Consistency(
            agree,
            ratio,
            f"{self.words} stands for {_area(mine)}; {other.words} stands for {_area(theirs)}. {outcome}",
        )

    def _apart(self, other):
        """Differences of the two drag areas at all corners; what is alike in both moves together."""
        shared = [c for c in other.conditions if c in self.conditions]
        alone = [c for c in other.conditions if c not in shared]
        corners = np.array(list(product(*(c.ends for c in (*self.conditions, *alone)))))
        columns = dict(enumerate(corners.T))
        mine = {c.name: columns[i] for i, c in enumerate(self.conditions)}
        theirs = {c.name: mine[c.name] for c in shared}
        theirs |= {c.name: columns[i] for i, c in enumerate(alone, len(self.conditions))}
        return np.atleast_1d(other._areas(theirs) - self._areas(mine))

    def _possible(self, c):
        """Which values of the conditions a ride can have: neither tyres nor air push."""
        if self.kind != "time":
            return True
        start, constant = _start(_with_speed(c))
        return (start >= 0) & (constant >= 0)

    def _areas(self, c):
        """Drag areas [m2] at values of the conditions, arrays that broadcast."""
        saved = c.get("saved", self.saved)
        factor = c.get("yaw", 1.0)
        if self.kind == "mass" or self.saved == 0 and "saved" not in c:
            return np.zeros(())
        if self.kind == "watts":
            wheel = saved * c.get("drivetrain_efficiency", c.get("at", 1.0))
            return factor * drag_area_behind(wheel, Conditions(c["air_density"]), c["speed"])
        if self.kind == "force":
            return factor * area_from_force(saved, c["air_density"], c["speed"])
        if self.kind == "percent of drag":
            return factor * saved * c["drag_area"] * c["part"]
        if self.kind == "percent of power":
            air = c["air_density"] / 2 * c["speed"] ** 2
            return factor * saved * (c["drag_area"] + _tyres(c) / air)
        return factor * _area_of_seconds(saved, self.details[0], c)

    def _refuse_more_than_the_air(self):
        """Refuse a saving that no fall of drag could give."""
        c = _with_speed({c.name: c.mid for c in self.conditions})
        start, constant = _start(c)
        if constant < 0 or start <= 0:
            raise ValueError(
                f"{self.words}: speed, power and drag area of this claim do not fit each other."
            )
        area = float(_area_of_seconds(self.saved, self.details[0], c))
        if area >= start:
            force = c["air_density"] / 2 * start * c["speed"] ** 2 + constant
            most = self.details[0] / c["speed"] * (1 - constant / force)
            raise ValueError(
                f"{self.words} is more than the whole air drag: such a rider has {start:.3f} m2, and "
                f"without any air would save {most:.0f} s."
            )
        after = self.details[0] / (self.details[0] / c["speed"] - self.saved)
        fastest = QUANTITIES["speed"].high
        if after > fastest:
            raise ValueError(
                f"{self.words} asks for {to_kmh(after):.0f} km/h after the change, above the allowed "
                f"{to_kmh(fastest):.0f} km/h."
            )

    # -- for one rider --------------------------------------------------------------------------

    def for_rider(
        self, rider, course, power, air_density=1.2, wind_speed=0.0, wind_from=0.0, carried=ON_ME,
        tellable=TELLABLE, worthwhile=0.0, method="interval", draws=2000, seed=1,
    ):  # fmt: skip
        """What the claim comes to for a rider on a course, and a verdict.

        The rider, the course and the day are taken as given; the width is the claim's.

        Parameters
        ----------
        rider : Rider
        course : Course
        power, air_density, wind_speed, wind_from
            As in `physics.course.ride`.
        carried : (low, mid, high)
            What share of the test's drag area holds on this rider.
        tellable : float [m2]
            The smallest difference that a usual test can tell.
        worthwhile : float [s]
            Fewer seconds than this do not matter to the rider.
        method : str
            'interval': every choice of what is not stated; 'sampled': 80 % of draws.
        draws, seed : int
            For 'sampled'.

        Returns
        -------
        Judgement

        Raises
        ------
        ValueError
            Outside the ranges, in words.

        Source: MARTIN1998, COMMON_PRACTICE
        """
        needs(Rider, rider=rider)
        needs(Course, course=course)
        day = {"air_density": air_density, "wind_speed": wind_speed, "wind_from": wind_from}
        was = ride(course, rider, power, **day)
        held, aside = self._carried(was, course, carried, wind_speed, wind_from)
        areas, level = self._spread_over(held, method, draws, seed)
        own = float(np.min(getattr(rider.drag_area, "drag_area", rider.drag_area)))
        beyond = own <= areas[1]
        if own <= areas.max():
            areas = np.minimum(areas, _LEFT_OVER * own)
            aside += () if beyond else (
                f"At its widest it would take more than the {own:.3f} m² that you have; the numbers "
                f"stop at {to_percent(_LEFT_OVER):.0f} % of that.",
            )  # fmt: skip
        after = _changed(rider, areas, self.saved if self.kind == "mass" else 0.0)
        seconds = was.time - ride(course, after, power, **day).time
        speed, time = was.legs.speed, was.legs.time
        angle = angle_to_road(wind_from, course.column("heading"))
        road = Conditions(air_density, wind_speed, angle, course.column("gradient"))
        by_leg = watts_saved(rider, _changed(rider, areas[:, None], self.saved if self.kind == "mass"
                             else 0.0), road, speed)  # fmt: skip
        watts = np.sum(by_leg * time, axis=-1) / np.sum(time)
        area, watts, seconds = (_bounds(values, level) for values in (areas, watts, seconds))
        dominant = self._dominant(held)
        verdict, reasons = self._judged(area, seconds, own, beyond, dominant, tellable, worthwhile)
        return Judgement(
            area, watts, seconds, dominant, self.missing, verdict, (*reasons, *aside)
        )

    def _carried(self, was, course, carried, wind_speed, wind_from):
        """How much of the test holds here, with a remark where the yaws are not alike."""
        low, mid, high = (float(end) for end in carried)
        if not 0 <= low <= mid <= high <= 5:
            raise ValueError(f"carried {carried} must be three rising shares, from 0.")
        if self.kind == "mass":
            low = mid = high = 1.0
        aside = ()
        if self.yaw is not None and self.kind != "mass":
            angle = angle_to_road(wind_from, course.column("heading"))
            along = was.legs.speed + wind_speed * np.cos(angle)
            yaws = np.abs(np.arctan2(wind_speed * np.sin(angle), along))
            usual = float(np.sum(yaws * was.legs.time) / np.sum(was.legs.time))
            if abs(abs(self.yaw) - usual) > _YAW_APART:
                holds = YAW_HOLDS["other"]
                aside = (
                    f"It was tested at {to_deg(abs(self.yaw)):.0f}° of yaw; yours is "
                    f"{to_deg(usual):.0f}° on average.",
                )
                if abs(self.yaw) > usual and self.about != "other":
                    holds = YAW_HOLDS[self.about]
                    aside += (
                        f"Of what {_THINGS[self.about]} there, as little as "
                        f"{to_percent(holds[0]):.0f} % may be left at yours.",
                    )
                low, mid, high = low * holds[0], mid * holds[1], high * holds[2]
        return Condition("carried", _WORDS["carried"], low, mid, high, False), aside

    def _spread_over(self, held, method, draws, seed):
        """Drag areas low, mid, high on this rider, and what they cover."""
        if method == "interval":
            area = self.drag_area_change
            ends = [area.low * held.low, area.low * held.high, area.high * held.low,
                    area.high * held.high]  # fmt: skip
            return np.array([min(ends), area.mid * held.mid, max(ends)]), WHOLE
        if method == "sampled":
            if not (_is_number(draws) and draws >= 1):
                raise ValueError(f"draws {draws!r} is not a number of draws, at least 1.")
            drawn = self.draws(draws, seed) * held.drawn(np.random.default_rng([seed, 2]), draws)
            tail = (1 - PLANNING) / 2
            return np.quantile(drawn, [tail, 0.5, 1 - tail]), f"{to_percent(PLANNING):.0f} %"
        raise ValueError(f"method {method!r} is not known; give 'interval' or 'sampled'.")

    def _dominant(self, held):
        """The condition that causes most of the width, in words."""
        mid = self.drag_area_change.mid
        dials = [*self.dials, Dial(held, *sorted((mid * held.low, mid * held.high)))]
        widest = max(dials, key=attrgetter("width"))
        return widest.condition.words if widest.width > 0 else ""

    def _judged(self, area, seconds, own, beyond, dominant, tellable, worthwhile):
        """The verdict and its reasons."""
        if beyond:
            return ASK, (
                f"The claim takes more off than the {own:.3f} m² that you have: the whole air drag. "
                f"Something in it is not as it reads; the numbers stop at {to_percent(_LEFT_OVER):.0f} % "
                "of your drag area.",
            )
        if seconds.high <= 0:
            return IGNORE, ("Even at its best it saves you no time.",)
        if seconds.high < worthwhile:
            return IGNORE, (
                f"Even at its best it saves {seconds.high:.0f} s on your road, less than the "
                f"{worthwhile:.0f} s that matter to you.",
            )
        if self.kind == "mass":
            return ADOPT, (
                f"Scales settle it, and it is worth {seconds.mid:.0f} s on your road. Whether that is "
                "worth the price is yours to say.",
            )
        if area.high < tellable:
            return IGNORE, (
                f"Even at its best it is {area.high:.4f} m², less than the {tellable:.4f} m² that a "
                "usual test can tell: nobody can show you that it is there.",
            )
        silent = [w for name, w in _EVIDENCE.items() if getattr(self, name) in (None, "")]
        wide = area.high > _WIDE * max(area.low, 0.0)
        if wide and dominant == _WORDS["saved"]:
            return ASK, (
                "Its own runs lie so far apart that it may be "
                f"{gain_in_words(seconds.low, seconds.high)} on your road. Ask for more runs.",
            )
        if wide and dominant != _WORDS["carried"]:
            return ASK, (
                f"What is left open makes it {gain_in_words(seconds.low, seconds.high)} on your "
                f"road. Ask for {dominant} first.",
            )
        if area.low < tellable:
            return TEST, (
                f"It may be as little as {area.low:.4f} m², which a usual test cannot tell from "
                f"nothing ({tellable:.4f} m²). It takes more runs than usual.",
            )
        if silent:
            return TEST, (
                f"It is large enough to be seen in a test of your own, {area.low:.4f} m² at least; "
                "but the claim does not tell all of how it was found.",
            )
        return ADOPT, (
            f"It says how it was found, and even at its least it is {area.low:.4f} m² and "
            f"{seconds.low:.0f} s on your road.",
        )


def gain_in_words(low, high):
    """`31 to 49 s`, `8 s lost to 30 s saved`, and from two minutes on `1:58 to 2:40 min`."""
    low, high = round(low), round(high)
    short = max(-low, high) < _SHORT
    unit = "s" if short else "min"
    least, most = (str(abs(x)) if short else clock(abs(x)) for x in (low, high))
    if low < 0 < high:
        return f"{least} {unit} lost to {most} {unit} saved"
    if low < 0:
        least, most, unit = most, least, f"{unit} lost"
    return f"{least} {unit}" if low == high else f"{least} to {most} {unit}"


# -- parts ----------------------------------------------------------------------------------------


def _area_of_seconds(saved, distance, c):
    """The change of drag area behind seconds saved at the same power, flat and calm: exact.

    Never more than there was: a rider without any air drag takes some time too. What the ride
    leaves over for tyres or air ends at 0, the edge of what can be.
    """
    c = _with_speed(c)
    start, constant = (np.maximum(part, 0.0) for part in _start(c))
    v, half = c["speed"], c["air_density"] / 2
    power = (half * start * v**2 + constant) * v
    with np.errstate(divide="ignore"):
        after = distance / np.asarray(distance / v - saved)
    return np.minimum(start - (power / after - constant) / (half * after**2), start)


def _corners(conditions):
    """All corners of the box of conditions: a dict of name to array."""
    corners = np.array(list(product(*(c.ends for c in conditions))))
    return dict(zip((c.name for c in conditions), corners.T))


def _with_speed(c):
    """The values with the speed before, which follows from the power where it is not among them."""
    if "speed" in c:
        return c
    names = ("all_up_mass", "drag_area", "rolling_coefficient", "drivetrain_efficiency")
    rider = Rider(**{name: c[name] for name in names})
    speed = steady_speed(rider, Conditions(c["air_density"]), c["power"])
    return {**c, "speed": speed}


def _tyres(c):
    """Rolling force on a flat road [N]."""
    return c["all_up_mass"] * STANDARD_GRAVITY * c["rolling_coefficient"]


def _start(c):
    """Drag area before, and the force that does not depend on speed, from what is stated."""
    v, half = c["speed"], c["air_density"] / 2
    if "power" not in c:
        return c["drag_area"], _tyres(c)
    force = c["power"] * c["drivetrain_efficiency"] / v
    if "drag_area" not in c:
        return (force - _tyres(c)) / (half * v**2), _tyres(c)
    return c["drag_area"], force - half * c["drag_area"] * v**2


def _of_some_rider(conditions):
    """The drag area of whoever rides that fast: neither a child nor a champion at 500 W."""
    c = {each.name: each.mid for each in conditions}
    force = USUAL["drivetrain_efficiency"][1] * np.array(_POWERS) / c["speed"] - _tyres(c)
    area = np.clip(force / (c["air_density"] / 2 * c["speed"] ** 2), *_AREAS)
    high = float(area[1])
    low = min(float(area[0]), 0.8 * high)
    return Condition("drag_area", _WORDS["drag_area"], low, (low + high) / 2, high, False)


def _given(name, value):
    """A condition that is stated, or its usual range."""
    if value is None:
        return Condition(name, _WORDS[name], *USUAL[name], False)
    value = _one(name, value) if name in QUANTITIES else float(value)
    return Condition(name, _WORDS[name], value, value, value, True)


def _moving(speed):
    """The speed of a test, which has to be one."""
    if speed is not None and _one("speed", speed) == 0:
        raise ValueError("speed 0 m/s: where nothing moves, nothing is saved.")
    return _given("speed", speed)


def _yaw(yaw, about):
    """A yaw that is stated leaves the drag area as it was found there."""
    if about not in YAW_HOLDS:
        raise ValueError(f"about {about!r} is not known; give 'wheels', 'frame' or 'other'.")
    if yaw is None:
        return Condition("yaw", _WORDS["yaw"], *YAW_HOLDS[about], False)
    checked(yaw=yaw)
    return Condition("yaw", _WORDS["yaw"], 1.0, 1.0, 1.0, True)


def _speed_before(distance, ride_time, speed):
    """The speed before the change, from the ride time or as it is told."""
    if ride_time is not None and speed is not None:
        raise ValueError("give ride_time or speed, not both: the one follows from the other.")
    if ride_time is None:
        return _moving(speed)
    time = _number_of_seconds("ride_time", ride_time)
    fastest = QUANTITIES["speed"].high
    if not time > 0 or distance / time > fastest:
        guess = ""
        if time > 0 and distance / (60 * time) < fastest:
            guess = f" Is it in minutes? Then write units.minutes({ride_time:g})."
        raise ValueError(
            f"ride_time {time:g} s for {distance:g} m is faster than {fastest:g} m/s.{guess}"
        )
    return _given("speed", distance / time)


def _number_of_seconds(name, value):
    if not _is_number(value) or not np.isfinite(value):
        raise ValueError(f"{name} {value!r} is not a number of seconds.")
    return float(value)


def _one(name, value):
    number = checked(**{name: value})
    if number.ndim:
        raise ValueError(f"{name} of a claim is one number.")
    return float(number)


def _is_number(value):
    return np.ndim(value) == 0 and np.asarray(value).dtype.kind in "iuf"


def _changed(rider, areas, mass):
    """The rider with that much less drag area, an array, and less mass."""
    area = rider.drag_area
    less = (
        YawCurve(area.yaw, area.drag_area - areas[..., None])
        if isinstance(area, YawCurve)
        else area - areas
    )
    return replace(rider, drag_area=less, all_up_mass=rider.all_up_mass - mass)


def _bounds(values, level):
    low, mid, high = (float(value) for value in values)
    return Bounds(min(low, mid, high), mid, max(low, mid, high), level)


def _area(bounds):
    if bounds.low == bounds.high:
        return f"{bounds.mid:.4f} m²"
    return f"{bounds.mid:.4f} m² ({bounds.low:.4f} to {bounds.high:.4f})"


def _at_speed(speed):
    return "" if speed is None else f" at {to_kmh(float(speed)):.4g} km/h"


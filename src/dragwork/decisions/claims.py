"""A claim as it is printed, and the drag area behind it; what it comes to is in `verdicts`.

A claim is a number with conditions. Those that it states are taken; those that it leaves out get
a usual range, and its list of what is missing. The drag area is worked out over all of them.
"""

from dataclasses import dataclass
from itertools import product
from operator import attrgetter

import numpy as np

from dragwork.constants import STANDARD_GRAVITY
from dragwork.decisions.conditions import (
    EVIDENCE,
    MORE_RUNS,
    TEST_SPEEDS,
    TOLD,
    USUAL,
    Condition,
    all_given,
    at_yaw,
    between,
    given,
    moving,
    one,
)
from dragwork.decisions.rides import DRAWS, SEED
from dragwork.decisions.search import crossing
from dragwork.decisions.sentences import say
from dragwork.decisions.verdicts import judge
from dragwork.measurement.uncertainty import half_width
from dragwork.physics.drag import area_from_force
from dragwork.physics.power import Conditions, Rider
from dragwork.physics.savings import drag_area_behind
from dragwork.physics.speed import steady_speed
from dragwork.quantities import QUANTITIES, Estimate, needs, true_minus
from dragwork.units import clock, to_grams_force, to_kilometres, to_kmh, to_percent

MOST = 1.0  # m2: more than any rider on a bicycle has
_POWERS = (100.0, 500.0)  # W: between these rides whoever a time claim speaks of
_AREAS = (0.16, 0.40)  # m2, likewise


@dataclass(frozen=True)
class Dial:
    """How far one condition alone moves the drag area [m2], the others in the middle."""

    condition: Condition
    low: float
    high: float

    @property
    def width(self):
        return self.high - self.low


@dataclass(frozen=True)
class Consistency:
    """Whether two numbers of one claim can mean the same drag area.

    .agree (their ranges overlap); .ratio, the second's drag area over the first's; .needed, where
    they would agree, in words: inside the usual ranges where they do, else what they ask for;
    .sentence
    """

    agree: bool
    ratio: float
    needed: str
    sentence: str


@dataclass(frozen=True, eq=False)
class Claim:
    """A claim; made by `watts`, `time`, `percent`, `force` or `mass`, all numbers in SI.

    .kind, .saved (the number, positive where it helps), .conditions, .about ('wheels', 'frame',
    'position', 'shelter' or 'other'), and what is told about it: .who .compared_with .measured
    (True, or False where it was computed) .runs .spread (standard deviation of one run, in the
    unit of the number); .distance [m] of a saving of time. None or empty: not stated.
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
    distance: float | None = None

    # -- the kinds ------------------------------------------------------------------------------

    @classmethod
    def watts(
        cls, saved, speed=None, at="air", air_density=None, yaw=None, drivetrain_efficiency=None,
        about="other", **told,
    ):  # fmt: skip
        """'Saves 20 W at 50 km/h.'

        Parameters
        ----------
        saved : float or (float, float) [W]
            The number, or the ends of its range: `15 to 20 W`; 0 to 20 for `up to 20 W`. So for
            the other kinds.
        speed : float [m/s], optional
            Of the test. Without it the claim is counted at 60 km/h, as fast as tests usually go.
        at : str or None
            'air' (or 'wheel'): the watts that the air takes; 'crank'; None: not stated.
        air_density : float [kg/m3], optional
        yaw : float [rad], optional
            Of the test.
        drivetrain_efficiency : float, optional
            For watts at the crank.
        about : str
            'wheels', 'frame', 'position', 'shelter' or 'other'. Where the yaw is not told, or is
            larger than the rider's own, 10 to 110 % of the drag area may hold for the first two,
            70 to 110 % for the others: common practice.
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
            raise ValueError(f"at {at!r} is not known; give 'air', 'wheel' or 'crank', or leave it out.")
        for end in ends_of(saved):
            one("power_saved", end)
        conditions = [moving(speed, TEST_SPEEDS), given("air_density", air_density), at_yaw(yaw, about)]
        if at == "crank":
            conditions.append(given("drivetrain_efficiency", drivetrain_efficiency))
        if at is None:
            conditions.append(given("at", None))
        where = {"air": " in the air", "wheel": " at the wheel", "crank": " at the crank"}.get(at, "")
        words = span(saved, "W") + where + _at_speed(speed)
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

        Source: ALGEBRA, COMMON_PRACTICE
        """
        for end in ends_of(saved):
            one("force", end)
        conditions = [moving(speed, TEST_SPEEDS), given("air_density", air_density), at_yaw(yaw, about)]
        words = span(saved, "g of drag", to_grams_force) + _at_speed(speed)
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
        part : float, (low, middle, high) or None
            The share of that drag area which the percentage speaks of: 1 the whole rider and
            bicycle, 0.1 a part that makes up a tenth, its range where that is not known; None: not
            stated.
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
        low, high = ends_of(saved)
        if not -1 <= low <= high < 1:
            said = span(saved, "%", to_percent)
            meant = f" Were {high:g} % meant? That is {high / 100:g}." if 2 <= high < 100 else ""
            raise ValueError(say("claim", "all of it", saved=said, of=of, meant=meant))
        conditions = [given("drag_area", drag_area), at_yaw(yaw, about)]
        words = span(saved, "%", to_percent) + f" of the {of}"
        if of == "drag":
            shares = part if isinstance(part, tuple) else (part,)
            if part is not None and not all(_is_number(share) and 0 < share <= 1 for share in shares):
                raise ValueError(f"The part of the whole must be a share, above 0 to 1; {part} is not.")
            conditions.append(between("part", *part) if isinstance(part, tuple) else given("part", part))
        else:
            ridden = {"air_density": air_density, "all_up_mass": all_up_mass}
            conditions += [moving(speed), *all_given(**ridden, rolling_coefficient=rolling_coefficient)]
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
        distance = one("distance", distance)
        low, high = (_seconds("time saved", end) for end in ends_of(saved))
        before = _speed_before(distance, ride_time, speed)
        by_power = power is not None and not before.stated
        conditions = [] if by_power else [before]
        conditions += [given("air_density", air_density), at_yaw(yaw, about)]
        if by_power or power is None or drag_area is None:  # else the tyres are what is left over
            conditions += all_given(all_up_mass=all_up_mass, rolling_coefficient=rolling_coefficient)
        if power is not None:
            if one("power", power) == 0:
                raise ValueError("A power of 0 W: on a flat road nobody rides, and nothing is saved.")
            conditions += all_given(power=power, drivetrain_efficiency=drivetrain_efficiency)
        if drag_area is not None or by_power:
            conditions.append(given("drag_area", drag_area))
        elif power is None:
            conditions.append(_of_some_rider(conditions))
        times = distance / _with_speed(_corners(conditions))["speed"]
        said = span(saved, "min", clock) if max(abs(low), abs(high)) >= 120 else span(saved, "s")
        if high >= np.min(times):
            raise ValueError(say("claim", "whole ride", saved=said, shortest=np.min(times)))
        if low <= -9 * np.max(times):
            raise ValueError(f"A loss of {said.replace('−', '')} is more than nine times the ride itself.")
        how = f" at {power:g} W" if by_power else _at_speed(before.mid if before.stated else None)
        words = f"{said} over {to_kilometres(distance):g} km" + how
        claim = cls._made("time", saved, conditions, words, yaw, about, told, distance)
        claim._refuse_more_than_the_air(high)
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
        """
        low, high = ends_of(saved)
        if not -50 <= low <= high <= 50:
            raise ValueError(f"A mass of {span(saved, 'kg')} is outside −50 to 50 kg. Were grams meant?")
        less = "lighter" if low + high >= 0 else "heavier"
        unit, scale = ("g", 1000.0) if max(abs(low), abs(high)) < 1 else ("kg", 1.0)
        words = span((scale * abs(low), scale * abs(high)), f"{unit} {less}")
        return cls._made("mass", saved, [], words, 0.0, "other", told)

    @classmethod
    def _made(cls, kind, saved, conditions, words, yaw, about, told, distance=None):
        unknown = set(told) - set(EVIDENCE)
        if unknown:
            raise ValueError(f"'{min(unknown)}' is not asked; told are {', '.join(EVIDENCE)}.")
        runs, spread = told.get("runs"), told.get("spread")
        if runs is not None and not (_is_number(runs) and 1 <= runs <= 10_000 and runs % 1 == 0):
            raise ValueError("The number of runs must be a whole number from 1 to 10000.")
        if spread is not None and not (_is_number(spread) and 0 <= spread < np.inf):
            raise ValueError("The spread must be a standard deviation, at least 0.")
        middle, figure = _claimed(saved, runs, spread)
        conditions = [*conditions, figure] if figure else conditions
        claim = cls(kind, middle, tuple(conditions), words, yaw=yaw, about=about, distance=distance, **told)
        area = claim.drag_area_change.mid
        if kind in ("watts", "force") and abs(area) > MOST:
            raise ValueError(say("claim", "more than a rider", words=words, area=area))
        return claim

    # -- the drag area behind it ----------------------------------------------------------------

    @property
    def drag_area_change(self):
        """The drag area behind the claim [m2], over all that it leaves open: an `Estimate` of level 1.

        Positive where the drag area falls. The ends are those of the whole box of conditions:
        no choice inside their ranges lies outside, and a corner that no ride can have (tyres that
        push) ends where the tyres take nothing. The spread between runs, where it is told,
        enters with its 95 % interval.
        """
        mid = float(self._areas(self._middles))
        areas = np.append(self._areas(_corners(self.conditions)), mid)
        return Estimate(float(areas.min()), mid, float(areas.max()), 1.0)

    @property
    def asks_for_a_speed(self):
        """Whether its watts or grams are told without the speed, on which nearly all hangs."""
        return self.kind in ("watts", "force") and any(
            c.name == "speed" and not c.stated for c in self.conditions
        )

    def draws(self, n=DRAWS, seed=SEED):
        """Draws of the drag area behind the claim, each condition drawn on its own [m2].

        A condition is drawn alike in every claim that leaves it open. Watts and grams without a
        speed are counted at the fastest usual speed of a test: the least that they can mean.
        Draws that no ride can be (tyres that push, a drag area below 0) are drawn again.

        Parameters
        ----------
        n, seed : int

        Returns
        -------
        (n,) array [m2]

        Source: JCGM101
        """
        streams = [(c, c.stream(seed)) for c in self.conditions]
        kept = np.empty(0)
        while len(kept) < n:  # the middle is possible, so that a good part of the draws is
            drawn = {c.name: c.drawn(stream, n) for c, stream in streams}
            if self.asks_for_a_speed:
                drawn["speed"] = np.full(n, TEST_SPEEDS[-1])
            areas, possible = (np.broadcast_to(f(drawn), n) for f in (self._areas, self._possible))
            kept = np.append(kept, areas[possible])
        return kept[:n]

    @property
    def dials(self):
        """Each condition turned from end to end alone: a tuple of `Dial`, the widest first."""
        found = []
        for c in self.conditions:
            ends = [float(self._areas({**self._middles, c.name: end})) for end in (c.low, c.high)]
            found.append(Dial(c, min(ends), max(ends)))
        return tuple(sorted(found, key=attrgetter("width"), reverse=True))

    @property
    def missing(self):
        """What the claim does not say, in words."""
        unstated = [c.words for c in self.conditions if not c.stated]
        return (*unstated, *(EVIDENCE[name][0] for name in self._silent))

    @property
    def _silent(self):
        """What of the evidence is not told, by name."""
        return [name for name in EVIDENCE if getattr(self, name) in (None, "")]

    @property
    def unproved(self):
        """Why nothing shows yet that it is more than chance; empty where its own runs do."""
        if self.measured is False:
            return say("unproved", "computed")
        if self.runs == 1:
            return say("unproved", "one run")
        if self.spread == 0:
            return say("unproved", "no spread")
        return say("unproved", "silent") if self._silent else ""

    @property
    def first_question(self):
        """What to ask the seller first: how it was found, then whatever moves it most."""
        if self.measured is False:
            return "Has anybody measured it?"
        if self.runs == 1:
            return MORE_RUNS
        for name, (_, question) in EVIDENCE.items():
            if name in self._silent or name == "spread" and self.spread == 0:
                return question
        return next((d.condition.question for d in self.dials if not d.condition.stated), "")

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
        """
        needs(Claim, other=other)
        mine, theirs = self.drag_area_change, other.drag_area_change
        both = (*self.conditions, *(c for c in other.conditions if c not in self.conditions))

        def apart(values):  # how far the drag areas are apart; one row a condition
            mine = {c.name: values[i] for i, c in enumerate(self.conditions)}
            return other._areas({c.name: values[both.index(c)] for c in other.conditions}) - self._areas(mine)

        middles = np.array([[c.mid] for c in both])
        corners = np.array(list(product(*(c.ends for c in both)))).T
        found, middle = apart(corners), apart(middles)
        agree = bool(np.min(found) <= 0 <= np.max(found))
        ratio = theirs.mid / mine.mid if mine.mid else np.inf if theirs.mid else 1.0
        if agree:
            across = np.broadcast_to(found * middle <= 0, corners.shape[1])  # from one side to the other
            at = _meeting(apart, middles, corners[:, across])
            told = [words for c, x in zip(both, at) if not c.stated and (words := _setting(c, x))]
            needed = f"They agree, for example, with {'; '.join(told)}." if told else ""
        else:
            needed = " ".join(filter(None, (self._instead(other), other._instead(self))))
        said = f"{self.words} means {_area(mine)}; {other.words} means {_area(theirs)}."
        outcome = say("claim", "both true" if agree else "not both true")
        return Consistency(agree, ratio, needed, f"{said} {outcome} {needed}".strip())

    def _instead(self, other):
        """What this claim would have to say, were the other's number true; empty where it is no help."""
        if self.kind != "time":
            return ""
        c, area = self._middles, other.drag_area_change
        factor, longest = c.get("yaw", 1.0), 0.9 * self.distance / _with_speed(c)["speed"]

        def area_of(seconds):
            return factor * _area_of_seconds(seconds, self.distance, c)

        if not 0 < area.low <= area.high <= area_of(longest):
            return ""
        low, high = (
            clock(crossing(lambda seconds, end=end: area_of(seconds) - end, 0.0, longest, "", 1e-9))
            for end in (area.low, area.high)
        )
        gaps = {"words": other.words, "distance": self.distance, "said": clock(abs(self.saved))}
        return say("claim", "instead", low=low, high=high, **gaps)

    @property
    def _middles(self):
        return {c.name: c.mid for c in self.conditions}

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
        return factor * _area_of_seconds(saved, self.distance, c)

    def _refuse_more_than_the_air(self, saved):
        """Refuse a saving that no fall of drag could give."""
        c = _with_speed(self._middles)
        start, constant = _start(c)
        if constant < 0 or start <= 0:
            raise ValueError(say("claim", "does not fit", words=self.words))
        area = float(_area_of_seconds(saved, self.distance, c))
        if area >= start:
            force = c["air_density"] / 2 * start * c["speed"] ** 2 + constant
            most = self.distance / c["speed"] * (1 - constant / force)
            raise ValueError(say("claim", "more than the air", words=self.words, start=start, most=most))
        after = self.distance / (self.distance / c["speed"] - saved)
        fastest = QUANTITIES["speed"].high
        if after > fastest:
            raise ValueError(say("claim", "too fast after", words=self.words, after=after, fastest=fastest))

    # -- for one rider --------------------------------------------------------------------------

    def for_rider(self, rider, course, power, air_density=1.2, wind_speed=0.0, wind_from=0.0, **asked):
        """What the claim comes to for a rider on a course, and a verdict: `verdicts.judge`."""
        return judge(self, rider, course, power, air_density, wind_speed, wind_from, **asked)


def span(saved, unit, out_of_si=float):
    """`20 W`, `15 to 20 W`, `up to 20 W`, with a true minus."""
    shown = (out_of_si(end) for end in ends_of(saved))
    low, high = (true_minus(x if isinstance(x, str) else f"{float(x):.4g}") for x in shown)
    if low == high:
        return f"{high} {unit}"
    return f"up to {high} {unit}" if low in ("0", "0:00") else f"{low} to {high} {unit}"


# -- parts ----------------------------------------------------------------------------------------


def ends_of(saved):
    """(low, high) of a number, or of a range as it is quoted."""
    ends = saved if isinstance(saved, (tuple, list)) else (saved, saved)
    if len(ends) != 2 or not all(_is_number(end) for end in ends):
        raise ValueError(f"A saving is one number, or the two ends of its range; {saved!r} is neither.")
    return float(min(ends)), float(max(ends))


def _claimed(saved, runs, spread):
    """The middle of a claim's number, and the condition of where in its range it is, or None.

    saved: a number, or its (low, high) where it is quoted as a range: `15 to 20 W`, and 0 to 20
    for `up to 20 W`. The spread of its own runs widens it. It is that of the difference of two
    means of n runs each: spread sqrt(2/n), Student's t with 2(n - 1) degrees of freedom. One run of
    each tells no spread of its own: the one that is given counts as known as badly as that of two,
    so that one run is never surer than two.
    """
    low, high = ends_of(saved)
    half, dof = 0.0, None
    if runs is not None and spread:
        dof = 2 * (max(int(runs), 2) - 1)
        half = half_width(spread * np.sqrt(2 / runs), dof)
    middle = (low + high) / 2
    if low < high:
        return middle, between("saved", low - half, middle, high + half, told="quoted")
    return middle, between("saved", low - half, middle, high + half, True, dof) if half else None


def _speed_before(distance, ride_time, speed):
    """The speed before the change [m/s], from the ride time or as it is told."""
    if ride_time is not None and speed is not None:
        raise ValueError("The ride time and the speed are both given. Keep one: the other follows from it.")
    if ride_time is None:
        return moving(speed, told="ride_time")
    time = _seconds("ride time", ride_time)
    fastest = QUANTITIES["speed"].high
    if not time > 0 or distance / time > fastest:
        minutes = time > 0 and distance / (60 * time) < fastest
        guess = f" Were {ride_time:g} minutes meant?" if minutes else ""
        gaps = {"time": time, "distance": distance, "fastest": fastest, "guess": guess}
        raise ValueError(say("claim", "too fast before", **gaps))
    return given("speed", distance / time)


def _seconds(name, value):
    """A number of seconds, checked."""
    if not _is_number(value) or not np.isfinite(value):
        raise ValueError(f"The {name} must be a number of seconds.")
    return float(value)


def _is_number(value):
    """Whether it is one real number."""
    return np.ndim(value) == 0 and np.asarray(value).dtype.kind in "iuf"


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


def _meeting(apart, middles, corners):
    """Where a difference is 0 on the way to one of the corners, as near to the middle as it is."""
    start = np.sign(apart(middles))
    low, high = np.zeros(corners.shape[1]), np.ones(corners.shape[1])
    for _ in range(40):
        half = (low + high) / 2
        before = np.sign(apart(middles + half * (corners - middles))) == start
        low, high = np.where(before, half, low), np.where(before, high, half)
    nearest = int(np.argmin(high))
    return middles[:, 0] + high[nearest] * (corners[:, nearest] - middles[:, 0])


def _setting(condition, value):
    """An open condition with its value, in words; empty where people do not speak of it."""
    if condition.name == "speed" and condition.words == TOLD["ride_time"][0]:
        return f"a ride at {to_kmh(value):.0f} km/h before"
    return {
        "speed": f"a test at {to_kmh(value):.0f} km/h", "air_density": f"air of {value:.2f} kg/m³",
        "drag_area": f"a rider of {value:.2f} m²", "all_up_mass": f"{value:.0f} kg all up",
    }.get(condition.name, "")  # fmt: skip


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
    return {**c, "speed": steady_speed(rider, Conditions(c["air_density"]), c["power"])}


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
    return between("drag_area", low, (low + high) / 2, high)


def _area(found):
    if found.low == found.high:
        return f"{found.mid:.4f} m²"
    return f"{found.mid:.4f} m² ({found.low:.4f} to {found.high:.4f})"


def _at_speed(speed):
    return "" if speed is None else f" at {to_kmh(float(speed)):.4g} km/h"

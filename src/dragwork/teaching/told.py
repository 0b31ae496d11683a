"""A claim in the words in which it is heard: `15 to 20 W at 50`, `20 minutes over 180 km`.

One reader for the clinic's form, for the claim of the page and for the options: it finds the
numbers, what each is of, and the conditions told beside them.
"""

import re
from dataclasses import dataclass, replace

from dragwork.decisions.claims import Claim
from dragwork.quantities import QUANTITIES
from dragwork.teaching.answers import DIGITS, PLAIN, as_float, parse_quantity
from dragwork.units import UNITS, unit_of, units_written

_KINDS = {  # the kind of a claim: unit where none is typed, what it is called
    "watts": ("W", "watts"),
    "time": ("s", "a time"),
    "percent": ("%", "a percentage"),
    "force": ("gf", "grams of drag"),
    "mass": ("kg", "a mass"),
}
_KIND_OF = {"power": "watts", "time": "time", "plain number": "percent", "force": "force", "mass": "mass"}
_CONDITIONS = {"speed": "speed", "distance": "distance", "angle": "yaw", "density": "air_density"}

_NUMBER = re.compile(rf"(?<![\d.,])((?:[+-]\s?)?(?:\d+(?::\d\d){{1,2}}(?:[.,]\d+)?|{DIGITS}))")
_UNIT = re.compile(r"\s*((?:[^\s\d,;()]+\s+){0,3}[^\s\d,;()]+)")
_TO = re.compile(r"\s*(?:to|or|-|\.\.\.?|…)\s*$")
_PER_LENGTH = re.compile(r"\b(?:per|an?|each|every)\s+(km|kilomet(?:re|er)|mi|mile)\b")
_UP_TO = re.compile(r"\b(?:up to|as much as|at (?:the )?(?:most|best)|no more than|a maximum of|max\.?|less than)\s*$|[≤<]=?\s*$")
_AT = re.compile(r"(?:\b(?:at|with|doing)|@)\s*(?:about|around|roughly|~)?\s*$")
_IN = re.compile(r"\b(?:in|within|ride of|ride time(?: of)?|takes?|took)\s*(?:about|around|~)?\s*$")
_OVER = re.compile(r"\b(?:over|per|for|on)\s*(?:about|around|~)?\s*$")
_LOST = re.compile(r"\b(?:loses?|lost|slower|heavier|more drag)\b")
_MORE_POWER = re.compile(r"\b(?:more|extra|additional|higher)\s+(?:power|watts)\b")
_OF_DRAG = re.compile(r"\b(?:of|less) (?:aero(?:dynamic)? )?drag\b")
_OF_MASS = re.compile(r"\b(?:lighter|lightweight|weigh\w*|mass|off the (?:bike|bicycle))\b")
_MONEY_AFTER = re.compile(r"\s*(?:€|\$|£|eur\b|euros?\b|gbp\b|usd\b|dollars?\b|pounds sterling\b)")
_EXAMPLE = "Write it as it is printed, such as 20 W at 50 km/h, or 1 min 30 s over 40 km."


@dataclass(frozen=True)
class Told:
    """What a line of words tells, in SI.

    .numbers, a dict of kind ('watts', 'time', 'percent', 'force', 'mass') to (low, high); and what
    is told beside them, None where it is not: .speed .distance .ride_time .yaw .air_density .power
    (of the rider) .at ('air', 'crank'); .speed_of, the kinds of
    the numbers that the speed stood beside.
    """

    numbers: dict
    speed: float | None = None
    distance: float | None = None
    ride_time: float | None = None
    yaw: float | None = None
    air_density: float | None = None
    power: float | None = None
    at: str | None = None
    speed_of: tuple = ()

    def for_(self, kind, first):
        """What is told of one of its numbers: a speed beside another number is not the ride's own.

        first: the kind that was chosen, of which a speed without a number beside it is told.
        """
        return self if kind in (self.speed_of or (first,)) else replace(self, speed=None)

    def with_(self, **others):
        """The same with more told; refused in words where the two do not agree."""
        for name, value in others.items():
            mine = getattr(self, name)
            if None not in (mine, value) and abs(mine - value) > 0.005 * abs(mine):
                word = name.replace("_", " ")
                raise ValueError(f"The {word} is told twice, and not alike. Keep one of the two.")
        more = {n: v for n, v in others.items() if v is not None}
        return replace(self, **more, **({"speed_of": ()} if "speed" in more else {}))


@dataclass
class _Found:
    """A number in the line: its ends, the unit behind it (None: none), the words in front."""

    low: float
    high: float
    unit: object
    lead: str
    text: str
    clock: bool = False


def read_told(text, kind):
    """Read a claim as somebody says it.

    Parameters
    ----------
    text : str
    kind : str
        What it was chosen to be: 'watts', 'time', 'percent', 'force', 'mass', or 'distance' for a
        box that asks for the road. Decides what a number without a unit, or in grams, means.

    Returns
    -------
    Told

    Raises
    ------
    ValueError
        No number, a number that has no place here, or another kind than was chosen; in words.

    Examples
    --------
    >>> told = read_told("15 to 20 W at 50", "watts")
    >>> told.numbers, round(told.speed * 3.6, 9)
    ({'watts': (15.0, 20.0)}, 50.0)
    """
    plain = " ".join(str(text).translate(PLAIN).casefold().split())
    plain = re.sub(r"±|\+/-", " ± ", re.sub(r"/\s*(?=(?:km|mi|mile)\b)", " per ", plain))
    if not plain:
        raise ValueError(f"Nothing typed yet. {_EXAMPLE}")
    if _MORE_POWER.search(plain):
        raise ValueError("More power is training, not less drag: notebook 11 takes it as an option.")
    numbers, told = {}, {}
    length = _PER_LENGTH.search(plain)
    if length:
        told["distance"] = float(unit_of(length[1], "distance").into_si(1.0))
    for found in _numbers(plain, kind):
        name, low, high = _placed(found, plain, kind)
        kept = numbers if name in _KINDS else told
        if name == "speed" and numbers:
            told["speed_of"] = (*told.get("speed_of", ()), list(numbers)[-1])
        if name in kept and (name in _KINDS or kept[name] != low):
            raise ValueError(f"'{found.text}' does not fit beside the other number. Keep one.")
        kept[name] = (low, high) if name in _KINDS else low
        if name not in _KINDS and low != high:
            raise ValueError(f"'{found.text}': give one number here, not a range.")
    told["ride_time"] = _possible(told)
    if kind in _KINDS and kind not in numbers:
        if not numbers:
            raise ValueError(f"'{text}' is not read as {_KINDS[kind][1]}. {_EXAMPLE}")
        other = _KINDS[next(iter(numbers))][1]
        raise ValueError(f"'{text}' tells {other}, not {_KINDS[kind][1]}. Choose that above.")
    if _LOST.search(plain):
        numbers = {k: tuple(sorted((-abs(a), -abs(b)))) for k, (a, b) in numbers.items()}
    if re.search(r"\b(?:crank|pedals?)\b", plain):
        told["at"] = "crank"
    elif re.search(r"\b(?:in the air|at the wheel)\b", plain):
        told["at"] = "air"
    ride = told.pop("ride_time")
    return Told(numbers, ride_time=ride[0] if ride else None, **told)


def claim_of(kind, told, about="other", at="air", drag_area=None, of="drag", **evidence):
    """The claim that a line tells, of one kind.

    Parameters
    ----------
    kind : str
        'watts', 'time', 'percent', 'force' or 'mass'.
    told : Told
    about, at, drag_area, of
        As `Claim.watts` and `Claim.percent` take them; `at` only where the line does not say it.
    **evidence
        who, compared_with, measured, runs, spread.

    Returns
    -------
    Claim

    Raises
    ------
    ValueError
        Outside the ranges, or a time without its distance, in words.
    """
    saved = told.numbers[kind]
    saved = saved[0] if saved[0] == saved[1] else saved
    if kind == "mass":
        return Claim.mass(saved, **evidence)
    told_too = {"yaw": told.yaw, "about": about, **evidence}
    speed = told.speed
    if kind == "percent" and of == "drag":
        return Claim.percent(saved, drag_area=drag_area, **told_too)
    told_too["air_density"] = told.air_density
    if kind == "time":
        if told.distance is None:
            raise ValueError("Over what distance? A time saved says little without its road.")
        if told.ride_time is not None:
            speed = None
        return Claim.time(saved, told.distance, told.ride_time, speed, told.power, drag_area, **told_too)
    if speed is None and told.distance and told.ride_time:
        speed = told.distance / told.ride_time
    if kind == "watts":
        return Claim.watts(saved, speed, told.at or at, **told_too)
    if kind == "force":
        return Claim.force(saved, speed, **told_too)
    return Claim.percent(saved, of, drag_area=drag_area, speed=speed, **told_too)


# -- parts ------------------------------------------------------------------------------------------


def _numbers(plain, kind):
    """The numbers of a line in their order, ranges and times of several parts made one."""
    found, place = [], 0
    for match in _NUMBER.finditer(plain):
        start = match.start()
        if start < place or start > place and plain[start - 1].isalpha():
            continue  # behind a letter only where a unit ended there: `1m30s`, never `BL7`
        lead, after = plain[place:start], plain[match.end() :]
        if _MONEY_AFTER.match(after) or re.search(r"[€$£]\s*$", lead):
            continue
        unit, length = _unit_behind(after)
        place = match.end() + length
        number, clock = _read(match[1])
        each = _Found(number, number, unit, lead, plain[start:place].strip(), clock)
        last = found[-1] if found else None
        if last and _joined(last, each):
            continue
        found.append(each)
    return found


def _joined(last, each):
    """Whether a number goes on with the one before it, which takes it up: a range, or a time."""
    alike = last.unit is None or each.unit is None or _share_a_kind(last.unit, each.unit)
    ends = _TO.match(each.lead) or (each.lead.strip() == "and" and re.search(r"between\s*$", last.lead))
    if ends and alike and last.low == last.high:
        scale = 1.0
        if last.unit and each.unit and last.unit[0] is not each.unit[0]:
            scale = last.unit[0].into_si(1.0) / each.unit[0].into_si(1.0)
        last.low, last.high = sorted((last.low * scale, abs(each.low) if last.low >= 0 else each.low))
    elif each.lead.strip() == "±" and alike:
        last.low, last.high = last.low - each.low, last.low + each.low
    elif _is_time(last) and each.lead.strip() in ("", "and", ",") and (each.unit is None or _is_time(each)):
        bigger = _time(last)
        smaller = _time(each) if each.unit else UNITS[{"h": "min", "min": "s"}.get(bigger.name, "s")]
        if not bigger.into_si(1) > smaller.into_si(1):
            return False
        sign = -1 if last.low < 0 else 1
        seconds = bigger.into_si(last.low) + sign * smaller.into_si(each.low)
        last.low = last.high = float(smaller.out_of_si(seconds))
        last.unit, last.text = (smaller,), f"{last.text} {each.text}"  # what follows is smaller still
        return True
    else:
        return False
    last.unit, last.text = each.unit or last.unit, f"{last.text}{each.lead}{each.text}"
    return True


def _share_a_kind(ours, theirs):
    return bool({u.measures for u in ours} & {u.measures for u in theirs})


def _time(found):
    return next((u for u in found.unit or () if u.measures == "time"), None)


def _is_time(found):
    return _time(found) is not None and not found.clock


def _unit_behind(after):
    """The units that the words behind a number write, and how many letters they take."""
    words = _UNIT.match(after)
    while words:
        units = units_written(words[1].rstrip(".!?"))
        if units:
            return units, words.end(1)
        shorter = words[1].rpartition(" ")[0].rstrip()
        words = shorter and re.match(rf"\s*({re.escape(shorter)})", after)
    return None, 0


def _read(digits):
    """A number, or a time with colons in seconds."""
    if ":" in digits:
        return parse_quantity(digits, "s"), True
    return as_float(digits.replace(" ", "") if digits[:1] in "+-" else digits), False


def _placed(found, plain, kind):
    """What a number is of, and its two ends in SI."""
    unit = None
    if found.clock:
        measures, unit = "time", UNITS["s"]
    elif found.unit:
        unit = _chosen(found, plain, kind)
        measures = unit.measures
    elif _AT.search(found.lead):
        measures, unit = "speed", UNITS["km/h"]
    elif kind == "distance" or _OVER.search(found.lead):
        measures, unit = "distance", UNITS["km"]
    elif kind in _KINDS:
        unit = UNITS[_KINDS[kind][0]]
        measures = unit.measures
    else:
        raise ValueError(f"'{found.text}' has no unit. {_EXAMPLE}")
    low, high = (float(unit.into_si(end)) for end in (found.low, found.high))
    if measures == "power" and _AT.search(found.lead):
        return "power", low, high
    if measures == "time" and (_IN.search(found.lead) or kind == "distance"):
        return "ride_time", low, high
    if measures in _CONDITIONS:
        return _CONDITIONS[measures], low, high
    if measures not in _KIND_OF:
        raise ValueError(f"'{found.text}' has no place here. {_EXAMPLE}")
    if _UP_TO.search(found.lead):
        low = min(0.0, high)
    return _KIND_OF[measures], low, high


def _chosen(found, plain, kind):
    """The unit that is meant: grams of drag or of mass, by the words beside them or by the choice."""
    kinds = {u.measures: u for u in found.unit}
    if {"force", "mass"} <= kinds.keys():
        drag, mass = _OF_DRAG.search(plain), _OF_MASS.search(plain)
        if bool(drag) != bool(mass):
            return kinds["force" if drag else "mass"]
        return kinds["force" if kind == "force" else "mass"]
    known = _KIND_OF.keys() | _CONDITIONS.keys()
    return next((unit for unit in found.unit if unit.measures in known), found.unit[0])


def _possible(told):
    """The ride time as (seconds,); `40 km in 1:06` is hours and minutes where seconds cannot be."""
    time = told.get("ride_time")
    if time is None:
        return None
    fastest = QUANTITIES["speed"].high
    if "distance" in told and told["distance"] / time > fastest:
        time *= 60
    return (time,)

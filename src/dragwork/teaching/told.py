"""A claim in the words in which it is heard: `15 to 20 W at 50`, `20 minutes over 180 km`.

One reader for the clinic's form, for the claim of the page and for the options: it finds the
numbers, what each is of, the conditions told beside them, and of which sort the claim is.
"""

import re
from dataclasses import dataclass, replace
from math import prod

from dragwork.decisions.claims import Claim
from dragwork.decisions.conditions import ONE_PART
from dragwork.files import text_of
from dragwork.quantities import QUANTITIES
from dragwork.teaching.answers import DIGITS, PLAIN, as_float, parse_quantity
from dragwork.units import UNITS, kilometres, to_percent, unit_of, units_written

_KIND_OF = {"power": "watts", "time": "time", "plain number": "percent", "force": "force", "mass": "mass"}
_CLAIMED = frozenset(_KIND_OF.values())  # the numbers that are judged as a claim
_CONDITIONS = {"speed": "speed", "distance": "distance", "angle": "yaw", "density": "air_density"}

_NUMBER = re.compile(rf"(?<![\d.,])((?:[+-]\s?)?(?:\d+(?::\d\d){{1,2}}(?:[.,]\d+)?|{DIGITS}))")
_UNIT = re.compile(r"\s*((?:[^\s\d,;()]+\s+){0,3}[^\s\d,;()]+)")
_UNIT_WITH_POWER = re.compile(r"\s*([a-z/]+[23])\b")  # m2, kg/m3
_TO = re.compile(r"\s*(?:to|or|-|\.\.\.?|…)\s*$")
_PER_LENGTH = re.compile(r"\b(?:per|an?|each|every)\s+(km|kilomet(?:re|er)|mi|mile)\b")
_UP_TO = re.compile(r"\b(?:up to|as much as|at (?:the )?(?:most|best)|no more than|a maximum of|max\.?|less than)\s*$|[≤<]=?\s*$")
_AT = re.compile(r"\b(?:at|with|doing|speed|speed of)\s*(?:about|around|roughly|~)?\s*$")
_IN = re.compile(r"\b(?:in|within|ride of|ride time(?: of)?|takes?|took)\s*(?:about|around|~)?\s*$")
_OVER = re.compile(r"\b(?:over|per|for|on)\s*(?:an?\s|the\s|about|around|~)?\s*$")
_FASTER = re.compile(r"\s*(?:faster|quicker|more speed|of speed|extra speed|higher speed)\b")
_MONEY_AFTER = re.compile(r"\s*(?:€|\$|£|eur\b|euros?\b|gbp\b|usd\b|dollars?\b|pounds sterling\b)")


# Name to pattern: what `claim_words.md` has under each heading, a phrase a line.
_SECTIONS = (section.partition("\n") for section in text_of(__package__, "claim_words.md").split("\n## ")[1:])
_WORDS = {name: re.compile("|".join(re.findall("^- `(.*)`$", phrases, re.M))) for name, _, phrases in _SECTIONS}


def _said(plain):
    """The names of what a line says."""
    return {name for name, phrases in _WORDS.items() if phrases.search(plain)}


_ABOUT = ("shelter", "wheels", "frame", "position")  # the first of them that its words name

_EXAMPLE = "Write it as it is printed, such as 20 W at 50 km/h, or 1 min 30 s over 40 km."
_NUMBER_WORDS = dict(
    zip("one two three four five six seven eight nine ten twelve fifteen twenty thirty forty fifty sixty".split(),
        (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 15, 20, 30, 40, 50, 60))
)  # fmt: skip
_COUNTED = r"(?:%|(?:watts?|w|minutes?|mins?|seconds?|secs?|hours?|grams?|kilos?|kilograms?|km|kilomet\w+|miles?|runs|tests|passes|riders)\b)"
_SAID_AS = (  # how people say a number, and how it is written
    (r"@", " at "),
    (r"\b(?:minus|negative) (?=[\d.,])", "-"),
    (r"±|\+/-", " ± "),
    (r"/\s*(?=(?:km|mi|mile)\b)|(?<=[a-z])\s?/\s?(?=\d)", " per "),
    (r"\s*\b(?:per ?cent|percent|pct)\b", " %"),
    (r"\bhalf an? hour\b", "30 min"),
    (r"\b(?:a )?quarter of an hour\b", "15 min"),
    (r"\bhalf a minute\b", "30 s"),
    (r"(^|\b(?:saves?|worth|gives?|gains?|about|least|costs?|takes?|off|you|me|by|over|in|to|than)\s)an?\s(?=(?:hour|minute|second|watt|kilo|kilogram|gram|pound)\b)", r"\g<1>1 "),
    (rf"\b({'|'.join(_NUMBER_WORDS)})(?=\s{_COUNTED})", lambda m: str(_NUMBER_WORDS[m[1]])),
    (rf"\bat ({'|'.join(_NUMBER_WORDS)})\b", lambda m: f"at {_NUMBER_WORDS[m[1]]}"),
    (rf"\b({'|'.join(_NUMBER_WORDS)})(?=\s(?:to|or|and|-)\s\d)", lambda m: str(_NUMBER_WORDS[m[1]])),
    (r"(?<=\d) (more|extra|additional) (watts?|w|%)", r" \g<2> \g<1>"),
    (r"\b(more|extra|additional) ([\d.,]+) ?(watts?\b|w\b|%)", r"\g<2> \g<3> \g<1>"),
    (r"(?<=\d)-(?=[a-z])", " "),
    (r"\bfor \d+ ?% of the (?:price|cost|money)\b", ""),
    (r"\b(?:by|with|in|over|after|from)?\s*\d+\s(?:riders?|athletes?|people|cyclists?|years?|months?|weeks?|days?|seasons?|sessions?)\b", " "),
)  # fmt: skip
_RUNS = re.compile(r",?\s*\b(?:in|over|from|of|best of|the best of|mean of|after)?\s*(\d+)\s(?:runs|passes|tests|repeats)\b")
_TERM = r"\d+(?:[.,]\d+)?\s?(?:%|watts?|w\b)?"
_SUM = re.compile(rf"(?<![\d.,])({_TERM}(?:\s*(?:\+|\bplus\b|\band\b|&|,(?=\s))+\s*(?:and\s)?{_TERM})+)(?![\d:/])")
_NO_SUM = re.compile(r"\b(?:between|at|over|for|in|with|from|to)\s*$")


@dataclass(frozen=True)
class Told:
    """What a line of words tells, in SI.

    .sort: 'watts', 'time', 'percent', 'force' or 'mass', which are judged as a claim of drag or
    mass; 'power' (more power for the legs, or a drivetrain that takes less), 'rolling' (tyres),
    'sense' (the faster gain more), 'crosswind' (without a number), 'share' (most of a step).
    .numbers, a dict of kind to (low, high); .text, the line; and what is told beside them, None where it is not:
    .speed .distance .ride_time .yaw .air_density .power (of the rider) .at ('air', 'crank') .of
    ('drag', 'power') .part (1, the whole; `ONE_PART`, of a part) .drag_area .runs; .about; .parts, the percentages of a sum;
    .speed_of, the kinds of the numbers that the speed stood beside; .crosswind, .drivetrain.
    """

    sort: str
    numbers: dict
    text: str = ""
    speed: float | None = None
    distance: float | None = None
    ride_time: float | None = None
    yaw: float | None = None
    air_density: float | None = None
    power: float | None = None
    at: str | None = None
    of: str | None = None
    part: object = None
    drag_area: float | None = None
    runs: int | None = None
    about: str = "other"
    parts: tuple = ()
    speed_of: tuple = ()
    crosswind: bool = False
    drivetrain: bool = False

    @property
    def is_claim(self):
        """Whether it is judged as drag or mass."""
        return self.sort in _CLAIMED

    def only(self):
        """The same; refused in words where it is no claim of drag or mass, or gives two numbers."""
        if not self.is_claim or len(self.numbers) > 1:
            what = "gives two numbers" if self.is_claim else "is not about drag or mass alone"
            raise ValueError(
                f"This claim {what}. Here, keep one number of drag or mass; the claims clinic, notebook 10, "
                "answers the rest."
            )
        return self

    def with_(self, **others):
        """The same with more told; refused in words where the two do not agree."""
        for name, value in others.items():
            mine = getattr(self, name)
            if None not in (mine, value) and abs(mine - value) > 0.005 * abs(mine):
                word = name.replace("_", " ")
                raise ValueError(f"The {word} is given twice, with different values. Keep one of the two.")
        more = {n: v for n, v in others.items() if v is not None}
        return replace(self, **more, **({"speed_of": ()} if "speed" in more else {}))


@dataclass
class _Found:
    """A number in the line, or both ends of a range; the units it may have; the words around it."""

    ends: list
    units: tuple
    lead: str
    text: str
    after: str


def read_told(text):
    """Read a claim as somebody says it.

    Parameters
    ----------
    text : str

    Returns
    -------
    Told

    Raises
    ------
    ValueError
        No number where one is needed, or one that has no place here, in words.

    Examples
    --------
    >>> told = read_told("15 to 20 W at 50")
    >>> told.numbers, round(told.speed * 3.6, 9)
    ({'watts': (15.0, 20.0)}, 50.0)
    >>> read_told("2 % more power").sort, read_told("80 g lighter").sort
    ('power', 'mass')
    """
    plain = _plain(text)
    if not plain:
        raise ValueError(f"Nothing typed yet. {_EXAMPLE}")
    runs = _RUNS.search(plain)
    plain, parts = _summed(_RUNS.sub(" ", plain))
    said = _said(plain)
    if "a body" in said:
        raise ValueError("This form is not for body mass. Type what comes off the bicycle, such as 300 g lighter.")
    numbers, told = _read(plain, said)
    sort = _sort(said, numbers)
    if "lost" in said and sort != "sense":
        numbers = {k: tuple(sorted((-abs(a), -abs(b)))) for k, (a, b) in numbers.items()}
    return Told(
        sort, numbers, str(text).strip(), **told, parts=parts, runs=int(runs[1]) if runs else None,
        at="crank" if "at the crank" in said else "air" if "in the air" in said else None,
        of=_of(said) if sort == "percent" else None,
        part=1.0 if "of the whole" in said else ONE_PART if "of a part" in said else None,
        about=next((name for name in _ABOUT if f"about {name}" in said), "other"),
        crosswind="crosswind" in said, drivetrain="drivetrain" in said,
    )  # fmt: skip


def read_road(text):
    """Read a box that asks for the road of a claim: `40`, `25 miles`, `40 km in 1:06:40`.

    Returns
    -------
    dict
        .distance and, where it is told, .ride_time, in SI.
    """
    plain = _plain(text)
    told = _read(plain, _said(plain), road=True)[1]
    if "distance" not in told:
        raise ValueError(f"'{text}' is not read as a distance. Write it in kilometres, such as 40.")
    return {name: told[name] for name in ("distance", "ride_time") if name in told}


def left_out(text):
    """What a claim leaves out that is worth a box: names of fields; none while it is not read."""
    try:
        told = read_told(text)
    except ValueError:
        return frozenset()
    asked = {
        "watts": {"speed", "at", "about"}, "force": {"speed", "about"}, "time": {"distance", "speed", "about"},
        "percent": {"of_what", "speed", "about"} if told.of == "power" else {"of_what", "about"}, "rolling": {"speed"},
    }.get(told.sort, set())  # fmt: skip
    known = {name for name in ("at", "distance") if getattr(told, name) is not None}
    known |= {"of_what"} if told.of == "power" or told.part else set()
    known |= {"speed"} if told.speed or told.ride_time and told.sort == "time" else set()
    return frozenset(asked - known)


def claim_of(told, kind=None, **evidence):
    """The claim of drag or mass that a line tells.

    Parameters
    ----------
    told : Told
    kind : str, optional
        Which of its numbers; the first where it is left out.
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
    kind = kind or told.sort
    low, high = told.numbers[kind]
    saved = low if low == high else (low, high)
    evidence["runs"] = evidence.get("runs") or told.runs
    if kind == "mass":
        return Claim.mass(saved, **evidence)
    # A speed beside another number is not this one's.
    speed = told.speed if kind in (told.speed_of or (told.sort,)) else None
    told_too = {"yaw": told.yaw, "about": told.about, **evidence}
    if kind == "percent" and told.of != "power":
        return Claim.percent(saved, drag_area=told.drag_area, part=told.part, **told_too)
    told_too["air_density"] = told.air_density
    if kind == "time":
        if told.distance is None:
            raise ValueError("Over what distance? A saving in time means little without it.")
        speed = None if told.ride_time is not None else speed
        return Claim.time(saved, told.distance, told.ride_time, speed, told.power, told.drag_area, **told_too)
    if kind == "watts":
        return Claim.watts(saved, speed, told.at, **told_too)
    if kind == "force":
        return Claim.force(saved, speed, **told_too)
    return Claim.percent(saved, "power", drag_area=told.drag_area, speed=speed, **told_too)


# -- what sort --------------------------------------------------------------------------------------


def _sort(said, numbers):
    """Of which sort a line is; refused in words where nothing can be made of it."""
    if "the faster gain more" in said:
        return "sense"
    if "a share of a step" in said and not numbers.keys() - {"percent"}:
        if "about position" not in said:
            raise ValueError(
                "A share of a step needs a sheet with both ends. Lesson 10 has one of clip-on bars: type 'the bars give most "
                "of it'. Your own sheet goes into lesson 12."
            )
        return "share"
    if said & {"more power", "costs power"}:
        if list(numbers) not in ([], ["percent"], ["watts"]):
            raise ValueError("More power is given in percent or in watts. Type one of them, such as 2 % more power.")
        return "power"
    if "drivetrain" in said and "mass" not in numbers:
        if list(numbers) != ["watts"]:
            raise ValueError("A drivetrain saves watts. Type them, such as 3 W from a cleaner chain.")
        return "power"
    if "tyres" in said and "mass" not in numbers:
        if list(numbers) != ["watts"]:
            raise ValueError(
                "Tyres save rolling, not drag. Type their watts and the speed, such as: tyres save 5 W at 40 km/h."
            )
        return "rolling"
    if "lighter" in said and numbers and "mass" not in numbers:
        raise ValueError("Lighter by how many grams? Type what it weighs less, such as 300 g lighter.")
    if "time" in numbers and "uphill" in said:
        raise ValueError(
            "A time on a climb is mostly weight, and does not show the drag. Type the watts with their speed, or the grams."
        )
    if "mass" in numbers and len(numbers) > 1:
        raise ValueError("It gives a weight and another number. Type them one after the other: scales settle the weight.")
    if numbers:
        return next(iter(numbers))
    if "crosswind" in said:
        return "crosswind"
    raise ValueError(f"There is no number in it that says how much. {_EXAMPLE}")


def _of(said):
    """A percentage of what: drag, power, or not told."""
    if "percent of the time" in said:
        raise ValueError("A percentage of the time: type the time itself, such as 1 min over 40 km in 1:06:40.")
    return "drag" if "drag or air" in said else "power" if "power" in said else None


# -- parts ------------------------------------------------------------------------------------------


def _plain(text):
    """The line in small letters, with the numbers that people say written out."""
    plain = " ".join(str(text).translate(PLAIN).casefold().split())
    for said, written in _SAID_AS:
        plain = re.sub(said, written, plain)
    return " ".join(plain.split())


def _summed(plain):
    """The line with a sum worked out, and the percentages of it: `11 + 9 + 14 + 7 %`."""
    for match in _SUM.finditer(plain):
        terms = re.findall(r"(\d+(?:[.,]\d+)?)\s?(%|watts?|w\b)?", match[1])
        units = {"%" if unit == "%" else "w" for _, unit in terms if unit}
        if len(units) != 1 or _NO_SUM.search(plain[: match.start()]):
            continue
        values = [as_float(number) for number, _ in terms]
        if units == {"%"}:
            parts = tuple(value / 100 for value in values)
            total = to_percent(1 - prod(1 - part for part in parts))
        elif re.search(r"\+|plus", match[1]):
            total, parts = sum(values), ()
        else:
            continue
        return f"{plain[: match.start()]}{total:.10g} {units.pop()}{plain[match.end() :]}", parts
    return plain, ()


def _read(plain, said, road=False):
    """The numbers of a line by kind, and what is told beside them."""
    numbers, told = {}, {}
    if length := _PER_LENGTH.search(plain):
        told["distance"] = float(unit_of(length[1], "distance").into_si(1.0))
    for found in _numbers(plain):
        name, low, high = _placed(found, said, road)
        kept = numbers if name in _CLAIMED else told
        if name == "speed" and numbers:
            told["speed_of"] = (*told.get("speed_of", ()), list(numbers)[-1])
        ranged = name in _CLAIMED or name == "faster"
        if name in kept and (ranged or kept[name] != low):
            raise ValueError(f"'{found.text}' does not fit beside the other number. Keep one.")
        if low != high and not ranged:
            raise ValueError(f"'{found.text}': give one number here, not a range.")
        kept[name] = (low, high) if ranged else low
    if 0 < told.get("ride_time", 0.0) < told.get("distance", 0.0) / QUANTITIES["speed"].high:
        told["ride_time"] *= 60  # `40 km in 1:06` is hours and minutes where seconds cannot be
    return _as_time(numbers, told) if "faster" in told else (numbers, told)


def _as_time(numbers, told):
    """A gain of speed as the time that it saves over 40 flat kilometres."""
    gain, was = told.pop("faster"), told.get("speed")
    if was is None or numbers:
        raise ValueError("Faster than what? Write the speed before with it, such as 1 km/h faster at 40 km/h.")
    told.setdefault("distance", float(kilometres(40)))
    saved = tuple(told["distance"] / was - told["distance"] / (was + (g if isinstance(g, float) else was * g[0])) for g in gain)
    return {"time": saved}, {**told, "speed_of": ("time",)}


def _numbers(plain):
    """The numbers of a line in their order, ranges and times of several parts made one."""
    found, place = [], 0
    for match in _NUMBER.finditer(plain):
        start = match.start()
        if start < place or start > place and plain[start - 1].isalpha():
            continue  # behind a letter only where a unit ended there: `1m30s`, never `BL7`
        lead, after = plain[place:start], plain[match.end() :]
        if _MONEY_AFTER.match(after) or re.search(r"[€$£]\s*$", lead):
            continue
        units, length = _units_behind(after)
        place = match.end() + length
        clock = ":" in match[1]
        number = parse_quantity(match[1], "s") if clock else as_float(match[1])
        units = (UNITS["s"],) if clock else units
        each = _Found([number], units, lead, plain[start:place].strip(), plain[place:])
        if not found or not _joined(found[-1], each):
            found.append(each)
    return found


def _joined(last, each):
    """Whether a number goes on with the one before it, which takes it up: a range, or a time."""
    lead, both = each.lead.strip(), last.units and each.units
    alike = not both or {u.measures for u in last.units} & {u.measures for u in each.units}
    bigger, smaller = _time(last), _time(each)
    if bigger and not each.units:
        smaller = UNITS["min" if bigger.name == "h" else "s"]  # what follows is smaller still
    to = _TO.match(each.lead) or lead == "and" and re.search(r"between\s*$", last.lead)
    first, number = last.ends[0], each.ends[0]
    if to and alike and len(last.ends) == 1:
        scale = last.units[0].into_si(1.0) / each.units[0].into_si(1.0) if both else 1.0
        last.ends = [first * scale, abs(number) if first >= 0 else number]
    elif lead == "±" and alike:
        last.ends = [first - number, first + number]
    elif lead in ("", "and", ",") and bigger and smaller and bigger.into_si(1) > smaller.into_si(1):
        *before, end = (float(smaller.out_of_si(bigger.into_si(each))) for each in last.ends)
        last.ends = [*before, end - number if end < 0 else end + number]
        each.units = (smaller,)
    else:
        return False
    last.units, last.text, last.after = each.units or last.units, f"{last.text}{each.lead}{each.text}", each.after
    return True


def _time(found):
    return next((unit for unit in found.units if unit.measures == "time"), None)


def _units_behind(after):
    """The units that the words behind a number write, and how many letters they take."""
    words = _UNIT_WITH_POWER.match(after) or _UNIT.match(after)
    spelling = words[1] if words else ""
    while spelling:
        units = units_written(spelling.rstrip(".:!?"))
        if units:
            return units, words.start(1) + len(spelling)
        spelling = spelling.rpartition(" ")[0].rstrip()
    return (), 0


def _placed(found, said, road):
    """What a number is of, and its two ends in SI."""
    if found.units:
        unit = _chosen(found, said)
    elif road or _OVER.search(found.lead):
        unit = UNITS["km"]
    elif _AT.search(found.lead):
        unit = UNITS["km/h"]
    else:
        raise ValueError(f"'{found.text}' has no unit. {_EXAMPLE}")
    measures = unit.measures
    low, high = sorted(float(unit.into_si(end)) for end in (found.ends[0], found.ends[-1]))
    if _FASTER.match(found.after) and not _AT.search(found.lead):
        if measures == "plain number":
            return "faster", (low,), (high,)
        if measures == "speed":
            return "faster", low, high
    if measures == "power" and _AT.search(found.lead):
        return "power", low, high
    if measures == "time" and (_IN.search(found.lead) or road):
        return "ride_time", low, high
    if measures in _CONDITIONS:
        return _CONDITIONS[measures], low, high
    if measures == "area":
        raise ValueError(f"'{found.text}' is a drag area. Lesson 12 takes two of them, as published numbers.")
    if re.match(r"\s*(?:per|/|a) ?(?:kg|kilo\w*)\b", found.after):
        raise ValueError(f"'{found.text}' for each kilogram is no saving. {_EXAMPLE}")
    if measures not in _KIND_OF or road:
        raise ValueError(f"'{found.text}' has no place here. {_EXAMPLE}")
    if _UP_TO.search(found.lead):
        low = min(0.0, high)
    return _KIND_OF[measures], low, high


def _chosen(found, said):
    """The unit that is meant: grams of drag or of mass by the words of the line."""
    kinds = {unit.measures: unit for unit in found.units}
    if {"force", "mass"} <= kinds.keys():
        if ("drag" in said) == ("mass" in said) and found.units[0].name == "g":
            raise ValueError(f"'{found.text}': of drag or of weight? Write {found.text} of drag, or {found.text} lighter.")
        return kinds["mass" if "mass" in said or "drag" not in said else "force"]
    known = _KIND_OF.keys() | _CONDITIONS.keys()
    return next((unit for unit in found.units if unit.measures in known), found.units[0])

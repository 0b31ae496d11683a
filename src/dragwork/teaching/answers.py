"""Reading what a learner types: `0,32`, `0.32 m2`, `44 km/h`, `3:20`. Text is never evaluated."""

import re
from dataclasses import dataclass
from math import isfinite

from dragwork.units import BLANKS, DASHES, UNITS, unit_of, units_written

PLAIN = str.maketrans(DASHES | BLANKS | {"’": "'", "″": '"'})
_POWERS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-")
_LONGEST = 60  # letters; no number with its unit needs more
_MOST_POWER = 100
# What people put around a number, and say for a sign; it changes nothing.
_AROUND = re.compile(
    r"^(?:(?:about|around|roughly|approximately|approx\b\.?|circa|ca\b\.?|nearly|almost|it is|it's|is"
    r"|[=~≈≃≅])\s*)+|\s*(?:or so|or thereabouts|roughly|approximately|more|faster|(?:to the )?right|[.;!])+$"
)
_SIGN = re.compile(r"^(?:(minus|negative)|plus)\b\s*")
DIGITS = (
    r"(?:\d{1,3}(?:,\d{3})+\.\d+|\d{1,3}(?:\.\d{3})+,\d+"  # thousands and decimals marked apart
    r"|\d{1,3}(?:,\d{3}){2,}|\d{1,3}(?:\.\d{3}){2,}|\d{1,3}(?:[ ']\d{3})+(?:[.,]\d*)?"
    r"|\d+(?:[.,]\d*)?|[.,]\d+)(?:e[+-]?\d+)?"
)
_FACTOR = re.compile(rf"\s*([+-]?\s*{DIGITS})(?:\s*(?:\^|\*\*)\s*([+-]?\d+)|([⁰¹²³⁴-⁹⁻]+))?")
_SIGN_BETWEEN = re.compile(rf"(?:\s*([/*×·])|\s+(x)\s)(?=\s*[+-]?\s*{DIGITS})")
_PIECE = re.compile(r"(\d+(?:[.,]\d+)?)\s*([a-z'\"]*)")
_LOWER = {"h": "min", "min": "s"}
# Signs, codes and names of money; a cost is a number of budget units in any of them.
_MONEY = re.compile(
    r"[€$£¥₹]|\b(?:eur|euros?|gbp|usd|aud|cad|nzd|chf|sek|nok|dkk|pln|czk|huf|jpy|cny|inr|pounds?"
    r"|sterling|dollars?|francs?|franken|kroner|kronor|kr|złoty|zł|yen|quid|bucks|(?:budget )?units?)\b\.?"
)


@dataclass(frozen=True)
class TypedNumber:
    """What was read: the number in the unit asked for, and how it was written.

    unit: name of the unit typed, `:` for a time of several parts, None where none stood there.
    figures: significant figures typed.
    """

    number: float
    unit: str | None = None
    figures: int = 0


def parse_quantity(text, unit):
    """The number that a learner typed, in `unit`; see `read_quantity`, which raises the same."""
    return read_quantity(text, unit).number


def read_quantity(text, unit):
    """Read a number, a product or a power, with or without a unit, as a learner types it.

    One comma or one point is the decimal mark; any dash is a minus; `a:b` is minutes and seconds,
    or hours and minutes where `unit` is hours; `6 min 18 s` is one time. Words such as `about` are
    passed over. Without a unit the number is taken in `unit`.

    Parameters
    ----------
    text : str or number
    unit : str
        A key of `units.UNITS`.

    Returns
    -------
    TypedNumber
        .number in `unit`, finite, of any size: ranges are the caller's.

    Raises
    ------
    ValueError
        Not a number, or a unit of something else; in words that help.

    Examples
    --------
    >>> read_quantity("about 20 kilometres an hour", "m/s").number
    5.555555555555555
    >>> read_quantity("6 min 18 s", "s").number, read_quantity("1.13³", "1").number
    (378.0, 1.4428969999999997)
    """
    wanted = UNITS[unit]
    typed = str(text).strip()
    example = f"Type a number{f', in {wanted.printed}' if wanted.printed else ''}."
    if not typed:
        raise ValueError(f"Nothing typed yet. {example}")
    if len(typed) > _LONGEST:
        raise ValueError(f"'{typed[:20]}...' is too long for a number. {example}")
    plain = _AROUND.sub("", typed.translate(PLAIN).casefold())
    plain = _SIGN.sub(lambda sign: "-" if sign[1] else "", plain)
    if wanted.measures == "time":
        seconds = _clock(typed, plain, wanted) if ":" in plain else _time_in_parts(typed, plain)
        if seconds is not None:
            return TypedNumber(float(wanted.out_of_si(seconds)), ":", _figures(plain))
    try:
        number, figures, spelling = _product(plain)
    except ZeroDivisionError:
        raise ValueError(f"'{typed}' divides by 0. {example}") from None
    except OverflowError:
        raise ValueError(f"'{typed}' is too large for a number. {example}") from None
    if number is None or spelling and re.match(r"[\d\s.,:+/*^-]|.*\s\d", spelling):
        raise ValueError(f"'{typed}' is not read as a number. {example}")
    named = _unit_named(spelling, wanted) if spelling else None
    if named and named is not wanted:
        number = float(wanted.out_of_si(named.into_si(number)))
    if not isfinite(number):
        raise ValueError(f"'{typed}' is too large for a number. {example}")
    return TypedNumber(number, named.name if named else None, figures)


def parse_cost(text):
    """A cost and what it is counted in: `200 EUR`, `£1,200.50`, `6 hours`; `200` is so many units.

    Returns
    -------
    (float, str)

    Raises
    ------
    ValueError
        Not a number, or below 0, in words.

    Examples
    --------
    >>> parse_cost("200 EUR"), parse_cost("€ 12,50"), parse_cost("free"), parse_cost("6 hours")
    ((200.0, 'EUR'), (12.5, '€'), (0.0, ''), (6.0, 'hours'))
    """
    plain = str(text).translate(PLAIN).strip()
    if plain.casefold() in ("free", "nothing", "gratis"):
        return 0.0, ""
    match = re.fullmatch(rf"([^\d.,-]*)(-?\s*{DIGITS})(?:,-|\.-)?\s*([^\d]*)", plain)
    cost = as_float(match[2].replace(" ", "")) if match else parse_quantity(plain, "1")
    if cost < 0:
        raise ValueError("A cost is 0 or more.")
    unit = " ".join(f"{match[1]} {match[3]}".split()).strip(" .~") if match else ""
    measures = {each.measures for each in units_written(unit)}
    if measures - {"time"} and not _MONEY.search(unit.casefold()):
        raise ValueError(f"'{unit}' is no cost. Write money or time, such as 200 EUR or 6 hours.")
    if not re.search(r"\w|[€$£¥₹]", unit) or unit.casefold() in ("about", "around"):
        return cost, ""
    return cost, re.sub(r"^(?:about|around)\s+", "", unit, flags=re.I)


def entries_of(text):
    """What somebody typed one after the other: parted by semicolons or new lines, none empty."""
    return [entry.strip() for entry in text.replace("\n", ";").split(";") if entry.strip()]


def read_entries(text, read, none, named="'{line}'"):
    """What read(line) makes of each entry of a text; ValueError in words: `none` where there is no entry.

    named: how the message calls an entry, by its `line` and its `number`.
    """
    found = []
    for number, line in enumerate(entries_of(text), 1):
        try:
            found.append(read(line))
        except ValueError as error:
            raise ValueError(f"{named.format(line=line, number=number)}: {error}") from None
    if not found:
        raise ValueError(none)
    return tuple(found)


def read_line(text, wanted):
    """Words and numbers with units, mixed: `June 180 W 75 kg`.

    Parameters
    ----------
    text : str
    wanted : sequence of str
        Keys of `UNITS`. Where two measure the same, each takes what is typed in it.

    Returns
    -------
    (words, numbers) : str, dict of str to float
        The words joined by blanks; each number under the wanted unit of its kind, in that unit.

    Raises
    ------
    ValueError
        A number without a unit, or with one that is not wanted, or given twice; in words.
    """
    words, numbers = [], {}
    rest = text.translate(PLAIN).strip()
    offer = ", ".join(UNITS[unit].printed for unit in wanted)
    while rest:
        found = re.match(r"([+-]?\s?\d[\d.,]*)\s*([^\s\d.,;:+-][^\s,;:]*)?[\s,:]*", rest)
        if not found:
            word, _, rest = rest.partition(" ")
            words.append(word.strip(",:"))
            continue
        rest = rest[found.end() :]
        unit = _wanted_unit(found[2], wanted)
        if unit is None:
            raise ValueError(f"after {found[1].strip(' ,')} a unit is needed, one of {offer}.")
        if unit in numbers:
            raise ValueError(f"there are two numbers in {UNITS[unit].printed}.")
        numbers[unit] = parse_quantity(f"{found[1].rstrip(',')} {found[2]}", unit)
    return " ".join(word for word in words if word), numbers


def _wanted_unit(spelling, wanted):
    """The wanted unit that is spelled so, or else one of the same kind; None where there is none."""
    written = {unit: unit_of((spelling or "").lower(), UNITS[unit].measures) for unit in wanted}
    alike = [unit for unit, named in written.items() if named]
    return next((unit for unit in alike if written[unit].name == unit), alike[0] if alike else None)


def _product(plain):
    """Number, figures and what is left of `1.13^3 m`; the number is None where there is none."""
    number, sign, rest, figures = None, "*", plain, 0
    while sign:
        found = _FACTOR.match(rest)
        if not found:
            return None, 0, plain
        factor, power = as_float(found[1]), found[2] or (found[3] or "").translate(_POWERS)
        if power:
            exponent = int(power) if re.fullmatch(r"[+-]?\d{1,3}", power) else _MOST_POWER + 1
            if abs(exponent) > _MOST_POWER:
                raise OverflowError
            factor **= exponent
        alone = number is None and not power
        number = factor if number is None else number / factor if sign == "/" else number * factor
        rest = rest[found.end() :]
        between = _SIGN_BETWEEN.match(rest)
        figures = _figures(found[1]) if alone and not between else 0
        sign, rest = (between[1] or "*", rest[between.end() :]) if between else ("", rest)
    return number, figures, rest.strip()


def _time_in_parts(typed, plain):
    """`6 min 18 s` or `1h06` in seconds; None where it is not written so."""
    pieces = _PIECE.findall(plain)
    between = _PIECE.sub(" ", plain.lstrip("+-")).split()
    if len(pieces) < 2 or any(word not in ("and", ",") for word in between):
        return None
    numbers, units = [as_float(digits) for digits, _ in pieces], []
    for _, spelling in pieces:
        unit = unit_of(spelling or _LOWER.get(units[-1].name if units else "", ""), "time")
        if unit is None or units and not unit.into_si(1) < units[-1].into_si(1):
            return None
        units.append(unit)
    if any(number >= 60 for number in numbers[1:]):
        raise ValueError(f"'{typed}': after the first number a time has less than 60.")
    seconds = sum(float(unit.into_si(number)) for unit, number in zip(units, numbers))
    return -seconds if plain.startswith("-") else seconds


def as_float(digits):
    """A number as it was written; where a mark is there twice, or two marks, the last is decimal."""
    digits = re.sub("[ ']", "", digits)
    marks = re.findall("[.,]", digits)
    if len(marks) > 1:
        digits = digits.replace(marks[0], "")
    return float(digits.replace(",", "."))


def _figures(number):
    """Significant figures of a number as written; zeros at the end of a whole number are none."""
    mantissa = re.sub(r"[^\d.,]", "", number.split("e")[0])
    if not re.search("[.,]", mantissa):
        mantissa = mantissa.rstrip("0")
    return len(re.sub("[.,]", "", mantissa).lstrip("0"))


def _unit_named(spelling, wanted):
    """The unit spelled so, which must measure what is wanted."""
    if unit := unit_of(spelling, wanted.measures):
        return unit
    known = units_written(spelling)
    shown, what = spelling.strip(), ""
    if known:
        shown, what = known[0].printed or shown, f"a unit of {known[0].measures}, "
    if wanted.measures == "plain number":
        alone = "Type the number alone, or with %." if wanted.name == "%" else "Type the number alone."
        raise ValueError(f"'{shown}' is {what}not needed here. {alone}")
    alike = [u for u in UNITS.values() if u.measures == wanted.measures and u is not wanted]
    offer = ", ".join(unit.printed for unit in [wanted, *alike][:2])
    raise ValueError(f"'{shown}' is {what}not a unit of {wanted.measures} here. Use {offer}.")


def _clock(typed, plain, wanted):
    """A time written with colons in seconds; the unit behind it, or the one wanted, says what the first part is."""
    sign = -1.0 if plain.startswith("-") else 1.0
    found = re.fullmatch(r"[+-]?\s*((?:\d+\s*:\s*){1,2}\d+(?:[.,]\d*)?)\s*([a-z][a-z:]*)?", plain)
    named = found and unit_of((found[2] or "").split(":")[0] or wanted.name, "time")
    if not named:
        raise ValueError(f"'{typed}' is not read as a time. Type minutes:seconds, such as 3:20.")
    parts = list(map(float, found[1].replace(",", ".").split(":")))
    if any(part >= 60 for part in parts[1:]):
        raise ValueError(f"'{typed}': after a colon a time has less than 60.")
    if len(parts) == 2 and named.name == "h":
        parts.append(0.0)
    return sign * sum(part * 60.0**place for place, part in enumerate(reversed(parts)))

"""Reading what a learner types: `0,32`, `0.32 m2`, `44 km/h`, `3:20`. Text is never evaluated."""

import re
from dataclasses import dataclass
from math import isfinite

from dragwork.units import UNITS, unit_of, units_written


_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—−﹣－", "-") | dict.fromkeys("\u00a0\u2009\u202f", " "))
_POWERS = str.maketrans("²³", "23")
_NUMBER = r"[+-]?\s*(?:(?:\d{1,3}(?: \d{3})+|\d+)(?:[.,]\d*)?|[.,]\d+)(?:e[+-]?\d+)?"
_LONGEST = 40  # letters; no number with its unit needs more


@dataclass(frozen=True)
class Typed:
    """What was read: the number in the unit asked for, and how it was written.

    unit: name of the unit typed, `:` for a time with a colon, None where none stood there.
    figures: significant figures typed.
    """

    number: float
    unit: str | None = None
    figures: int = 0


def parse_quantity(text, unit):
    """The number that a learner typed, in `unit`; see `read_quantity`, which raises the same."""
    return read_quantity(text, unit).number


def read_quantity(text, unit):
    """Read a number or a fraction, with or without a unit, as a learner types it.

    One comma or one point is the decimal mark; any dash is a minus; `a:b` is minutes and seconds,
    or hours and minutes where `unit` is hours. Without a unit the number is taken in `unit`.

    Parameters
    ----------
    text : str or number
    unit : str
        A key of `UNITS`.

    Returns
    -------
    Typed
        .number in `unit`, finite, of any size: ranges are the caller's.

    Raises
    ------
    ValueError
        Not a number, or a unit of something else; in words that help.
    """
    wanted = UNITS[unit]
    typed = str(text).strip()
    example = f"Type a number{f', in {wanted.printed}' if wanted.printed else ''}."
    if not typed:
        raise ValueError(f"Nothing typed yet. {example}")
    if len(typed) > _LONGEST:
        raise ValueError(f"'{typed[:20]}...' is too long for a number. {example}")
    plain = typed.translate(_DASHES).translate(_POWERS).lower()
    if wanted.measures == "time" and ":" in plain:
        return Typed(_clock(typed, plain, wanted), ":", _figures(plain))
    found = re.fullmatch(rf"({_NUMBER})(?:\s*/\s*({_NUMBER}))?\s*([^\d\s.,:+/-].*)?", plain)
    if not found:
        raise ValueError(f"'{typed}' is not read as a number. {example}")
    number, below = _float(found[1]), _float(found[2] or "1")
    if below == 0:
        raise ValueError(f"'{typed}' divides by 0. {example}")
    number, named = number / below, None
    if found[3]:
        named = _unit_named(found[3], wanted)
        number = float(wanted.out_of_si(named.into_si(number)))
    if not isfinite(number):
        raise ValueError(f"'{typed}' is too large for a number. {example}")
    return Typed(number, named.name if named else None, 0 if found[2] else _figures(found[1]))


def entries_of(text):
    """What somebody typed one after the other: parted by semicolons or new lines, none empty."""
    return [entry.strip() for entry in text.replace("\n", ";").split(";") if entry.strip()]


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
    plain = text.translate(_DASHES).translate(_POWERS)
    words, numbers = [], {}
    rest = plain.strip()
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
    alike = None
    for unit in wanted if spelling else ():
        try:
            found = _unit_named(spelling.lower(), UNITS[unit])
        except ValueError:
            continue
        if found.name == unit:
            return unit
        alike = alike or unit
    return alike


def _float(digits):
    return float(digits.replace(" ", "").replace(",", "."))


def _figures(number):
    """Significant figures of a number as written; zeros at the end of a whole number are none."""
    mantissa = re.sub(r"[^\d.,]", "", number.split("e")[0])
    if not re.search("[.,]", mantissa):
        mantissa = mantissa.rstrip("0")
    return len(re.sub("[.,]", "", mantissa).lstrip("0"))


def _unit_named(spelling, wanted):
    """The unit spelled so, which must measure what is wanted."""
    unit = unit_of(spelling, wanted.measures)
    if unit:
        return unit
    known = units_written(spelling)
    alike = [u.printed for u in UNITS.values() if u.measures == wanted.measures and u.printed]
    offer = f"Use {', '.join(alike)}." if alike else "Type the number alone."
    shown, what = spelling.strip(), ""
    if known:
        shown, what = known[0].printed, f"a unit of {known[0].measures}, "
    raise ValueError(f"'{shown}' is {what}not a unit of {wanted.measures} here. {offer}")


def _clock(typed, plain, wanted):
    """A time written with colons, in the unit wanted."""
    sign = -1.0 if plain.startswith("-") else 1.0
    parts = plain.lstrip("+-").replace(",", ".").split(":")
    whole, last = parts[:-1], parts[-1]
    sound = all(re.fullmatch(r"\s*\d+\s*", part) for part in whole)
    if len(parts) > 3 or not sound or not re.fullmatch(r"\s*\d+(\.\d*)?\s*", last):
        raise ValueError(f"'{typed}' is not read as a time. Type minutes:seconds, such as 3:20.")
    if any(float(part) >= 60 for part in parts[1:]):
        raise ValueError(f"'{typed}': after a colon a time has less than 60.")
    parts = [float(part) for part in parts]
    if len(parts) == 2 and wanted.name == "h":
        parts.append(0.0)
    seconds = sum(part * 60.0**place for place, part in enumerate(reversed(parts)))
    return sign * float(wanted.out_of_si(seconds))

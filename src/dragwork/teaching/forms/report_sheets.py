"""The first question behind the page: what was measured? A tunnel sheet, a road test, or numbers."""

import re
from io import BytesIO

from dragwork.files import fingerprint
from dragwork.measurement.field_sheet import read_laps
from dragwork.measurement.tunnel import SheetError, read_sheet
from dragwork.scenario.barrow_lane import bl7, bl7_with_faults
from dragwork.scenario.saltpan_lane import saltpan_lane
from dragwork.teaching.answers import entries_of, parse_quantity
from dragwork.teaching.forms.flow import Choice, Question, Typed, Upload
from dragwork.teaching.report import FromField, FromNumbers, FromTunnel, PublishedArea

_TOLD = 3  # reasons told at once; the page tells all
OWN_TUNNEL, OWN_FIELD, NUMBERS = "own", "own road test", "numbers"

# Name in the list -> what it is, and what makes the evidence under the name of a page.
DEMO = {
    "BL-7": (
        "the club's demo sheet, invented",
        lambda name: FromTunnel(bl7(), name),
    ),
    "BL-7 with faults": (
        "the same day with slips in it, invented",
        lambda name: FromTunnel(bl7_with_faults(), name),
    ),
    "Saltpan Lane": (
        "the club's road test of two positions, invented",
        lambda name: FromField(saltpan_lane(), name),
    ),
}


def _options(answers):
    return {name: f"{name}: {about}" for name, (about, _) in DEMO.items()} | {
        OWN_TUNNEL: "a tunnel run sheet of my own",
        OWN_FIELD: "a road-test sheet of my own",
        NUMBERS: "no sheet: numbers that somebody published",
    }


def _read(values, answers):
    chosen = values["sheet"]
    if chosen in DEMO:
        about, make = DEMO[chosen]
        evidence = make(f"{chosen} ({about})")
    elif chosen == NUMBERS:
        evidence = FromNumbers(values["numbers"], values["numbers_from"].strip() or "somebody")
    else:
        file = values["upload"]
        name = f"{file.name} (fingerprint {fingerprint(file.content)})"
        evidence = _READERS[chosen](file, name)
    _check(evidence)
    return evidence


def _read_tunnel(file, name):
    try:
        sheet = read_sheet(BytesIO(file.content))
    except SheetError as error:
        raise ValueError(f"{file.name} could not be used. {error}") from None
    if not sheet.rows.used.any():
        raise ValueError(
            f"{name} was read, but none of its {len(sheet.rows)} rows can be used. It begins with "
            f"this: {sheet.faults[0]}"
        )
    return FromTunnel(sheet, name)


def _read_field(file, name):
    try:
        laps = read_laps(BytesIO(file.content))
    except SheetError as error:
        raise ValueError(f"{file.name} could not be used. {error}") from None
    try:
        return FromField(laps, name)
    except ValueError as error:
        raise ValueError(f"{file.name} was read, but it gives no drag area. {error}") from None


_READERS = {OWN_TUNNEL: _read_tunnel, OWN_FIELD: _read_field}


def _check(evidence):
    """Refuse a sheet that is clear, and yet holds nothing to compare; in words."""
    if len(evidence.set_ups) < 2:
        raise ValueError(
            f"{evidence.name} holds usable runs of one set-up, {evidence.set_ups[0]}. Two are "
            "needed."
        )
    try:
        evidence.draws(2, 0)
    except ValueError as error:
        raise ValueError(f"{evidence.name} was read, but it gives no range. {error}") from None


def read_numbers(text):
    """Published drag areas as somebody types them: `hoods 0.320, 0.310 to 0.330; low 0.30 ± 0.01`.

    Each has a name, a drag area in square metres, and its 95 % range: two ends or a half-width.

    Parameters
    ----------
    text : str

    Returns
    -------
    dict of str to PublishedArea

    Raises
    ------
    ValueError
        Where one cannot be read, in words.

    Source: COMMON_PRACTICE
    """
    lines = entries_of(text)
    areas = {}
    for line in lines:
        name, area = _read_line(line)
        if name in areas:
            raise ValueError(f"'{name}' stands there twice.")
        areas[name] = area
    if len(areas) < 2:
        raise ValueError(
            "two set-ups are needed, each with its range, such as: "
            "hoods 0.320, 0.310 to 0.330; low 0.300 ± 0.010"
        )
    return areas


_LINE = re.compile(
    r"^(?P<name>.*?[^\d\s.,:=+-])[\s:=]+(?P<area>[\d.,]+?)(?:\s*m[²2])?"
    r"(?:\s*(?:±|\+-|\+/-)\s*(?P<half>[\d.,]+)|[\s,(]+(?P<low>[\d.,]+)\s*(?:to|-|–)\s*(?P<high>[\d.,]+)\)?)"
    r"(?:\s*m[²2])?$"
)


def _read_line(line):
    found = _LINE.match(line)
    if not found:
        raise ValueError(
            f"'{line}' is not read. Write a name, a drag area and its 95 % range: "
            "hoods 0.320, 0.310 to 0.330"
        )
    try:
        area = parse_quantity(found["area"].rstrip(","), "m2")
        if found["half"]:
            half = parse_quantity(found["half"], "m2")
            low, high = area - half, area + half
        else:
            low, high = (parse_quantity(found[end], "m2") for end in ("low", "high"))
        return found["name"].strip(), PublishedArea(area, low, high)
    except ValueError as error:
        raise ValueError(f"'{line}': {error}") from None


def _in_words(evidence, answers):
    said = " ".join(evidence.opening()).replace("; the reasons stand below.", ".")
    first = " ".join(str(fault) for fault in evidence.faults[:_TOLD])
    if not first:
        return said
    where = "All reasons stand on the page. The first: " if len(evidence.faults) > _TOLD else "Left out: "
    return f"{said} {where}{first}"


QUESTION = Question(
    "sheet",
    "What was measured?",
    "Take a demo sheet of the club, a sheet of your own saved as CSV, or numbers from a paper.",
    (
        Choice("sheet", "The sheet", options=_options),
        Upload(
            "upload",
            "Your sheet",
            "Save it as CSV; the columns are those of the demo sheet.",
            when=("sheet", OWN_TUNNEL, OWN_FIELD),
            accept=".csv,.txt,.tsv",
        ),
        Typed(
            "numbers",
            "Drag areas with their 95 % ranges, in m²",
            "hoods 0.320, 0.310 to 0.330; low 0.300 ± 0.010",
            when=("sheet", NUMBERS),
            read=read_numbers,
            lines=3,
        ),
        Typed("numbers_from", "Where they stand", "Who published them", when=("sheet", NUMBERS)),
    ),
    _read,
    _in_words,
)

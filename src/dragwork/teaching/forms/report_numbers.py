"""Published drag areas as people type and paste them: line by line, or a table from a paper."""

import re

import numpy as np

from dragwork.measurement.field_sheet import NotSaid
from dragwork.measurement.sheet_columns import plain, split_heading
from dragwork.measurement.uncertainty import half_width
from dragwork.quantities import QUANTITIES
from dragwork.teaching.answers import entries_of
from dragwork.teaching.forms.flow import FormWords
from dragwork.teaching.report import PublishedArea
from dragwork.units import deg

WORDS = FormWords("report_numbers.json")
EXAMPLE, NO_RANGE = WORDS("example"), WORDS("no range")
QUANTILE = half_width(1.0, np.inf, confidence=0.95)

_N = r"\d*[.,]?\d+"
_AREA = r"(?P<area>\d?[.,]\d+(?![.,]?\d))(?P<digits>\(\d{1,2}\))?\s*(?P<unit>c?m(?:²|\^?2))?"
_WHOLE = _AREA.replace(r"\d?[.,]\d+", _N)
_RANGE = (
    rf"(?:\s*(?:±|\+\s?/?\s?[-−])\s*(?P<half>{_N})\s*(?P<percent>%)?"
    rf"|[\s,;:]*[(\[]?\s*(?:95\s?%\s*(?:ci|range|interval)?[\s,:=]*)?(?P<low>{_N})\s*(?:to|bis|à|[-–,;]|\s)\s*(?P<high>{_N})\s*[)\]]?)?"
    r"\s*(?:c?m(?:²|\^?2))?\s*"
)
_YAW = (
    r"(?:at\s+)?(?:yaw\s*(?:of|=)?\s*(?P<yaw1>[-+−]?\d+(?:[.,]\d+)?)\s*(?:°|deg\w*)?"
    r"|(?P<yaw2>[-+−]?\d+(?:[.,]\d+)?)\s*(?:°|deg\w*)(?:\s*(?:of\s+)?yaw)?)"
)
_LINES = tuple(
    re.compile(rf"(?P<name>.*?[^\s:=,(])[\s:=,(]+(?:{_YAW}\)?[\s:=,]+)?{area}{_RANGE}", re.I) for area in (_AREA, _WHOLE)
)
# In a name: a drag area, or half a range, that the pattern has passed over.
_OTHER_NUMBER = re.compile(r"±|(?:^|\s)\d?[.,]\d{2,}$|^[^a-zA-Z\u00c0-\uffff]*$")
_MORE = re.compile(rf"[\s,;]*{_YAW}[\s:=]+{_AREA}(?:\s*±\s*(?P<half>{_N})\s*(?P<percent>%)?)?", re.I)
_AT_A_YAW = re.compile(_YAW, re.I)


def read_numbers(text, half_range=None):
    """Drag areas that somebody published, as people type or paste them.

    One a line (or parted by semicolons): a name, a yaw if there are several, a drag area in square
    metres, and its 95 % range as two ends, ± a half-width, or 0.32(1), a standard uncertainty in the
    last digit. Or a table with a header: a name, CdA (or one column for each yaw), and a range, its
    ends, a half-width, or a standard deviation.

    Parameters
    ----------
    text : str
    half_range : float, optional [m2]
        Half of the 95 % range of all numbers that come without one.

    Returns
    -------
    dict of str to dict of float to PublishedArea
        Each set-up's drag areas by yaw [rad].

    Raises
    ------
    ValueError
        Where one cannot be read, in words; `NotSaid` where a range is needed.

    Source: GUM, COMMON_PRACTICE
    """
    # A semicolon may stand between an entry and its range.
    joined = re.sub(rf"[;\n][;\s]*(?=[(\[]?\s*{_N}\s*(?:to|bis|à|[-–])\s*{_N}|±)", " ", text)
    found = _table(text) or [entry for line in entries_of(joined) for entry in _line(line)]
    areas, bare = {}, False
    for name, yaw, area, low, high in found:
        at = areas.setdefault(name, {})
        if yaw in at:
            where = f" at yaw {np.degrees(yaw):g}°" if len(at) > 1 or yaw else ""
            raise ValueError(WORDS("twice", name, where))
        if low is None and half_range is not None:
            low, high = area - half_range, area + half_range
        bare |= low is None
        _check(name, area, low, high)
        at[yaw] = PublishedArea(area, area if low is None else low, area if high is None else high)
    if len(areas) < 2:
        raise ValueError(WORDS("two", EXAMPLE))
    if bare:
        raise NotSaid({"range": NO_RANGE})
    return areas


def _check(name, area, low, high):
    if not (QUANTITIES["drag_area"].allows(area) and area > 0):
        raise ValueError(WORDS("no drag area", name, area))
    if low is not None and not low <= area <= high:
        raise ValueError(WORDS("outside its range", name=name, low=low, high=high, area=area))
    if low is not None and low <= 0:
        raise ValueError(WORDS("range to zero", name, low))


# -- line by line -------------------------------------------------------------------------------------


def _line(line):
    """What a line says: name, yaw, drag area, and the ends of its range or None."""
    line = re.sub(r"\s+", " ", line.replace("|", " ")).strip(" ,")
    line = re.sub(r"\bCdA\s*[=:]?\s*(?=\d?[.,]?\d)", "", line, flags=re.I)
    if len(_AT_A_YAW.findall(line)) > 1:
        start = _AT_A_YAW.search(line).start()
        name, rest = line[:start].strip(" ,:="), line[start:]
        if name and not _MORE.sub("", rest).strip(" ,.)"):
            return [(name, _yaw(match), *_area(match)) for match in _MORE.finditer(rest)]
    for pattern in _LINES:
        match = pattern.fullmatch(line)
        if match and (name := match["name"].strip()) and not _OTHER_NUMBER.search(name):
            return [(name, _yaw(match), *_area(match))]
    if re.search(rf"{_N}[\s,]+{_N}$", line):
        raise ValueError(WORDS("last number", line, EXAMPLE))
    raise ValueError(WORDS("not read", line, EXAMPLE))


def _yaw(match):
    text = match["yaw1"] or match["yaw2"]
    return float(deg(_number(text))) if text else 0.0


def _area(match):
    """The drag area of a match, with the ends of its range."""
    groups = match.groupdict()
    scale = 1e-4 if (groups["unit"] or "").casefold().startswith("c") else 1.0
    area = scale * _number(groups["area"])
    if groups.get("half"):
        return _around(area, _number(groups["half"]), groups.get("percent"), scale)
    if groups.get("low"):
        return area, scale * _number(groups["low"]), scale * _number(groups["high"])
    if groups.get("digits"):
        decimals = len(re.split("[.,]", groups["area"])[-1])
        return _around(area, QUANTILE * int(groups["digits"][1:-1]) * 10.0**-decimals, False, scale)
    return area, None, None


def _around(area, number, in_percent, scale):
    """A drag area with the ends of its range, from a half-width."""
    half = area * number / 100 if in_percent else scale * number
    return area, area - half, area + half


def _number(text, line=""):
    try:
        return float(text.replace(",", ".").replace("−", "-"))
    except ValueError:
        raise ValueError(WORDS("number", line.strip(), text)) from None


def has_ranges(text):
    """Whether a table names a 95 % range for its drag areas, or holds one in its cells."""
    first = text.strip().split("\n")[0]
    kinds = {_kind(cell) for mark in _MARKS for cell in _cells(first, mark)}
    return bool(kinds & {"half", "low", "high", "range"}) or "±" in text


# -- a table from a paper -----------------------------------------------------------------------------

_MARKS = ("\t", "|", ";", ",", r"\s{2,}")
_KINDS = {plain(name): kind for kind, names in WORDS.table["headings"].items() for name in names}


def _table(text):
    """What a table with a header says; None where it is none."""
    lines = [line for line in text.replace("\r", "").split("\n") if line.strip()]
    mark = next((mark for mark in _MARKS if _is_header(_cells(lines[0], mark))), None) if len(lines) > 1 else None
    if mark is None:
        return None
    header = _cells(lines[0], mark)
    kinds = [_kind(heading) for heading in header]
    yaws = {place: yaw for place, heading in enumerate(header) if (yaw := _yaw_of(heading)) is not None}
    rows = [(_cells(line, mark) + [""] * len(header))[: len(header)] for line in lines[1:]]
    if kinds[0] == "yaw" and not yaws and "area" not in kinds:  # a set-up a column, a yaw a row
        return [
            (name, float(deg(_number(cells[0].rstrip("° "), line))), *_cell(line, cell, {}, 1.0))
            for line, cells in zip(lines[1:], rows) for name, cell in zip(header[1:], cells[1:]) if cell
        ]  # fmt: skip
    # A set-up is named by the columns of words that differ from row to row.
    words = [place for place, kind in enumerate(kinds) if kind is None and place not in yaws]
    words = [place for place in words if place == 0 or not all(re.fullmatch(_N, cells[place]) for cells in rows)]
    names = [place for place in words if len({cells[place] for cells in rows}) > 1] or words[:1]
    scale = 1e-4 if any("cm" in split_heading(heading)[1] for heading in header) else 1.0
    found, name = [], ""
    for line, cells in zip(lines[1:], rows):
        if not any(cells) or set("".join(cells)) <= set("-:= "):
            continue
        name = " ".join(cells[place] for place in names if cells[place]) or name  # empty under a merged name
        if not name:
            raise ValueError(WORDS("no name", line.strip()))
        row = {kind: cells[place] for place, kind in enumerate(kinds) if kind}
        if yaws:
            found += [(name, yaw, *_cell(line, cells[place], {}, scale)) for place, yaw in yaws.items() if cells[place]]
        else:
            yaw = float(deg(_number(row["yaw"].rstrip("° "), line))) if row.get("yaw") else 0.0
            found.append((name, yaw, *_cell(line, row["area"], row, scale)))
    return found


def _cells(line, mark):
    parts = re.split(mark, line.strip()) if mark.startswith("\\") else line.strip("\n").strip("|" if mark == "|" else "").split(mark)
    return [part.strip() for part in parts]


def _is_header(cells):
    """Names a drag area, or several yaws, and holds no drag area itself."""
    kinds = [_kind(cell) for cell in cells]
    yaws = sum(_yaw_of(cell) is not None for cell in cells)
    by_columns = kinds[0] == "yaw" and len(cells) > 2 and kinds[1] is None
    return len(cells) > 1 and (kinds.count("area") == 1 or yaws > 1 or by_columns) and not re.search(r"\d[.,]\d{2}", " ".join(cells))


def _kind(heading):
    name = plain(split_heading(heading)[0]).strip(" ,")
    return _KINDS.get(name) or _KINDS.get(plain(heading)) or _KINDS.get(plain(re.sub(r"[(\[].*?[)\]]", "", heading)).strip())


def _yaw_of(heading):
    """The yaw of a column [rad], where its heading is one: '10°', 'CdA at 5 deg', 'yaw 0'."""
    match = _AT_A_YAW.search(heading)
    return _yaw(match) if match and _kind(heading) != "yaw" else None


def _cell(line, cell, row, scale):
    """A drag area in a cell, with a range in it or in the cells beside it."""
    match = re.fullmatch(_WHOLE + _RANGE, cell, re.I)
    if not match:
        raise ValueError(WORDS("cell", line.strip(), cell))
    area, low, high = (None if x is None else x * scale for x in _area(match))
    if row.get("low") and row.get("high"):
        return area, *(scale * _number(row[end], line) for end in ("low", "high"))
    if row.get("range"):
        ends = [_number(n) for n in re.findall(_N, row["range"].replace("95 %", ""))]
        if len(ends) not in (1, 2):
            raise ValueError(WORDS("range", line.strip(), row["range"]))
        return _around(area, *ends, False, scale) if len(ends) == 1 else (area, *(scale * end for end in ends))
    if beside := row.get("half") or row.get("sd"):
        half = _number(beside.strip("±% "), line) * (1.0 if row.get("half") else QUANTILE)
        return _around(area, half, "%" in beside, scale)
    return area, low, high

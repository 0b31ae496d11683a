"""A file of one's own: what kind it is, what it leaves open, and the evidence that it makes.

What a file leaves open is asked for and nothing else: a field of `FIELDS` is shown once the file, as
far as it is read by then, needs it.
"""

from contextlib import suppress
from functools import lru_cache, partial
from io import BytesIO

from dragwork.files import fingerprint
from dragwork.measurement import field_sheet, recognise, roadtest, sheet_file, tunnel
from dragwork.teaching.answers import parse_quantity
from dragwork.teaching.forms.fields import Choice
from dragwork.teaching.forms.flow import FlowQuestion, FormWords, checked
from dragwork.teaching.forms.report_numbers import NO_RANGE, has_ranges, read_numbers
from dragwork.teaching.report import FromField, FromNumbers, FromTunnel
from dragwork.teaching.telling import capital

WORDS = FormWords("own_file.json")
KINDS = WORDS.table["fields"]["kind"]["options"]


def _area(most, text):
    area = parse_quantity(text, "m2")
    if not 0 < area <= most:
        raise ValueError(WORDS("area outside", area, most))
    return area


# Asked for only where the file needs it.
FIELDS = WORDS.fields(
    WORDS.table["fields"],
    reads={
        "lap_positions": field_sheet.laps_named,
        "spread": partial(_area, 0.1),
        "half_range": partial(_area, 0.2),
    },
)
# Argument of a reader, or what it asks for -> the field, or the fields, that say it.
_OF_LAPS, _LAPS_NEED = WORDS.table["fields of laps"], WORDS.table["fields of what laps need"]
_OF_TUNNEL_RUNS = WORDS.table["fields of tunnel runs"]
LAP_FIELDS = tuple(field for field in FIELDS if any(field.name in names for names in _LAPS_NEED.values()))
TUNNEL_FIELDS = tuple(field for field in FIELDS if field.name in _OF_TUNNEL_RUNS.values())


class Needs(ValueError):
    """Something more must be said before the file can be used; `.fields` are the names to show."""

    def __init__(self, message, *fields):
        super().__init__(message)
        self.fields, self.field = fields, fields[0]


def by_its_name(read, file, said, besides=""):
    """What read(file, said) gives; what it needs, or why it cannot be, begins with the file's name."""
    try:
        return read(file, said)
    except Needs as more:
        raise Needs(f"{file.name} was read. {more}", *more.fields) from None
    except ValueError as error:
        raise ValueError(f"{file.name} could not be used. {error}{besides}") from None


class AskingQuestion(FlowQuestion):
    """A question about a file or a table; besides its own fields it shows those that its `read` turns out to need.

    `read` gets the values of its own fields, and under 'said' those of what the file needs, as far as it is filled in.
    """

    def shown(self, typed):
        """The fields that are asked, given what is in the others."""
        own, needed = self._own(typed), ()
        with suppress(ValueError):  # said where it is answered
            needed = self._found(own, typed)[1]
        return tuple(f for f in self.fields if f in own or f.name in needed)

    def answer(self, typed, answers):
        """As of a `FlowQuestion`."""
        found, _ = self._found(self._own(typed), typed)
        if isinstance(found, ValueError):
            raise found.with_traceback(None)
        return super().answer(typed, answers) if found is None else found

    def _own(self, typed):
        return [f for f in super().shown(typed) if f not in FIELDS]

    def _found(self, own, typed):
        """What the file comes to, or why to nothing, and names of the fields that it needs; None where there is no file."""
        if all(isinstance(f, Choice) for f in own):
            return None, ()
        said = tuple((f.name, str(typed[f.name] or "")) for f in self.fields if f in FIELDS)
        return _read_once(self.read, tuple(checked(own, typed, {}).items()), said)


@lru_cache(maxsize=16)
def _read_once(read, values, typed, known=()):
    """What `read` makes, or its ValueError, and names of the fields that it needs, one after the other."""
    try:
        filled = {name: text for name, text in typed if text and name in known}
        return read({**dict(values), "said": checked(map(WORDS.by_name.get, filled), filled, {})}, {}), known
    except Needs as more:
        new = tuple(name for name in more.fields if name not in known)
        return _read_once(read, values, typed, known + new) if new else (more, known)
    except ValueError as error:
        return error, known


def read_file(file, said):
    """The evidence that a file makes.

    Parameters
    ----------
    file : File
    said : dict
        Values of fields of `FIELDS`, by name.

    Returns
    -------
    Evidence
        With `.taken`, what the file was taken for.

    Raises
    ------
    ValueError
        Where it cannot be used, in words; `Needs` where something more must be said.
    """
    name = f"{file.name} (fingerprint {fingerprint(file.content)})"
    kind, why = (said["kind"], "") if "kind" in said else _recognised(file)
    taken = why.replace("It was taken", f"{file.name} was taken", 1) or f"{file.name} was taken for {KINDS[kind]}."
    try:
        evidence = _READERS[kind](file, name, said)
    except Needs as more:
        raise Needs(f"{taken} {more}", *more.fields) from None
    except ValueError as error:
        unread = " It could not be used." if isinstance(error, sheet_file.SheetError) else ""
        other_door = WORDS.table["other doors"][kind]
        raise ValueError(f"{taken}{unread} {capital(str(error))} {other_door}") from None
    evidence.taken = taken
    return evidence


def _recognised(file):
    """What the file is, and why."""
    found = recognise.kind_of(BytesIO(file.content))
    if found.kind:
        return found.kind, found.why
    text = _text(file)
    with suppress(ValueError):
        if text and read_numbers(text, 0.01):
            return "drag areas", ""
    with suppress(sheet_file.SheetError):
        with suppress(field_sheet.NotSaid):
            field_sheet.read_laps(BytesIO(file.content))
        return "road test", ""
    if found.why == recognise.NOTHING_KNOWN or "nothing shows whether" not in found.why:
        raise ValueError(f"{file.name} could not be used. {found.why}")
    raise Needs(f"{file.name}: {found.why} Say below what it is.", "kind")


def tunnel_sheet(file, said, least=1):
    """A file's tunnel sheet, of so many set-ups at least; `Needs` and ValueError as of `read_file`.

    All that will be wanted of the sheet is asked of it, so that what it leaves open is told now.
    """
    asked = {argument: said[field] for argument, field in _OF_TUNNEL_RUNS.items() if field in said}
    if "net" in asked:
        asked["net"] = asked["net"] == "net"
    try:
        sheet = tunnel.read_sheet(BytesIO(file.content), **asked)
        if not sheet.rows.used.any():
            raise sheet_file.SheetError(WORDS("no row", len(sheet.rows), sheet.faults[0]))
        if len(sheet.set_ups) < least:
            raise ValueError(WORDS("one set-up", sheet.set_ups[0]))
        sheet.must_have_range()
    except sheet_file.NotSaid as missing:
        raise Needs(str(missing), *(_OF_TUNNEL_RUNS[need] for need in missing.needs)) from None
    return sheet


def _tunnel(file, name, said):
    found = FromTunnel(tunnel_sheet(file, said, least=2), name)
    found.draws(2, 0)  # refuses what cannot be drawn
    return found


def laps_of(file, said):
    """The laps of a file, with what was said besides; `Needs` and ValueError as of `read_file`."""
    try:
        laps = field_sheet.read_laps(BytesIO(file.content), **{argument: said.get(field) for argument, field in _OF_LAPS.items()})
    except field_sheet.NotSaid as missing:
        raise Needs(str(missing), *(field for need in missing.needs for field in _LAPS_NEED[need])) from None
    if laps.used.empty:
        raise sheet_file.SheetError(WORDS("no lap", len(laps.laps), [*laps.faults, *laps.rejected][0]))
    return laps


def _road_test(file, name, said):
    laps = laps_of(file, said)
    if len(laps.positions) < 2:
        raise Needs(WORDS("one position"), "lap_positions")
    try:
        return FromField(laps, name, rolling_coefficient=said.get("test_rolling"))
    except roadtest.RollingNeeded as error:
        raise Needs(capital(str(error)), "test_rolling") from None


def _drag_areas(file, name, said):
    text = _text(file)
    if text and has_ranges(text):
        return published(text, name, said)
    try:
        return _tunnel(file, name, said)
    except Needs:
        raise
    except ValueError as refused:
        try:
            return published(text, name, said)
        except Needs:
            raise
        except (ValueError, TypeError):  # what the reader of tunnel sheets says of it
            raise refused from None


def published(text, name, said):
    """The evidence of numbers that somebody published; `Needs` and ValueError as of `read_file`."""
    try:
        return FromNumbers(read_numbers(text, said.get("half_range")), name)
    except field_sheet.NotSaid:
        raise Needs(NO_RANGE, "half_range") from None


_READERS = {"tunnel": _tunnel, "road test": _road_test, "drag areas": _drag_areas}


def _text(file):
    """The file as text; '' for a spreadsheet."""
    with suppress(sheet_file.SheetError):
        return "" if file.content[:2] == b"PK" else sheet_file.texts_of(file.content)[0]
    return ""

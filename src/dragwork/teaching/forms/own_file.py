"""A file of one's own: what kind it is, what it leaves open, and the evidence that it makes.

What a file leaves open is asked for and nothing else: a field of `FIELDS` is shown once the file, as
far as it is read by then, needs it.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from io import BytesIO

from dragwork.files import fingerprint
from dragwork.measurement.field_sheet import NotSaid, laps_named, read_laps
from dragwork.measurement.recognise import NOTHING_KNOWN, kind_of
from dragwork.measurement.roadtest import RollingNeeded
from dragwork.measurement.sheet_reading import SheetError, Unanswered
from dragwork.measurement.tunnel import read_sheet
from dragwork.teaching.forms.fields import Choice, Typed, Upload, knob_box, maybe, number_in
from dragwork.teaching.forms.flow import FlowQuestion
from dragwork.teaching.forms.report_numbers import NO_RANGE, has_ranges, read_numbers
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.report import FromField, FromNumbers, FromTunnel

KINDS = {"tunnel": "a tunnel sheet", "road test": "a road test", "drag areas": "a table of drag areas"}
RIDDEN = {"out and back": "out and back by turns, the first lap out", "loop": "rounds of a loop"}
AXES = {"body": "along the bicycle", "wind": "along the wind"}
NET = {"net": "yes, it is net drag", "gross": "no, it is in the numbers"}

_MASS = knob("all_up_mass", quantity="test_mass", label="All-up mass in the test", low=20, high=250)
_TEMPERATURE = knob("temperature", quantity="test_temperature", label="Air temperature in the test", low=-25, high=50)
_PRESSURE = knob("pressure", quantity="test_pressure", label="Station pressure in the test", low=600, high=1085)
_HUMIDITY = knob("relative_humidity", quantity="test_humidity", label="Humidity in the test")
_ROLLING = knob("rolling_coefficient", quantity="test_rolling", label="Rolling coefficient in the test", low=0.001, high=0.02)


def _area_up_to(most):
    def read(text):
        area = number_in("m2")(text)
        if not 0 < area <= most:
            raise ValueError(f"{area:g} m² is outside the range above 0 to {most:g} m².")
        return area

    return read


def _box(knob, hint, start=""):
    box = knob_box(knob, start, None, hint)
    return replace(box, read=maybe(box.read))


# Asked for only where the file needs it.
FIELDS = (
    Choice("kind", "What the file is", options=KINDS),
    _box(_MASS, "Rider, bicycle, bottles and clothing"),
    _box(_TEMPERATURE, "Of the air beside the road"),
    _box(_PRESSURE, "What a barometer shows there, not the forecast's"),
    _box(_HUMIDITY, "May stay empty"),
    Choice("ridden", "How the laps were ridden", options=RIDDEN),
    Typed("lap_length", "Length of a lap", "Measured to the metre", "", None, "m", maybe(number_in("m"))),
    Typed("lap_positions", "Which laps in which position", "hoods 1-8; drops 9-16", read=maybe(laps_named), lines=2),
    _box(_ROLLING, "0.003 for a supple tyre on smooth asphalt, 0.006 on a rough road"),
    Choice("axis", "The drag is", options=AXES),
    Choice("net", "Is the empty stand's drag taken off already?", options=NET),
    Typed("tunnel_density", "Air density in the tunnel", "About 1.2", "", None, "kg/m³", maybe(number_in("kg/m3"))),
    Typed("spread", "How far two runs of the same are apart (standard deviation)", "0.003 is usual", "", None, "m²",
          maybe(_area_up_to(0.1))),
    Typed("half_range", "How far each number may be off, at 95 %", "0.010 is usual", "", None, "m²", maybe(_area_up_to(0.2))),
)  # fmt: skip
_BY_NAME = {field.name: field for field in FIELDS}
_OF_A_LAP_SHEET = {
    "mass": ("test_mass",), "weather": ("test_temperature", "test_pressure", "test_humidity"),
    "ridden": ("ridden",), "distance": ("lap_length",),
}  # fmt: skip
_OF_LAPS = {
    "all_up_mass": "test_mass", "temperature": "test_temperature", "pressure": "test_pressure",
    "relative_humidity": "test_humidity", "distance": "lap_length", "ridden": "ridden", "positions": "lap_positions",
}  # fmt: skip
LAP_FIELDS = tuple(field for field in FIELDS if any(field.name in names for names in _OF_A_LAP_SHEET.values()))
_OF_A_TUNNEL_SHEET = {"axis": "axis", "net": "net", "air_density": "tunnel_density", "spread": "spread"}
TUNNEL_FIELDS = tuple(field for field in FIELDS if field.name in _OF_A_TUNNEL_SHEET.values())


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


@dataclass(frozen=True)
class AskingQuestion(FlowQuestion):
    """A question about a file; besides its own fields it shows those that the file turns out to need.

    Parameters
    ----------
    reads : callable
        reads(file, said), which raises `Needs` where more must be said.
    """

    reads: Callable = None

    def needed(self, typed):
        """Names of the fields of `FIELDS` to show."""
        (upload,) = (field for field in self.fields if isinstance(field, Upload))
        if not upload.asked(typed):
            return ()
        try:
            file = upload.check(typed[upload.name], {})
        except ValueError:  # said where it is answered
            return ()
        return _needed(self.reads, file, tuple((f.name, str(typed[f.name] or "")) for f in self.fields if f in FIELDS))

    def shown(self, typed):
        """The fields that are asked, given what is in the others."""
        needed = self.needed(typed)
        return tuple(f for f in super().shown(typed) if f not in FIELDS or f.name in needed)

    def answer(self, typed, answers):
        """Read what was typed, what was said besides under 'said'; ValueError in words where that cannot be."""
        values, told = {}, {}
        for field in self.shown(typed):
            if field in FIELDS and typed[field.name] in ("", None):
                continue  # the file says whether it can do without
            try:
                (told if field in FIELDS else values)[field.name] = field.check(typed[field.name], answers)
            except ValueError as error:
                error.field = field.name
                raise
        return self.read(values | {"said": told}, answers)


@lru_cache(maxsize=4)
def _needed(read, file, typed):
    shown, typed = [], dict(typed)
    while True:
        try:
            read(file, said({name: typed[name] for name in shown}))
        except Needs as more:
            new = [name for name in more.fields if name not in shown]
            if new:
                shown += new
                continue
        except ValueError:
            pass
        return tuple(shown)


def said(typed):
    """The values of the fields that hold something; ValueError in words for one that cannot be."""
    return {name: _BY_NAME[name].check(text, {}) for name, text in typed.items() if text not in ("", None)}


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
    kind, why = said.get("kind"), ""
    if kind is None:
        kind, why = _recognised(file)
    try:
        evidence = _READERS[kind](file, name, said)
    except Needs as more:
        raise Needs(f"{_taken(file, kind, why)} {more}", *more.fields) from None
    except SheetError as error:
        raise ValueError(f"{_taken(file, kind, why)} It could not be used. {_capital(str(error))}{_OTHER_DOORS[kind]}") from None
    except ValueError as error:
        raise ValueError(f"{_taken(file, kind, why)} {_capital(str(error))}{_OTHER_DOORS[kind]}") from None
    evidence.taken = _taken(file, kind, why)
    return evidence


_OTHER_DOORS = {
    "tunnel": " Drag areas that you know already can be typed here as numbers.",
    "road test": " Notebook 06 has an empty field sheet to fill in, and shows which laps it can use.",
    "drag areas": " Or choose 'no sheet' and type the drag areas as numbers.",
}


def _recognised(file):
    """What the file is, and why."""
    found = kind_of(BytesIO(file.content))
    if found.kind:
        return found.kind, found.why
    text = _text(file)
    try:
        if text and read_numbers(text, 0.01):
            return "drag areas", ""
    except ValueError:
        pass
    try:
        read_laps(BytesIO(file.content))
        return "road test", ""
    except NotSaid:
        return "road test", ""
    except SheetError:
        pass
    if found.why == NOTHING_KNOWN or "nothing tells whether" not in found.why:
        raise ValueError(f"{file.name} could not be used. {found.why}")
    raise Needs(f"{file.name}: {found.why} Say below what it is.", "kind")


def _taken(file, kind, why):
    return why.replace("It was taken", f"{file.name} was taken", 1) if why else f"{file.name} was taken for {KINDS[kind]}."


def tunnel_sheet(file, said, use):
    """What `use` makes of a file's tunnel sheet; `Needs` and ValueError as of `read_file`.

    use(sheet) asks of the sheet all that will be wanted of it, so that what it leaves open is told now.
    """
    asked = {argument: said[field] for argument, field in _OF_A_TUNNEL_SHEET.items() if field in said}
    if "net" in asked:
        asked["net"] = asked["net"] == "net"
    try:
        sheet = read_sheet(BytesIO(file.content), **asked)
        if not sheet.rows.used.any():
            raise SheetError(f"None of its {len(sheet.rows)} rows can be used. It begins with this: {sheet.faults[0]}")
        return use(sheet)
    except Unanswered as open_:
        raise Needs(str(open_), _OF_A_TUNNEL_SHEET[open_.argument]) from None


def _tunnel(file, name, said):
    def evidence(sheet):
        found = FromTunnel(sheet, name)
        if len(found.set_ups) < 2:
            raise ValueError(
                f"It holds usable runs of one set-up, {found.set_ups[0]}. Two are needed to compare. Notebook 04 shows "
                "the drag area of one."
            )
        found.draws(2, 0)
        return found

    return tunnel_sheet(file, said, evidence)


def laps_of(file, said):
    """The laps of a file, with what was said besides; `Needs` and ValueError as of `read_file`."""
    try:
        laps = read_laps(BytesIO(file.content), **{argument: said.get(field) for argument, field in _OF_LAPS.items()})
    except NotSaid as missing:
        fields = [field for need in missing.needs for field in _OF_A_LAP_SHEET[need]]
        raise Needs(str(missing), *fields) from None
    if laps.used.empty:
        reasons = [*laps.faults, *laps.rejected]
        raise SheetError(f"None of its {len(laps.laps)} laps can be used. It begins with this: {reasons[0]}")
    return laps


def _road_test(file, name, said):
    laps = laps_of(file, said)
    if len(laps.positions) < 2:
        raise Needs(
            "It has one position, and two are needed to compare. Write below which laps were ridden in which position, or "
            "add a column 'position'. Notebook 06 shows the drag area of one.", "lap_positions"
        )  # fmt: skip
    try:
        return FromField(laps, name, rolling_coefficient=said.get("test_rolling"))
    except RollingNeeded as error:
        raise Needs(_capital(str(error)), "test_rolling") from None


def _drag_areas(file, name, said):
    text = _text(file)
    if text and has_ranges(text):
        return _published(text, name, said)
    try:
        return _tunnel(file, name, said)
    except Needs:
        raise
    except ValueError:
        try:
            return _published(text, name, said)
        except Needs:
            raise
        except (ValueError, TypeError):
            pass
        raise


def _published(text, name, said):
    try:
        return FromNumbers(read_numbers(text, said.get("half_range")), name)
    except NotSaid:
        raise Needs(NO_RANGE, "half_range") from None


_READERS = {"tunnel": _tunnel, "road test": _road_test, "drag areas": _drag_areas}


def _text(file):
    """The file as text; '' for a spreadsheet."""
    if b"\0" in file.content[:1000] or file.content[:2] == b"PK":
        return ""
    for encoding in ("utf-8-sig", "cp1252"):
        try:
            return file.content.decode(encoding)
        except UnicodeDecodeError:
            continue
    return ""


def _capital(sentence):
    return sentence[:1].upper() + sentence[1:]

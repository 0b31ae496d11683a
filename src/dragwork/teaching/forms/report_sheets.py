"""The first question behind the page: what was measured? A tunnel sheet, a road test, or numbers."""

from dragwork.scenario.barrow_lane import bl7, bl7_with_faults
from dragwork.scenario.saltpan_lane import saltpan_lane
from dragwork.teaching.forms.flow import Choice, Typed, Upload
from dragwork.teaching.forms.own_file import FIELDS, AskingQuestion, Needs, read_file
from dragwork.teaching.forms.report_numbers import NO_RANGE, NotSaid, read_numbers
from dragwork.teaching.report import FromField, FromNumbers, FromTunnel

__all__ = ["QUESTION", "read_numbers"]

_TOLD = 3  # reasons told at once; the page tells all
OWN, NUMBERS = "own", "numbers"

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
        OWN: "a file of my own: a tunnel sheet, a road test or a table of drag areas",
        NUMBERS: "no sheet: numbers that somebody published",
    }


class _SheetQuestion(AskingQuestion):
    def needed(self, typed):
        if typed["sheet"] == OWN:
            return self.needed_by_file(typed, read_file)
        lack = typed["sheet"] == NUMBERS and (typed["half_range"] or _lack_a_range(typed["numbers"]))
        return ("half_range",) if lack else ()


def _lack_a_range(text):
    try:
        read_numbers(str(text))
    except NotSaid:
        return True
    except ValueError:
        pass
    return False


def _read(values, answers):
    chosen = values["sheet"]
    if chosen in DEMO:
        about, make = DEMO[chosen]
        return make(f"{chosen} ({about})")
    if chosen == OWN:
        return read_file(values["upload"], values["said"])
    try:
        areas = read_numbers(values["numbers"], values["said"].get("half_range"))
    except NotSaid:
        raise Needs(NO_RANGE, "half_range") from None
    return FromNumbers(areas, values["numbers_from"].strip() or "somebody")


def _in_words(evidence, answers):
    opening = " ".join(evidence.opening()).replace("; the reasons stand below.", ".")
    told = [evidence.taken, opening]
    first = " ".join(str(fault) for fault in evidence.faults[:_TOLD])
    if first:
        told.append(("All reasons are on the page. The first: " if len(evidence.faults) > _TOLD else "Left out: ") + first)
    return " ".join(part for part in (*told, *evidence.told) if part)


QUESTION = _SheetQuestion(
    "sheet",
    "What was measured?",
    "Take a demo sheet of the club, a file of your own, or numbers from a paper.",
    (
        Choice("sheet", "The sheet", options=_options),
        Upload(
            "upload",
            "Your file",
            "A sheet saved as CSV or as a spreadsheet (.xlsx). What it leaves open is asked next.",
            when=("sheet", OWN),
            accept=".csv,.txt,.tsv,.xlsx",
        ),
        Typed(
            "numbers",
            "Drag areas with their 95 % ranges, in m²",
            "hoods 0.320, 0.310 to 0.330; low 0.300 ± 0.010; or paste a table with its header",
            when=("sheet", NUMBERS),
            lines=5,
        ),
        *FIELDS,
        Typed("numbers_from", "Where they are from", "Who published them", when=("sheet", NUMBERS)),
    ),
    _read,
    _in_words,
)

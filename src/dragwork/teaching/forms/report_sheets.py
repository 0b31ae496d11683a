"""The first question behind the page: what was measured? A tunnel sheet, a road test, or numbers."""

from dragwork.scenario.barrow_lane import bl7, bl7_with_faults
from dragwork.scenario.saltpan_lane import saltpan_lane
from dragwork.teaching.forms.field_flow import kept_field_tests
from dragwork.teaching.forms.fields import Choice, Typed, Upload
from dragwork.teaching.forms.own_file import FIELDS, AskingQuestion, Needs, read_file
from dragwork.teaching.forms.report_numbers import NO_RANGE, NotSaid, read_numbers
from dragwork.teaching.profile import Profile
from dragwork.teaching.report import FromField, FromNumbers, FromTunnel

__all__ = ["QUESTION", "read_numbers"]

_TOLD = 3  # reasons told at once; the page tells all
OWN, NUMBERS, KEPT = "own", "numbers", "06: "

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


def _kept():
    """The field tests of notebook 06, by what stands for them in the list."""
    return {f"{KEPT}{name}": name for name in Profile().named("field test")}


def _options(answers):
    kept = {key: f"{name}, your field test of notebook 06" for key, name in _kept().items()}
    return kept | {name: f"{name}: {about}" for name, (about, _) in DEMO.items()} | {
        OWN: "a file of my own: a tunnel sheet, a road test or a table of drag areas",
        NUMBERS: "no sheet: numbers that somebody published",
    }


class _SheetQuestion(AskingQuestion):
    def needed(self, typed):
        lack = typed["sheet"] == NUMBERS and (typed["half_range"] or _lack_a_range(typed["numbers"]))
        return ("half_range",) if lack else super().needed(typed)


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
    if chosen in _kept():
        return _from_notebook_06(_kept()[chosen])
    try:
        areas = read_numbers(values["numbers"], values["said"].get("half_range"))
    except NotSaid:
        raise Needs(NO_RANGE, "half_range") from None
    return FromNumbers(areas, values["numbers_from"].strip() or "somebody")


def _from_notebook_06(name):
    """A field test as it was analysed there, with the errors that its positions share."""
    test = dict(kept_field_tests(Profile()).get(name, {}))
    if not test:
        raise ValueError(f"{name} cannot be read again from your file. Choose the file itself, as a file of your own.")
    evidence = FromField(test.pop("laps"), f"{name} (your field test of notebook 06)", **test)
    if len(evidence.set_ups) < 2:
        raise ValueError(f"{name} has one position, and two are needed to compare. Ride a second one, or choose numbers.")
    return evidence


def _in_words(evidence, answers):
    opening = " ".join(evidence.opening()).replace("; the reasons are below.", ".")
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
    reads=read_file,
)

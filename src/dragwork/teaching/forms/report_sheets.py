"""The first question behind the page: what was measured? A tunnel sheet, a road test, or numbers."""

from dragwork.scenario.barrow_lane import bl7, bl7_with_faults
from dragwork.scenario.saltpan_lane import saltpan_lane
from dragwork.teaching.forms.field_flow import kept_field_tests
from dragwork.teaching.forms.flow import FormWords
from dragwork.teaching.forms.own_file import FIELDS, asking, published, read_file
from dragwork.teaching.forms.report_numbers import read_numbers
from dragwork.teaching.profile import Profile
from dragwork.teaching.report import FromField, FromTunnel

__all__ = ["QUESTION", "read_numbers"]

_TOLD = 3  # reasons told at once; the page tells all
OWN, NUMBERS, KEPT = "own", "numbers", "06: "

WORDS = FormWords("report_sheets.json")
# Name in the list -> what makes the evidence under the name of a page.
DEMO = {
    "BL-7": lambda name: FromTunnel(bl7(), name),
    "BL-7 with faults": lambda name: FromTunnel(bl7_with_faults(), name),
    "Saltpan Lane": lambda name: FromField(saltpan_lane(), name),
}


def _kept():
    """The field tests of notebook 06, by what stands for them in the list."""
    return {f"{KEPT}{name}": name for name in Profile().named("field test")}


def _options(answers):
    kept = {key: f"{name}, your field test of notebook 06" for key, name in _kept().items()}
    return kept | {name: f"{name}: {about}" for name, about in WORDS.table["demo"].items()} | {
        OWN: "a file of my own: a tunnel sheet, a road test or a table of drag areas",
        NUMBERS: "no sheet: numbers that somebody published",
    }


def _read(values, answers):
    chosen = values["sheet"]
    if chosen in DEMO:
        return DEMO[chosen](f"{chosen} ({WORDS.table['demo'][chosen]})")
    if chosen == OWN:
        return read_file(values["upload"], values["said"])
    if chosen in _kept():
        return _from_notebook_06(_kept()[chosen])
    return published(values["numbers"], values["numbers_from"].strip() or "somebody", values["said"])


def _from_notebook_06(name):
    """A field test as it was analysed there, with the errors that its positions share."""
    test = dict(kept_field_tests(Profile()).get(name, {}))
    if not test:
        raise ValueError(WORDS("lost", name))
    evidence = FromField(test.pop("laps"), f"{name} (your field test of notebook 06)", **test)
    if len(evidence.set_ups) < 2:
        raise ValueError(WORDS("one position", name))
    return evidence


def _in_words(evidence, answers):
    opening = " ".join(evidence.opening).replace("; the reasons are below.", ".")
    told = [evidence.taken, opening]
    first = " ".join(str(fault) for fault in evidence.faults[:_TOLD])
    if first:
        told.append(("All reasons are on the page. The first: " if len(evidence.faults) > _TOLD else "Left out: ") + first)
    return " ".join(part for part in (*told, *evidence.told) if part)


(_SHEET,) = WORDS.questions(
    {"sheet": (_read, _in_words)}, options={"sheet": _options}, shared={"what a file leaves open": FIELDS}
)
QUESTION = asking(_SHEET)

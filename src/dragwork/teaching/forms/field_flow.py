"""A field sheet, one question at a time: which sheet, which legs, what is known, which position."""

from dataclasses import dataclass
from pathlib import Path

from dragwork import units
from dragwork.files import free_path
from dragwork.measurement.field_sheet import LapSheet, empty_sheet
from dragwork.measurement.roadtest import FieldFit, budget, fit
from dragwork.scenario.saltpan_lane import saltpan_lane
from dragwork.teaching.forms.drafts import packed, unpacked
from dragwork.teaching.forms.fields import Choice, Typed, Upload, knob_box
from dragwork.teaching.forms.flow import Action, Flow, FlowQuestion, saved_here
from dragwork.teaching.forms.learner_rider import keep_rider, kept_in_words
from dragwork.teaching.forms.own_file import LAP_FIELDS, AskingQuestion, by_its_name, laps_of
from dragwork.teaching.forms.rider_and_road import ROLLING
from dragwork.teaching.panels.knobs import Knob, knob
from dragwork.teaching.report import Found, Table, listed
from dragwork.teaching.telling import words_in

OWN, DEMO = "own", "Saltpan Lane"

_WIND = Knob("head_wind", "Headwind on the way out, minus from behind", "", "m/s", -6, 0, 6, 0.1, 1)
_SLOPE = knob("gradient", label="Slope on the way out", low=-5, step=0.05, high=5)

# Cause, as the budget names it: in words, and what would narrow it.
CAUSES = words_in(__package__, "causes.json")["field test"]


# -- 1 the sheet --------------------------------------------------------------------------------------


_SHEETS = {DEMO: f"{DEMO}: the club's field day, invented", OWN: "a file of my own"}


@dataclass(frozen=True, eq=False)
class NamedLaps:
    """A field sheet and what the page calls it."""

    name: str
    sheet: LapSheet


def _read_sheet(values, answers):
    if values["sheet"] == DEMO:
        return NamedLaps(DEMO, saltpan_lane())
    file = values["upload"]
    elsewhere = " A tunnel sheet and numbers from a paper go into notebook 12."
    return NamedLaps(file.name, by_its_name(laps_of, file, values["said"], elsewhere))


def _sheet_in_words(named, answers):
    sheet = named.sheet
    what = f"{len(sheet.used)} of {len(sheet.laps)} laps can be used"
    first = f"Read {named.name}: {what}, in {_positions_in_words(sheet.positions)}."
    return " ".join([first, *map(str, sheet.faults), *map(str, sheet.rejected), *sheet.asked])


def _positions_in_words(codes):
    return f"position{'' if len(codes) == 1 else 's'} {listed(codes)}"


# -- 2 the laps ---------------------------------------------------------------------------------------


_WAYS = {
    "pairs": "out and back in pairs, so that wind and slope mostly cancel",
    "out": "the way out alone",
    "back": "the way back alone",
}


def _names(text):
    """Names of laps that somebody typed, parted by commas or blanks."""
    return tuple(str(text).replace(",", " ").replace(";", " ").split())


def _read_laps(values, answers):
    sheet = answers["sheet"].sheet.without(*values["without"])
    pairs = values["way"] == "pairs"
    return {"laps": sheet if pairs else sheet.choose(values["way"]), "pairs": pairs, "without": values["without"]}


def _laps_in_words(laps, answers):
    left = f" Left out by hand: {listed(laps['without'])}." if laps["without"] else ""
    how = "in pairs, out and back; there a leg without its partner drops out" if laps["pairs"] else "one way; a wind or a slope now counts in full"
    return f"{len(laps['laps'].used)} laps are handed to the fit, {how}.{left}"


# -- 3 what is known ----------------------------------------------------------------------------------


_ROADS = {"sheet": "what the sheet says, else none", "numbers": "numbers of my own"}
_ROLLINGS = {"fit": "let the fit find it", "given": "a number of my own"}


def _read_known(values, answers):
    known = {"head_wind": None, "gradient": None, "rolling_coefficient": None}
    known.update({name: value for name, value in values.items() if name in known})
    fit(answers["laps"]["laps"], pairs=answers["laps"]["pairs"], **known)  # refuses in words
    return known


def _known_in_words(known, answers):
    if known["head_wind"] is None:
        road = "Wind and slope as the sheet has them; none where it is silent"
    else:
        road = f"{_WIND.words(known['head_wind'])} of headwind and {_SLOPE.words(known['gradient'])} on the way out"
    rolling = known["rolling_coefficient"]
    tyres = "the fit finds the rolling coefficient" if rolling is None else f"a rolling coefficient of {ROLLING.words(rolling)}"
    return f"{road}; {tyres}."


# -- 4 the position -----------------------------------------------------------------------------------


def _positions(answers):
    if "laps" not in answers:
        return {}
    return {code: f"position {code}" for code in answers["laps"]["laps"].positions}


def _position_in_words(code, answers):
    return f"The range below is that of position {code}."


# -- together -----------------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class FieldResult(Found):
    """What a field test says about one position, in words and numbers."""

    found: FieldFit
    position: str

    @property
    def place(self):
        return self.found.positions.index(self.position)

    @property
    def drag_area(self):
        """Of the position [m2]."""
        return float(self.found.values[self.place])

    @property
    def sentence(self):
        """The drag area with its range, what else was found, and where the width comes from."""
        found, name = self.found, self.found.names[self.place]
        low, high = found.intervals[name]
        level = f"{units.to_percent(found.confidence):.0f} %"
        most = budget(found, self.position).iloc[0]
        cause, mend = CAUSES[most.cause]
        return " ".join([
            f"Position {self.position} has a drag area of {self.drag_area:.3f} m², with a {level} range "
            f"from {low:.3f} to {high:.3f} m².",
            self._rolling(),
            *self._differences(level),
            f"Most of the width, {units.to_percent(most.share):.0f} % of the variance, comes from "
            f"{cause}. {mend}",
        ])  # fmt: skip

    def _rolling(self):
        found = self.found
        if "rolling_coefficient" not in found.intervals:
            return f"The rolling coefficient was taken as {found.rolling_coefficient:.4f}."
        low, high = found.intervals["rolling_coefficient"]
        return f"The rolling coefficient is {found.rolling_coefficient:.4f} ({low:.4f} to {high:.4f})."

    def _differences(self, level):
        for other in self.found.positions:
            if other != self.position:
                gap = self.found.difference(self.position, other)
                yield (
                    f"Its drag area less that of position {other} is {gap.difference:+.3f} m² "
                    f"({level} range {gap.low:+.3f} to {gap.high:+.3f} m²)."
                ).replace("-", "−")

    @property
    def rows(self):
        """The laps that were not used, each with its reason."""
        return [{"lap": lap.lap, "row": str(lap.row), "why it is not used": lap.why} for lap in self.found.rejected]

    @property
    def notes(self):
        """What is odd about the laps, and what laps cannot show; each with what to do."""
        return self.found.notes

    @property
    def pieces(self):
        return (self.sentence, self.notes, *([Table(self.rows, "Laps that were not used")] if self.rows else []))


def _finish(answers):
    laps = answers["laps"]
    found = fit(laps["laps"], pairs=laps["pairs"], **answers["known"])
    return FieldResult(found, answers["position"])


QUESTIONS = (
    AskingQuestion(
        "sheet",
        "Whose field sheet?",
        "Take the club's day at Saltpan Lane, or a field sheet of your own, saved as CSV.",
        (
            Choice("sheet", "The sheet", options=_SHEETS),
            Upload(
                "upload", "Your sheet", "Laps with mean power and mean speed, or lap time and distance, as CSV or .xlsx.",
                when=("sheet", OWN), accept=".csv,.txt,.tsv,.xlsx",
            ),
            *LAP_FIELDS,
        ),
        _read_sheet,
        _sheet_in_words,
        reads=laps_of,
    ),
    FlowQuestion(
        "laps",
        "Which laps?",
        "Laps with a fault, a brake or traffic are out already. Leave out more by their names, if you know why.",
        (
            Choice("way", "The legs", options=_WAYS, start="pairs"),
            Typed("without", "Leave out", "Such as 7, 8; may stay empty", read=_names),
        ),
        _read_laps,
        _laps_in_words,
    ),
    FlowQuestion(
        "known",
        "What is known of wind, slope and tyres?",
        "In pairs a steady wind and a slope hardly matter. The tyres can be found if there are two speeds.",
        (
            Choice("road", "Wind and slope", options=_ROADS, start="sheet"),
            knob_box(_WIND, "0", ("road", "numbers")),
            knob_box(_SLOPE, "0", ("road", "numbers")),
            Choice("tyres", "The rolling coefficient", options=_ROLLINGS, start="fit"),
            knob_box(ROLLING, "0.005", ("tyres", "given")),
        ),
        _read_known,
        _known_in_words,
    ),
    FlowQuestion(
        "position",
        "Which position?",
        "A position is a code on the sheet, so that nobody favours one while they analyse.",
        (Choice("position", "The position", options=_positions),),
        lambda values, answers: values["position"],
        _position_in_words,
    ),
)  # fmt: skip


class FieldFlow(Flow):
    """Four questions, then a drag area with its range. As the last line of a cell it shows itself.

    By code: `flow.answer(sheet="Saltpan Lane", way="pairs", road="sheet", tyres="fit",
    position="P")`, then `flow.result`. An own sheet is `sheet="own", upload="my_laps.csv"`. Numbers
    are text, in the units that the question shows. `flow.save()` keeps the drag area with the
    learner's rider.
    """

    title = "Questions for a field test"
    made = "The drag area is below."
    draft = "field test"

    def __init__(self):
        super().__init__(QUESTIONS, _finish)

    @property
    def actions(self):
        return (
            Action("Save an empty field sheet", "Save it as CSV beside this notebook",
                   lambda: saved_here(self.save_empty_sheet().name, "A spreadsheet opens it."), early=True),
            Action("Keep this with my rider", "Keep the drag area with your rider, for all notebooks",
                   lambda: kept_in_words(self.save())),
        )  # fmt: skip

    def save(self):
        """Keep drag area, rolling coefficient and mass with the learner's rider.

        Returns
        -------
        Path
            The learner's file.

        Raises
        ------
        ValueError
            While a question is open, where there is no rider yet, or where the file cannot be
            written.
        """
        result = self.found("There is no drag area")
        if not self.profile.rider:
            raise ValueError(
                "There is no rider of yours yet, so that power is not known. Answer the questions "
                "about you in notebook 00 first; nothing here is lost meanwhile."
            )
        mass, rolling = result.found.legs.all_up_mass.mean(), round(float(result.found.rolling_coefficient), 4)
        self.profile.keep_named("field test", self._name(), typed=packed(self.typed))
        return keep_rider(self.profile, result.drag_area, "from your own field test", mass, rolling)

    def _name(self):
        return f"{self.answers['sheet'].name}, {_positions_in_words(self.result.found.positions)}"

    def save_empty_sheet(self, folder=".", laps=16):
        """Write the empty field sheet beside the notebook, never over another file.

        Parameters
        ----------
        folder : str or path
        laps : int
            Lines to fill in.

        Returns
        -------
        Path
            `field_sheet.csv`, or `field_sheet_2.csv` and so on where a file has that name.
        """
        path = free_path(Path(folder, "field_sheet.csv"))
        path.write_text(empty_sheet(laps), encoding="utf-8", newline="\n")
        return path


def kept_field_tests(profile):
    """The field tests that were kept with a rider, newest first: name, to what the laps are.

    Returns
    -------
    dict of str to dict
        .get("laps") a LapSheet, .get("pairs"), and what was taken as known, as `fit` takes them.
    """
    tests = {}
    for name, kept in profile.named("field test").items():
        flow = FieldFlow()
        try:
            flow.answer_all(**{n: text for n, text in unpacked(kept["typed"]).items() if n in flow.typed})
        except ValueError:  # a sheet too large to be kept, or read otherwise by now
            continue
        laps = flow.answers["laps"]
        tests[name] = {"laps": laps["laps"], "pairs": laps["pairs"], **flow.answers["known"]}
    return tests

"""A field sheet, one question at a time: which sheet, which legs, what is known, which position."""

from dataclasses import dataclass
from typing import NamedTuple

from dragwork.measurement import field_sheet, roadtest
from dragwork.scenario.saltpan_lane import saltpan_lane
from dragwork.teaching.forms.file import packed
from dragwork.teaching.forms.flow import Flow, FormWords, kept_answers
from dragwork.teaching.forms.form import write_beside
from dragwork.teaching.forms.learner_rider import keep_rider
from dragwork.teaching.forms.own_file import LAP_FIELDS, asking, by_its_name, laps_of
from dragwork.teaching.forms.rider_and_road import ROLLING
from dragwork.teaching.report import Found, Table, listed

DEMO = "Saltpan Lane"

WORDS = FormWords("field_flow.json")
# Cause, as the budget names it: in words, and what would narrow it.
CAUSES = WORDS.table["causes"]


class NamedLaps(NamedTuple):
    """A field sheet and what the page calls it."""

    name: str
    sheet: field_sheet.LapSheet


# -- what is asked ------------------------------------------------------------------------------------


def _read_sheet(values, answers):
    if values["sheet"] == DEMO:
        return NamedLaps(DEMO, saltpan_lane())
    file = values["upload"]
    return NamedLaps(file.name, by_its_name(laps_of, file, values["said"], f" {WORDS('elsewhere')}"))


def _sheet_in_words(named, answers):
    sheet = named.sheet
    laps = {"used": len(sheet.used), "all": len(sheet.laps)}
    first = WORDS("read", name=named.name, **laps, positions=_positions_in_words(sheet.positions))
    return " ".join([first, *map(str, sheet.faults), *map(str, sheet.rejected), *sheet.asked])


def _positions_in_words(codes):
    return f"position{'' if len(codes) == 1 else 's'} {listed(codes)}"


def _names(text):
    """Names of laps that somebody typed, parted by commas or blanks."""
    return tuple(str(text).replace(",", " ").replace(";", " ").split())


def _read_laps(values, answers):
    sheet = answers["sheet"].sheet.without(*values["without"])
    pairs = values["way"] == "pairs"
    return {"laps": sheet if pairs else sheet.choose(values["way"]), "pairs": pairs, "without": values["without"]}


def _laps_in_words(laps, answers):
    left = f" Left out by hand: {listed(laps['without'])}." if laps["without"] else ""
    return WORDS("pairs" if laps["pairs"] else "one way", laps=len(laps["laps"].used), left=left)


def _read_known(values, answers):
    known = {name: values.get(name) for name in ("head_wind", "gradient", "rolling_coefficient")}
    roadtest.fit(answers["laps"]["laps"], pairs=answers["laps"]["pairs"], **known)  # refuses in words
    return known


def _known_in_words(known, answers):
    rolling = known["rolling_coefficient"]
    given = rolling and f"a rolling coefficient of {ROLLING.words(rolling)}"
    tyres = given or "the fit finds the rolling coefficient"
    if known["head_wind"] is None:
        return WORDS("unknown road", tyres=tyres)
    wind, slope = (WORDS.value(name, known[name]) for name in ("head_wind", "gradient"))
    return WORDS("known road", wind=wind, slope=slope, tyres=tyres)


def _positions(answers):
    if "laps" not in answers:
        return {}
    return {code: f"position {code}" for code in answers["laps"]["laps"].positions}



_SHEET, *_OTHERS = WORDS.questions(
    {
        "sheet": (_read_sheet, _sheet_in_words),
        "laps": (_read_laps, _laps_in_words),
        "known": (_read_known, _known_in_words),
    },
    reads={"without": _names},
    options={"position": _positions},
    shared={"what a field sheet leaves open": LAP_FIELDS},
)
QUESTIONS = (asking(_SHEET), *_OTHERS)


# -- together -----------------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class FieldResult(Found):
    """What a field test says about one position, in words and numbers."""

    found: roadtest.FieldFit
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
        most = roadtest.budget(found, self.position).iloc[0]
        cause, mend = CAUSES[most.cause]
        return " ".join([
            WORDS("found", position=self.position, area=self.drag_area, level=found.confidence, low=low, high=high),
            self._rolling(),
            *self._differences(),
            WORDS("width", share=most.share, cause=cause, mend=mend),
        ])  # fmt: skip

    def _rolling(self):
        ends = self.found.intervals.get("rolling_coefficient", ())
        return WORDS("rolling" if ends else "taken", self.found.rolling_coefficient, *ends)

    def _differences(self):
        for other in self.found.positions:
            if other != self.position:
                gap = self.found.difference(self.position, other)
                yield WORDS("difference", other=other, gap=gap, level=self.found.confidence)

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


class FieldFlow(Flow):
    """Four questions, then a drag area with its range. As the last line of a cell it shows itself.

    By code: `flow.answer(sheet="Saltpan Lane", way="pairs", road="sheet", tyres="fit",
    position="P")`, then `flow.result`. An own sheet is `sheet="own", upload="my_laps.csv"`. Numbers
    are text, in the units that the question shows. `flow.save()` keeps the drag area with the
    learner's rider.
    """

    words = WORDS.table
    questions = QUESTIONS

    def finish(self, answers):
        laps = answers["laps"]
        found = roadtest.fit(laps["laps"], pairs=laps["pairs"], **answers["known"])
        return FieldResult(found, **answers["position"])

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
            raise ValueError(WORDS("no rider"))
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
        return write_beside(folder, "field_sheet.csv", field_sheet.empty_sheet(laps), fresh=True)


def kept_field_tests(profile):
    """The field tests that were kept with a rider, newest first: name, to what the laps are.

    Returns
    -------
    dict of str to dict
        .get("laps") a LapSheet, .get("pairs"), and what was taken as known, as `fit` takes them.
    """
    return {
        name: {"laps": answers["laps"]["laps"], "pairs": answers["laps"]["pairs"], **answers["known"]}
        for name, answers in kept_answers(profile, "field test", QUESTIONS).items()
    }

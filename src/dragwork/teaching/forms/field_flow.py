"""A field sheet, one question at a time: which sheet, which legs, what is known, which position."""

from typing import NamedTuple

from dragwork.measurement import field_sheet, roadtest
from dragwork.scenario.saltpan_lane import saltpan_lane
from dragwork.teaching.forms.flow import Flow, FormWords, kept_answers, packed
from dragwork.teaching.forms.form import write_beside
from dragwork.teaching.forms.learner_rider import keep_rider
from dragwork.teaching.forms.own_file import LAP_FIELDS, AskingQuestion, by_its_name, laps_of
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
    """The laps, as `roadtest.fit` takes them, and those left out by hand."""
    sheet = answers["sheet"].sheet.without(*values["without"])
    pairs = values["way"] == "pairs"
    return {"laps": sheet if pairs else sheet.choose(values["way"]), "pairs": pairs}, values["without"]


def _laps_in_words(answer, answers):
    laps, without = answer
    left = f" Left out by hand: {listed(without)}." if without else ""
    return WORDS("pairs" if laps["pairs"] else "one way", laps=len(laps["laps"].used), left=left)


def _read_known(values, answers):
    """The laps and what is known of them: all that `roadtest.fit` takes."""
    known = {name: values.get(name) for name in ("head_wind", "gradient", "rolling_coefficient")}
    known |= answers["laps"][0]
    roadtest.fit(**known)  # refuses in words
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
    codes = answers["laps"][0]["laps"].positions if "laps" in answers else ()
    return {code: f"position {code}" for code in codes}


# -- together -----------------------------------------------------------------------------------------


def _sentence(found, position):
    """The drag area of a position with its range, what else was found, and where the width comes from."""
    place, level = found.positions.index(position), found.confidence
    low, high = found.intervals[found.names[place]]
    rolling = found.intervals.get("rolling_coefficient", ())
    gaps = {other: found.difference(position, other) for other in found.positions if other != position}
    most = roadtest.budget(found, position).iloc[0]
    cause, mend = CAUSES[most.cause]
    return " ".join([
        WORDS("found", position=position, area=found.values[place], level=level, low=low, high=high),
        WORDS("rolling" if rolling else "taken", found.rolling_coefficient, *rolling),
        *(WORDS("difference", other=other, gap=gap, level=level) for other, gap in gaps.items()),
        WORDS("width", share=most.share, cause=cause, mend=mend),
    ])  # fmt: skip


class FieldFlow(Flow):
    """Four questions, then a drag area with its range. As the last line of a cell it shows itself.

    By code: `flow.answer(sheet="Saltpan Lane", way="pairs", road="sheet", tyres="fit",
    position="P")`, then `flow.result`. An own sheet is `sheet="own", upload="my_laps.csv"`. Numbers
    are text, in the units that the question shows. `flow.save()` keeps the drag area with the
    learner's rider.
    """

    words = WORDS.table
    questions = WORDS.questions(
        {"sheet": _read_sheet, "laps": _read_laps, "known": _read_known},
        {"sheet": _sheet_in_words, "laps": _laps_in_words, "known": _known_in_words},
        {"sheet": AskingQuestion},
        reads={"without": _names},
        options={"position": _positions},
        shared={"what a field sheet leaves open": LAP_FIELDS},
    )

    def finish(self, answers):
        found, position = roadtest.fit(**answers["known"]), answers["position"]["position"]
        area = float(found.values[found.positions.index(position)])
        sentence = _sentence(found, position)
        rows = WORDS.rows("unused", map(vars, found.rejected))
        unused = [Table(rows, "Laps that were not used")] if rows else []
        return Found((sentence, found.notes, *unused), found=found, drag_area=area, sentence=sentence)

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
        name = f"{self.answers['sheet'].name}, {_positions_in_words(result.found.positions)}"
        self.profile.keep_named("field test", name, typed=packed(self.typed))
        return keep_rider(self.profile, result.drag_area, "from your own field test", mass, rolling)

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
        "laps", a LapSheet, "pairs", and what was taken as known, as `fit` takes them.
    """
    kept = kept_answers(profile, "field test", FieldFlow.questions)
    return {name: answers["known"] for name, answers in kept.items()}

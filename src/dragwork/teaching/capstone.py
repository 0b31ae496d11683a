"""What there is to find in the capstone's brief, for those who mark it. A good page may differ."""

from dragwork.decisions.options import rank
from dragwork.measurement.tunnel import compare
from dragwork.scenario import hana
from dragwork.teaching.report import build_report
from dragwork.teaching.verdicts import judged_on


def numbers_to_mark_by():
    """The brief's answers as plain text: rows, drag areas, watts, minutes, claim, options.

    Returns
    -------
    str

    Source: COMMON_PRACTICE
    """
    sheet = hana.bl9()
    page = build_report(sheet, hana.BEFORE, hana.AFTER, hana.HANA, hana.ROAD, sheet_name=hana.SHEET)
    return "\n".join(
        [
            "The capstone's brief: numbers to mark by. The ranges of a good page may differ from these,",
            "because one may mend run 5 or leave it out, and take other doubts about the day.",
            "",
            *_part("What was planted", (f"run {run}: {what}" for run, what in hana.SLIPS.items())),
            *_part("The true drag areas", (f"{name}: {area:.4f} m²" for name, area in hana.TRUE_DRAG_AREA.items())),
            *_part("What the reader of sheets leaves out", _faults(sheet)),
            *_part("The sheet, those rows left out", _areas(sheet)),
            *_part("The page", page.answer),
            *_part("The claim", [judged_on(hana.CLAIM, hana.HANA, hana.ROAD).sentence]),
            *_part(f"What first, on {hana.ROAD.name}", _options(sheet)),
        ]
    )


def _part(title, lines):
    return [title, *(f"  {line}" for line in lines), ""]


def _faults(sheet):
    """What is wrong, by the sheet's own numbers of runs, and not by lines of its file."""
    runs = dict(zip(sheet.rows["row"], sheet.rows["run"]))
    for fault in sheet.faults:
        yield f"run {runs[fault.row]}, column '{fault.column}': {fault.what} {fault.mend}"


def _areas(sheet):
    for row in sheet.drag_areas().itertuples():
        yield f"{row.set_up}: {row.drag_area:.4f} m², SD {row.sd:.4f}, {row.runs} runs"
    found = compare(sheet, hana.BEFORE, hana.AFTER)
    yield f"difference {found.difference:.4f} m², 95 % range {found.low:.4f} to {found.high:.4f}"


def _options(sheet):
    saved = compare(sheet, hana.BEFORE, hana.AFTER).difference
    table = rank(hana.options(saved), hana.HANA.rider, hana.ROAD.course, **hana.ROAD.day(hana.HANA.power))
    for row in table.itertuples():
        yield (
            f"{row.option}: {row.seconds:.0f} s, 80 % range {row.low:.0f} to {row.high:.0f}; "
            f"{row.seconds_per_unit:.1f} s a unit"
        )

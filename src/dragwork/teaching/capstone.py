"""What there is to find in the capstone's brief, for those who mark it. A good page may differ."""

from dragwork.decisions.options import rank
from dragwork.measurement.tunnel import compare
from dragwork.scenario import hana
from dragwork.teaching.printing import filled
from dragwork.teaching.report import build_report
from dragwork.teaching.verdicts import judged_on


def numbers_to_mark_by():
    """The brief's answers as plain text: rows, drag areas, watts, minutes, claim, options.

    Returns
    -------
    str

    Source: COMMON_PRACTICE
    """
    sheet, member, road = hana.bl9(), hana.HANA, hana.ROAD
    page = build_report(sheet, hana.BEFORE, hana.AFTER, member, road, sheet_name=hana.SHEET)
    found = compare(sheet, hana.BEFORE, hana.AFTER)
    options = hana.options(found.difference)
    return filled(
        "capstone_numbers.md",
        brief=hana,
        sheet=sheet,
        runs=dict(zip(sheet.rows["row"], sheet.rows["run"])),  # its own numbers, not lines of its file
        found=found,
        page=page,
        claim=judged_on(hana.CLAIM, member, road),
        options=rank(options, member.rider, road.course, **road.day(member.power)).itertuples(),
    )

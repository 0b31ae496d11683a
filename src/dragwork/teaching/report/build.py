"""From evidence, a rider and a road to the page."""

from datetime import date as Date

from dragwork.decisions.rides import DRAWS, SEED
from dragwork.decisions.unstated import Unstated
from dragwork.quantities import checked, needs
from dragwork.teaching.report.evidence import as_evidence
from dragwork.teaching.report.numbers import Case, carry
from dragwork.teaching.report.page import Report
from dragwork.teaching.report.words import PageWords


def build_report(
    sheet,
    before,
    after,
    member,
    road,
    power=None,
    air_density=1.2,
    *,
    sheet_name="the sheet",
    unstated=None,
    extra=(),
    made_with=None,
    draws=DRAWS,
    seed=SEED,
    date=None,
    carried=None,
    progress=None,
):
    """The page for what was measured, two set-ups, one rider and one road.

    The ranges hold the joint draws of the sheet and the doubts about the ride, drawn together; what
    both set-ups share cancels. Same input, same page, byte for byte apart from the date.

    Parameters
    ----------
    sheet : TunnelSheet or Evidence
        A tunnel sheet, a field test or published numbers.
    before, after : str
        Two set-ups of it.
    member : Member
        Name, mass, rolling, drivetrain and power; the drag area is taken from the sheet.
    road : Road
    power : float [W], optional
        At the crank, instead of the member's own.
    air_density : float [kg/m3]
        0.2 to 2.
    sheet_name : str
        What the page calls a tunnel sheet.
    unstated : Unstated, optional
        How far power, air, tyres, mass and wind may lie from what is assumed; by default the
        usual doubts.
    extra : sequence of Part
        More parts of the page, before the range is explained.
    made_with : dict of str to str, optional
        What made those parts, for the settings.
    draws, seed : int
        How many joint draws, and where they begin.
    date : datetime.date, optional
        Printed on the page; by default today.
    carried : Carried, optional
        The numbers of an earlier page with all but `extra` the same; by default they are worked out.
    progress : callable, optional
        Told the share of the work that is done, 0 to 1.

    Returns
    -------
    Report

    Raises
    ------
    ValueError
        For set-ups that are not there, or values out of range, in words.

    Source: MARTIN1998
    """
    evidence = as_evidence(sheet, sheet_name)
    evidence.check(before, after)
    if before == after:
        raise ValueError(f"Two different set-ups are needed; '{before}' was given twice.")
    unstated = Unstated() if unstated is None else unstated
    needs(Unstated, unstated=unstated)
    power = float(checked(power=member.power if power is None else power))
    air_density = float(checked(air_density=air_density))
    case = Case(
        evidence, (before, after), member.rider, road, power, air_density, unstated, draws, seed
    )
    carried = carried or carry(case, progress)
    words = PageWords(
        case, carried, member.name, member.rider.drag_area, tuple(extra), dict(made_with or {})
    )
    return Report(
        title=words.title(),
        answer=words.answer(),
        parts=words.parts(),
        watts=carried.watts,
        seconds=carried.seconds,
        planning=carried.planning,
        assumed=carried.assumed,
        table=words.legs(),
        settings=words.settings(),
        date=date or Date.today(),
        carried=carried,
    )

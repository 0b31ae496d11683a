"""A judged claim, and ranked options, in words: for the notebooks and for the pages."""

from dragwork.decisions.verdicts import middle_in_words, seconds_in_words
from dragwork.quantities import Estimate, true_minus
from dragwork.teaching.figures.rows import RangeRow, Ranges
from dragwork.teaching.report.page import Part, listed
from dragwork.teaching.telling import Shown, capital, saved_or_lost, say, table
from dragwork.units import grams_force, to_deg, to_kmh
from dragwork.wording import words_in

BOXES = tuple(words_in(__package__, "verdict_sheet.json"))  # in the lesson, in the form, on paper
_FAR = 0.1  # of a range: from here on the case as assumed is told beside the median


def verdict(claim, member, road, fold="The verdict", worthwhile=0.0, **day):
    """What a claim comes to for a member on a road, and the verdict.

    Parameters
    ----------
    claim : Claim
    member : Member
    road : Road
    fold : str
        What to press to see it; empty: it stands open.
    worthwhile : float [s]
    **day
        wind_speed, wind_from: instead of the road's usual day.

    Returns
    -------
    Words
    """
    judged = judged_on(claim, member, road, worthwhile, **day)
    open_ = f"Not stated: {listed(judged.missing)}." if judged.missing else ""
    return say(
        "{outcome} **{verdict}.** {reasons} {open_}", fold=fold,
        outcome=outcome(judged, member, road), verdict=capital(judged.verdict),
        reasons=" ".join(judged.reasons), open_=open_,
    )  # fmt: skip


def outcome(judged, member, road):
    """What a claim comes to: `For Tobin on Cinder Lane 40: 39 to 55 s saved, ...`.

    Parameters
    ----------
    judged : Judgement
    member : Member
    road : Road

    Returns
    -------
    str
        The same sentence in the lesson, in the form and on the page.
    """
    seconds, watts = judged.seconds, judged.watts
    return (
        f"For {member.name} on {road.name}: {seconds_in_words(seconds)}, {middle_in_words(seconds)} in "
        f"the middle; {watts_in_words(watts)}. These are {seconds.percent} ranges."
    )


def watts_in_words(watts):
    """`5.6 to 7.9 W saved at the crank`, a loss in words."""
    return f"{watts.in_words(lambda number: f'{number:.1f} W')} at the crank"


def judged_on(claim, member, road, worthwhile=0.0, **day):
    """The judgement of a claim for a member on a road's usual day.

    Parameters
    ----------
    claim : Claim
    member : Member
    road : Road
    worthwhile : float [s]
    **day
        As `verdict`; air_density too.

    Returns
    -------
    Judgement
    """
    return claim.for_rider(
        member.rider, road.course, worthwhile=worthwhile, **(road.day(member.power) | day)
    )


def claim_part(claim, member, road, air_density=1.2, found=None, worthwhile=0.0):
    """What a claim comes to for this rider on this road, with a verdict and its reasons.

    Parameters
    ----------
    claim : Claim
    member : Member
        With the drag area that the claim starts from.
    road : Road
    air_density : float [kg/m3]
    found : Estimate [m2], optional
        What was measured of the same change, to hold beside it.
    worthwhile : float [s]
        The learner's own threshold.

    Returns
    -------
    Part

    Raises
    ------
    ValueError
        Where the claim cannot be carried to this rider, in words.
    """
    judged = judged_on(claim, member, road, worthwhile, air_density=air_density)
    beside, claimed = "", judged.drag_area_change
    if found and claim.kind != "mass":
        agree = claimed.low <= found.high and found.low <= claimed.high
        verdict = "agree within their ranges" if agree else "disagree, even within their ranges"
        two = [each.in_words(lambda number: f"{number:.4f} m²", "less", "more") for each in (claimed, found)]
        beside = f"In drag area the claim comes to {two[0]}, and the measurement to {two[1]}. The two {verdict}."
    said = (
        f"The claim: {claim.words}.",
        outcome(judged, member, road),
        f"Most of the width comes from {judged.dominant}." if judged.dominant else "",
        beside,
        f"Not stated: {'; '.join(judged.missing)}." if judged.missing else "",
        judged.sentence,
    )
    brief = f"The claim, {claim.words}: {judged.sentence}"
    return Part("A claim, compared with it", tuple(filter(None, said)), brief=brief)


def dials_picture(claim):
    """A still picture: how far each open condition alone moves a claim's drag area.

    Parameters
    ----------
    claim : Claim

    Returns
    -------
    Shown

    Raises
    ------
    ValueError
        Where nothing is left open, in words.
    """
    dials = [dial for dial in claim.dials if dial.width > 0]
    if not dials:
        raise ValueError(f"{claim.words}: nothing is left open, so there is nothing to draw.")
    mid = claim.drag_area_change.mid
    rows = [
        RangeRow(capital(dial.condition.words), dial.low, mid, dial.high, f"{dial.low:.4f} to {dial.high:.4f}")
        for dial in dials
    ]
    title = "How far each open condition alone moves the drag area behind the claim"
    across = "Drag area behind the claim, m². Dot: middle. Line: whole range."
    return Shown(
        lambda: Ranges(title, across, rows),
        rows,
        f"{claim.words} comes to {mid:.4f} m² in the middle of all it leaves open. The biggest unknown "
        f"is {dials[0].condition.words}: {dials[0].low:.4f} to {dials[0].high:.4f} m².",
    )


def option_rows(found):
    """Ranked options as the rows of a picture, their seconds beside; the best first."""
    return tuple(
        RangeRow(row.option, row.low, row.seconds, row.high, true_minus(f"{row.seconds:.0f} s ({row.low:.0f} to {row.high:.0f})"))
        for row in found.itertuples()
    )


def estimates(found):
    """The seconds of ranked options, each an `Estimate`, in order."""
    return [Estimate(row.low, row.seconds, row.high, row.confidence) for row in found.itertuples()]


def saved_in_words(seconds):
    """`80 s (56 to 115 s saved)`: the middle of an estimate, and its range."""
    return f"{middle_in_words(seconds)} ({seconds_in_words(seconds)})"


def as_assumed(found):
    """A sentence with the ranked options whose seconds, exactly as assumed, are not their median.

    Empty where none is a tenth of its range away: an unexpected wind, or a limit, pulls to one side.
    """
    away = found[abs(found.as_assumed - found.seconds) > _FAR * (found.high - found.low)]
    said = [f"{row.option} {saved_or_lost(row.as_assumed)}" for row in away.itertuples()]
    return f"Exactly as assumed, in the expected wind and no other: {listed(said)}." if said else ""


def boxes_of(claim, judged, besides=""):
    """What is in the eight boxes of the verdict sheet, one text a box.

    Parameters
    ----------
    claim : Claim
    judged : Judgement
    besides : str

    Returns
    -------
    tuple of str
    """
    stated = {c.name: c.mid for c in claim.conditions if c.stated}
    where = []
    if "speed" in stated:
        where.append(f"{to_kmh(stated['speed']):.1f} km/h")
    if claim.yaw is not None and claim.kind != "mass":
        where.append(f"{to_deg(claim.yaw):.0f}° of yaw")
    if "air_density" in stated:
        where.append(f"air of {stated['air_density']:.3f} kg/m³")
    measured = {True: "Measured.", False: "Computed.", None: "How it was found is not stated."}[claim.measured]
    runs = f"{claim.runs:g} runs" if claim.runs else "runs: not stated"
    unit = spread_unit(claim.kind.partition(" ")[0])
    spread = f"standard deviation {claim.spread / unit:g}" if claim.spread is not None else "spread: not stated"
    area = claim.drag_area_change
    low, mid, high = (true_minus(f"{x:.4f} m²") for x in (area.low, area.mid, area.high))
    return (
        f"{claim.who or 'Nobody is named'}; {listed(where) if where else 'no speed, yaw or air'}.",
        f"{capital(claim.compared_with)}." if claim.compared_with else "Not stated.",
        measured,
        f"{capital(runs)}; {spread}.",
        mid if low == high else f"{mid} in the middle, {low.removesuffix(' m²')} to {high} with all it leaves out",
        watts_in_words(judged.watts),
        seconds_in_words(judged.seconds),
        besides or "for you to say",
    )


def spread_unit(kind):
    """Of a spread, into SI: grams of drag, percent, grams."""
    return {"force": grams_force(1.0), "percent": 0.01, "mass": 0.001}.get(kind, 1.0)


def eight_boxes(filled=None, caption=""):
    """The verdict sheet as a table, to write on or filled in.

    Parameters
    ----------
    filled : sequence of str, optional
        One text a box.
    caption : str

    Returns
    -------
    Words
    """
    return table([{"box": box, "what you write": text} for box, text in zip(BOXES, filled or [""] * len(BOXES))], caption)

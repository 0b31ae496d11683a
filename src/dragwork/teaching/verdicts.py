"""A judged claim, and ranked options, in words: for the notebooks and for the pages."""

from dragwork.decisions.verdicts import middle_in_words, seconds_in_words
from dragwork.quantities import Estimate
from dragwork.teaching.figures.ranges import Ranges, Rows
from dragwork.teaching.report.page import listed
from dragwork.teaching.telling import Shown, say


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
    rows = Rows(
        tuple(capital(dial.condition.words) for dial in dials),
        tuple(dial.low for dial in dials),
        (mid,) * len(dials),
        tuple(dial.high for dial in dials),
        tuple(f"{dial.low:.4f} to {dial.high:.4f}" for dial in dials),
    )
    widest = dials[0]
    title = "How far each open condition alone moves the drag area behind the claim"
    picture = Ranges(title, "Drag area behind the claim, m². Dot: middle. Line: whole range.", rows)
    return Shown(
        picture,
        rows,
        f"{claim.words} stands for {mid:.4f} m² in the middle of all it leaves open. Most is left "
        f"open by {widest.condition.words}: {widest.low:.4f} to {widest.high:.4f} m².",
    )


def estimates(found):
    """The seconds of ranked options, each an `Estimate`, in order."""
    columns = found[["low", "seconds", "high", "confidence"]]
    return [Estimate(*map(float, row)) for row in columns.itertuples(index=False)]


def saved_in_words(seconds):
    """`80 s (56 to 115 s saved)`: the middle of an estimate, and its range."""
    return f"{middle_in_words(seconds)} ({seconds_in_words(seconds)})"


def as_assumed(found):
    """A sentence with the ranked options whose seconds, exactly as assumed, are not their median.

    Empty where none is a tenth of its range away: an unexpected wind, or a limit, pulls to one side.
    """
    away = found[abs(found.as_assumed - found.seconds) > _FAR * (found.high - found.low)]
    said = [f"{row.option} {_signed(row.as_assumed)}" for row in away.itertuples()]
    return f"Exactly as assumed, in the expected wind and no other: {listed(said)}." if said else ""


def _signed(seconds):
    return f"{abs(seconds):.0f} s {'saved' if round(seconds) >= 0 else 'lost'}"


def capital(words):
    """The words with a capital letter in front."""
    return words[:1].upper() + words[1:]

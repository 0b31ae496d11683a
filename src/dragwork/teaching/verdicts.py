"""A judged claim, and ranked options, in words: for the notebooks and for the pages."""

from dragwork.decisions.verdicts import middle_in_words, seconds_in_words
from dragwork.teaching.figures.ranges import Ranges, Rows
from dragwork.teaching.report.page import listed
from dragwork.teaching.telling import Shown, say


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


def one_sided(found):
    """Says so where the doubts pull an option's range away from its estimate, else empty.

    Parameters
    ----------
    found : pandas.DataFrame
        As `decisions.options.rank` gives it.

    Returns
    -------
    str
    """
    aside = found[(found.seconds < found.low) | (found.seconds > found.high)]
    if aside.empty:
        return ""
    return (
        f"For {listed(aside.option)} the doubts pull to one side, as an unexpected wind or a leg at "
        "its speed limit does: the estimate lies outside its own range. So plan with the range, not "
        "with the number."
    )


def capital(words):
    """The words with a capital letter in front."""
    return words[:1].upper() + words[1:]

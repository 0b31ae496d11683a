"""The part of the page that holds somebody's claim against this rider and this road."""

from dragwork.teaching.report.page import Part
from dragwork.teaching.verdicts import judged_on, outcome


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
    said = (
        f"The claim: {claim.words}.",
        outcome(judged, member, road),
        f"Most of the width comes from {judged.dominant}." if judged.dominant else "",
        _beside(judged.drag_area_change, found) if found and claim.kind != "mass" else "",
        f"Not stated: {'; '.join(judged.missing)}." if judged.missing else "",
        judged.sentence,
    )
    brief = f"The claim, {claim.words}: {judged.sentence}"
    return Part("A claim, compared with it", tuple(filter(None, said)), brief=brief)


def _beside(claimed, found):
    """The drag area behind the claim, and the one that was measured."""
    agree = claimed.low <= found.high and found.low <= claimed.high
    verdict = "agree within their ranges" if agree else "disagree, even within their ranges"
    return (
        f"In drag area the claim comes to {_areas(claimed)}, and the measurement to "
        f"{_areas(found)}. The two {verdict}."
    )


def _areas(found):
    return found.in_words(lambda number: f"{number:.4f} m²", "less", "more")

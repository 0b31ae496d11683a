"""The part of the page that holds somebody's claim against this rider and this road."""

from dragwork.teaching.report.page import Part


def claim_part(claim, member, road, air_density=1.2, found=None):
    """What a claim comes to for this rider on this road, with a verdict and its reasons.

    Parameters
    ----------
    claim : Claim
    member : Member
        With the drag area that the claim starts from.
    road : Road
    air_density : float [kg/m3]
    found : Range [m2], optional
        What was measured of the same change, to hold beside it.

    Returns
    -------
    Part

    Raises
    ------
    ValueError
        Where the claim cannot be carried to this rider, in words.
    """
    judged = claim.for_rider(
        member.rider, road.course, air_density=air_density, **road.day(member.power)
    )
    missing = f"Not stated in the claim: {'; '.join(judged.missing)}." if judged.missing else ""
    widest = f"Most of the width comes from {judged.dominant}." if judged.dominant else ""
    return Part(
        "A claim, held against it",
        tuple(
            sentence
            for sentence in (
                f"The claim: {claim.words}.",
                f"For {member.name} on {road.name} it comes to {_span(judged.seconds, 's')} and "
                f"{_span(judged.watts, 'W')} at the crank, over all that the claim leaves open. "
                f"{widest}",
                _beside(judged.drag_area_change, found) if found else "",
                missing,
                judged.sentence,
            )
            if sentence
        ),
    )


def _beside(claimed, found):
    """The drag area behind the claim, and the one that was measured."""
    agree = claimed.low <= found.high and found.low <= claimed.high
    verdict = "can mean the same change" if agree else "do not mean the same change"
    return (
        f"In drag area the claim comes to {_areas(claimed)} less, and what was measured to "
        f"{_areas(found)} less. The two {verdict}."
    )


def _areas(found):
    low, high = (f"{end:.4f}".replace("-", "−") for end in (found.low, found.high))
    return f"{low} to {high} m²"


def _span(found, unit):
    """`2.1 to 6.3 W`, a loss with a minus."""
    low, high = (f"{end:.1f}".replace("-", "−") for end in (found.low, found.high))
    return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"

"""Which questions a warm-up asks: those listed, and in their place those missed lately."""

MISSED = ("slip", "off")
COMES_BACK = 2  # warm-ups in which a missed question is asked again
WARM_UP = "warm-up"  # a place that begins so is a warm-up


def begun_warm_up(profile, place):
    """What a warm-up asks of which an answer was given already; None where none was.

    Returns
    -------
    (asked, back) or None
        Ids, and those of them that came back from earlier.
    """
    answers = profile.entries("attempt", place=place)
    return (answers[-1]["asked"], answers[-1]["back"]) if answers else None


def missed_lately(profile, ids):
    """What a new warm-up asks: questions that come back, then those listed, as many as listed.

    A question comes back whose last answer at some place was off, until two warm-ups were begun
    after it.

    Returns
    -------
    (asked, back)
        Ids, and those of them that came back from earlier.
    """
    last, begun = {}, {}
    for when, entry in enumerate(profile.entries("attempt")):
        last[entry["place"], entry["prompt"]] = when, entry
        if entry["place"].startswith(WARM_UP):
            begun.setdefault(entry["place"], when)
    missed = [
        entry["question"]
        for when, entry in sorted(last.values(), key=lambda each: each[0])
        if entry["state"] in MISSED
        and sum(start > when for start in begun.values()) < COMES_BACK
    ]
    back = list(dict.fromkeys(missed))[: len(ids)]
    listed = [id for id in ids if id not in back]
    return (*back, *listed)[: len(ids)], tuple(back)

"""Habits of English that were dropped, and what to write instead."""

import re

# A habit, and what to write instead. Found without regard to case.
HABITS = {
    r"\b(whoever|somebody|nobody|everybody)\b": "you, a rider, the seller, riders",
    r"\banybody\b(?! can try)": "anyone, or leave it out",
    r"\b(tell|tells|telling|told)( \S+){0,7} apart\b": "detect, distinguish, see",
    r"\b(can ?not|cannot|does not|do not) tell\b": "can't say, doesn't show",
    r"\bstands? (in|for|on|below|above|beside|there|here)\b": "is, is in, means",
    r"\b(lies|lie|lay) (at|in|on|inside|outside|apart|behind|between|beside)\b": "is, is at, differ by",
    r"\bin place of\b": "instead of, rather than",
    r"\btake\w* for granted\b|\btaken as\b|\btaken for\b": "assume",
    r"\bdoubts?\b": "uncertainty",
    r"\bloss of the chain\b|\bthe chain\b": "the drivetrain, drivetrain loss",
    r"\bthe rest\b|\ba rest\b": "what is left, the others",
    r"\b(head|tail|cross|side) winds?\b": "headwind, tailwind, crosswind",
    r"\bbelongs? to qualified\b|\bqualified people\b": "see a bike fitter, ask a doctor",
    r"\bby how many percent\b": "What percentage ...?",
    r"\bpercent\b": "%, per cent",
    r"\bmend(s|ed|ing)?\b": "correct, fix",
    r"\bflatters?\b": "looks better than it is by",
    r"\b(alike|anew|once more)\b": "the same, again",
    r"\bin step with\b": "in proportion to",
    r"\bin truth\b": "in fact",
    r"\bwhat there was to see\b": "What you should have seen",
    r"\bnow with less and less help\b": "Three of a kind: less help each time",
    r"\bthose who like algebra\b|\bothers may jump\b": "fold it",
    r"\bwhat comes out\b": "What do you get?",
    r"\bpresses with\b": "the dynamic pressure is",
    r"\bthe range holds\b|\binterval holds\b|\bholds? zero\b": "includes, contains",
    r"\bthe share of the air\b|\bair's share\b": "the aerodynamic share, the air share",
    r"\b(half|part|share|%)( of| in| is)? the work\b|\ball work in the air\b": "of the power",
    r"\ba tunnel blows\b|\bthe tunnel blows\b": "A wind tunnel runs at",
    r"\b(a road|the road) lies\b|\bair of \d+ °C\b|\bair has \d+ °C\b": "is at",
    r"\bcount watts at the\b": "Give power at the",
    r"\btake normal spread\b": "Assume a normal distribution.",
    r"\btells? nothing\b|\bis silent\b|\bsilence\b": "doesn't say, leaves out",
    r"\bmay one\b|\bone can\b|\bone would\b|\bhow sure one\b": "you",
    r"\bmay (stay|be) (empty|skipped)\b|\bmay skip\b": "can",
    r"\bso many (watts|percent|separate)\b": "this many, or the number",
    r"\bfelt wind\b": "apparent wind: one term",
    r"\brolling coefficient\b": "coefficient of rolling resistance",
    r"\bthicker\b|\bhow thick\b": "denser",
    r"\bcarr(y|ies|ied) (a claim|the claim|the watts|the drag area)\b": "keep, convert, take to your speed",
    r"\bspares? (watts|force|power|rolling|\d)": "saves",
    r"\bas (it|they) stands?\b": "unchanged",
    r"\bon the mean\b": "on average",
    r"\bmay (lose|cost|be left out)\b": "can",
    r"\bwhat (lies|stands) behind\b": "which mistake it suggests",
    r"\bmean (speed|yaw) (that|which)\b": "the average speed",
    r"\b(color|center|meters|program|behavior|favor|gray|analyze)\b": "British spelling",
    r"\bthe panel, made here\b|\bderivation, done by\b|\bwhat this page uses\b": "what the learner is about to do",
}


def broken(text):
    """(what was found, what to write instead) in a text."""
    text = re.sub(r"`[^`]*`|\]\([^)]*\)|<[^>]+>", " ", text)
    return [(found[0], instead) for habit, instead in HABITS.items()
            for found in re.finditer(habit, text, re.IGNORECASE)]  # fmt: skip

"""From a measured difference to a judgement: what a claim means for one rider on one road."""

PLANNING = 0.80  # level of a range that a choice is planned with

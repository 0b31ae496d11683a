"""From a measured difference to a judgement: what a claim means for one rider on one road."""

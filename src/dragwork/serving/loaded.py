"""Loaded last by the process from which learners' servers are forked: what is there by now stays shared."""

import gc

gc.collect()
gc.freeze()  # else the first collection in a server would write to all of it, and make it the server's own

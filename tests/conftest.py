"""Settings for all tests. Being here, this file also puts `tests/` on the path for `published`."""

import os

from hypothesis import HealthCheck, settings

from dragwork.teaching.profile import NOWHERE, PLACE

os.environ[PLACE] = NOWHERE  # no learner's own file is read or changed, by kernels neither

# A slow shared machine is no failure; the same cases each run, so that a red test stays red.
settings.register_profile(
    "house",
    deadline=None,
    derandomize=True,
    max_examples=60,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("house")

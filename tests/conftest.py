"""Settings for all tests. Being here, this file also puts `tests/` on the path for `published`."""

import os

from few_days import few_days  # noqa: F401
from hypothesis import HealthCheck, settings

from dragwork.teaching.profile import NOWHERE, PLACE

os.environ[PLACE] = NOWHERE  # no learner's own file is read or changed, by kernels neither

# A slow shared machine is no failure; the same cases each run, so that a red test stays red.
settings.register_profile(
    "house",
    deadline=None,
    derandomize=True,
    max_examples=30,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)
# Other cases each time, more of them: `--hypothesis-profile fresh`, as the tour does.
settings.register_profile(
    "fresh", parent=settings.get_profile("house"), derandomize=False, max_examples=200, print_blob=True
)
settings.load_profile("house")

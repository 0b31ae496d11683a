"""Settings for all tests. Being here, this file also puts `tests/` on the path for `published`."""

from hypothesis import HealthCheck, settings

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

"""Settings for all tests. Being here, this file also puts `tests/` on the path for `published`."""

import os
import re
from functools import cache

from books import evening_file, first_chapter, made, papers_file  # noqa: F401
from few_days import few_days, unpainted  # noqa: F401
from hypothesis import HealthCheck, Phase, settings
from xdist.scheduler import LoadFileScheduling

from dragwork.teaching.profile import NOWHERE, PLACE

os.environ[PLACE] = NOWHERE  # no learner's own file is read or changed, by kernels neither

# A slow shared machine is no failure; the same cases each run, so that a red test stays red.
settings.register_profile(
    "house",
    deadline=None,
    derandomize=True,
    max_examples=12,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)
# Other cases each time, more of them: `--hypothesis-profile fresh`, as the tour does.
settings.register_profile(
    "fresh", parent=settings.get_profile("house"), derandomize=False, max_examples=200, print_blob=True
)
# Only whether a property fails: `mutations.py` does not look at how.
settings.register_profile(
    "unshrunk", parent=settings.get_profile("house"), phases=(Phase.explicit, Phase.generate)
)
settings.load_profile("house")

STARTS_PROGRAMS = re.compile(r"^import subprocess|^from mutations", re.MULTILINE)


@cache
def _starts_programs(path):
    is_in_a_browser = path.parent.name == "browser"
    return path.suffix == ".py" and (is_in_a_browser or bool(STARTS_PROGRAMS.search(path.read_text(encoding="utf-8"))))


def pytest_collection_modifyitems(items):
    """Files that start browsers and other programs come first."""
    items.sort(key=lambda item: not _starts_programs(item.path))


class FromBothEnds(LoadFileScheduling):
    """One worker begins with the files that start programs and often waits for them; the others begin at the other end."""

    def _assign_work_unit(self, node):
        if node is not self.nodes[0]:
            self.workqueue.move_to_end(next(reversed(self.workqueue)), last=False)
        super()._assign_work_unit(node)


def pytest_xdist_make_scheduler(config, log):
    """`--dist loadfile` is ours."""
    return FromBothEnds(config, log) if config.getvalue("dist") == "loadfile" else None

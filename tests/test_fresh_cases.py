"""Properties with other cases than those of every day: in the tour, each file that has one."""

import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import settings

TESTS = Path(__file__).parent
WITH_PROPERTIES = sorted(p for p in TESTS.rglob("test_*.py") if "\n@given(" in p.read_text(encoding="utf-8"))


def test_cases_of_every_day_are_the_same_and_those_of_the_tour_are_others():
    assert settings().derandomize and settings().database is None
    fresh = settings.get_profile("fresh")
    assert not fresh.derandomize and fresh.max_examples > settings().max_examples
    assert len(WITH_PROPERTIES) > 20


@pytest.mark.tour
@pytest.mark.parametrize("path", WITH_PROPERTIES, ids=lambda path: path.stem)
def test_properties_hold_in_fresh_cases(path):
    command = [sys.executable, "-m", "pytest", "-q", "-x", "--hypothesis-profile", "fresh", "-p", "no:cacheprovider"]
    done = subprocess.run([*command, "-m", "not tour and not browser", str(path)], cwd=TESTS.parent, capture_output=True,
                          text=True, check=False)  # fmt: skip
    assert done.returncode == 0, done.stdout[-4000:]

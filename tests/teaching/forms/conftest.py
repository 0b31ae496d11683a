"""Every test of a form has a learner's file of its own."""

import pytest

from dragwork.teaching.profile import PLACE


@pytest.fixture(autouse=True)
def own_file(tmp_path, monkeypatch):
    """The learner's file, which is not there yet."""
    monkeypatch.setenv(PLACE, str(tmp_path / "learner.json"))
    return tmp_path / "learner.json"

"""The learner's copy: an update never overwrites what the learner changed."""

import json
from types import SimpleNamespace

import pytest

from dragwork.setup import working_copy

NAME = "workbook/08_watts.ipynb"


def notebook(*sources, outputs=(), count=None):
    """A notebook as bytes."""
    cells = [
        {"cell_type": "code", "source": source, "outputs": list(outputs), "execution_count": count}
        for source in sources
    ]
    return json.dumps({"cells": cells, "nbformat": 4}).encode()


OLD = notebook("speed = 10")
NEW = notebook("speed = 11")
RUN = notebook("speed = 10", "", outputs=["10"], count=3)  # run with a last empty cell added
CHANGED = notebook("speed = 12  # mine")


@pytest.fixture
def place(tmp_path):
    """A project with one notebook, and the learner's copy of it."""
    place = SimpleNamespace(root=tmp_path / "the project", copy=tmp_path / "my copy")
    place.source, place.theirs = place.root / NAME, place.copy / NAME
    place.source.parent.mkdir(parents=True)
    place.source.write_bytes(OLD)
    place.update = lambda: working_copy.prepare(place.root, place.copy)
    place.files = lambda: sorted(path.name for path in place.theirs.parent.iterdir())
    place.update()
    return place


def test_the_first_start_copies_folder_by_folder(place):
    (place.root / "exercises").mkdir()
    (place.root / "exercises" / "08_watts.ipynb").write_bytes(NEW)
    written, notes = place.update()
    assert written == [place.copy / "exercises" / "08_watts.ipynb"] and notes == []
    assert written[0].read_bytes() == NEW
    assert place.theirs.read_bytes() == OLD


def test_a_second_start_writes_nothing(place):
    assert place.update() == ([], [])


def test_an_untouched_file_is_replaced(place):
    place.source.write_bytes(NEW)
    assert place.update() == ([place.theirs], [])
    assert place.theirs.read_bytes() == NEW


def test_new_pictures_reach_an_untouched_file(place):
    place.source.write_bytes(notebook("speed = 10", outputs=["a better picture"], count=1))
    place.update()
    assert place.theirs.read_bytes() == place.source.read_bytes()


def test_a_merely_run_notebook_is_kept_until_its_cells_change(place):
    place.theirs.write_bytes(RUN)
    place.source.write_bytes(notebook("speed = 10", outputs=["a better picture"], count=1))
    assert place.update() == ([], [])
    assert place.theirs.read_bytes() == RUN
    place.source.write_bytes(NEW)
    assert place.update() == ([place.theirs], [])
    assert place.theirs.read_bytes() == NEW


def test_a_changed_notebook_stays_and_the_new_one_lies_beside_it(place):
    place.theirs.write_bytes(CHANGED)
    place.source.write_bytes(NEW)
    written, notes = place.update()
    assert place.theirs.read_bytes() == CHANGED
    assert written == [place.theirs.with_name("08_watts (new version).ipynb")]
    assert written[0].read_bytes() == NEW
    assert len(notes) == 1 and "\n" not in notes[0]
    assert NAME in notes[0] and "08_watts (new version).ipynb" in notes[0]
    assert place.update() == ([], []), "said once, not at every start"


def test_a_changed_notebook_is_left_alone_while_nothing_new_comes(place):
    place.theirs.write_bytes(CHANGED)
    assert place.update() == ([], [])
    assert place.files() == ["08_watts.ipynb"]


def test_a_version_beside_is_never_overwritten_either(place):
    place.theirs.write_bytes(CHANGED)
    place.source.write_bytes(NEW)
    (beside,) = place.update()[0]
    beside.write_bytes(notebook("speed = 13  # mine too"))
    place.source.write_bytes(notebook("speed = 14"))
    place.update()
    assert beside.read_bytes() == notebook("speed = 13  # mine too")
    assert "08_watts (new version 2).ipynb" in place.files()


def test_a_deleted_file_comes_back(place):
    place.theirs.unlink()
    assert place.update() == ([place.theirs], [])


def test_nothing_is_deleted(place):
    (place.theirs.with_name("my rides.csv")).write_text("1", encoding="utf-8")
    place.source.unlink()
    place.update()
    assert place.files() == ["08_watts.ipynb", "my rides.csv"]


@pytest.mark.parametrize("record", ["", "[]", '{"workbook/08_watts.ipynb": 3}', None])
def test_without_its_record_a_changed_file_still_stays(place, record):
    place.theirs.write_bytes(CHANGED)
    place.source.write_bytes(NEW)
    path = place.copy / working_copy.RECORD
    path.unlink() if record is None else path.write_text(record, encoding="utf-8")
    place.update()
    assert place.theirs.read_bytes() == CHANGED


def test_a_file_that_is_no_notebook_any_more_counts_as_changed(place):
    place.theirs.write_bytes(b"{half")
    place.source.write_bytes(NEW)
    place.update()
    assert place.theirs.read_bytes() == b"{half"


def test_new_versions_do_not_pile_up(place):
    place.theirs.write_bytes(CHANGED)
    for speed in (11, 12, 13):
        place.source.write_bytes(notebook(f"speed = {speed}"))
        written, notes = place.update()
        assert len(written) == len(notes) == 1
    assert place.files() == ["08_watts (new version).ipynb", "08_watts.ipynb"]
    assert working_copy.new_versions(place.copy) == written
    assert written[0].read_bytes() == notebook("speed = 13") and place.update() == ([], [])


def test_a_new_version_that_was_taken_over_is_cleared_away(place):
    place.theirs.write_bytes(CHANGED)
    place.source.write_bytes(NEW)
    place.update()
    place.theirs.write_bytes(NEW)
    place.update()
    assert place.files() == ["08_watts.ipynb"]


@pytest.mark.parametrize("torn", [b"", b"{half", OLD[: len(OLD) // 2], b"[1, 2]", b"\0" * 50])
def test_a_torn_notebook_is_restored_beside_once(place, torn):
    place.theirs.write_bytes(torn)
    written, notes = place.update()
    assert written[0].read_bytes() == OLD and place.theirs.read_bytes() == torn
    assert "cannot be read; it stays as it is. The new version is" in notes[0]
    place.update()
    written[0].write_bytes(RUN)
    place.update()
    assert place.files() == ["08_watts (new version).ipynb", "08_watts.ipynb"]
    written[0].write_bytes(CHANGED)
    place.update()
    assert place.files() == ["08_watts (new version).ipynb", "08_watts.ipynb"], "they work in that one"

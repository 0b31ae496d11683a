"""The exercise notebooks: a chapter each, its kinds and earlier ones, an open task, no answers."""

import re
from pathlib import Path
from urllib.parse import unquote

import nbformat
import pytest

from dragwork.physics.drag import area_from_force
from dragwork.teaching.class_papers import asked_in
from dragwork.units import grams_force, kmh

ROOT = Path(__file__).parents[2]
PAGES = sorted((ROOT / "exercises").glob("*.ipynb"))
LESSONS = sorted((ROOT / "workbook").glob("[01][0-9]_*.ipynb"))
WITH_QUESTIONS = [path for path in PAGES if not path.stem.startswith("12")]

# Which kinds a chapter teaches: the lesson plan.
CHAPTERS = {
    "00": "M42",  # a sum with the clock, which needs no lesson
    "01": "M22 M23 M24",
    "02": "M01 M02 M03 M04 M05 M42",
    "03": "M06 M07 M34 M35 M36 M41",
    "04": "M27 M28 M29 M33",
    "05": "M30 M31 M32 M33 M44",
    "06": "M17 M33 M35 M45 M46",
    "07": "M16 M17 M18 M19 M20 M21",
    "08": "M08 M09 M10 M11 M12 M13 M25 M26 M43",
    "09": "M14 M15 M16 M37 M38 M39 M40 M41",
    "10": "M10 M11 M12 M13 M14 M31 M32 M33 M38",
    "11": "M07 M08 M09 M12 M37 M47",
}

each_page = pytest.mark.parametrize("path", PAGES, ids=lambda path: path.stem)
each_with_questions = pytest.mark.parametrize("path", WITH_QUESTIONS, ids=lambda path: path.stem)


def prose(path):
    cells = nbformat.read(path, as_version=4).cells
    return "\n\n".join(cell.source for cell in cells if cell.cell_type == "markdown")


def section(path, heading):
    """What stands under a heading, up to the next."""
    return re.search(rf"^#+ {heading}\n(.*?)(?=^#|\Z)", prose(path), re.MULTILINE | re.DOTALL)[1]


def test_each_lesson_has_its_exercises_under_the_same_name():
    lessons = [path.name for path in LESSONS if not path.stem.startswith("00")]
    assert [path.name for path in PAGES] == lessons and len(lessons) == 12


@pytest.mark.parametrize("lesson", LESSONS, ids=lambda path: path.stem)
def test_each_lesson_leads_to_its_exercises(lesson):
    number = lesson.stem[:2]
    linked = re.findall(r"\]\(\.\./exercises/([^)]+)\)", prose(lesson))
    last = re.search(r"^\*\*Next:\*\* .*$", prose(lesson), re.MULTILINE)[0]
    assert all((ROOT / "exercises" / unquote(name)).is_file() for name in linked) and linked
    assert number == "00" or f"Exercises: [{number}](../exercises/{lesson.name})" in last


@each_with_questions
def test_the_questions_are_of_this_chapter_and_earlier_ones(path):
    number = path.stem[:2]
    own = set(CHAPTERS[number].split())
    known = {id for chapter, ids in CHAPTERS.items() if chapter <= number for id in ids.split()}
    asked = [(one.where, one.question.id) for one in asked_in(path)]
    mixed = [id for where, id in asked if "mixed set" in where]
    alone = {id for where, id in asked if "mixed set" not in where}
    assert alone and alone <= own
    assert len(mixed) >= 4 and set(mixed) <= known and set(mixed) & own
    assert set(mixed) - own, "nothing earlier in the mixed set"


@each_with_questions
def test_an_open_task_with_a_check_list_and_a_teach_back(path):
    good = section(path, "What a good answer contains").strip().splitlines()
    assert len(good) >= 5 and all(line.startswith("- ") for line in good)
    numbers = re.findall(r"\d+(?:\.\d+)? ?(?:W|N|s|min|m²|%|km/h|kg/m³)\b", " ".join(good))
    assert numbers == [], "the check-list gives numbers away"
    said = section(path, "Explain it to someone")
    assert "stand-in athlete" in said and said.count("\n- ") >= 3


# Minutes, calculator in hand: common practice, no source.
A_SUM, BY_TRYING, LAST_LINE, FIND_THE_SLIP, A_PAPER, A_TEACH_BACK = 2, 5, 1, 2, 15, 5
HOMEWORK = 45


def minutes_of_parts(path):
    """Heading of a part -> its minutes, by count."""
    parts = {"Three of a kind": 0, "A mixed set": 0, "Find the slip": 0}
    for one in asked_in(path):
        minutes = BY_TRYING if re.search(r"Solve|solve|without making", one.question.prompt) else A_SUM
        if "less and less help" in one.where:
            parts["Three of a kind"] += LAST_LINE if one.where.endswith("1") else minutes
        elif "mixed set" in one.where:
            parts["A mixed set"] += minutes
        else:
            parts["Find the slip"] += minutes + FIND_THE_SLIP
    return parts | {"On paper": A_PAPER, "Explain it to someone": A_TEACH_BACK}


@each_with_questions
def test_the_time_it_names_is_what_its_parts_take_and_at_most_45_minutes(path):
    low, high = map(int, re.search(r"\*Time\* (\d+) to (\d+) minutes", prose(path)).groups())
    parts = minutes_of_parts(path)
    assert low <= sum(parts.values()) <= high <= HOMEWORK, parts
    headings = re.findall(r"^## (.*)$", prose(path), re.MULTILINE)
    for part, minutes in parts.items():
        assert any(heading.startswith(part) for heading in headings) == bool(minutes), part


def test_the_homework_of_each_session_fits_45_minutes():
    guide = (ROOT / "exercises" / "README.md").read_text(encoding="utf-8")
    sessions = re.findall(r"^\| (S\d) \|.*\| ([^|]+) \|$", guide, re.MULTILINE)
    assert [name for name, _ in sessions] == ["S1", "S2", "S3", "S4", "S5", "S6"]
    for name, homework in sessions:
        total = 0
        for number, named in re.findall(r"(\d\d): ((?:\*[^*]+\*(?: \([^)]+\))?,? ?)+)", homework):
            path = next(path for path in PAGES if path.stem.startswith(number))
            parts = re.findall(r"\*([^*]+)\*", named)
            assert parts
            total += sum(minutes_of_parts(path)[part] for part in parts)
        assert HOMEWORK / 2 <= total <= HOMEWORK, (name, total)


@each_page
def test_it_says_how_long_it_takes_and_shows_the_way(path):
    low, high = map(int, re.search(r"\*Time\* (\d+) to (\d+) minutes", prose(path)).groups())
    assert (60, 90) == (low, high) if path.stem.startswith("12") else 25 <= low < high <= HOMEWORK
    links = re.findall(r"\]\(([^)\s]+)\)", prose(path))
    assert f"../workbook/{path.name}" in links
    for link in links:
        file, _, heading = link.partition("#")
        target = (path.parent / file).resolve()
        assert target.is_file(), link
        headings = re.findall(r"^#+ (.*)$", prose(target), re.MULTILINE)
        assert not heading or unquote(heading).replace("-", " ") in [
            title.replace("-", " ") for title in headings
        ], link


@each_page
def test_it_loads_little(path):
    code = [c.source for c in nbformat.read(path, as_version=4).cells if c.cell_type == "code"]
    modules = re.findall(r"^from (\S+) import", "\n".join(code), re.MULTILINE)
    assert "panels" not in " ".join(modules) and len(modules) <= 3


def test_the_claims_clinic_asks_for_the_slip_behind_four_sums():
    path = next(path for path in PAGES if path.stem.startswith("10"))
    alone = [one.question.id for one in asked_in(path) if "alone" in one.where]
    assert alone == list(dict.fromkeys(alone)) and len(alone) == 4


def test_the_capstone_helps_nobody_and_says_how_it_is_marked():
    path = next(path for path in PAGES if path.stem.startswith("12"))
    assert asked_in(path) == []
    rubric = section(path, "How it is marked")
    criteria = re.findall(r"^\| ([a-z ]+) \|", rubric, re.MULTILINE)[1:]
    assert len(criteria) == 10 and "14 of 20" in rubric
    assert {"units", "uncertainty"} <= set(criteria)


def test_the_seven_rows_of_04_are_as_sound_and_as_faulty_as_they_should_be():
    """The drag area of bars high is that of rows 1, 2 and 6; the others betray themselves."""
    path = next(path for path in PAGES if path.stem.startswith("04"))
    rows = [
        [cell.strip() for cell in line.strip("|").split("|")]
        for line in prose(path).splitlines()
        if re.match(r"\| \d \|", line)
    ]
    area = {}
    for run, _, _, speed, drag, unit, tare, _ in rows:
        force = grams_force(float(drag)) if unit == "g" else float(drag)
        area[run] = area_from_force(force - float(tare or 2.6), 1.19, kmh(float(speed)))
    assert len(rows) == 7
    assert area["2"] == pytest.approx(area["1"], rel=0.01)
    assert area["6"] == pytest.approx(area["1"], rel=0.01)
    assert area["4"] == pytest.approx(area["3"], rel=0.02)  # with a tare that nobody wrote down
    assert area["5"] < 0.9 * area["3"] and area["7"] < 0.8 * area["6"]
    assert [run for run, _, own, speed, *_ in rows if abs(float(own) - kmh(float(speed))) > 0.1] == ["3"]

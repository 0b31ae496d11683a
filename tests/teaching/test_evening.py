"""The evening in a box: its votes are right, its pictures the library's, its time at most 90 minutes; and its papers."""

import json
import re
from base64 import b64decode
from functools import cache
from html import unescape
from itertools import groupby
from math import erf, sqrt
from pathlib import Path

import numpy as np
import pytest
from habits import HABITS
from scipy.integrate import quad
from scipy.optimize import brentq
from test_handout import FETCHING, Reader
from test_pocket_book import PANEL, drawn, picture, shown

from dragwork.constants import STANDARD_GRAVITY
from dragwork.scenario.riders import IMKE, MEMBERS, ROSALIND, TOBIN
from dragwork.scenario.roads import CINDER_LANE
from dragwork.setup.working_copy import shipped
from dragwork.teaching import evening as module
from dragwork.teaching import evening_papers
from dragwork.teaching.clinic import ending
from dragwork.teaching.evening import steps_of
from dragwork.teaching.evening_papers import CLAIMS, SPEEDS, at_own_speed
from dragwork.teaching.lessons import cells_of, title_of
from dragwork.teaching.questions.rules import RULES
from dragwork.teaching.told import read_told
from dragwork.teaching.verdicts import BOXES
from dragwork.teaching.votes import votes
from dragwork.units import kmh

ROOT = Path(__file__).parents[2]
LESSONS = [ROOT / name for name in shipped(ROOT)]
GUIDE = (ROOT / "exercises" / "README.md").read_text(encoding="utf-8")
WORDS_A_MINUTE = 130  # of the leader: common practice, no source
STEP = re.compile(r'<section class="step".*?</section>', re.DOTALL)


@pytest.fixture(scope="module")
def html(evening_file):
    return evening_file.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def six():
    return votes(LESSONS)


def spoken(section):
    """The words of a step that a leader may read aloud: all but sliders, the plan and what is there without scripts."""
    for left_out in (r'<div class="knobs".*?</button>\s*</div>', r"<noscript>.*?</noscript>", r"<script.*?</script>", r'<p class="plan">.*?</p>'):
        section = re.sub(left_out, " ", section, flags=re.DOTALL)
    return re.findall(r"\w[\w.%²/'’]*", unescape(re.sub(r"<[^>]+>", " ", section)))


def frames_in(section):
    """What a step stores of its picture: its first picture, its data, and where the presses take it."""
    found = [(b64decode(still), json.loads(data)) for still, _, _, data in PANEL.findall(section)]
    stops = re.findall(r'data-stops="(.*?)"', section)
    return [(still, data, json.loads(places)) for (still, data), places in zip(found, stops, strict=True)]


# -- the votes, from outside --------------------------------------------------------------------------


def own_speed(rider, power, cut=0.0, gradient=0.0):
    """Calm, by a general root finder; the slope is gentle enough to be its own sine."""
    air, rolling = 0.6 * rider.drag_area * (1 - cut), rider.all_up_mass * STANDARD_GRAVITY * (rider.rolling_coefficient + gradient)
    return brentq(lambda v: air * v**3 + rolling * v - power * rider.drivetrain_efficiency, 0.1, 40)


def text(vote):
    return vote.choices[vote.right].text


def test_each_vote_has_three_choices_and_one_is_right(six):
    assert len(six) == 6
    for vote in six:
        assert "".join(vote.choices) == "ABC" and sum(choice.right for choice in vote.choices.values()) == 1
        assert len({c.text for c in vote.choices.values()}) == len({c.reply for c in vote.choices.values()}) == 3
    assert len({vote.right for vote in six}) == 3  # not always the last


def test_the_right_choices_are_right(six):
    faster, less, stand, helmets, quoted, riders = six
    assert text(faster) == f"{100 * (1.1**3 - 1):.0f} % more"
    speed = own_speed(TOBIN.rider, TOBIN.power)
    saved = 0.1 * 0.6 * TOBIN.rider.drag_area * speed**3 / TOBIN.rider.drivetrain_efficiency / TOBIN.power
    assert 0.08 < saved < 0.1 and text(less) == "less than 10 %"
    assert f"saves {saved * TOBIN.power:.1f} W at the crank, {100 * saved:.1f} % of his power" in less.panel().sentence
    q = 0.6 * kmh(45) ** 2
    assert (30 + 3) / q - (26 + 3) / q == pytest.approx(30 / q - 26 / q) and text(stand) == "stays the same"
    # the mean range of eight normal numbers: the integral of 1 - F^8 - (1 - F)^8 (Tippett 1925, from memory)
    spread, _ = quad(lambda z: 1 - (0.5 + erf(z / sqrt(2)) / 2) ** 8 - (0.5 - erf(z / sqrt(2)) / 2) ** 8, -8, 8)
    assert 2.7 < spread < 3 and text(helmets) == f"about {0.004 * spread:.3f} m², nearly three times the SD"
    assert text(quoted) == f"about {20 * (28 / 50) ** 3:.0f} W" == "about 4 W"
    seconds = {m: 40000 / own_speed(m.rider, m.power) - 40000 / own_speed(m.rider, m.power, 0.05) for m in (IMKE, ROSALIND)}
    assert 20 < seconds[ROSALIND] - seconds[IMKE] < 40 and text(riders) == "Rosalind, by about half a minute"
    assert f"Rosalind saves {seconds[ROSALIND]:.0f} s and Imke {seconds[IMKE]:.0f} s" in riders.seen


def test_the_wrong_choices_are_the_slips_that_they_name(six):
    faster, _, _, helmets, quoted, _ = six
    assert [c.text for c in faster.choices.values()] == ["10 % more", f"{100 * (1.1**2 - 1):.0f} % more", "33 % more"]
    assert [c.text for c in quoted.choices.values()][1:] == [f"about {20 * 28 / 50:.0f} W", "20 W"]
    assert helmets.choices["B"].text.startswith("about 0.004 m²")


def test_vote_six_shows_the_riders_it_asks_about(six, html):
    riders = six[5]
    for member in (IMKE, ROSALIND):
        assert f"{own_speed(member.rider, member.power) * 3.6:.0f}" in re.findall(r"\d+", riders.setting)
        assert any(member.name in choice.text for choice in riders.choices.values())
    steps = [step for step in STEP.findall(html) if "Vote 6" in step]
    flat, hill = (data for step in steps for _, data, _ in frames_in(step))
    assert "Rosalind saves more than Imke" in flat["frames"]["0"][1]
    place = next(place for place, (words, _) in enumerate(hill["knobs"][0]) if words == "5.0 %")
    assert "Imke saves more than Rosalind" in hill["frames"][str(place)][1]
    (name,) = riders.panel().knobs
    assert name == "gradient"


def test_a_lesson_that_is_missing_is_named():
    with pytest.raises(ValueError, match="lesson 09"):
        votes(path for path in LESSONS if not path.name.startswith("09"))
    with pytest.raises(ValueError, match="lesson 03 is missing"):
        cells_of("03", [])


# -- the file -----------------------------------------------------------------------------------------


def test_it_is_one_file_that_fetches_nothing(html):
    assert len(html.encode()) < 6e6
    page = Reader(html)
    assert not page.all("link", "iframe", "object", "form")
    for _, attributes in page.tags:
        for name in FETCHING:
            assert attributes.get(name, "data:").startswith("data:")
    assert "url(" not in page.style and "@import" not in page.style
    assert not re.search(r"https?:|fetch\(|XMLHttp|import\(", re.sub(r"base64,[^\"]*|application/json.*?</script>", "", html, flags=re.DOTALL))
    assert "a date &amp; &lt;b&gt;more&lt;/b&gt;" in html


def test_without_scripts_every_step_is_there_one_below_the_other(html):
    sections = STEP.findall(html)
    assert len(sections) > 40 and not any("hidden" in section.partition(">")[0] for section in sections)
    assert '<footer class="clock"' in html and 'hidden>\n<button type="button" class="back">' in html
    assert [int(n) for n in re.findall(r'id="step-(\d+)"', html)] == list(range(1, len(sections) + 1))
    assert all('<p class="plan">Planned: ' in section for section in sections)
    for section in sections:
        for _, data, _ in frames_in(section):
            ends = section.partition("<noscript>")[2].partition("</noscript>")[0]
            assert 1 <= ends.count("<img") <= 2 and len(data["frames"]) >= 6


def test_every_picture_has_words(html):
    pictures = Reader(html).all("img")
    assert len(pictures) > 20 and all(len(a["alt"]) > 30 for a in pictures)


def test_the_answers_are_the_library_s_pictures_and_sentences(html, six):
    steps = STEP.findall(html)
    for number, vote in enumerate(six, 1):
        step = next(s for s in steps if f">Vote {number}: the answer is {vote.right}<" in s)
        ((still, data, places),) = frames_in(step)
        panel = vote.panel()
        ((name, knob),) = panel.knobs.items()
        for place, stop in zip(places, vote.stops, strict=True):
            assert knob.read(data["knobs"][0][place][0]) == pytest.approx(stop)
            png, sentence, alt = data["frames"][str(place)]
            assert sentence == panel.says(**{name: stop}) and alt.startswith(panel.picture.title)
        values = {name: knob.read(data["knobs"][0][0][0])}
        small = shown(still, data["frames"]["0"][0])
        assert small.size == pytest.approx([2 * side for side in panel.picture.size], abs=1)
        assert small.getpixel((2, 2)) == (255, 255, 255)
        panel.picture.png, ordinary = (lambda: ordinary(2.0)), panel.picture.png
        assert small.tobytes() == drawn(panel, values, still).tobytes()


def test_the_closed_picture_keeps_the_answer(six):
    for vote in six:
        panel = vote.panel()
        closed = module._picture(panel, "", closed=True)
        ((name, knob),) = panel.knobs.items()
        assert closed != module._picture(panel, "")
        panel.set(**{name: knob.at(knob.steps)})
        assert re.search("base64,([^\"]+)", module._picture(panel, "", closed=True))[1] == re.search("base64,([^\"]+)", closed)[1]
        assert re.search('alt="([^"]*)"', closed)[1] == f"{panel.picture.title}. The answer is not drawn yet."
        assert picture(b64decode(re.search('base64,([^"]+)', closed)[1])).size[0] >= 800


def test_what_is_said_and_the_votes_take_at_most_90_minutes(html):
    """Each step, read out at 130 words a minute with each picture's sentence, and what the room takes."""
    whole = 0.0
    for section in STEP.findall(html):
        words = len(spoken(section))
        for _, data, places in frames_in(section):
            words += sum(len(data["frames"][str(place)][1].split()) for place in places)
        room, planned = (float(re.search(f'data-{name}="(.*?)"', section)[1]) for name in ("room", "minutes"))
        assert words / WORDS_A_MINUTE + room <= planned, section[:200]
        whole += words / WORDS_A_MINUTE + room
    assert 60 < whole <= 90
    assert sum(map(float, re.findall(r'data-minutes="(.*?)"', html))) == 90


# -- the guide ----------------------------------------------------------------------------------------


def minutes_of(section):
    """The rows of the minute tables of a section: (from, to, the row)."""
    return [(int(a), int(b), row) for a, b, row in re.findall(r"^\| (\d+) to (\d+) \| (.*)$", section, re.MULTILINE)]


def test_the_plan_of_the_club_night_is_that_of_the_evening(html, six):
    night = GUIDE.split("## A club night, 90 minutes")[1].split("\n## ")[0]
    rows, begins = minutes_of(night), 0
    parts = groupby(zip(STEP.findall(html), steps_of_the_plan()), key=lambda pair: pair[1].part)
    for (start, end, _), (_, group) in zip(rows, parts, strict=True):
        ends = begins + sum(float(re.search('data-minutes="(.*?)"', section)[1]) for section, _ in group)
        assert (start, end) == (begins, ends)
        begins = ends
    for number, vote in enumerate(six, 1):
        (row,) = (row for _, _, row in rows if f"**Vote {number}.**" in row)
        assert vote.question in row and row.endswith(f"| {vote.right} |")
        assert "; ".join(f"{letter} {choice.text}" for letter, choice in vote.choices.items()) in row
        assert f"- **Vote {number}.**" in night


@cache
def steps_of_the_plan():
    """The steps, without drawing a picture."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module, "_moving", lambda *_: "")
        patch.setattr(module, "_picture", lambda *_, **__: "")
        return steps_of(LESSONS)


def test_each_vote_has_the_talk_that_the_guide_names():
    """A minute of hands at each vote, and the talk; the guide says how long."""
    steps = steps_of_the_plan()
    long, short = re.search(r"Votes 1, 4, 5 and 6 have (\w+) minutes .* votes 2 and 3 have (\w+)\.", GUIDE).groups()
    for number in range(1, 7):
        ask, talk, *_ = (step for step in steps if step.title.startswith(f"Vote {number}:"))
        assert ask.room >= 1 and talk.room > talk.minutes - 0.6
        assert talk.minutes == {"six": 6, "two": 2}[short if number in (2, 3) else long]


def test_the_guide_says_rightly_who_gains_what():
    """Imke in watts and in each hour, Rosalind over the flat road, Imke on the hill: by a general root finder."""
    assert "Watts: Imke. Seconds on the same flat road: Rosalind. In the same hour: Imke, a little. On the hill, in still air: Imke." in GUIDE
    watts, hour, flat, hill = (np.array([gain(m, *how) for m in (IMKE, ROSALIND)]) for how in (("watts",), ("hour",), ("road",), ("road", 0.05)))
    assert watts[0] > watts[1] and hour[1] < hour[0] < 1.1 * hour[1] and flat[1] > flat[0] and hill[0] > hill[1]


def gain(member, how, gradient=0.0):
    """What 5 % less drag area gives: watts in the air, the share of each hour, seconds over 40 km."""
    before, after = (own_speed(member.rider, member.power, cut, gradient) for cut in (0.0, 0.05))
    air = 0.6 * member.rider.drag_area * before**3
    return {"watts": 0.05 * air, "hour": 1 - before / after, "road": 40000 / before - 40000 / after}[how]


def test_the_way_on_takes_as_long_as_its_lessons():
    takes = [int(re.search(r"\*Time\* (\d+) minutes", (next(p for p in LESSONS if p.name.startswith(n))).read_text("utf-8"))[1])
             for n in ("02", "03", "08", "09", "10")]  # fmt: skip
    assert f"{sum(takes)} minutes in all" in steps_of_the_plan()[-1].body


@pytest.mark.parametrize("session", ["S1", "S2", "S3", "S4", "S5", "S6"])
def test_each_session_has_90_minutes_and_a_board(session):
    plan = GUIDE.split(f"### {session}, minute by minute")[1].split("\n### ")[0]
    rows = minutes_of(plan)
    assert rows[0][0] == 0 and rows[-1][1] == 90 and len(rows) >= 5
    assert all(before[1] == after[0] < after[1] for before, after in zip(rows, rows[1:]))
    assert len(re.search(r"\*\*On the board at the end:\*\* (.+)", plan)[1].split(";")) >= 3
    row = re.search(rf"^\| {session} \|.*$", GUIDE, re.MULTILINE)[0].split("|")[3]
    assert set(re.findall(r"\b(0[1-9]|1[01])\b", row)) <= set(re.findall(r"\b(0[1-9]|1[01])\b", plan))


def test_the_evening_and_its_papers_have_none_of_the_habits(html):
    said = " ".join(" ".join(spoken(section)) for section in STEP.findall(html)) + " ".join(CLAIMS)
    for habit, instead in HABITS.items():
        found = re.search(habit, said, re.IGNORECASE)
        assert not found, f"'{found[0]}': {instead}"


# -- the papers ---------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def printed(papers_file):
    """Each paper, as HTML."""
    return re.findall(r'<section class="paper".*?</section>', papers_file.read_text(encoding="utf-8"), re.DOTALL)


def read(paper):
    """A paper, its unbreakable spaces as any others."""
    return Reader(paper.replace("\u00a0", " "))


def test_there_are_seven_papers(printed):
    votes_, first, second, sheet, watts, rules, leader = map(read, printed)
    assert [letter for letter in votes_.text.split() if len(letter) == 1] == ["A", "B", "C"]
    for claim in CLAIMS:
        assert (claim in first.text) + (claim in second.text) == 1 and claim in leader.text
    assert len(BOXES) == 8 and all(box in sheet.text for box in BOXES)
    assert sum(a.get("class") == "lines" for a in sheet.all("div")) == 9
    for number, rule in RULES.items():
        assert rules.text.count(rule.filled) == 2 and "{}" not in rules.text
        assert title_of(cells_of(number, LESSONS)) in rules.text


def test_the_twelve_claims_cover_the_clinic_and_each_gets_a_verdict(printed):
    told, leader = [read_told(claim) for claim in CLAIMS], read(printed[-1]).text
    assert len(set(CLAIMS)) == 12
    assert {t.sort for t in told} == {"watts", "time", "percent", "force", "mass", "power", "rolling", "sense", "crosswind", "share"}
    assert any(t.parts for t in told) and any(len(t.numbers) == 2 for t in told)
    verdicts = {"adopt", "test it yourself", "ignore", "ask for data"}
    for each in told:
        end = ending(each, TOBIN, CINDER_LANE)
        assert end.verdict in verdicts and end.spoken and end.spoken in leader


def test_the_watts_card_against_a_sum_of_its_own():
    """By a general root finder, for each rider of the club."""
    item = 20 / (0.6 * (50 / 3.6) ** 3)
    for speed in SPEEDS:
        (watts, found), v, seconds = at_own_speed(kmh(speed)), speed / 3.6, []
        assert watts == pytest.approx(20 * (speed / 50) ** 3)
        for member in MEMBERS.values():
            r = member.rider
            rolling = r.all_up_mass * STANDARD_GRAVITY * r.rolling_coefficient
            power = 0.6 * r.drag_area * v**3 + rolling * v
            faster = brentq(lambda x: 0.6 * (r.drag_area - item) * x**3 + rolling * x - power, 0.5 * v, 2 * v)  # noqa: B023
            seconds.append(40000 / v - 40000 / faster)
        assert found == pytest.approx(seconds, rel=1e-6)
        row = f"{speed:.0f} km/h {20 * (speed / 50) ** 3:.1f} W {min(seconds):.0f} to {max(seconds):.0f} s"
        shown_ = read(evening_papers.own_speed_table([speed])).text
        assert row.replace(" ", "") in shown_.replace(" ", "")


# -- the command --------------------------------------------------------------------------------------


def test_the_command_writes_beside_a_file_and_not_over_it(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(ROOT)
    monkeypatch.setattr(module, "evening", lambda lessons, date: f"{len(lessons)} {date}")
    out = tmp_path / "evening.html"
    out.write_text("mine")
    assert module.main(["--out", str(out), "--date", "tonight"]) == 0
    assert out.read_text() == "mine" and (tmp_path / "evening_2.html").read_text() == f"{len(LESSONS)} tonight"
    assert "another file and stays" in capsys.readouterr().out


def test_elsewhere_it_takes_the_notebooks_that_the_package_came_with(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(module, "evening", lambda lessons, date: str(len(lessons)))
    assert module.main([]) == 0
    assert (tmp_path / "evening.html").read_text() == str(len(LESSONS))

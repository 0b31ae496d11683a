"""Answer keys and worksheets for a class."""

import csv
import io
import json
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from loops import over

from dragwork.scenario.hana import TRUE_DRAG_AREA
from dragwork.teaching import class_papers, forms
from dragwork.teaching.class_papers import CHECK, asked_in, find_notebook
from dragwork.teaching.printing import CannotPrint
from dragwork.teaching.profile import PLACE, Profile
from dragwork.teaching.questions import KINDS, ask

ROOT = Path(__file__).parents[2]
EIGHT = find_notebook("08", ROOT)


class Reader(HTMLParser):
    """A page as a browser reads it: tags, and the text without the style sheet."""

    def __init__(self, page):
        super().__init__()
        self.tags, self.text, self._open = [], "", []
        self.feed(page)
        assert not self._open

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in ("meta", "br", "hr"):
            self._open.append(tag)

    def handle_endtag(self, tag):
        assert self._open.pop() == tag

    def handle_data(self, data):
        if "style" not in self._open:
            self.text += data

    def all(self, name):
        return [attributes for tag, attributes in self.tags if tag == name]


@pytest.fixture
def run(capsys, monkeypatch):
    """Run the command in the project's folder; what it says."""
    monkeypatch.chdir(ROOT)

    def call(*arguments, code=0):
        assert class_papers.main(list(arguments)) == code
        said = capsys.readouterr()
        return said.err if code else said.out

    return call


# The key


@pytest.mark.parametrize("learner", [None, "Ada"])
def test_the_key_has_the_numbers_that_the_forms_show(tmp_path, monkeypatch, learner):
    """Box by box, for every form that there is."""
    monkeypatch.setenv(PLACE, str(tmp_path / "learner.json"))
    if learner:
        Profile().keep_me(name=learner)
    pages = {
        "workbook/08": ("warm_up('M05', 'M34', 'M01')", "faded('M10')"),
        "exercises/10": ("box('M31')", "practice('M12', 'M32', 'M45', 'M29')"),
    }
    for page, calls in pages.items():
        asked = {one.question.prompt: one for one in asked_in(find_notebook(page, ROOT), learner)}
        for call in calls:
            form = eval(f"forms.{call}", {"forms": forms})
            for box in [form] if call.startswith("box") else list(form):
                assert asked[box.prompt].question.answer == box.question.answer
                assert asked[box.prompt].given == box.given


def test_each_learner_has_all_questions_with_the_right_number_and_every_slip(run):
    rows = list(csv.DictReader(io.StringIO(run("key", "Ada", "Bram", "--notebook", "08", "--csv"))))
    assert list(dict.fromkeys(row["learner"] for row in rows)) == ["Ada", "Bram"]
    for learner in ("Ada", "Bram"):
        asked = asked_in(EIGHT, learner)
        theirs = [row for row in rows if row["learner"] == learner]
        assert len(theirs) == sum(1 + len(one.question.slips) for one in asked)
        by_prompt = {one.question.prompt: one.question for one in asked}
        for row in theirs:
            question = by_prompt[row["prompt"]]
            feedback = question.check(f"{row['number']} {row['unit']}".strip())
            if row["means"] == "right":
                assert feedback.state == "right", row
            else:
                assert row["means"] in question.slips
                assert feedback.slip == row["means"] or "Either" in feedback.text, row


@over(KINDS)
def test_a_number_of_the_key_typed_into_the_box_gets_what_the_key_says(id):
    question = ask(id, "Ada")
    asked = [class_papers.Asked("here", question)]
    for row in class_papers.key(["Ada"], lambda learner: asked):
        unit = "" if row["unit"] == "min:s" else row["unit"]
        feedback = question.check(f"{row['number']} {unit}".strip())
        if row["means"] == "right":
            assert feedback.state == "right", row
        else:
            assert feedback.state == "slip", (row, feedback)


def test_the_key_as_text_can_be_read(run):
    text = run("key", "--questions", "m42, M28")
    assert text.startswith("the lesson's numbers\n===")
    assert "M42 Minutes with decimals" in text and "1:05 min:s  right" in text
    assert "1:08 min:s  slip M42" in text and "0.214 m²     right" in text
    assert max(map(len, text.splitlines())) <= 100


def test_series_of_the_check_have_other_numbers(run):
    before, after = (run("key", "Ada", "--questions", "check", "--series", s) for s in ("before", "after"))
    titles = [re.findall(r"(M\d\d) ", text.replace("slip ", "slip")) for text in (before, after)]
    assert titles[0] == titles[1] == list(CHECK) and len(CHECK) == 14
    assert before.replace("before", "after") != after
    assert before == run("key", " ada ", "--questions", "check", "--series", "before").replace("ada\n", "Ada\n")


def test_names_may_stand_in_a_file(run, tmp_path):
    (tmp_path / "names.txt").write_text("\ufeffAda\n\n  Zoë  Müller \n", encoding="utf-8")
    text = run("key", "--names-from", str(tmp_path / "names.txt"), "--questions", "M01")
    assert "Ada\n===\n" in text and "Zoë Müller\n==========\n" in text
    run("key", "Ada", "--questions", "M01", "--csv", "--out", str(tmp_path / "key.csv"))
    assert (tmp_path / "key.csv").read_text("utf-8").startswith("learner,where,question,prompt")


MISTAKES = {
    "an id that there is not": (("key", "--questions", "M99"), "no question 'M99'"),
    "no notebook": (("key", "--notebook", "13"), "there is no notebook '13' in exercises; there are 01"),
    "another folder": (("worksheet", "lessons/08"), "start this in the project's folder"),
    "two at once": (("worksheet", "1"), "there is no notebook '1'"),
    "neither": (("key", "Ada"), "say what the key is for"),
    "both": (("key", "--questions", "M01", "--notebook", "08"), "say what the key is for"),
    "nothing asked": (("key", "--notebook", "12"), "asks no question with a number"),
    "no id": (("key", "--questions", ","), "asks no question with a number"),
    "an empty name": (("key", " ", "--questions", "M01"), "'' is no name"),
    "a long name": (("key", "A" * 41, "--questions", "M01"), "1 to 40 letters"),
    "a name twice": (("key", "Ada", "ada", "--questions", "M01"), "a name stands there twice"),
    "no file": (("key", "--names-from", "nowhere.txt", "--questions", "M01"), "nowhere.txt could not"),
    "no such place": (("worksheet", "08", "--out", "nowhere/a.html"), "there is no folder nowhere. Make it first"),
}  # fmt: skip


@pytest.mark.parametrize("mistake", MISTAKES)
def test_a_mistake_gets_a_sentence(run, mistake):
    arguments, sentence = MISTAKES[mistake]
    assert sentence in run(*arguments, code=2)


def test_a_file_of_names_in_another_encoding_gets_a_sentence(run, tmp_path):
    (tmp_path / "names.txt").write_bytes("Zoë".encode("latin-1"))
    said = run("key", "--names-from", str(tmp_path / "names.txt"), "--questions", "M01", code=2)
    assert "it is not UTF-8 text" in said


def test_a_page_can_be_a_pdf_and_says_so_where_it_cannot(run, tmp_path, monkeypatch):
    out = tmp_path / "paper.pdf"
    monkeypatch.setattr(class_papers, "print_page", lambda html: html[:9].encode())
    out.write_bytes(b"mine")
    assert "another file and stays" in run("worksheet", "M01", "--out", str(out))
    assert out.read_bytes() == b"mine" and (tmp_path / "paper_2.pdf").read_bytes() == b"<!doctype"

    def cannot(html):
        raise CannotPrint("No browser was found here.")

    monkeypatch.setattr(class_papers, "print_page", cannot)
    assert run("worksheet", "M01", "--out", str(tmp_path / "other.pdf"), code=2) == "No browser was found here.\n"
    assert not (tmp_path / "other.pdf").exists()


def test_the_guide_s_commands_are_commands():
    guide = (ROOT / "exercises" / "README.md").read_text(encoding="utf-8")
    commands = re.findall(r"^\.venv/bin/python -m dragwork\.teaching\.class_papers (.*)$", guide, re.M)
    assert len(commands) == 8
    for command in commands:
        options = class_papers._parser().parse_args(command.split())
        assert callable(options.make)
    assert all(id in guide for id in CHECK)


# Worksheets


@pytest.fixture(scope="module")
def papers():
    return Reader(class_papers.worksheet(EIGHT, ["Ada", "Zoë <b>"]))


def test_one_paper_for_each_learner_with_all_prompts_and_lines_to_write_on(papers):
    assert len([a for a in papers.all("section") if a["class"] == "paper"]) == 2
    for learner in ("Ada", "Zoë <b>"):
        assert f"Name: {learner}" in papers.text
        for one in asked_in(EIGHT, learner):
            assert one.question.prompt in papers.text and one.given in papers.text
    blanks = [a for a in papers.all("div") if a.get("class") == "lines"]
    assert len(blanks) == 2 * len(asked_in(EIGHT)) and all(a["aria-hidden"] for a in blanks)


@pytest.mark.parametrize("number", [f"{n:02d}" for n in range(1, 13)])
def test_no_answer_stands_on_a_worksheet(number):
    path = find_notebook(number, ROOT)
    page = class_papers.worksheet(path, ["Ada"])
    assert "Answer: " not in page
    for one in asked_in(path, "Ada"):
        assert one.question.kind.why not in page and one.question.kind.idea not in page
        assert one.given or one.question.steps not in page
    assert not [id for id in re.findall(r"M\d\d-\w+", page)]


def test_a_worksheet_fetches_nothing_and_its_headings_go_down_in_order(papers):
    assert not papers.all("script") + papers.all("link") + papers.all("img") + papers.all("button")
    assert not papers.all("a") and "b" not in [tag for tag, _ in papers.tags]
    assert papers.all("html") == [{"lang": "en"}]
    levels = [int(tag[1]) for tag, _ in papers.tags if re.fullmatch("h[1-6]", tag)]
    assert levels.count(1) == 1 and levels[0] == 1 and levels.count(2) == 2
    assert all(b <= a + 1 for a, b in zip(levels, levels[1:]))


def test_what_needs_a_screen_is_left_out(papers):
    for trace in ("Start this lesson", "Check", "warm-ups", "faded(", "import"):
        assert trace not in papers.text


@pytest.mark.parametrize("number", [f"{n:02d}" for n in range(1, 12)])
def test_what_a_good_answer_contains_is_not_on_the_learner_s_sheet(number):
    """Nor is any of its lines, nor the check-list of a good minute; the tasks themselves are."""
    path = find_notebook(number, ROOT)
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    prose = "\n\n".join("".join(c["source"]) for c in cells if c["cell_type"] == "markdown")
    text = " ".join(Reader(class_papers.worksheet(path, [None])).text.split())
    assert "What a good answer contains" not in text and "A good minute" not in text
    hidden = re.findall(r"^### What a good answer contains\n(.*?)^#", prose, re.M | re.S)
    hidden += re.findall(r"^A good minute of it:\n(.*?)(?=^#|\Z)", prose, re.M | re.S)
    lines = re.findall(r"^- (.*)$", "\n".join(hidden), re.M)
    assert len(lines) >= 8
    for line in lines:
        assert line.replace("*", "") not in text
    assert "On paper" in text and "Explain it to someone" in text and "stand-in athlete" in text


def test_the_capstone_on_paper_has_its_sheet_and_its_rubric():
    page = Reader(class_papers.worksheet(find_notebook("12", ROOT), [None]))
    assert "low-bars" in page.text and "speed transfer" in page.text
    assert "Three decisions, and their defence" in page.text
    assert all(a == {"scope": "col"} for a in page.all("th"))


def test_the_commands_write_a_page(run, tmp_path):
    out = tmp_path / "a.html"
    assert "Written to" in run("worksheet", "check", "Ada", "--series", "before", "--out", str(out))
    page = Reader(out.read_text("utf-8"))
    assert page.text.count("My answer:") == 14 and "14 questions, before" in page.text
    said = run("worksheet", "M05,M10", "--out", str(out))
    assert "a_2.html" in said and "a.html is another file and stays" in said
    assert Reader(out.with_name("a_2.html").read_text("utf-8")).text.count("My answer:") == 2
    assert Reader(out.read_text("utf-8")).text.count("My answer:") == 14


def test_the_numbers_to_mark_the_capstone_by(run):
    text = run("capstone")
    for name, area in TRUE_DRAG_AREA.items():
        assert f"{name}: {area:.4f} m²" in text
    for run in ("run 5, column 'speed [m/s]'", "run 6, column 'tare': is empty"):
        assert run in text  # as the sheet numbers them
    assert not re.search(r"\b[Rr]ow \d", text)
    for part in ("no tare", "'tare': is empty", "95 % range", "Test it yourself", "s a unit"):
        assert part in text

"""The workbook as one HTML book for paper."""

from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote

import nbformat
import pytest
from nbformat import v4

from dragwork.setup.working_copy import shipped
from dragwork.teaching import handout
from dragwork.teaching.telling import reference_case

ROOT = Path(__file__).parents[2]
NOTEBOOKS = [ROOT / name for name in shipped(ROOT)]
FETCHING = ("src", "srcset", "data", "poster", "background", "action", "xlink:href")


class Reader(HTMLParser):
    """A page as a browser reads it: its tags in order, and its text without the style sheet."""

    def __init__(self, page):
        super().__init__()
        self.tags, self.text, self.style, self._open = [], "", "", []
        self.feed(page)
        assert not self._open, f"never closed: {self._open}"

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in ("img", "input", "meta", "br", "hr", "mspace"):
            self._open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        assert self._open.pop() == tag, f"</{tag}> closes nothing"

    def handle_data(self, data):
        if self._open[-1:] == ["style"]:
            self.style += data
        else:
            self.text += data

    def all(self, *names):
        return [attributes for tag, attributes in self.tags if tag in names]


@pytest.fixture(scope="module")
def stored():
    return Reader(handout.handout(NOTEBOOKS))


@pytest.fixture
def book(tmp_path):
    """Store notebooks, each a list of cells, and read the book made of them."""

    def make(date="", **notebooks):
        paths = []
        for name, cells in notebooks.items():
            paths.append(tmp_path / f"{name}.ipynb")
            nbformat.write(v4.new_notebook(cells=cells), paths[-1])
        return Reader(handout.handout(paths, date))

    return make


prose = v4.new_markdown_cell


def code(source, *outputs, folded=False):
    metadata = {"jupyter": {"source_hidden": True}} if folded else {}
    return v4.new_code_cell(source, outputs=list(outputs), metadata=metadata)


def words(markdown):
    return v4.new_output("display_data", {"text/markdown": markdown, "text/plain": markdown})


def picture(sentence):
    about = {"alt": 'A "line". ' + sentence, "width": 70, "height": 40}
    data = {"image/png": "iVBOR\nw0KGgo=", "text/plain": sentence}
    return v4.new_output("display_data", data, metadata={"image/png": about})


# -- the workbook's own notebooks ------------------------------------------------------------------


def test_every_notebook_is_a_chapter_and_stands_in_the_list_of_contents(stored):
    ids = [f"{path.parent.name}-{path.stem}" for path in NOTEBOOKS]
    assert [a["id"] for a in stored.all("section")] == ids
    links = [a["href"] for a in stored.all("a")]
    assert links[: len(ids)] == [f"#{anchor}" for anchor in ids]


def test_the_contents_name_the_question_of_each_lesson(stored):
    for path in (path for path in NOTEBOOKS if path.parent.name == "workbook"):
        opening = nbformat.read(path, as_version=4).cells[0].source.split("**The question:** ")[1][:45]
        assert stored.text.lower().count(opening.lower()) == 2, path.stem  # in the contents and in its chapter


def test_every_link_leads_to_a_place_in_the_book(stored):
    places = [a["id"] for _, a in stored.tags if "id" in a]
    assert len(places) == len(set(places))
    inside = [a["href"] for a in stored.all("a") if not a["href"].startswith("https://")]
    assert inside and {unquote(link) for link in inside} <= {f"#{place}" for place in places}


def test_nothing_runs_and_nothing_is_fetched(stored):
    assert not stored.all("script", "link", "iframe", "object", "button", "form", "details")
    sources = [a[name] for _, a in stored.tags for name in FETCHING if name in a]
    assert sources and all(source.startswith("data:image/png;base64,") for source in sources)
    assert not [name for _, a in stored.tags for name in a if name.startswith("on")]
    assert "url(" not in stored.style and "@import" not in stored.style


def test_every_picture_has_a_text_and_every_equation_is_one(stored):
    assert all(len(a["alt"]) > 20 for a in stored.all("img"))
    assert len(stored.all("math")) >= 10
    assert "$" not in stored.text and "\\frac" not in stored.text


def test_no_code_no_tags_and_no_start_button_is_left_in_the_text(stored):
    for trace in ("import ", "say(", "<details", "<button", "Start this lesson", "runs every cell"):
        assert trace not in stored.text


def test_headings_go_down_one_level_at_a_time_from_one_title(stored):
    levels = [int(tag[1]) for tag, _ in stored.tags if tag in ("h1", "h2", "h3", "h4", "h5", "h6")]
    assert levels.count(1) == 1 and levels[0] == 1
    assert levels.count(2) == len(NOTEBOOKS) + 1  # and the contents
    assert all(b <= a + 1 for a, b in zip(levels, levels[1:]))


def test_the_page_says_its_language_and_that_all_is_invented(stored):
    assert stored.all("html") == [{"lang": "en"}]
    assert "All riders, roads, sheets and items are invented." in stored.text


def test_the_same_notebooks_make_the_same_bytes():
    assert handout.handout(NOTEBOOKS) == handout.handout(NOTEBOOKS)


# -- small notebooks ---------------------------------------------------------------------------------


def test_a_picture_carries_its_sentence_once(book):
    sentence = "It takes 20 W & more."
    panel = [picture(sentence), words(reference_case(sentence))]
    page = book(a=[prose("# Air"), code("panel", *panel)])
    (shown,) = page.all("img")
    assert shown["alt"] == 'A "line". It takes 20 W & more.'
    assert shown["src"] == "data:image/png;base64,iVBORw0KGgo="
    assert page.text.count(sentence) == 1 and "Reference case" not in page.text


def test_another_sentence_after_a_picture_is_kept(book):
    moved = [picture("Here 20 W."), words("*Reference case.* There 30 W.")]
    page = book(a=[prose("# Air"), code("panel", *moved)])
    assert page.text.count("Here 20 W.") == 1
    assert page.text.count("Reference case. There 30 W.") == 1


def test_paper_shows_the_open_picture_of_a_closed_panel_with_its_own_words():
    page = handout.handout([ROOT / "workbook/00_start_here.ipynb"])
    outputs = [out for cell in nbformat.read(ROOT / "workbook/00_start_here.ipynb", 4).cells if cell.cell_type == "code"
               for out in cell.outputs if "dragwork_open" in out.get("metadata", {})]  # fmt: skip
    (closed,) = outputs
    opened = closed.metadata["dragwork_open"]
    assert opened["png"] in page and "".join(closed.data["image/png"].split()) not in page
    assert f"<figcaption>{opened['said']}</figcaption>" in page
    assert "Guess first" not in page and "open it after your guess" not in page


def test_answers_stand_at_the_end_of_their_chapter(book):
    folded = "<details><summary>{}</summary>\n\nThe **{}**.\n\n</details>"
    cells = [
        prose(f"# Air\n\n## A rule\n\nIt is ______.\n\n{folded.format('One way', 'cube')}\n\nOn."),
        prose("## By yourself\n\nHow many?"),
        code("# Check it\nx", words(folded.format("The answer", "7 W")), folded=True),
        prose("## To remember\n\nLast words."),
    ]
    page = book(a=cells, b=[prose("# Next\n\n## End")])
    order = ("It is ______.", "One way: answer 1", "On.", "How many?", "The answer: answer 2",
             "Last words.", "Answers", "1. A rule: One way", "The cube.",
             "2. By yourself: The answer", "The 7 W.", "Next")  # fmt: skip
    text = page.text[page.text.index(order[0]) :]
    assert [text.count(part) for part in order] == [1] * len(order)
    places = [text.index(part) for part in order]
    assert places == sorted(places)


def test_links_between_notebooks_stay_in_the_book(book):
    page = book(
        **{
            "04_sheet": [
                prose("# Sheet\n\n[x](08_watts.ipynb#To-remember) [y](#Of-it)"),
                prose("## Of it"),
            ],
            "08_watts": [
                prose("# Watts\n\n[gone](13_gone.ipynb) [doi](https://doi.org/1)"),
                prose("## To remember\n\n## To remember"),
            ],
        }
    )
    folder = page.all("section")[0]["id"].removesuffix("-04_sheet")
    links = [a["href"] for a in page.all("a")][2:]  # after the contents
    assert links == [f"#{folder}-08_watts--To-remember", f"#{folder}-04_sheet--Of-it",
                     "https://doi.org/1"]  # fmt: skip
    places = [a["id"] for _, a in page.tags if "id" in a]
    assert {link[1:] for link in links[:2]} <= set(places) and len(places) == len(set(places))
    assert "gone" in page.text


@pytest.mark.parametrize("tex", ["In $a^2$ line", "$$\\frac{a}{b}$$", "1. So\n\n   $$a\n= b$$"])
def test_an_equation_is_mathml_wherever_it_stands(book, tex):
    page = book(a=[prose(f"# Air\n\n{tex}")])
    assert len(page.all("math")) == 1 and "$" not in page.text


def test_upright_letters_stay_upright(book):
    page = book(a=[prose(r"# Air" "\n\n" r"$C_\mathrm{d}$")])
    assert len(page.all("mtext")) == 1  # a lone letter in mi is slanted


def test_html_in_prose_is_shown_and_not_obeyed(book):
    page = book(a=[prose("# Air\n\n<script>alert(1)</script>\n\nNext <b onclick='x'>word</b>")])
    assert not page.all("script", "b") and "<script>alert(1)</script>" in page.text


def test_tables_have_header_cells_and_the_title_of_a_folded_cell(book):
    shown = words("| rider | power |\n| --- | --- |\n| Tobin | 220 W |")
    page = book(a=[prose("# Air"), code("# The rider\ntable()", shown, folded=True)])
    assert page.all("th") == [{"scope": "col"}] * 2 + [{"scope": "row"}] and len(page.all("td")) == 1
    assert len(page.all("caption")) == 1 and page.text.count("The rider") == 2
    assert "The rider" in page.text and "table()" not in page.text


def test_an_empty_first_cell_is_no_header(book):
    page = book(a=[prose("# Air\n\n| rider | power |\n| --- | --- |\n| Tobin | 220 W |\n|  | 200 W |")])
    assert len(page.all("th")) == 3 and len(page.all("td")) == 3


def test_a_date_is_printed_where_it_is_given(book):
    assert "3 May" in book("3 May", a=[prose("# Air")]).text


def test_the_command_writes_the_book(tmp_path, capsys):
    nbformat.write(v4.new_notebook(cells=[prose("# Air")]), tmp_path / "a.ipynb")
    out = tmp_path / "book.html"
    assert handout.main(["--out", str(out), str(tmp_path / "a.ipynb")]) == 0
    assert out.read_text("utf-8") == handout.handout([tmp_path / "a.ipynb"])


    assert handout.main(["--out", str(out), str(tmp_path / "a.ipynb")]) == 0
    nbformat.write(v4.new_notebook(cells=[prose("# Wind")]), tmp_path / "a.ipynb")
    assert handout.main(["--out", str(out), str(tmp_path / "a.ipynb")]) == 0
    assert "book_2.html" in capsys.readouterr().out and "Air" in out.read_text("utf-8")


@pytest.mark.parametrize(
    ("command", "words"),
    [
        (["nowhere.ipynb"], "no notebook here: nowhere.ipynb"),
        (["README.md"], "no notebook that can be read: README.md"),
        (["torn.ipynb"], "no notebook that can be read: torn.ipynb"),
        (["--out", "nowhere/a.html", "a.ipynb"], "there is no folder nowhere. Make it first"),
        (["--out", ".", "a.ipynb"], "is a folder. Name a file in it"),
    ],
)
def test_the_command_says_what_helps(tmp_path, monkeypatch, capsys, command, words):
    nbformat.write(v4.new_notebook(cells=[prose("# Air")]), tmp_path / "a.ipynb")
    (tmp_path / "README.md").write_text("# Words", encoding="utf-8")
    (tmp_path / "torn.ipynb").write_text('{"cells": [{', encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit) as stopped:
        handout.main(command)
    assert stopped.value.code == 2 and words in capsys.readouterr().err

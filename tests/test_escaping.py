"""Words from data in Markdown, held against the standard's own reader of it: what comes out is text.

CommonMark has reference readers; mistune, which nbconvert brings, is an independent one with the
tables, links and strike-through that notebooks have besides. A browser looks at the rest in
`tests/browser/test_hostile.py`.
"""

from html.parser import HTMLParser

import mistune
import pytest
from hypothesis import given
from hypothesis import strategies as st
from loops import over

from dragwork.escaping import LONGEST_NAME, a_name, in_markdown, in_spreadsheet
from dragwork.teaching.telling import say, table

READ = mistune.create_markdown(escape=False, plugins=["table", "strikethrough", "url"])
HOSTILE = (
    "<img src=x onerror=alert(1)>", "</td><script>x()</script>", "![p](http://a.example/b)", "[a](b)",
    "[a]: http://a.example", "$900 vs $1200", "suit_A^2 $x^{2$", r"\(x\) \[y\] \begin{z}", "@@0@@",
    "# a", "- a", "+ a", "1. a", "2) a", "---", "===", "> a", "a | b", "`a`", "**a** _b_ ~~c~~", "&lt;b&gt;",
    "www.a.example", "http://a.example", "a@b.example", "a_b.csv", "a\nb\n\n# c", "    code", "=1+1", "{watts}",
)  # fmt: skip


class Shown(HTMLParser):
    """The text of a page, its tags, and the text that stands in no other element with a formula's mark."""

    def __init__(self, page):
        super().__init__()
        self.text, self.tags, self.pieces = "", [], []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)

    def handle_data(self, data):
        self.text += data
        self.pieces.append(data)


def folded(words):
    return " ".join(words.split())


@over(HOSTILE)
def test_what_is_shown_is_what_was_typed(words):
    shown = Shown(READ(f"So {in_markdown(words)} it is."))
    assert folded(shown.text) == folded(f"So {words} it is.")
    assert set(shown.tags) <= {"p", "span"}


@over(HOSTILE)
def test_alone_in_a_paragraph_too(words):
    shown = Shown(READ(in_markdown(words.strip())))
    assert folded(shown.text) == folded(words) and set(shown.tags) <= {"p", "span"}


@given(st.text(st.sampled_from("ab1 $\\`*_~[]()<>&!#+-=|:/.@{}'\"\n"), max_size=25))
def test_any_marks_are_shown_as_typed(words):
    shown = Shown(READ(f"a{in_markdown(words)}b"))
    assert folded(shown.text) == folded(f"a{words}b") and set(shown.tags) <= {"p", "span"}
    # A reader of formulas looks between two dollars of one text; each stands alone.
    assert all(piece in ("$", "\\") for piece in shown.pieces if "$" in piece or "\\" in piece)


@over(HOSTILE)
def test_sentences_and_tables_show_what_is_filled_in(words):
    said = Shown(READ(say("It **is** {name}.", name=words).markdown))
    assert folded(said.text) == folded(f"It is {words}.") and "strong" in said.tags
    assert folded(Shown(READ(say(words).markdown)).text) == folded(words)
    shown = Shown(READ(table([{"a": words, words: 1}], caption=words).markdown))
    assert folded(shown.text).count(folded(words)) >= 3
    assert shown.tags.count("th") == shown.tags.count("td") == len({"a", words})
    assert not {"img", "script", "a", "strong", "em", "code"} & set(shown.tags)


@pytest.mark.parametrize("cell", ["=1+1", "+1+1", "-1+2", "@a", "\tb"])
def test_a_cell_that_begins_as_a_formula_is_text(cell):
    """Common practice: spreadsheets take these first letters for a formula, and an apostrophe off."""
    assert in_spreadsheet(cell) == f"'{cell}"
    assert in_spreadsheet("Ada") == "Ada" and in_spreadsheet("-2.3") == "-2.3" and in_spreadsheet(-3.1) == -3.1


def test_a_name_is_one_line_and_not_too_long():
    assert a_name("  helmet\n A\u202e\x1b ") == "helmet A"
    assert a_name("x" * LONGEST_NAME)
    with pytest.raises(ValueError, match=f"has 70 letters: a name has {LONGEST_NAME} at the most"):
        a_name("x" * 70)

"""Words that come from data, made safe where they are shown: names, notes, file names, what is typed.

Whatever writes Markdown or cells for a spreadsheet passes the words through here, so that none of them
is read as a script, a link, a formula of mathematics or of a spreadsheet. (HTML has `html.escape`; in
pictures `figures.canvas` draws each label as it is typed.) Standard library only.
"""

import re

LONGEST_NAME = 60  # letters of the name of a set-up, a road, a rider or a thing

# Markdown: marks anywhere, underscores at the edge of a word, ends of links, bare addresses.
_MARKS = re.compile(
    r"[&<>@\\$*`~|]|(?<![^\W_])_|_(?![^\W_])|\](?=[(\[:])|:(?=//)|(?<=www)\.", re.IGNORECASE
)
_CONTROLS = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069]")
_BREAKS = re.compile(r"\s*[\r\n\v\f\x1c-\x1e\x85\u2028\u2029]+\s*")
APART = ("<span>", "</span>")
# What begins a formula of TeX becomes an element of its own: between two of them nothing is one.
_ENTITIES = {
    "&": "&amp;", "<": "&lt;", ">": "&gt;", "@": "&#64;",
    "\\": "&#92;".join(APART), "$": "&#36;".join(APART),
}  # fmt: skip


def in_markdown(words):
    """Words as a piece of one paragraph, item or cell of Markdown, which shows them as they are."""
    marked = _MARKS.sub(_shown, re.sub(r"^\s+", " ", _BREAKS.sub(" ", str(words))))
    return re.sub(r"^(\s*)(#{1,6}(?=\s|$)|[-+](?=\s|$)|[-=]+$|\d+(?=[.)](?:\s|$)))", _plain, marked)


def _shown(found):
    return _ENTITIES.get(found[0], f"\\{found[0]}")


def _plain(found):
    blank, mark = found.groups()
    return f"{blank}{mark}\\" if mark.isdigit() else f"{blank}\\{mark}"


def in_spreadsheet(cell):
    """A cell of a CSV file that a spreadsheet opens: text that begins as a formula gets an apostrophe."""
    is_formula = isinstance(cell, str) and re.match(r"[=+\-@\t\r](?![\d.,:]*$)", cell)
    return f"'{cell}" if is_formula else cell


def a_name(words, of="a name"):
    """A name as it is shown: on one line, not longer than fits.

    Parameters
    ----------
    words : str
    of : str
        What is named, for the message: 'the name of a set-up'.

    Returns
    -------
    str

    Raises
    ------
    ValueError
        For more than `LONGEST_NAME` letters, in words.

    Source: COMMON_PRACTICE
    """
    name = " ".join(_CONTROLS.sub(" ", words).split())
    if len(name) > LONGEST_NAME:
        raise ValueError(
            f"'{name[:20]}...' has {len(name)} letters: {of} has {LONGEST_NAME} at the most. Shorten it."
        )
    return name

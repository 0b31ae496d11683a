"""A page as one HTML file, and on paper: a browser of this computer prints it, without any network."""

import json
import os
import re
import shutil
import subprocess
import tempfile
from base64 import b64encode
from functools import partial
from pathlib import Path

from jinja2 import Environment, PackageLoader, StrictUndefined, select_autoescape
from mistune import HTMLRenderer

from dragwork.escaping import APART
from dragwork.files import text_of
from dragwork.units import UNITS

# Programs on the search path, where systems put such a browser without putting it there, and flags.
_BROWSERS = json.loads(text_of(__package__, "browsers.json"))
_PATIENCE = 60  # s for one page
_TEMPLATES = Environment(
    loader=PackageLoader(__package__, ""),
    undefined=StrictUndefined,
    autoescape=select_autoescape(["html"]),
    trim_blocks=True,
    lstrip_blocks=True,
)
_UNITS = sorted({unit.printed for unit in UNITS.values() if unit.printed}, key=len, reverse=True)
_BEFORE_UNIT = re.compile(rf"(?<=\d) (?=({'|'.join(map(re.escape, _UNITS))})(?!\w))")
# In a template: `{{ cell|whole }}`, where a number and its unit stay on one line.
_TEMPLATES.filters["whole"] = lambda cell: _BEFORE_UNIT.sub("\u00a0", str(cell))


class CannotPrint(Exception):
    """No PDF could be made; says what helps."""


def page(title, body, *names):
    """A page as one HTML file that fetches nothing.

    Parameters
    ----------
    title : str
    body : str
        HTML.
    *names : str
        Style sheets and scripts beside this module.

    Returns
    -------
    str
    """
    return filled("page.html", title=title, body=body, names=names)


def filled(name, **gaps):
    """A template beside this module, its gaps filled: `{{ title }}`.

    In HTML what a gap is given is escaped, unless the template says that it is HTML: `{{ body|safe }}`.
    """
    return _TEMPLATES.get_template(name).render(gaps)


class Prose(HTMLRenderer):
    """A notebook's prose. Raw HTML in it is shown as text, so that none of it can run."""

    def inline_html(self, html):
        """Nothing but what keeps a dollar in a name from beginning a formula."""
        return html if html in APART else super().inline_html(html)

    def table_cell(self, text, align=None, head=False):
        """The first row names the columns."""
        return f'<th scope="col">{text}</th>' if head else f"<td>{text}</td>"


def figure(png, alt, size, sentence):
    """A picture as HTML: its text alternative, its size on the page (width, height), its sentence."""
    return filled("figure.html", png=b64encode(png).decode(), alt=alt, size=size, sentence=sentence)


def html_table(rows, caption):
    """Rows of a table as HTML with a caption and header cells; a row is a dict of column to text.

    A number and its unit stay on one line.
    """
    return filled("table.html", rows=rows, caption=caption)


_TEMPLATES.globals |= {"figure": figure, "html_table": html_table, "text": partial(text_of, __package__)}


def find_browser():
    """The path of a browser that prints without a window, or None."""
    found = filter(None, map(shutil.which, _BROWSERS["programs"]))
    places = (Path(os.path.expandvars(place)) for place in _BROWSERS["places"])
    return next(found, None) or next((str(p) for p in places if p.is_absolute() and p.is_file()), None)


def print_page(html):
    """An HTML page as a browser of this computer prints it.

    Parameters
    ----------
    html : str
        A page that fetches nothing.

    Returns
    -------
    bytes
        A PDF.

    Raises
    ------
    CannotPrint
        Without a browser, or where it fails, in words.
    """
    browser = find_browser()
    if browser is None:
        raise CannotPrint(
            "No browser was found here that prints by itself. Open the HTML page in your browser "
            "and print it from there, as a PDF if you like."
        )
    with tempfile.TemporaryDirectory(prefix="dragwork-", ignore_cleanup_errors=True) as folder:
        page, made = Path(folder, "page.html"), Path(folder, "page.pdf")
        page.write_text(html, encoding="utf-8")
        is_root = hasattr(os, "geteuid") and os.geteuid() == 0  # as in a container; the sandbox refuses
        flags = [*_BROWSERS["flags"], *["--no-sandbox"] * is_root]
        options = [f"--user-data-dir={Path(folder, 'profile')}", f"--print-to-pdf={made}"]
        try:
            subprocess.run(
                [browser, *flags, *options, page.as_uri()],
                check=True, timeout=_PATIENCE, capture_output=True,
            )  # fmt: skip
            return made.read_bytes()
        except (OSError, subprocess.SubprocessError) as error:
            raise CannotPrint(
                f"{Path(browser).name} could not print the page ({type(error).__name__}). Open the "
                "HTML page in your browser and print it from there."
            ) from None

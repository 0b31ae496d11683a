"""The workbook for a phone: one HTML file whose pictures move without Python and without a network.

`python -m dragwork.teaching.pocket_book [--out FILE] [notebooks...]` makes it, of the notebooks
of this folder or those that the package came with. The words are what the notebooks store; each
panel becomes a stack of frames.
"""

import ast
import os
import sys
from base64 import b64encode
from unittest.mock import patch

import nbformat

from dragwork.teaching import handout
from dragwork.teaching.frames import Frames
from dragwork.teaching.panels.panel import Panel
from dragwork.teaching.printing import filled
from dragwork.teaching.profile import NOWHERE, PLACE


def pocket_book(paths, date=""):
    """The book. The notebooks' code is run, as on a clean checkout: no learner's file is read.

    Parameters
    ----------
    paths : sequence of Path or str
        Stored notebooks, in the order of the chapters.
    date : str
        Printed on the title page; left out where it is empty.

    Returns
    -------
    str
        One HTML file that fetches nothing. Its script shows frames and computes nothing.

    Raises
    ------
    ValueError
        A panel does not say what its notebook stores.
    """
    return handout.handout(paths, date, PocketChapter, "about_pocket_book.html", ("pocket_book.css", "pocket_book.js"))


class PocketChapter(handout.Chapter):
    """A chapter whose panels move and whose answers are folded where they belong."""

    def __init__(self, path, anchors):
        self._panels = panels_shown(path)
        super().__init__(path, anchors)

    def _picture(self, shown, said, closed):
        panel = self._panels.pop(self._cell_id, None)
        if panel is None:
            return shown
        panel.reset()
        panel.reveal()
        if panel.sentence != said:
            raise ValueError(
                f"{self._path.name}: a picture no longer says what the notebook stores, '{said}'. "
                "Store the notebook again."
            )
        cases = [*panel.asked, *(getattr(guess, "at", {}) for guess in panel.guesses)]
        moving = moving_figure(Frames(panel, cases), f"{self.anchor}--{self._cell_id}")
        if not closed:
            return moving
        first = "<summary>Guess first, then show the picture</summary>"
        return f'<details class="secret">{first}\n{moving}</details>'

    def _put_off(self, name, answer):
        if name == self._cell_title:
            self._cell_title = ""  # said once is enough
        return f"<details><summary>{name}</summary>\n{answer}</details>\n"


def panels_shown(path):
    """The panels that a notebook shows with a picture, by the id of the cell, once all has run."""
    code = [cell for cell in nbformat.read(path, 4).cells if cell.cell_type == "code"]
    pictured = {cell.id for cell in code if any("image/png" in output.get("data", {}) for output in cell.outputs)}
    names, found = {}, {}
    with patch.dict(os.environ, {PLACE: NOWHERE}):
        for cell in code if pictured else ():
            steps = ast.parse(cell.source)
            shown = steps.body.pop() if isinstance(steps.body[-1], ast.Expr) else None
            exec(compile(steps, path.name, "exec"), names)
            if shown:
                found[cell.id] = eval(compile(ast.Expression(shown.value), path.name, "eval"), names)
    return {key: panel for key, panel in found.items() if key in pictured and isinstance(panel, Panel)}


def moving_figure(frames, anchor):
    """Frames as HTML: the reference case, sliders, and the frames for the script to show.

    Without scripts the reference case and the picture at each end of each slider are there.
    """
    knobs, shown = frames.panel.knobs, {state: frames.frame(state) for state in frames.states}
    words = [
        [(knob.words(value), knob.spoken(value)) for value in frames.positions[name]]
        for name, knob in knobs.items()
    ]
    data = {
        "knobs": words,
        "frames": {
            ",".join(map(str, state)): [b64encode(frame.png).decode(), frame.sentence, frame.alt]
            for state, frame in shown.items()
        },
    }
    return filled(
        "pocket_book_panel.html",
        anchor=anchor,
        frames=frames,
        knobs=zip(knobs.items(), words, frames.reference),
        longest=max(len(frame.sentence) for frame in shown.values()),
        data=data,
    )


if __name__ == "__main__":
    sys.exit(handout.main(sys.argv[1:], "pocket_book", pocket_book, __doc__))

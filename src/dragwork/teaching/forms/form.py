"""What all forms share: words as a page prints them, and widgets that follow once it is live."""

from pathlib import Path

from IPython.display import display

from dragwork.files import free_path
from dragwork.teaching.cells import WIDGET, close_what_stood_here
from dragwork.teaching.profile import Profile

LINE = "________________"


class Form:
    """Something that a learner fills in.

    As the last line of a cell it shows itself: widgets where a kernel runs, words everywhere else.
    A subclass has `markdown()`, which reads as a printed worksheet would, with a line to write on
    for what is open, and `view`, the class of its widgets.

    Parameters
    ----------
    profile : Profile, optional
        Where what is filled in is kept; by default the learner's own file.
    """

    def __init__(self, profile=None):
        self.profile = profile or Profile()
        self._view = None

    def text(self):
        """The words of `markdown` without marks of their look."""
        return self.markdown().replace("**", "")

    def follow(self):
        """Have the widgets show how the form stands, if there are any."""
        if self._view:
            self._view.follow()

    def live(self):
        """Widgets for the form; those that it had are taken away."""
        self.close()
        self._view = self.view(self)
        return self._view

    def close(self):
        """Take the widgets away. Showing the form again makes new ones."""
        if self._view:
            self._view.close()
            self._view = None

    def _ipython_display_(self):
        """Show the form as a cell's output, and close what the cell showed before.

        Besides the widgets the output holds the form's words, for pages that are not live.
        """
        view = self.live()
        close_what_stood_here(self)
        live = view.box._repr_mimebundle_()[WIDGET]
        display({WIDGET: live, "text/markdown": self.markdown(), "text/plain": self.text()}, raw=True)

    def __repr__(self):
        return self.text()


def write_beside(folder, name, content, fresh=False):
    """Write a text or bytes to a folder, never over another file; return where it is.

    fresh: not over one that holds the same either.
    """
    content = content.encode("utf-8") if isinstance(content, str) else content
    path = free_path(Path(folder, name), None if fresh else content)
    path.write_bytes(content)
    return path

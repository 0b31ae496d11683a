"""What all forms share: words as a page prints them, and widgets that follow once it is live."""

from pathlib import Path

from dragwork.files import free_path
from dragwork.teaching.forms.view import show
from dragwork.teaching.profile import Profile

LINE = "________________"


class Form:
    """Something that a learner fills in.

    As the last line of a cell it shows itself: widgets where a kernel runs, words everywhere else.
    A subclass has `markdown()`, which reads as a printed worksheet would, and `view`, the class of its
    widgets.

    Parameters
    ----------
    profile : Profile, optional
        Where what is filled in is kept; by default the learner's own file.
    """

    def __init__(self, profile=None):
        self.profile = profile or Profile()
        self._view = None

    def markdown(self):
        """The form as a page prints it, with a line to write on for what is open."""
        raise NotImplementedError

    def text(self):
        """The same words without marks of their look."""
        return self.markdown().replace("**", "")

    def new_view(self):
        """Widgets for this form."""
        return self.view(self)

    def follow(self):
        """Have the widgets show how the form stands, if there are any."""
        if self._view:
            self._view.follow()

    def close(self):
        """Take the widgets away. Showing the form again makes new ones."""
        if self._view:
            self._view.close()
            self._view = None

    def _ipython_display_(self):
        self.close()
        self._view = self.new_view()
        show(self, self._view)

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


def saved_here(names, more):
    """What is said of files that were written beside the notebook."""
    return f"Saved as {names}, in the folder of this notebook. {more}"


def either(options):
    """'a, b or c'."""
    *most, last = (str(option) for option in options)
    return f"{', '.join(most)} or {last}" if most else last

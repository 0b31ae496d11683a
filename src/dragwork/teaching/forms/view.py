"""What the widgets of all forms share: how a form is shown, its small parts, what is read aloud.

Widgets hold no state of their own: they follow the form they show. `panel.js` names them for screen
readers by the classes they bear: `dragwork-question` is a group, `dragwork-answer` the button that
Enter presses, a `dragwork-field` with `dragwork-wrong` is told by the `dragwork-remark` of its group.
"""

from html import escape

import ipywidgets as widgets

from dragwork.files import text_of
from dragwork.teaching.forms.fields import File
from dragwork.teaching.panels.parts import button, close_all, named, show_part, text
from dragwork.teaching.printing import CannotPrint

CRISP = 2.0  # pixels of a picture per pixel of the page


class FormView:
    """A form on the page: its parts, a remark on the learner's file, what is read aloud.

    A subclass has `parts()`, its widgets, and `title`, what a screen reader calls the form; `parts`
    may set it.

    Attributes
    ----------
    look : str
        Class names of the form, apart by blanks.
    css : str
        Rules besides those of all forms.
    """

    title, look, css = "", "dragwork-form", ""

    def __init__(self, form):
        self.form, self._told, self._said = form, [], 0
        parts = self.parts()
        kept = self.told("dragwork-kept", lambda: [form.profile.remark])
        self._live = text("dragwork-live")
        css = f"{text_of(__package__, 'form.css')}\n{self.css}"
        hidden = text("dragwork-title", escape(self.title)), text("dragwork-style", f"<style>{css}</style>")
        self.box = widgets.VBox([*parts, kept, self._live, *hidden])
        for name in ("dragwork-panel", "dragwork-flow", *self.look.split()):
            self.box.add_class(name)
        self.follow()

    def told(self, name, words):
        """A part that shows the sentences of words() as paragraphs, at each `follow`."""
        part = text(name)
        self._told.append((part, words))
        return part

    def follow(self):
        """Show how the form stands."""
        for part, words in self._told:
            fill(part, *words())

    def say(self, *sentences):
        """Have sentences read aloud, where a screen reader listens; the same ones twice as well."""
        self._said += 1  # a new node each time, else the same words would be no news
        said = escape(" ".join(filter(None, sentences)))
        self._live.value = f'<span data-said="{self._said}">{said}{" " * (self._said % 2)}</span>'

    def report(self, part, do):
        """Do something; show in a part, and say aloud, what was done, or why it could not be."""
        try:
            said = do()
        except CannotPrint as error:
            said = f"The page is saved. {error}"
        except OSError as error:
            said = f"It could not be written here: {error.strerror}."
        except ValueError as error:
            said = str(error)
        self.follow()
        fill(part, said)
        self.say(said)

    def close(self):
        """Take the widgets away."""
        close_all(self.box)


class FileChoice:
    """A button that opens the file dialogue; beside it the name of what was chosen.

    Parameters
    ----------
    accept, tooltip : str
        Without a tooltip the button would have no name.
    changed : callable, optional
        changed(file), once one is chosen.
    """

    def __init__(self, accept, tooltip, changed=lambda file: None):
        look = {"accept": accept, "tooltip": tooltip, "multiple": False}
        self.button = field(widgets.FileUpload, "Choose a file", changed=self._choose, **look)
        self.chosen, self._changed = text("dragwork-field-hint"), changed

    def _choose(self, _):
        self.show(self.file)
        if self.file:
            self._changed(self.file)

    @property
    def file(self):
        """The File that was chosen, or None."""
        return next((File(each["name"], bytes(each["content"])) for each in self.button.value), None)

    def show(self, file):
        """Name a file as the one that was chosen."""
        name = getattr(file, "name", file)
        fill(self.chosen, f"Chosen: {name}." if name else "")


def fill(part, *sentences):
    """Show sentences as paragraphs; without any the part takes no room."""
    sentences = [sentence for sentence in sentences if sentence]
    part.value = "".join(f"<p>{escape(sentence)}</p>" for sentence in sentences)
    show_part(part, bool(sentences))


def draw(image, picture, alt):
    """Show a picture, crisp, with its words for those who do not see it."""
    image.width, image.height = map(str, picture.size)
    image.value, image.tooltip = picture.png(CRISP), alt


def answer_button(label, press, tooltip=""):
    """The button that Enter presses in any field of its group."""
    return button(label, press, tooltip, "dragwork-answer")


def row(*parts):
    """Parts beside each other, below each other where it is narrow."""
    return named("dragwork-row", widgets.HBox(list(parts)))


def field(kind, label, unit="", changed=None, **more):
    """A widget to choose or type in, told by its label with its unit.

    changed: called with what stands in it, at each change.
    """
    made = named("dragwork-field", kind(description=f"{label}, {unit}" if unit else label, **more))
    if changed:
        made.observe(lambda change: changed(change["new"]), "value")
    return made


def text_box(label, unit="", changed=None, lines=1, **more):
    """A box to type in, of one line or more."""
    kind, size = (widgets.Text, {}) if lines == 1 else (widgets.Textarea, {"rows": lines})
    return field(kind, label, unit, changed, continuous_update=False, **size, **more)


def mark_wrong(widget, wrong):
    """Tell a screen reader whether what stands in a field cannot be used, and why: the remark."""
    (widget.add_class if wrong else widget.remove_class)("dragwork-wrong")

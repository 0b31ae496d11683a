"""The widgets of the forms. They hold no state of their own: they follow the form they show."""

from html import escape
from importlib.resources import files

import ipywidgets as widgets
from IPython.display import display

from dragwork.teaching.cells import close_what_stood_here
from dragwork.teaching.forms.form import LINE
from dragwork.teaching.forms.guesses import CONFIDENCE
from dragwork.teaching.panels.parts import Image, Later, close_all, named, show_part, text

ENTER = 0.1  # s from Enter to the check: what was typed last arrives just after the key itself

_CRISP = 2.0  # pixels of a picture per pixel of the page
_WIDGET = "application/vnd.jupyter.widget-view+json"


def show(form, view):
    """Show a form as a cell's output; what the cell showed before is closed."""
    close_what_stood_here(form)
    live = view.box._repr_mimebundle_()[_WIDGET]
    words = {"text/markdown": form.markdown(), "text/plain": form.text()}
    display({_WIDGET: live, **words}, raw=True)


class FormView:
    """A form on the page: its parts, a remark on the learner's file, what is read aloud.

    Parameters
    ----------
    form : Form
    title : str
        What a screen reader calls it.
    parts : list of Widget
    """

    def __init__(self, form, title, parts):
        self.form = form
        self._kept = text("dragwork-kept")
        self._live = text("dragwork-live")
        css = "\n".join(
            files(__package__).joinpath(name).read_text("utf-8") for name in ("flow.css", "form.css")
        )
        self.box = widgets.VBox(
            [
                *parts,
                self._kept,
                self._live,
                text("dragwork-title", escape(title)),
                text("dragwork-style", f"<style>{css}</style>"),
            ]
        )
        for name in ("dragwork-panel", "dragwork-flow", "dragwork-form"):
            self.box.add_class(name)
        self.follow()

    def follow(self):
        """Show how the form stands."""
        _fill(self._kept, self.form.profile.remark)

    def say(self, *sentences):
        """Have sentences read aloud, where a screen reader listens."""
        self._live.value = ""  # the same words twice are a change too
        self._live.value = escape(" ".join(filter(None, sentences)))

    def close(self):
        """Take the widgets away."""
        close_all(self.box)


class BoxView(FormView):
    """A question box."""

    def __init__(self, form):
        number = f"<b>{form.number}.</b> " if form.number else ""
        of = f"question {form.id}"
        self._answer = _field("My answer", form.unit)
        self._says, self._elsewhere, self._hints, self._worked = (
            text(f"dragwork-{name}") for name in ("remark", "elsewhere", "hint", "worked")
        )
        self._picture = named("dragwork-picture", Image(format="png"))
        self._drawn, self._aloud = None, ""  # the slip whose picture stands there, its sentence
        show_part(self._picture, False)
        show_part(self._elsewhere, False)
        parts = [
            text("dragwork-prompt", f"<p>{number}{escape(form.prompt)} ({form.id})</p>"),
            text("dragwork-given", escape(form.given)),
            _row(
                self._answer,
                _button("Check", f"Check my answer to {of}", self._check),
                _button("Hint", f"Hint for {of}", self._hint),
                _button("Solution", f"Solution of {of}", self._solution),
            ),
            self._says,
            self._picture,
            self._elsewhere,
            self._hints,
            self._worked,
        ]
        super().__init__(form, f"Question {form.id}", parts)
        show_part(parts[1], bool(form.given))
        self._answer.observe(lambda change: form.type(change["new"]), "value")
        self._enter = _on_enter(self._answer, self._check)

    def follow(self):
        super().follow()
        form = self.form
        self._answer.value = form.typed
        _fill(self._says, form.says)
        _fill(self._hints, *form.hints)
        _fill(self._worked, form.worked and f"Solution. {form.worked}")
        self._draw()

    def _draw(self):
        """Draw the learner's formula beside the right one, once for each slip."""
        slip = self.form.slip
        if slip == self._drawn:
            return
        self._drawn = slip
        shown = self.form.picture()
        self._aloud = shown.sentence if shown else ""
        show_part(self._picture, shown is not None)
        _fill(self._elsewhere, shown and shown.sentence)
        if shown:
            width, height = shown.size
            self._picture.width, self._picture.height = str(width), str(height)
            self._picture.value, self._picture.tooltip = shown.picture.png(_CRISP), shown.alt

    def _check(self):
        self.form.check(self._answer.value)
        self.say(self.form.says, self._aloud)

    def _hint(self):
        self.say(self.form.hint())

    def _solution(self):
        self.say(self.form.solution())

    def close(self):
        self._enter.cancel()
        super().close()


class BoxSetView:
    """Boxes below each other."""

    def __init__(self, form):
        for each in form.boxes:
            each.close()
            each._view = each.new_view()
        self.box = named("dragwork-set", widgets.VBox([each._view.box for each in form.boxes]))

    def follow(self):
        """The boxes follow by themselves."""

    def close(self):
        """Take the widgets away."""
        close_all(self.box)


class _LockView(FormView):
    """Something to predict: an answer, how sure, a button; locked, they stay and change no more."""

    def __init__(self, form, answer):
        self._answer = answer
        self._sure = widgets.Dropdown(
            description="How sure", options=[("not said", ""), *((c, c) for c in CONFIDENCE)]
        )
        self._sure.add_class("dragwork-field")
        self._lock = _button("Lock it in", "", self._press)
        self._sentence = text("dragwork-remark")
        prompt = text("dragwork-prompt", f"<p>{escape(form.prompt)}</p>")
        parts = [prompt, answer, self._sure, _row(self._lock), self._sentence]
        super().__init__(form, f"Prediction. {form.prompt}", parts)

    def follow(self):
        super().follow()
        form, locked = self.form, self.form.locked is not None
        self._show_answer()
        if locked:
            self._sure.value = form.confidence or ""
        self._answer.disabled = self._sure.disabled = locked
        # The button stays, so that the keyboard is not thrown off the page.
        self._lock.description = "Locked in" if locked else "Lock it in"
        self._lock.tooltip = f"{self._lock.description}: {form.prompt}"
        _fill(self._sentence, form.sentence)

    def _press(self):
        self.say(self.form.lock(self._answer.value, self._sure.value or None))


class GuessView(_LockView):
    """A number to predict."""

    def __init__(self, form):
        answer = _field("My prediction", form.unit)
        super().__init__(form, answer)
        answer.observe(lambda change: form.type(change["new"]), "value")
        self._enter = _on_enter(answer, self._press)

    def _show_answer(self):
        self._answer.value = self.form.typed

    def close(self):
        self._enter.cancel()
        super().close()


class ChooseView(_LockView):
    """A choice to make."""

    def __init__(self, form):
        answer = widgets.RadioButtons(description="My choice", options=form.options, value=None)
        answer.add_class("dragwork-field")
        super().__init__(form, answer)

    def _show_answer(self):
        if self.form.locked is not None:
            self._answer.value = self.form.locked


class RuleView(FormView):
    """A rule with gaps: a drop-down for each."""

    def __init__(self, form):
        self._rule = text("dragwork-prompt")
        self._gaps = [self._gap(form, place) for place in range(len(form.chosen))]
        self._says = text("dragwork-remark")
        check = _row(_button("Check", "Check the rule", self._check))
        super().__init__(form, "One rule", [self._rule, *self._gaps, check, self._says])

    def _gap(self, form, place):
        options = [("choose", ""), *((option, option) for option in form.options(place))]
        gap = widgets.Dropdown(
            description=f"Gap {place + 1}", options=options, value=form.chosen[place]
        )
        gap.add_class("dragwork-field")
        gap.observe(lambda change: form.choose(place, change["new"]), "value")
        return gap

    def follow(self):
        super().follow()
        form = self.form
        filled = (f"<b>{escape(was or LINE)}</b>" for was in form.chosen)
        self._rule.value = f"<p>{escape(form.rule.text).format(*filled)}</p>"
        for place, gap in enumerate(self._gaps):
            if form.chosen[place] in form.options(place):
                gap.value = form.chosen[place]
        _fill(self._says, *form.says)

    def _check(self):
        self.form.check()
        self.say(*self.form.says)


def _fill(part, *sentences):
    """Show sentences as paragraphs; without any the part takes no room."""
    sentences = [sentence for sentence in sentences if sentence]
    part.value = "".join(f"<p>{escape(sentence)}</p>" for sentence in sentences)
    show_part(part, bool(sentences))


def _button(label, tooltip, press):
    button = widgets.Button(description=label, tooltip=tooltip)
    button.on_click(lambda _: press())
    return button


def _row(*parts):
    return named("dragwork-row", widgets.HBox(list(parts)))


def _field(label, unit):
    """A text box, told by a label with its unit."""
    label = f"{label}, {unit}" if unit else label
    return named("dragwork-field", widgets.Text(description=label, continuous_update=False))


def _on_enter(field, call):
    """Call when Enter is pressed in a text box."""
    soon = Later(ENTER, call)
    field.on_msg(lambda _, content, __: content.get("event") == "submit" and soon.start())
    return soon

"""The widgets of a flow: one question open, the answered ones folded to their sentence.

The widgets hold no state of their own but which questions were opened again: they follow the flow.
"""

from html import escape
from importlib.resources import files
from time import monotonic

import ipywidgets as widgets
from IPython.display import display

from dragwork import units
from dragwork.teaching.cells import close_what_stood_here
from dragwork.teaching.forms.flow import Choice, File, Upload
from dragwork.teaching.panels.parts import close_all, show_part, text
from dragwork.teaching.printing import CannotPrint
from dragwork.teaching.report import look

_LONG = 1.0  # s: an answer that takes longer tells how far it is
_WIDGET = "application/vnd.jupyter.widget-view+json"


def show(flow, view=None, kind=None):
    """Show a flow as a cell's output; what the cell showed before is closed.

    Besides the widgets the output holds the flow's words, for pages that are not live. `kind` is
    the class of the view, by default `View`.

    Returns
    -------
    View
    """
    if view:
        view.close()
    view = (kind or View)(flow)
    close_what_stood_here(view)
    words = flow.markdown()
    live = view.box._repr_mimebundle_()[_WIDGET]
    display({_WIDGET: live, "text/markdown": words, "text/plain": words}, raw=True)
    return view


class View:
    """A flow on the page: its questions, and below them what they make."""

    title = "Questions for the page"
    made = "The page stands below."

    def __init__(self, flow):
        self.flow = flow
        self.questions = [_QuestionView(self, q, i) for i, q in enumerate(flow.questions, 1)]
        self.page = text("dragwork-sheet-of-paper")
        self.save = widgets.Button(
            description="Save the page", tooltip="Save the page as a file beside this notebook"
        )
        self.print = widgets.Button(
            description="Save it as PDF too", tooltip="Save the page, and print it to a PDF"
        )
        self.saved = text("dragwork-saved")
        self.busy = text("dragwork-saved")
        flow.progress = self.tell_progress
        self._live = text("dragwork-live")
        css = files(__package__).joinpath("flow.css").read_text("utf-8")
        hidden = [
            text("dragwork-title", self.title),
            text("dragwork-style", f"<style>{css}\n{look()}</style>"),
        ]
        self.box = widgets.VBox(
            [
                *(q.box for q in self.questions),
                self.busy,
                self.page,
                self.save,
                self.print,
                self.saved,
                self._live,
                *hidden,
            ]
        )
        self.box.add_class("dragwork-panel")
        self.box.add_class("dragwork-flow")
        self.save.on_click(lambda _: self._save())
        self.print.on_click(lambda _: self._save(pdf=True))
        self.follow()

    def follow(self):
        """Show the flow as it stands."""
        flow = self.flow
        for question in self.questions:
            question.follow()
        made = flow.result is not None
        self.page.value = f'<div class="dragwork-page">{flow.result.body(3)}</div>' if made else ""
        for part in (self.page, self.save, self.print, self.saved):
            show_part(part, made)
        self.saved.value = ""

    def say(self, sentence):
        """Have a sentence read aloud, where a screen reader listens."""
        self._live.value = escape(sentence)

    def tell_progress(self, share):
        """Show how far a long answer is, once it has taken a second."""
        if monotonic() - self._begun > _LONG:
            self.busy.value = escape(
                f"{units.to_percent(share):.0f} % of the rides are done. To stop, press the square "
                "(Interrupt) above the notebook."
            )

    def submit(self, question):
        """A question's button was pressed: read it, and move on to the next one."""
        self._begun = monotonic()
        try:
            accepted = self.flow.submit(question)
        except KeyboardInterrupt:
            accepted = False
            self.flow.remarks[question.name] = (
                "Stopped. What you typed is kept: press the button again to go on, or choose a shorter "
                "road."
            )
        except Exception as error:  # would vanish in the browser's log
            self.flow.remarks[question.name] = f"This went wrong: {type(error).__name__}: {error}"
            self.busy.value = ""
            self.follow()
            raise
        self.busy.value = ""
        at = self.flow.questions.index(question)
        if accepted:
            self.questions[at].reopened = False
        self.follow()
        if not accepted:
            self.say(self.flow.remarks[question.name])
            return
        made = self.flow.result is not None
        self.say(self.flow.sentence(question) + (f" {self.made}" if made else ""))
        (self.questions[at] if made else self._view_of(self.flow.open)).take_focus()

    def waits(self, question):
        """Whether an earlier question was opened again: until it is answered, later ones wait."""
        at = self.flow.questions.index(question)
        return any(earlier.reopened for earlier in self.questions[:at])

    def _view_of(self, question):
        return self.questions[self.flow.questions.index(question)]

    def _save(self, pdf=False):
        try:
            path = self.flow.save(pdf=pdf)
        except OSError as error:
            said = f"The page could not be written here: {error.strerror}."
        except CannotPrint as error:
            said = f"The page is saved. {error}"
        else:
            names = f"{path.name} and {path.with_suffix('.pdf').name}" if pdf else path.name
            said = (
                f"Saved as {names}, in the folder of this notebook. It opens from the list of "
                "files at the left; a browser prints it."
            )
        self.saved.value = escape(said)
        self.say(said)

    def close(self):
        """Take the widgets away."""
        close_all(self.box)


class _QuestionView:
    """One question: its prompt, its fields while it is open, its sentence once it is answered."""

    def __init__(self, view, question, number):
        self.question = question
        self.reopened = False
        self._view = view
        self._flow = view.flow
        self._hint = text("dragwork-hint", escape(question.hint))
        self._fields = [_field_view(field, view.flow, self._typed) for field in question.fields]
        fields = widgets.VBox([field.box for field in self._fields])
        fields.add_class("dragwork-fields")
        self._remark = text("dragwork-remark")
        self._sentence = text("dragwork-sentence")
        self._submit = widgets.Button(description="Answer")
        self._keep = widgets.Button(description="Leave it as it was")
        self._change = widgets.Button(
            description="Change", tooltip=f"Change the answer to: {question.prompt}"
        )
        self._asking = [self._hint, fields, self._submit]
        self.box = widgets.VBox(
            [
                text("dragwork-prompt", f"<h3>{number}. {escape(question.prompt)}</h3>"),
                self._hint,
                fields,
                self._remark,
                widgets.HBox([self._submit, self._keep]),
                self._sentence,
                self._change,
            ]
        )
        self.box.add_class("dragwork-question")
        self._submit.on_click(lambda _: view.submit(question))
        self._keep.on_click(lambda _: self._fold())
        self._change.on_click(lambda _: self._reopen())

    def follow(self):
        """Show the question as it stands in the flow."""
        flow, question = self._flow, self.question
        answered = question.name in flow.answers
        waits = self._view.waits(question)
        asked = answered or (question is flow.open and not waits)
        editing = (self.reopened or not answered) and not waits
        show_part(self.box, asked)
        if not asked:
            return
        shown = question.shown(flow.typed)
        for field in self._fields:
            field.follow(field.field in shown)
        for part in self._asking:
            show_part(part, editing)
        remark = flow.remarks.get(question.name, "")
        self._remark.value = escape(remark)
        show_part(self._remark, bool(remark) and editing)
        show_part(self._keep, answered and editing)
        until_now = "Until now: " if self.reopened else ""
        self._sentence.value = until_now + escape(flow.sentence(question)) if answered else ""
        show_part(self._sentence, answered)
        show_part(self._change, answered and not editing and not waits)

    def take_focus(self):
        """Put the keyboard where one goes on: the first field, or the button that changes it."""
        editing = self.reopened or self.question.name not in self._flow.answers
        (self._fields[0].widget if editing else self._change).focus()

    def _typed(self, name, value):
        self._flow.type(name, value)
        self.follow()

    def _reopen(self):
        self.reopened = True
        self._view.follow()
        self.take_focus()

    def _fold(self):
        self.reopened = False
        self._flow.remarks.pop(self.question.name, None)
        self._view.follow()
        self._view.say(self._flow.sentence(self.question))
        self.take_focus()


class _FieldView:
    """A widget for one field, told by name what stands in it."""

    def __init__(self, field, widget, typed):
        self.field, self.widget = field, widget
        widget.add_class("dragwork-field")
        parts = [widget]
        if field.hint:
            parts.append(text("dragwork-field-hint", escape(field.hint)))
        self.box = widgets.HBox(parts)
        self.box.add_class("dragwork-row")
        self._typed = typed
        widget.observe(self._changed, "value")

    def follow(self, shown):
        """Show or hide the field, with what stands in it."""
        show_part(self.box, shown)

    def _changed(self, change):
        self._typed(self.field.name, change["new"])


class _ChoiceView(_FieldView):
    """Radio buttons, so that all that can be chosen is seen."""

    def __init__(self, field, flow, typed):
        self._flow = flow
        super().__init__(field, widgets.RadioButtons(description=field.label), typed)

    def follow(self, shown):
        super().follow(shown)
        words = self.field.options(self._flow.answers)
        options = tuple((text, value) for value, text in words.items())
        chosen = self._flow.typed[self.field.name]
        self.widget.unobserve(self._changed, "value")
        if self.widget.options != options:
            self.widget.options = options
            self.widget.value = None
        self.widget.value = chosen if chosen in words else None
        self.widget.observe(self._changed, "value")

    def _changed(self, change):
        if change["new"] is not None:
            super()._changed(change)


class _TypedView(_FieldView):
    """A text box: what stands in it stays, whatever it is."""

    def __init__(self, field, flow, typed):
        self._flow = flow
        label = f"{field.label}, {field.unit}" if field.unit else field.label
        look = {"description": label, "tooltip": field.hint, "continuous_update": False}
        many = field.lines > 1
        box = widgets.Textarea(rows=field.lines, **look) if many else widgets.Text(**look)
        super().__init__(field, box, typed)

    def follow(self, shown):
        super().follow(shown)
        self.widget.value = str(self._flow.typed[self.field.name])


class _UploadView(_FieldView):
    """A button that opens the file dialogue; beside it the name of what was chosen."""

    def __init__(self, field, flow, typed):
        self._flow = flow
        button = widgets.FileUpload(
            accept=field.accept,
            multiple=False,
            description="Choose a file",
            tooltip=f"Choose a file: {field.label}",  # without it the button has no name
        )
        super().__init__(field, button, typed)
        self._chosen = text("dragwork-field-hint")
        self.box.children += (self._chosen,)

    def follow(self, shown):
        super().follow(shown)
        file = self._flow.typed[self.field.name]
        name = getattr(file, "name", file)
        self._chosen.value = escape(f"Chosen: {name}.") if name else ""

    def _changed(self, change):
        if change["new"]:
            file = change["new"][0]
            self._typed(self.field.name, File(file["name"], bytes(file["content"])))


def _field_view(field, flow, typed):
    kind = {Choice: _ChoiceView, Upload: _UploadView}.get(type(field), _TypedView)
    return kind(field, flow, typed)

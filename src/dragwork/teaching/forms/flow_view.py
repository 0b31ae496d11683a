"""The widgets of a flow: one question open, the answered ones folded to their sentence.

The widgets hold no state of their own but which questions were opened again: they follow the flow.
"""

from datetime import datetime
from functools import partial
from html import escape
from time import monotonic

import ipywidgets as widgets

from dragwork import units
from dragwork.files import text_of
from dragwork.teaching.forms import view
from dragwork.teaching.forms.fields import Choice, Upload
from dragwork.teaching.panels.parts import named, show_part, text

_LONG = 1.0  # s: an answer that takes longer tells how far it is


class FlowView(view.FormView):
    """A flow on the page: its questions, and below them what they make."""

    look, css = "", text_of("dragwork.teaching.report", "report.css")

    def parts(self):
        flow = self.flow = self.form
        self.title = flow.words.get("title", "")
        self.questions = [_QuestionView(self, q, i) for i, q in enumerate(flow.questions, 1)]
        self.page = text("dragwork-sheet-of-paper")
        self.saved, self.busy = self.told("dragwork-saved", tuple), text("dragwork-saved")
        report = partial(self.report, self.saved)
        self.actions = [
            (told, view.button(told["label"], partial(report, partial(flow.press, **told)), told["tooltip"]))
            for told in flow.words.get("buttons", ())
        ]
        early = [pressed for told, pressed in self.actions if "early" in told]
        late = [pressed for told, pressed in self.actions if "early" not in told]
        self.drafts = widgets.VBox([self._offer(*draft) for draft in flow.drafts.items()])
        flow.progress = self.tell_progress
        asked = [question.box for question in self.questions]
        return [self.drafts, *early, *asked, self.busy, self.page, *late, self.saved]

    def _offer(self, name, kept):
        """A button that takes up answers of before."""
        done, of = len(kept["given"]), sum(not q.optional for q in self.flow.questions)
        day = datetime.fromisoformat(kept["when"]).astimezone()  # as this computer's clock says it
        when = f"{min(done, of)} of {of} questions, {day.day} {day:%B %Y, %H:%M}"
        return view.row(
            view.button("Go on where you were", lambda: self._go_on(name, kept), f"Go on where you were: {when}"),
            text("dragwork-field-hint", escape(f"{when}. If you begin anew, this is kept.")),
        )

    def _go_on(self, name, kept):
        self._begun = monotonic()
        self.flow.go_on(name, kept)
        show_part(self.drafts, False)
        self.follow()
        done = " ".join(self.flow.remarks.values())
        self.say(f"Your answers are back. {done or self.made_in_words()}")
        self._view_of(self.flow.open or self.flow.questions[-1]).take_focus()

    def made_in_words(self):
        """What is said aloud once there is a result."""
        return self.flow.words["made"] if self.flow.result is not None else ""

    def follow(self):
        """Show the flow as it stands."""
        super().follow()
        for question in self.questions:
            question.follow()
        made = self.flow.result is not None
        self.page.value = f'<div class="dragwork-page">{self.flow.result.body(3)}</div>' if made else ""
        show_part(self.page, made)
        for told, pressed in self.actions:
            show_part(pressed, made or "early" in told)

    def tell_progress(self, share):
        """Show how far a long answer is, once it has taken a second."""
        if monotonic() - self._begun > _LONG:
            done = f"{units.to_percent(share):.0f} % of the rides are done."
            self.busy.value = f"{done} To stop, press the square (Interrupt) above the notebook."

    def submit(self, question):
        """A question's button was pressed: read it, and move on to the next one."""
        self._begun = monotonic()
        try:
            accepted = self.flow.submit(question)
        except KeyboardInterrupt:
            accepted = False
            go_on = "press the button again to go on, or choose a shorter road"
            self.flow.remarks[question.name] = f"Stopped. What you typed is kept: {go_on}."
        except Exception as error:  # would vanish in the browser's log
            self.flow.remarks[question.name] = f"This went wrong: {type(error).__name__}: {error}"
            self.follow()
            raise
        finally:
            self.busy.value = ""
        if accepted:
            self._view_of(question).reopened = False
        self.flow.keep_draft()
        self.follow()
        if accepted:
            self.say(self.flow.sentence(question), self.made_in_words())
            self._view_of(self.flow.open or question).take_focus()
        else:
            self.say(self.flow.remarks[question.name])

    def _view_of(self, question):
        return self.questions[self.flow.questions.index(question)]


class _QuestionView:
    """One question: its prompt, its fields while it is open, its sentence once it is answered."""

    def __init__(self, page, question, number):
        self.question, self.reopened = question, False
        self._view, self._flow, self._number = page, page.flow, number
        self._hint = text("dragwork-hint", escape(question.hint))
        kinds = [_VIEWS.get(type(each), _TypedView) for each in question.fields]
        self._fields = [kind(each, page.flow, self._typed) for kind, each in zip(kinds, question.fields)]
        fields = named("dragwork-fields", widgets.VBox([each.box for each in self._fields]))
        self._remark, self._sentence = text("dragwork-remark"), text("dragwork-sentence")
        submit = view.answer_button("Answer", lambda: page.submit(question))
        self._keep = view.button("Leave it as it was", self._fold)
        self._change = view.button("Change", self._reopen, f"Change the answer to: {question.prompt}")
        self._asking = [self._hint, fields, submit]
        self.box = named("dragwork-question", widgets.VBox([
            text("dragwork-prompt", f"<h3>{number}. {escape(question.prompt)}</h3>"),
            self._hint, fields, self._remark, view.row(submit, self._keep), self._sentence, self._change,
        ]))  # fmt: skip

    def follow(self):
        """Show the question as it stands in the flow."""
        flow, question = self._flow, self.question
        answered = question.name in flow.answers
        # Where an earlier question was opened again, later ones wait until it is answered.
        waits = any(earlier.reopened for earlier in self._view.questions[: self._number - 1])
        asked = answered or (question is flow.open and not waits)
        editing = (self.reopened or not answered) and not waits
        show_part(self.box, asked)
        if not asked:
            return
        remark = flow.remarks.get(question.name, "") if editing else ""
        view.fill(self._remark, remark)
        at_fault = flow.at_fault.get(question.name)
        shown = question.shown(flow.typed)
        for each in self._fields:
            each.follow(each.field in shown, bool(remark) and at_fault in (None, each.field.name))
        for part in self._asking:
            show_part(part, editing)
        show_part(self._keep, answered and editing)
        until_now = "Until now: " if self.reopened else ""
        view.fill(self._sentence, until_now + flow.sentence(question) if answered else "")
        show_part(self._change, answered and not editing and not waits)

    def take_focus(self):
        """Put the keyboard where one goes on: the first field, or the button that changes it."""
        editing = self.reopened or self.question.name not in self._flow.answers
        (self._fields[0].widget if editing else self._change).focus()

    def _typed(self, name, value):
        if self._flow.typed[name] != value:
            self._flow.type(name, value)
            self._flow.keep_draft()
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


class _TypedView:
    """A widget for one field, told by name what stands in it: here a text box."""

    def __init__(self, field, flow, typed):
        self.field, self.flow = field, flow
        self._typed = partial(typed, field.name)
        self.widget, *beside = self._made()
        hint = [text("dragwork-field-hint", escape(field.hint))] * bool(field.hint)
        self.box = view.row(self.widget, *hint, *beside)

    def _made(self):
        field = self.field
        box = view.text_box(field.label, field.unit, self._typed, field.lines, tooltip=field.hint)
        return [named("dragwork-wide", box) if field.wide else box]

    def follow(self, shown, wrong):
        """Show or hide the field, with what stands in it, and whether it cannot be used."""
        show_part(self.box, shown)
        view.mark_wrong(self.widget, wrong)
        self._follow(self.flow.typed[self.field.name])

    def _follow(self, value):
        self.widget.value = str(value)


class _ChoiceView(_TypedView):
    """Radio buttons, so that all that can be chosen is seen."""

    def _made(self):
        self._silent = False
        return [view.field(widgets.RadioButtons, self.field.label, changed=self._chosen)]

    def _chosen(self, value):
        if value is not None and not self._silent:
            self._typed(value)

    def _follow(self, value):
        words = self.field.options(self.flow.answers)
        options = tuple((text, value) for value, text in words.items())
        self._silent = True
        if self.widget.options != options:
            self.widget.options = options
            self.widget.value = None
        self.widget.value = value if value in words else None
        self._silent = False


class _UploadView(_TypedView):
    """A button that opens the file dialogue; beside it the name of what was chosen."""

    def _made(self):
        self._choice = view.FileChoice(self.field.accept, f"Choose a file: {self.field.label}", self._typed)
        return self._choice.button, self._choice.chosen

    def _follow(self, value):
        self._choice.show(value)


_VIEWS = {Choice: _ChoiceView, Upload: _UploadView}  # others are typed

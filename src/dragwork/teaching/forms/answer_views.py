"""The widgets of questions, predictions and rules. They follow the form that they show."""

from functools import partial
from html import escape

import ipywidgets as widgets

from dragwork.teaching.forms import view
from dragwork.teaching.forms.form import LINE
from dragwork.teaching.panels.parts import Image, close_all, named, show_part, text

CONFIDENCE = ("a guess", "fairly sure", "sure")


class BoxView(view.FormView):
    """A question box."""

    def parts(self):
        form, of = self.form, f"question {self.form.id}"
        self.title = f"Question {form.id}. {form.prompt}"
        number = f"<b>{form.number}.</b> " if form.number else ""
        self._answer = view.text_box("My answer", form.unit, form.type)
        self._picture = named("dragwork-picture", Image(format="png"))
        self._drawn, self._aloud = "nothing", ""  # the slip whose picture is shown, its sentence
        return [
            text("dragwork-prompt", f"<p>{number}{escape(form.prompt)} ({form.id})</p>"),
            self.told("dragwork-given", lambda: [form.given]),
            view.row(
                self._answer,
                view.answer_button("Check", self._check, f"Check my answer to {of}"),
                view.button("Hint", lambda: self.say(form.hint()), f"Hint for {of}"),
                view.button("Solution", lambda: self.say(form.solution()), f"Solution of {of}"),
            ),
            self.told("dragwork-remark", lambda: [form.says]),
            self._picture,
            self.told("dragwork-elsewhere", lambda: [self._aloud]),
            self.told("dragwork-hint", lambda: form.hints),
            self.told("dragwork-worked", lambda: [form.worked and f"Solution. {form.worked}"]),
        ]

    def follow(self):
        if self._drawn != self.form.slip:  # the learner's formula beside the right one, once for each slip
            self._drawn, shown = self.form.slip, self.form.picture()
            self._aloud = shown.sentence if shown else ""
            show_part(self._picture, shown is not None)
            if shown:
                view.draw(self._picture, shown.picture, shown.alt)
        super().follow()
        self._answer.value = self.form.typed
        view.mark_wrong(self._answer, self.form.wrong)

    def _check(self):
        self.form.check(self._answer.value)
        self.say(self.form.says, self._aloud)


class BoxSetView:
    """Boxes below each other; each follows by itself."""

    def __init__(self, form):
        self.boxes = form.boxes
        self.box = named("dragwork-set", widgets.VBox([each.live().box for each in self.boxes]))

    def close(self):
        """Take the widgets away."""
        for each in self.boxes:
            each.close()
        close_all(self.box)


class _LockView(view.FormView):
    """Something to predict: an answer, how sure, a button; locked, they stay and change no more."""

    def parts(self):
        form = self.form
        self.title = f"Prediction. {form.prompt}"
        self._answer = self._asked()
        sure = [("not said", ""), *((c, c) for c in CONFIDENCE)]
        self._sure = view.field(widgets.Dropdown, "How sure", options=sure)
        self._lock = view.answer_button("Lock it in", self._press)
        self._again = view.button("Guess again", form.again, f"Guess again: {form.prompt}")
        return [
            text("dragwork-prompt", f"<p>{escape(form.prompt)}</p>"),
            self._answer,
            self._sure,
            view.row(self._lock, self._again),
            self.told("dragwork-remark", lambda: [form.sentence]),
        ]

    def follow(self):
        super().follow()
        form, locked = self.form, self.form.locked is not None
        self._answer.value = form.typed
        if locked:
            self._sure.value = form.confidence or ""
        show_part(self._again, form.from_file)
        view.mark_wrong(self._answer, bool(form.remark))
        self._answer.disabled = self._sure.disabled = locked
        self._lock.description = "Locked in" if locked else "Lock it in"
        self._lock.tooltip = f"{self._lock.description}: {form.prompt}"

    def _press(self):
        stays = "" if self.form.locked is None else "A prediction stays as it was made."
        said = self.form.lock(self._answer.value, self._sure.value or None)
        if not stays and self.form.locked is not None:
            self._lock.focus()  # the field takes no more keys, and would drop them
        self.say(stays, said)


class GuessView(_LockView):
    """A number to predict."""

    def _asked(self):
        return view.text_box("My prediction", self.form.unit, self.form.type)


class ChooseView(_LockView):
    """A choice to make."""

    def _asked(self):
        options = {"options": tuple(self.form.replies), "value": None}
        return view.field(widgets.RadioButtons, "My choice", changed=self.form.type, **options)


class RuleView(view.FormView):
    """A rule with gaps: a drop-down for each."""

    title = "One rule"

    def parts(self):
        form, self._rule, self._gaps = self.form, text("dragwork-prompt"), []
        for place, chosen in enumerate(form.chosen):
            options = [("choose", ""), *((option, option) for option in form.options(place))]
            filled = {"changed": partial(form.choose, place), "options": options, "value": chosen}
            self._gaps.append(view.field(widgets.Dropdown, f"Gap {place + 1}", **filled))
        check = view.row(view.answer_button("Check", self._check, "Check the rule"))
        return [self._rule, *self._gaps, check, self.told("dragwork-remark", lambda: form.says)]

    def follow(self):
        super().follow()
        form = self.form
        filled = (f"<b>{escape(was or LINE)}</b>" for was in form.chosen)
        self._rule.value = f"<p>{escape(form.rule.text).format(*filled)}</p>"
        for place, gap in enumerate(self._gaps):
            if form.chosen[place] in form.options(place):
                gap.value = form.chosen[place]

    def _check(self):
        self.form.check()
        self.say(*self.form.says)

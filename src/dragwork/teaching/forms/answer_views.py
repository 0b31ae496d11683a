"""The widgets of questions, predictions and rules. They follow the form that they show."""

from html import escape

import ipywidgets as widgets

from dragwork.teaching.forms import view
from dragwork.teaching.forms.form import LINE
from dragwork.teaching.panels.parts import Image, close_all, named, show_part, text

CONFIDENCE = ("a guess", "fairly sure", "sure")


class BoxView(view.FormView):
    """A question box."""

    def __init__(self, form):
        number = f"<b>{form.number}.</b> " if form.number else ""
        of = f"question {form.id}"
        self._answer = view.text_box("My answer", form.unit, form.type)
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
            view.row(
                self._answer,
                view.answer_button("Check", self._check, f"Check my answer to {of}"),
                view.button("Hint", self._hint, f"Hint for {of}"),
                view.button("Solution", self._solution, f"Solution of {of}"),
            ),
            self._says,
            self._picture,
            self._elsewhere,
            self._hints,
            self._worked,
        ]
        super().__init__(form, f"Question {form.id}. {form.prompt}", parts)
        show_part(parts[1], bool(form.given))

    def follow(self):
        super().follow()
        form = self.form
        self._answer.value = form.typed
        view.mark_wrong(self._answer, form.wrong)
        view.fill(self._says, form.says)
        view.fill(self._hints, *form.hints)
        view.fill(self._worked, form.worked and f"Solution. {form.worked}")
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
        view.fill(self._elsewhere, shown and shown.sentence)
        if shown:
            width, height = shown.size
            self._picture.width, self._picture.height = str(width), str(height)
            self._picture.value, self._picture.tooltip = shown.picture.png(view.CRISP), shown.alt

    def _check(self):
        self.form.check(self._answer.value)
        self.say(self.form.says, self._aloud)

    def _hint(self):
        self.say(self.form.hint())

    def _solution(self):
        self.say(self.form.solution())


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


class _LockView(view.FormView):
    """Something to predict: an answer, how sure, a button; locked, they stay and change no more."""

    def __init__(self, form, answer):
        self._answer = answer
        sure = [("not said", ""), *((c, c) for c in CONFIDENCE)]
        self._sure = view.field(widgets.Dropdown, "How sure", options=sure)
        self._lock = view.answer_button("Lock it in", self._press)
        self._again = view.button("Guess again", form.again, f"Guess again: {form.prompt}")
        self._sentence = text("dragwork-remark")
        prompt = text("dragwork-prompt", f"<p>{escape(form.prompt)}</p>")
        parts = [prompt, answer, self._sure, view.row(self._lock, self._again), self._sentence]
        super().__init__(form, f"Prediction. {form.prompt}", parts)

    def follow(self):
        super().follow()
        form, locked = self.form, self.form.locked is not None
        self._show_answer()
        if locked:
            self._sure.value = form.confidence or ""
        show_part(self._again, form.from_file)
        view.mark_wrong(self._answer, bool(form.remark))
        self._answer.disabled = self._sure.disabled = locked
        self._lock.description = "Locked in" if locked else "Lock it in"
        self._lock.tooltip = f"{self._lock.description}: {form.prompt}"
        view.fill(self._sentence, form.sentence)

    def _press(self):
        before = self.form.locked
        said = self.form.lock(self._answer.value, self._sure.value or None)
        if before is not None:
            return self.say("A prediction stays as it was made.", said)
        if self.form.locked is not None:
            self._lock.focus()  # the field takes no more keys, and would drop them
        return self.say(said)


class GuessView(_LockView):
    """A number to predict."""

    def __init__(self, form):
        super().__init__(form, view.text_box("My prediction", form.unit, form.type))

    def _show_answer(self):
        self._answer.value = self.form.typed


class ChooseView(_LockView):
    """A choice to make."""

    def __init__(self, form):
        options = {"options": form.options, "value": None}
        super().__init__(form, view.field(widgets.RadioButtons, "My choice", **options))

    def _show_answer(self):
        if self.form.locked is not None or self.form.earlier:
            self._answer.value = self.form.locked


class RuleView(view.FormView):
    """A rule with gaps: a drop-down for each."""

    def __init__(self, form):
        self._rule = text("dragwork-prompt")
        self._gaps = [self._gap(form, place) for place in range(len(form.chosen))]
        self._says = text("dragwork-remark")
        check = view.row(view.answer_button("Check", self._check, "Check the rule"))
        super().__init__(form, "One rule", [self._rule, *self._gaps, check, self._says])

    def _gap(self, form, place):
        options = [("choose", ""), *((option, option) for option in form.options(place))]
        return view.field(
            widgets.Dropdown, f"Gap {place + 1}", changed=lambda option: form.choose(place, option),
            options=options, value=form.chosen[place],
        )  # fmt: skip

    def follow(self):
        super().follow()
        form = self.form
        filled = (f"<b>{escape(was or LINE)}</b>" for was in form.chosen)
        self._rule.value = f"<p>{escape(form.rule.text).format(*filled)}</p>"
        for place, gap in enumerate(self._gaps):
            if form.chosen[place] in form.options(place):
                gap.value = form.chosen[place]
        view.fill(self._says, *form.says)

    def _check(self):
        self.form.check()
        self.say(*self.form.says)

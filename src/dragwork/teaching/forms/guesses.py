"""Predictions: a number drawn on the panel, or a choice. Both lock, so that they can be compared."""

from math import isclose, isfinite

from dragwork.escaping import in_markdown
from dragwork.teaching.answers import UNITS, parse_quantity
from dragwork.teaching.forms.form import LINE, Form, either
from dragwork.teaching.profile import Profile

CONFIDENCE = ("a guess", "fairly sure", "sure")


class _Locking(Form):
    """Something predicted, once, and how sure one is of it.

    Attributes
    ----------
    locked
        What was predicted; None before.
    confidence : str or None
    remark : str
        What would help, where the prediction cannot be taken.
    """

    def __init__(self, prompt, profile):
        super().__init__(profile)
        self.prompt = prompt
        self.locked, self.confidence, self.remark = None, None, ""

    def _sure(self):
        return f", {self.confidence}" if self.confidence else ""

    def _check_confidence(self, confidence):
        if confidence not in (None, *CONFIDENCE):
            raise ValueError(f"How sure is one of: {either(CONFIDENCE)}; got '{confidence}'.")


class Guess(_Locking):
    """A number predicted before one looks. By code: `g.lock("12 W")`.

    Parameters
    ----------
    panel : Panel or None
        Draws it as a hollow mark.
    prompt : str
    unit : str
        A key of `answers.UNITS`.
    profile : Profile
    at : dict
        Knob values [SI] for which; those left out are as they stand now.

    Attributes
    ----------
    typed : str
        What stands in the field.
    seen : float or None
        What the panel showed there [in the unit], once it stood there with the prediction made.
    """

    def __init__(self, panel, prompt, unit, profile, at):
        super().__init__(prompt, profile)
        if unit not in UNITS:
            raise ValueError(f"'{unit}' is no unit here; there are {', '.join(UNITS)}.")
        self.panel, self._unit = panel, UNITS[unit]
        self.at = {**panel.values, **at} if panel is not None else {}
        self.seen, self._stood_there = None, False
        self.typed = profile.typed(prompt)
        earlier = profile.entries("prediction", prompt=prompt, unit=unit)
        if earlier:
            self._take(earlier[-1]["value"], earlier[-1]["typed"], earlier[-1]["confidence"])
        if panel is not None:
            panel.followers.append(self._look)

    @property
    def unit(self):
        """The unit as a page shows it."""
        return self._unit.printed

    def type(self, text):
        """Keep what stands in the field. Nothing is read yet."""
        if text != self.typed:
            self.typed = text
            self.profile.keep_typed(self.prompt, text)

    def lock(self, answer, confidence=None):
        """Predict. A second call changes nothing.

        Parameters
        ----------
        answer : str or number
        confidence : str, optional
            'a guess', 'fairly sure' or 'sure'.

        Returns
        -------
        str
            What was predicted; or what would help, where the answer cannot be read.
        """
        if self.locked is None:
            try:
                self._check_confidence(confidence)
                value = parse_quantity(answer, self._unit.name)
                self._take(value, str(answer), confidence)
            except ValueError as error:
                self.typed, self.remark = str(answer), str(error)
            else:
                self.profile.keep(
                    "prediction",
                    prompt=self.prompt,
                    unit=self._unit.name,
                    typed=self.typed,
                    value=value,
                    confidence=confidence,
                )
                self.profile.keep_typed(self.prompt, "")
        self.follow()
        return self.sentence

    def _take(self, value, typed, confidence):
        if self.panel is not None:
            self.panel.predict(self._unit.into_si(value), **self.at)
        self.locked, self.typed, self.confidence, self.remark = value, typed, confidence, ""
        self._look()

    def _look(self):
        """See whether the panel stands where the prediction was made for."""
        if self.locked is None or self.panel is None or not self._panel_stands_there():
            return
        self._stood_there = True
        observed = self.panel.observed
        if observed is not None and isfinite(observed):
            self.seen = float(self._unit.out_of_si(observed))
        self.follow()

    def _panel_stands_there(self):
        panel = self.panel
        return all(
            isclose(panel.values[name], there, rel_tol=1e-9, abs_tol=_half_a_step(panel, name))
            for name, there in self.at.items()
        )

    @property
    def sentence(self):
        """What was predicted; and how far it was from what the panel shows there, once it does."""
        if self.locked is None:
            return self.remark
        said = f"Predicted: {self._words(self.locked)}{self._sure()}."
        if self.seen is not None:
            return f"{said} The panel stands there: {self._words(self.seen)}. {self._distance()}"
        return f"{said} The panel stands there now: compare." if self._stood_there else said

    def _distance(self):
        off = self.locked - self.seen
        shown = self._words(abs(off), 2)
        if abs(off) <= 0.05 * abs(self.seen):
            return f"That is {shown} apart: close."
        return f"The prediction was {shown} too {'high' if off > 0 else 'low'}."

    def _words(self, value, figures=3):
        return f"{_plain(value, figures)}{'' if self.unit == '°' else ' '}{self.unit}".strip()

    def markdown(self):
        answer = in_markdown(self.sentence) if self.locked is not None else _line("My prediction", self.unit)
        return f"{self.prompt}\n\n{answer}"

    def new_view(self):
        from dragwork.teaching.forms.answer_views import GuessView

        return GuessView(self)


class Choose(_Locking):
    """A choice made before one looks. By code: `c.lock("5 %")`."""

    def __init__(self, key, prompt, options, profile):
        super().__init__(prompt, profile)
        self.key, self.options = key, tuple(options)
        earlier = profile.entries("choice", key=key)
        if earlier and earlier[-1]["chosen"] in self.options:
            self.locked, self.confidence = earlier[-1]["chosen"], earlier[-1]["confidence"]

    def lock(self, option, confidence=None):
        """Choose one of the options. A second call changes nothing.

        Parameters
        ----------
        option : str
        confidence : str, optional
            'a guess', 'fairly sure' or 'sure'.

        Returns
        -------
        str
            What was chosen; or what would help, where that cannot be taken.
        """
        if self.locked is None:
            try:
                self._check_confidence(confidence)
                if option not in self.options:
                    raise ValueError(f"Choose one of these: {either(self.options)}.")
            except ValueError as error:
                self.remark = str(error)
            else:
                self.locked, self.confidence, self.remark = option, confidence, ""
                self.profile.keep(
                    "choice",
                    key=self.key,
                    prompt=self.prompt,
                    chosen=option,
                    confidence=confidence,
                )
        self.follow()
        return self.sentence

    @property
    def sentence(self):
        """What was chosen."""
        return self.remark if self.locked is None else f"Chosen: {self.locked}{self._sure()}."

    def markdown(self):
        if self.locked is not None:
            return f"{self.prompt}\n\n{in_markdown(self.sentence)}"
        return self.prompt + "\n\n" + "\n".join(f"- ☐ {option}" for option in self.options)

    def new_view(self):
        from dragwork.teaching.forms.answer_views import ChooseView

        return ChooseView(self)


def guess(panel, prompt, unit, **at):
    """A number to predict before the panel is moved there; it is drawn on the panel.

    Parameters
    ----------
    panel : Panel or None
        None for a first attempt that no panel shows.
    prompt : str
    unit : str
        A key of `answers.UNITS`.
    **at : float [SI]
        Where the knobs stand then; those left out are as they stand now.

    Returns
    -------
    Guess
    """
    return Guess(panel, prompt, unit, Profile(), at)


def choose(key, prompt, options):
    """A choice to make before one looks. No answer is given here: the page gives it.

    Parameters
    ----------
    key : str
        By which the learner's file knows it.
    prompt : str
    options : sequence of str

    Returns
    -------
    Choose
    """
    return Choose(key, prompt, options, Profile())


def _half_a_step(panel, name):
    """Half a slider's step [SI]: nearer than that a slider cannot always stand."""
    knob = panel.knobs[name]
    return 0.5 * abs(knob.into_si(knob.reference + knob.step) - knob.into_si(knob.reference))


def _plain(value, figures):
    """A number with so many figures, never fewer than its whole part has."""
    if value == 0:
        return "0"
    return f"{value:.0f}" if abs(value) >= 10**figures else f"{value:.{figures}g}"


def _line(label, unit):
    return f"{label}: {LINE} {unit}".rstrip()

"""Predictions: a number drawn on the panel, or a choice. Both lock, so that they can be compared."""

from math import isclose

from dragwork.escaping import in_markdown
from dragwork.quantities import true_minus
from dragwork.teaching.answers import UNITS, parse_quantity
from dragwork.teaching.forms.answer_views import CONFIDENCE, ChooseView, GuessView
from dragwork.teaching.forms.form import LINE, Form
from dragwork.teaching.report import listed


class _Locking(Form):
    """Something predicted, once an evening, and how sure one is of it.

    Parameters
    ----------
    panel : Panel or None
        Shows its answer only once this is locked.
    key : str
        By which the learner's file knows it.
    prompt : str

    Attributes
    ----------
    locked
        What was predicted; None before.
    typed : str or None
        What stands in the field.
    confidence : str or None
    remark : str
        What would help, where the prediction cannot be taken.
    earlier : str
        What was predicted on an earlier evening, where it is predicted again.
    """

    drawn = ""  # what the panel's picture shows of it, in words

    def __init__(self, panel, key, prompt):
        super().__init__()
        self.panel, self.key, self.prompt, self.typed = panel, key, prompt, self.NOTHING
        self.locked, self.confidence, self.remark, self.earlier = None, None, "", ""
        entries = self._entries()
        self.from_file = bool(entries)  # whether it was locked before this page was opened
        if entries:
            self._take(**entries[-1])
        if panel is not None:
            panel.keep_secret(self)

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
            What was predicted and what it is worth; or what would help, where that cannot be taken.
        """
        if self.locked is None:
            try:
                if confidence not in (None, *CONFIDENCE):
                    raise ValueError(f"How sure is one of: {listed(CONFIDENCE, 'or')}; got '{confidence}'.")
                facts = {**self._read(answer), "confidence": confidence}
            except ValueError as error:
                self.remark = str(error)
            else:
                self._take(**facts)
                self.profile.keep(self.KIND, key=self.key, prompt=self.prompt, **facts)
        self._show()
        return self.sentence

    def again(self):
        """Predict once more, on another evening; what was predicted before is kept."""
        self.earlier, self.locked, self.from_file = f"Last time: {self._told()}.", None, False
        self.typed = self.NOTHING
        self._show()

    def _show(self):
        if self.panel is not None:
            self.panel.follow()
        self.follow()

    @property
    def sentence(self):
        """What was predicted, and what it is worth; before, what would help."""
        if self.locked is None:
            return " ".join(filter(None, (self.earlier, self.remark)))
        sure = f", {self.confidence}" if self.confidence else ""
        return " ".join(filter(None, (self.earlier, f"{self.SAID}: {self._told()}{sure}.", self._worth())))

    def markdown(self):
        return f"{self.prompt}\n\n{self._blank if self.locked is None else in_markdown(self.sentence)}"


class Guess(_Locking):
    """A number predicted before one looks. By code: `g.lock("12 W")`.

    Parameters
    ----------
    panel : Panel or None
        Draws it as a hollow mark, and shows its answer only then.
    key, prompt : str
    unit : str
        A key of `answers.UNITS`.
    at : dict
        Knob values [SI] for which; those left out are as they stand now.
    answer : float, optional
        What it is [in the unit], where no panel shows it.
    because : str
        Why it is what it is.

    Attributes
    ----------
    unit : str
        The unit as a page shows it.
    """

    KIND, SAID, NOTHING = "prediction", "Your guess", ""
    view = GuessView

    def __init__(self, panel, key, prompt, unit, at, answer=None, because=""):
        if unit not in UNITS:
            raise ValueError(f"'{unit}' is no unit here; there are {', '.join(UNITS)}.")
        if panel is None and answer is None:
            raise ValueError(f"The guess '{key}' is never paid: name its answer.")
        self._unit, self._because = UNITS[unit], because
        self.unit = self._unit.printed
        self._blank = f"My prediction: {LINE} {self.unit}".rstrip()
        self.at = {**panel.values, **at} if panel is not None else {}
        self.answer = answer if panel is None else float(self._unit.out_of_si(panel.observed_at(**self.at)))
        super().__init__(panel, key, prompt)
        self.typed = self.typed or self.profile.typed(prompt)

    @property
    def drawn(self):
        """What the panel's picture shows of it once it is locked, in words."""
        return f"{self.SAID}: {self._told()}."

    def _entries(self):
        of_old = self.profile.entries(self.KIND, prompt=self.prompt)  # files of 2026 have no keys here
        return [e for e in of_old + self.profile.entries(self.KIND, key=self.key) if e["unit"] == self._unit.name]

    def type(self, text):
        """Keep what stands in the field. Nothing is read yet."""
        if text != self.typed:
            self.typed = text
            self.profile.keep_typed(self.prompt, text)

    def _read(self, answer):
        self.typed = str(answer)
        value = parse_quantity(answer, self._unit.name)
        self.profile.keep_typed(self.prompt, "")
        return {"unit": self._unit.name, "typed": self.typed, "value": value}

    def _take(self, value, typed, confidence, **_):
        if self.panel is not None:
            self.panel.predict(self._unit.into_si(value), **self.at)
        self.locked, self.typed, self.confidence, self.remark = value, typed, confidence, ""

    def _told(self):
        return self._words(self.locked)

    def _worth(self):
        """What it is, and how far off the guess was."""
        off = self.locked - self.answer
        if float(f"{self.answer:.3g}") == self.locked:
            found = "you hit it"
        elif abs(off) <= 0.05 * abs(self.answer):
            found = "close"
        elif isclose(self.locked, -self.answer, rel_tol=0.05):
            found = "the right size, with the wrong sign"
        else:
            found = f"{self._apart(abs(off))} too {'high' if off > 0 else 'low'}"
        paid = f"It is {self._words(self.answer)}: {found}."
        return " ".join(filter(None, (paid, self._because)))

    def _words(self, value, figures=3):
        return self._unit.behind(true_minus(_plain(value, figures)))

    def _apart(self, value):
        """A distance: between two percentages it is in percentage points."""
        return f"{_plain(value, 2)} points" if self.unit == "%" else self._words(value, 2)


class Choose(_Locking):
    """A choice made before one looks. By code: `c.lock("5 %")`.

    Parameters
    ----------
    panel : Panel or None
    key, prompt : str
    replies : dict of str to str
        What there is to say to each option: right or not, and why.
    """

    KIND, SAID, NOTHING = "choice", "You chose", None
    view = ChooseView

    def __init__(self, panel, key, prompt, replies):
        self.replies = dict(replies)
        self._blank = "\n".join(f"- ☐ {option}" for option in self.replies)
        super().__init__(panel, key, prompt)

    def type(self, option):
        """Note what is chosen. Nothing is locked yet."""
        self.typed = option

    def _entries(self):
        return [e for e in self.profile.entries(self.KIND, key=self.key) if e["chosen"] in self.replies]

    def _read(self, option):
        if option not in self.replies:
            raise ValueError(f"Choose one of these: {listed(self.replies, 'or')}.")
        return {"chosen": option}

    def _take(self, chosen, confidence, **_):
        self.locked, self.typed, self.confidence, self.remark = chosen, chosen, confidence, ""

    def _told(self):
        return self.locked.rstrip(".")

    def _worth(self):
        return self.replies[self.locked]


def guess(panel, key, prompt, unit, answer=None, because="", **at):
    """A number to predict before the panel shows it; it is drawn on the panel.

    Parameters
    ----------
    panel : Panel or None
        Closed until this is locked. None for a first attempt that no panel shows.
    key : str
        By which the learner's file knows it.
    prompt : str
    unit : str
        A key of `answers.UNITS`.
    answer : float, optional
        What it is [in the unit], where no panel shows it.
    because : str
        Why, in a sentence or two, once it is locked.
    **at : float [SI]
        Where the knobs stand then; those left out are as they stand now.

    Returns
    -------
    Guess
    """
    return Guess(panel, key, prompt, unit, at, answer, because)


def choose(key, prompt, replies, panel=None):
    """A choice to make before one looks.

    Parameters
    ----------
    key : str
        By which the learner's file knows it.
    prompt : str
    replies : dict of str to str
        Each option, and what there is to say to it once it is locked: right or not, and why.
    panel : Panel, optional
        Closed until this is locked.

    Returns
    -------
    Choose
    """
    return Choose(panel, key, prompt, replies)


def _plain(value, figures):
    """A number with so many figures, never fewer than its whole part has."""
    value += 0.0  # no minus in front of a zero
    return f"{value:.0f}" if abs(value) >= 10**figures else f"{value:.{figures}g}"

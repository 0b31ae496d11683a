"""The panel: at most three knobs, a picture that follows them, a sentence with the numbers.

A `Panel` works without widgets: `set`, `sentence`, `figure`. Its view, with the widgets, is made
when it is first shown, and closed when the cell that showed it runs again.
"""

import base64
from dataclasses import dataclass, field
from functools import partial, wraps
from inspect import signature
from math import isfinite
from operator import attrgetter
from types import SimpleNamespace

from IPython.display import display

from dragwork.quantities import true_minus
from dragwork.teaching.cells import WIDGET, close_what_stood_here
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.panels.view import View
from dragwork.teaching.telling import OPEN, TO_OPEN, folded, reference_case

MOST_KNOBS = 3  # more than three things to turn and nobody sees which one did it

_COUNT = {2: "Two", 3: "Three"}
_RESET = object()  # the gesture that leaves no trace of before


def model(find=None, **grid):
    """The model of a panel, from a function of the knobs [SI] that gives what it finds as a dict.

    The record that the model returns has by name what the function took and what it found, for the
    picture and for the sentence. What was found goes before what was taken.

    grid: a knob's name and values [SI] over which curves are drawn, `@model(ground_speed=SPEEDS)`; the record has
    `.along` then, what the function finds for all of these, the other knobs as they are.
    """
    if find is None:
        return partial(model, **grid)
    taken = signature(find)

    def record(values):
        return SimpleNamespace(**values | find(**values))

    @wraps(find)
    def found(*args, **values):
        here = taken.bind(*args, **values)
        here.apply_defaults()
        result = record(here.arguments)
        if grid:
            result.along = record(here.arguments | grid)
        return result

    return found


@dataclass(frozen=True)
class Prediction:
    """What the learner expects: a value [SI], and the knobs' values [SI] for which."""

    value: float
    at: dict


@dataclass(frozen=True, eq=False)
class _State:
    """Where a panel stands: values [SI], their result in figures and words, the one before."""

    values: dict = field(default_factory=dict)
    result: object = None
    sentence: str = ""
    before: object = None
    gesture: object = None


class Panel:
    """An interactive picture.

    Parameters
    ----------
    knobs : sequence of str or Knob
        Names from the catalogue, or knobs with limits of their own; one to three.
    model : callable
        Takes each knob's value by name [SI], returns a result record; see `model`.
    picture : Picture
    sentence : callable
        Takes the result, returns the numbers in words.
    observed : str or callable, optional
        The value [SI] that predictions are about: a field of the result, or a function of it.
    jumps : dict, optional
        Buttons: what each says, and the knobs' values by name [SI] that it sets.

    Attributes
    ----------
    reference : dict
        The reference case: the knobs' values by name [SI].
    guesses : list of Guess or Choose
        What is to be predicted before the panel shows its answer.
    asked : list of dict
        The knobs' values by name [SI] for which the page quotes its sentence.

    Raises
    ------
    ValueError
        No knob, too many, or one unknown.
    """

    def __init__(self, knobs, model, picture, sentence, observed=None, jumps=()):
        knobs = [knob(each) if isinstance(each, str) else each for each in knobs]
        if not 1 <= len(knobs) <= MOST_KNOBS:
            raise ValueError(f"A panel has one to {MOST_KNOBS} knobs, got {len(knobs)}.")
        self.knobs = {each.quantity: each for each in knobs}
        if len(self.knobs) < len(knobs):
            raise ValueError("A panel has each knob once.")
        self.reference = {name: knob.into_si(knob.reference) for name, knob in self.knobs.items()}
        self._picture, self._anew = picture, picture.anew
        self._model, self._phrase = model, sentence
        self._observed = attrgetter(observed) if isinstance(observed, str) else observed
        self.predictions, self.guesses, self.asked, self._shown = (), [], [], False
        self.jumps = dict(jumps)
        self._state, self._view, self.remark = _State(), None, None
        self.reset()
        self._reference_sentence = self._state.sentence

    # -- what it says ---------------------------------------------------------------------------

    @property
    def values(self):
        """The knobs' values by name [SI]."""
        return dict(self._state.values)

    @property
    def picture(self):
        """What follows the knobs; made anew where it is wanted after the panel was closed."""
        if self._picture is None:
            self._picture = self._anew()
            self._update_picture()
        return self._picture

    @property
    def figure(self):
        """The matplotlib figure; the same object until the panel is closed."""
        return self.picture.figure

    @property
    def closed(self):
        """Whether it keeps its answer to itself: something is still to be predicted."""
        return bool(self._to_go) and not self._shown

    @property
    def _to_go(self):
        return [guess for guess in self.guesses if guess.locked is None]

    @property
    def sentence(self):
        """The numbers in words; or what is to be done first, or what would mend an input."""
        return self.remark or (self._invitation if self.closed else self._state.sentence)

    @property
    def _invitation(self):
        number = len(self._to_go)
        if number == 1:
            return "Guess first. The picture shows its answer once your guess is locked in."
        return f"Guess first. The picture shows its answer once your guesses are locked in: {number} to go."

    @property
    def observed(self):
        """The value [SI] that predictions are about, with the knobs as they are; None where none was named."""
        return None if self._observed is None else self._observed(self._state.result)

    def observed_at(self, **values):
        """The value [SI] that predictions are about, with these knobs [SI] and the others as they are."""
        return self._observed(self._model(**self.values | values))

    def says(self, **values):
        """The sentence for these knobs [SI], the others at the reference case. Nothing moves."""
        self.asked.append(self._checked(values))
        return self._in_words(self._model(**self.reference | self.asked[-1]))

    @property
    def note(self):
        """Says so when two or more knobs are away from the reference case, else empty."""
        changed = [
            f"{knob.label} {knob.words(self.values[name])} (was {knob.number(start)})"
            for (name, knob), start in zip(self.knobs.items(), self.reference.values())
            if self.values[name] != start
        ]
        return f"{_COUNT[len(changed)]} things changed: {', '.join(changed)}." if len(changed) > 1 else ""

    @property
    def alt(self):
        """The picture in words."""
        closed = f"{self.picture.title}. {self._invitation}"
        guesses = (guess.drawn for guess in self.guesses if guess.locked is not None)
        return " ".join(filter(None, (closed if self.closed else self._open_alt, *guesses)))

    @property
    def _open_alt(self):
        return f"{self.picture.title}. {self.picture.shape(self._state.result) or self._state.sentence}"

    @property
    def tables(self):
        """What the picture shows, in tables: a tuple of (caption, rows); none while it is a secret."""
        return () if self.closed else self.picture.tables(self._state.result)

    # -- what moves it --------------------------------------------------------------------------

    def set(self, **values):
        """Set knobs, in SI. Checked first: a bad value moves nothing.

        Raises
        ------
        ValueError
            Unknown knob or out of range, in words.
        """
        self.take(self._checked(values))

    def reset(self):
        """Back to the reference case, without a trace of before; predictions stay."""
        self.take(self.reference, gesture=_RESET)

    def predict(self, value, **at):
        """Mark what you expect, before you look.

        Parameters
        ----------
        value : float [SI]
            Of the quantity that the picture shows.
        **at : float [SI]
            Knob values for which; those left out are as they stand.

        Raises
        ------
        ValueError
            Not a finite number, or a bad knob value, in words.
        """
        at = self.values | self._checked(at)
        if not isfinite(value):
            raise ValueError(f"A prediction is a number, got {value!r}.")
        new = Prediction(float(value), at)
        self.predictions = (*(old for old in self.predictions if old.at != new.at), new)
        self.take({}, gesture=self._state.gesture)

    def keep_secret(self, guess):
        """Show no answer before this guess is locked, or the learner asks for it."""
        self.guesses = [*(other for other in self.guesses if other.key != guess.key), guess]
        self._show()

    def reveal(self):
        """Show the answer, guessed or not."""
        self._shown = True
        self._show()

    def follow(self):
        """Show what has become of the guesses."""
        self._shown = self._shown and bool(self._to_go)
        self._show()

    def with_knobs(self, *knobs):
        """A panel of its own with some of the knobs, perhaps with other limits; the others stay at the reference case."""
        return Panel(knobs, partial(self._model, **self.reference), self._anew(), self._phrase, self._observed)

    def redo(self, model, picture):
        """Show something else of the same kind, knobs as they are: another road, for one."""
        self._model, self._picture, self._anew = model, picture, picture.anew
        self.take({}, gesture=_RESET)

    def _checked(self, values):
        for name in values.keys() - self.knobs.keys():
            raise ValueError(f"'{name}' is no knob of this panel; it has {', '.join(self.knobs)}.")
        return {name: self.knobs[name].check(value) for name, value in values.items()}

    def take(self, changes, gesture=None):
        """Take checked values [SI] and show them; if anything fails, stay where it last was good.

        For the view. Moves of one gesture (sliding one knob) share the state before it.
        """
        last_good = self._state
        try:
            self._state = self._next(last_good.values | changes, gesture)
            self._show()
        except Exception as error:
            self._state = last_good
            if last_good.result is not None:
                self._update_picture()
            said = error if isinstance(error, ValueError) else f"{type(error).__name__}: {error}"
            self.say(f"This cannot be shown. {said}")
            raise

    def _next(self, values, gesture):
        now = self._state
        goes_on = gesture is not None and gesture == now.gesture or values == now.values
        before = None if gesture is _RESET else now.before if goes_on else now.result
        result = self._model(**values)
        return _State(values, result, self._in_words(result), before, gesture)

    def _in_words(self, result):
        return true_minus(" ".join(self._phrase(result).split()))

    def _show(self):
        self._update_picture()
        self.remark = None
        if self._view:
            self._view.follow()

    def _update_picture(self):
        self.picture.closed = self.closed
        self.picture.update(self._state.result, self._state.before, self.predictions)

    def say(self, remark):
        """Put a remark where the sentence stands, for the view; the picture stays."""
        self.remark = remark
        if self._view:
            self._view.speak()

    # -- what shows it --------------------------------------------------------------------------

    def _ipython_display_(self):
        """Two outputs: the live panel over its saved picture, and the reference sentence."""
        close_what_stood_here(self)
        self._view = self._view or View(self)
        live = self._view.box._repr_mimebundle_()[WIDGET]
        size = dict(zip(("width", "height"), self.picture.size))
        about = {"image/png": {"alt": self.alt, **size}}
        if self.closed:  # paper shows the open one
            self.picture.closed = False
            about[OPEN] = {"png": self._png(), "alt": self._open_alt, "said": self._state.sentence, **size}
            self.picture.closed = True
        display({"image/png": self._png(), "text/plain": self.sentence, WIDGET: live}, metadata=about, raw=True)
        said = self._reference_sentence
        markdown = folded(reference_case(said), TO_OPEN if self.closed else "")
        display({"text/markdown": markdown, "text/plain": f"Reference case. {said}"}, raw=True)

    def _png(self):
        return base64.b64encode(self.picture.saved_png()).decode("ascii")

    def close(self):
        """Take the widgets and the picture away. Showing the panel again makes new ones."""
        if self._view:
            self._view.close()
            self._view = None
        self._picture = None

    def __repr__(self):
        return f"Panel: {self.sentence}"

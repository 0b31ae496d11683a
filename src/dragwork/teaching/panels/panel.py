"""The panel: at most three knobs, a picture that follows them, a sentence with the numbers.

A `Panel` works without widgets: `set`, `sentence`, `figure`. Widgets are made when it is first
shown, and closed when the cell that showed it runs again.
"""

import asyncio
import base64
from dataclasses import dataclass, field
from html import escape
from importlib.resources import files
from math import isfinite

import ipywidgets as widgets
from IPython import get_ipython
from IPython.display import display
from traitlets import Unicode

from dragwork.teaching.panels.knobs import CATALOGUE

MOST_KNOBS = 3  # more than three things to turn and nobody sees which one did it
REST = 0.2  # s after the last change, when the picture is drawn again at twice the pixels
SAY = 0.5  # s after the last change, when the sentence is read aloud
_RESET = "reset"
_COUNT = {2: "Two", 3: "Three"}
_WIDGET = "application/vnd.jupyter.widget-view+json"


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
        Takes each knob's value by name [SI], returns a result record.
    picture : Picture
    sentence : callable
        Takes the result, returns the numbers in words.
    invites : bool
        Whether the learner should predict first: the sentence then says 'No prediction yet.'

    Raises
    ------
    ValueError
        No knob, too many, or one unknown.
    """

    def __init__(self, knobs, model, picture, sentence, invites=False):
        knobs = [knob if not isinstance(knob, str) else _from_catalogue(knob) for knob in knobs]
        if not 1 <= len(knobs) <= MOST_KNOBS:
            raise ValueError(f"A panel has one to {MOST_KNOBS} knobs, got {len(knobs)}.")
        self.knobs = {knob.quantity: knob for knob in knobs}
        if len(self.knobs) < len(knobs):
            raise ValueError("A panel has each knob once.")
        self.picture = picture
        self.predictions = ()
        self._model = model
        self._phrase = sentence
        self._invites = invites
        self._remark = None
        self._view = None
        self._state = _State()
        self.reset()
        self._reference_sentence = self._state.sentence

    # -- what it says ---------------------------------------------------------------------------

    @property
    def values(self):
        """The knobs' values by name [SI]."""
        return dict(self._state.values)

    @property
    def reference(self):
        """The reference case: values by name [SI]."""
        return {name: knob.into_si(knob.reference) for name, knob in self.knobs.items()}

    @property
    def figure(self):
        """The matplotlib figure; the same object for the panel's whole life."""
        return self.picture.figure

    @property
    def sentence(self):
        """The numbers in words; or, after input that cannot be used, what would mend it."""
        if self._remark:
            return self._remark
        missing = " No prediction yet." if self._invites and not self.predictions else ""
        return self._state.sentence + missing

    @property
    def note(self):
        """Says so when two or more knobs are away from the reference case, else empty."""
        changed = [
            f"{knob.label} {knob.words(self.values[name])} (was {knob.number(start)})"
            for (name, knob), start in zip(self.knobs.items(), self.reference.values())
            if self.values[name] != start
        ]
        if len(changed) < 2:
            return ""
        return f"{_COUNT[len(changed)]} things changed: {', '.join(changed)}."

    @property
    def alt(self):
        """The picture in words."""
        return f"{self.picture.title}. {self._state.sentence}"

    # -- what moves it --------------------------------------------------------------------------

    def set(self, **values):
        """Set knobs, in SI. Checked first: a bad value moves nothing.

        Raises
        ------
        ValueError
            Unknown knob or out of range, in words.
        """
        self._take({name: self._knob(name).check(value) for name, value in values.items()})

    def reset(self):
        """Back to the reference case, without a trace of before; predictions stay."""
        self._take(self.reference, gesture=_RESET)

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
        at = {name: self._knob(name).check(there) for name, there in at.items()}
        if not isfinite(value):
            raise ValueError(f"A prediction is a number, got {value!r}.")
        new = Prediction(float(value), {**self.values, **at})
        self.predictions = (*(old for old in self.predictions if old.at != new.at), new)
        self._take({}, gesture=self._state.gesture)

    def _knob(self, name):
        if name not in self.knobs:
            raise ValueError(f"'{name}' is no knob of this panel; it has {', '.join(self.knobs)}.")
        return self.knobs[name]

    def _take(self, changes, gesture=None):
        """Take checked values [SI] and show them; if anything fails, stay where it last was good.

        Moves of one gesture (sliding one knob) share the state before it.
        """
        last_good = self._state
        try:
            self._state = self._next({**last_good.values, **changes}, gesture)
            self._show()
        except Exception as error:
            self._state = last_good
            if last_good.result is not None:
                self._update_picture()
            said = error if isinstance(error, ValueError) else f"{type(error).__name__}: {error}"
            self._say(f"This cannot be shown. {said}")
            raise

    def _next(self, values, gesture):
        now = self._state
        if gesture == _RESET:
            before = None
        elif gesture is not None and gesture == now.gesture or values == now.values:
            before = now.before
        else:
            before = now.result
        result = self._model(**values)
        sentence = " ".join(self._phrase(result).split())
        return _State(values, result, sentence, before, gesture)

    def _show(self):
        self._update_picture()
        self._remark = None
        if self._view:
            self._view.follow()

    def _update_picture(self):
        self.picture.update(self._state.result, self._state.before, self.predictions)

    def _say(self, remark):
        """Put a remark where the sentence stands; the picture keeps the last good state."""
        self._remark = remark
        if self._view:
            self._view.speak()

    # -- what shows it --------------------------------------------------------------------------

    def _ipython_display_(self):
        """Two outputs: the live panel over its saved picture, and the reference sentence."""
        _close_what_stood_here(self)
        if self._view is None:
            self._view = _View(self)
        width, height = self.picture.size
        picture = {
            _WIDGET: self._view.box._repr_mimebundle_()[_WIDGET],
            "image/png": base64.b64encode(self.picture.saved_png()).decode("ascii"),
            "text/plain": self.sentence,
        }
        about = {"image/png": {"alt": self.alt, "width": width, "height": height}}
        display(picture, metadata=about, raw=True)
        said = self._reference_sentence
        display({"text/markdown": said, "text/plain": said}, raw=True)

    def close(self):
        """Take the widgets away. Showing the panel again makes new ones."""
        if self._view:
            self._view.close()
            self._view = None

    def __repr__(self):
        return f"Panel: {self.sentence}"


def _from_catalogue(name):
    if name not in CATALOGUE:
        raise ValueError(f"'{name}' is not in the catalogue of knobs: {', '.join(CATALOGUE)}.")
    return CATALOGUE[name]


# Which panels each notebook cell shows. It belongs to the kernel, as ipywidgets' own list of
# widgets does: without it every run of a cell would leave its sliders behind, observed for ever.
_shown = {}


def _close_what_stood_here(panel):
    """Close the panels that the running cell showed when it ran before, unless shown elsewhere."""
    request = getattr(get_ipython(), "parent_header", None) or {}
    cell = request.get("metadata", {}).get("cellId")
    run = request.get("header", {}).get("msg_id")
    if cell is None:
        return
    last_run, earlier = _shown.get(cell, (None, []))
    if run != last_run:
        _shown[cell] = (run, [])
        still_shown = [other for _, panels in _shown.values() for other in panels]
        for other in earlier:
            if not any(other is shown for shown in still_shown):
                other.close()
    _shown[cell][1].append(panel)


class _Image(widgets.Image):
    """An image that can carry a text alternative: a tooltip needs a description to stand beside."""

    description = Unicode("").tag(sync=True)


class _Later:
    """One delayed call; a new start replaces the one that waits. Nothing waits for it."""

    def __init__(self, delay, call):
        self._delay, self._call, self._timer = delay, call, None

    def start(self):
        self.cancel()
        try:
            self._timer = asyncio.get_running_loop().call_later(self._delay, self._call)
        except RuntimeError:  # plain Python, no kernel: nobody looks
            pass

    def cancel(self):
        if self._timer:
            self._timer.cancel()
            self._timer = None


class _View:
    """The widgets of one panel. They hold no state of their own: they follow the panel."""

    def __init__(self, panel):
        self._panel = panel
        width, height = panel.picture.size
        self._image = _Image(format="png", width=str(width), height=str(height))
        self._sentence = _text("dragwork-sentence")
        self._note = _text("dragwork-note")
        self._live = _text("dragwork-live")
        self._rows = [_Row(panel, knob) for knob in panel.knobs.values()]
        reset = widgets.Button(description="Reset")
        reset.on_click(lambda _: panel.reset())
        self._image.add_class("dragwork-picture")
        reset.add_class("dragwork-reset")
        css = files(__package__).joinpath("panel.css").read_text("utf-8")
        foot = widgets.HBox([reset, self._note])
        foot.add_class("dragwork-foot")
        title = _text("dragwork-title", escape(panel.picture.title))
        look = _text("dragwork-style", f"<style>{css}</style>")
        knobs = [row.box for row in self._rows]
        self.box = widgets.VBox(
            [self._image, self._sentence, *knobs, foot, self._live, title, look]
        )
        self.box.add_class("dragwork-panel")
        self._crisp = _Later(REST, self._draw_crisp)
        self._aloud = _Later(SAY, self._say_aloud)
        self.follow()
        self._draw_crisp()

    def follow(self):
        """Show the panel's state: knobs, picture, words."""
        panel = self._panel
        self._image.value = panel.picture.png()
        for row in self._rows:
            row.follow()
        self._image.tooltip = panel.alt
        self._crisp.start()
        self.speak()

    def speak(self):
        """Show the panel's words, now; aloud, soon."""
        self._sentence.value = escape(self._panel.sentence)
        self._note.value = escape(self._panel.note)
        self._aloud.start()

    def _draw_crisp(self):
        self._image.value = self._panel.picture.png(2.0)

    def _say_aloud(self):
        self._live.value = escape(f"{self._panel.sentence} {self._panel.note}".strip())

    def close(self):
        self._crisp.cancel()
        self._aloud.cancel()
        _close_all(self.box)


class _Row:
    """One knob: its name, minus, slider, plus, text box, unit."""

    def __init__(self, panel, knob):
        self._panel, self._knob = panel, knob
        name = f"{escape(knob.label)} <i>{escape(knob.symbol)}</i>".strip()
        label = _text("dragwork-label", name if knob.symbol else escape(knob.label))
        self._slider = widgets.FloatSlider(
            min=knob.low, max=knob.high, step=knob.step, value=knob.reference, readout=False
        )
        less = widgets.Button(description="−", tooltip=f"{knob.label}: one step less")
        more = widgets.Button(description="+", tooltip=f"{knob.label}: one step more")
        self._box = widgets.Text(continuous_update=False)
        words = {
            "name": f"{knob.label} {knob.symbol}".strip(),
            "unit": knob.spoken_unit,
            "digits": knob.digits,
            "low": knob.low,
            "high": knob.high,
        }
        data = " ".join(f'data-{name}="{escape(str(word))}"' for name, word in words.items())
        spoken = _text("dragwork-spoken", f"<span {data}></span>")
        unit = _text("dragwork-unit", escape(knob.printed_unit))
        for widget, name in (
            (self._slider, "dragwork-slider"),
            (less, "dragwork-step"),
            (more, "dragwork-step"),
            (self._box, "dragwork-box"),
        ):
            widget.add_class(name)
        self.box = widgets.HBox([label, less, self._slider, more, self._box, unit, spoken])
        self.box.add_class("dragwork-knob")
        self._slider.observe(self._slid, "value")
        self._box.observe(self._typed, "value")
        less.on_click(lambda _: self._step(-1))
        more.on_click(lambda _: self._step(+1))

    @property
    def _value(self):
        return self._panel.values[self._knob.quantity]

    def follow(self):
        """Show the panel's value, without touching a slider that stands there already."""
        knob, value = self._knob, self._value
        if knob.into_si(self._slider.value) != value:
            self._slider.value = knob.out_of_si(value)
        self._shown = self._box.value = knob.number(value)

    def _slid(self, change):
        self._turn(self._knob.into_si(change["new"]))

    def _step(self, direction):
        knob = self._knob
        number = knob.out_of_si(self._value) + direction * knob.step
        self._turn(knob.into_si(min(max(number, knob.low), knob.high)))

    def _turn(self, value):
        name = self._knob.quantity
        if value != self._value or self._panel._remark:
            self._panel._take({name: value}, gesture=name)

    def _typed(self, change):
        if change["new"] == self._shown and not self._panel._remark:
            return
        try:
            value = self._knob.read(change["new"])
        except ValueError as error:
            self._panel._say(str(error))
        else:
            self._panel._take({self._knob.quantity: value})


def _close_all(widget):
    """Close a widget and what it holds; its observers go with it."""
    for part in getattr(widget, "children", ()):
        _close_all(part)
    layout, style = widget.layout, getattr(widget, "style", None)
    widget.unobserve_all()
    widget.close()
    layout.close()
    if style is not None:
        style.close()


def _text(name, value=""):
    """A piece of the page that only shows text."""
    widget = widgets.HTML(value)
    widget.add_class(name)
    return widget

"""The widgets of a panel: picture, sentence, one row a knob. They follow the panel they show."""

from functools import partial
from html import escape

import ipywidgets as widgets

from dragwork.files import text_of
from dragwork.teaching.panels.parts import Image, Later, button, close_all, named, show_part, text
from dragwork.teaching.printing import html_table

REST = 0.2  # s after the last change, when the picture is drawn again, crisp
CRISP = 2.0  # pixels per pixel of the page; while a slider moves it is 1, which is quicker
SAY = 0.5  # s after the last change, when the sentence is read aloud


class View:
    """The widgets of one panel. They hold no state of their own: they follow the panel."""

    def __init__(self, panel):
        self._panel = panel
        width, height = map(str, panel.picture.size)
        self._image = named("dragwork-picture", Image(format="png", width=width, height=height))
        shown = ("sentence", "note", "tables", "live")
        self._sentence, self._note, self._tables, self._live = (text(f"dragwork-{name}") for name in shown)
        self._rows = [_Row(panel, knob) for knob in panel.knobs.values()]
        reset = button("Reset", panel.reset, name="dragwork-reset")
        jumps = [
            button(words, partial(panel.set, **values), name="dragwork-jump") for words, values in panel.jumps.items()
        ]
        self._reveal = button("Show it without a guess", panel.reveal, name="dragwork-reveal")
        knobs = widgets.VBox([*(row.box for row in self._rows), *jumps, reset, self._reveal, self._note])
        title = text("dragwork-title", escape(panel.picture.title))
        css = text("dragwork-style", f"<style>{text_of(__package__, 'panel.css')}</style>")
        beside = named("dragwork-knobs", knobs)
        parts = [self._image, self._sentence, beside, self._tables, self._live, title, css]
        self.box = named("dragwork-stage", named("dragwork-panel", widgets.VBox(parts)))
        self._crisp = Later(REST, self._rest)
        self._aloud = Later(SAY, self._say_aloud)
        self._rest()
        self._turn_knobs()
        self._write()

    def follow(self):
        """Show the panel's state: picture, knobs, words."""
        self._draw()
        self._turn_knobs()
        self._crisp.start()
        self.speak()

    def speak(self):
        """Show the panel's words, now; aloud, soon."""
        self._write()
        self._aloud.start()

    def _rest(self):
        self._draw(CRISP)
        tables = "".join(html_table(rows, caption) for caption, rows in self._panel.tables)
        self._tables.value = f"<details><summary>The curves as a table</summary>{tables}</details>" if tables else ""
        show_part(self._tables, bool(tables))

    def _draw(self, scale=1.0):
        self._image.value = self._panel.picture.png(scale)
        self._image.tooltip = self._panel.alt

    def _turn_knobs(self):
        for row in self._rows:
            row.follow()

    def _write(self):
        self._sentence.value = escape(self._panel.sentence)
        self._note.value = escape(self._panel.note)
        show_part(self._reveal, self._panel.closed)

    def _say_aloud(self):
        self._live.value = escape(f"{self._panel.sentence} {self._panel.note}".strip())

    def close(self):
        self._crisp.cancel()
        self._aloud.cancel()
        close_all(self.box)


class _Row:
    """One knob: its name, text box, unit; below them minus, slider, plus."""

    def __init__(self, panel, knob):
        self._panel, self._knob = panel, knob
        symbol = f" <i>{escape(knob.symbol)}</i>" if knob.symbol else ""
        # The slider counts whole steps. With fractions the page answers each of our moves with the
        # same number off by rounding, late, and so undoes the moves that came in between.
        self._slider = widgets.IntSlider(min=0, max=knob.steps, readout=False)
        self._box = named("dragwork-box", widgets.Text(continuous_update=False))
        label = text("dragwork-label", escape(knob.label) + symbol)
        unit = text("dragwork-unit", escape(knob.shown_in.printed))
        self._spoken = text("dragwork-spoken")
        less = button("−", partial(self._step, -1), f"{knob.label}: one step less", "dragwork-step")
        more = button("+", partial(self._step, +1), f"{knob.label}: one step more", "dragwork-step")
        parts = [label, self._box, unit, less, named("dragwork-slider", self._slider), more, self._spoken]
        self.box = named("dragwork-knob", widgets.HBox(parts))
        self._slider.observe(self._slid, "value")
        self._box.observe(self._typed, "value")

    @property
    def _value(self):
        return self._panel.values[self._knob.quantity]

    def follow(self):
        """Show the panel's value."""
        knob, value = self._knob, self._value
        self._slider.value = knob.position(value)
        self._shown = self._box.value = knob.number(value)
        self._spoken.value = _spoken(knob, value)

    def _slid(self, change):
        knob, position = self._knob, change["new"]
        stays = position == knob.position(self._value)  # a typed value may lie between two steps
        self._turn(self._value if stays else knob.at(position))

    def _step(self, direction):
        knob = self._knob
        number = knob.out_of_si(self._value) + direction * knob.step
        self._turn(knob.into_si(min(max(number, knob.low), knob.high)))

    def _turn(self, value):
        name = self._knob.quantity
        if value != self._value or self._panel.remark:
            self._panel.take({name: value}, gesture=name)

    def _typed(self, change):
        if change["new"] == self._shown and not self._panel.remark:
            return
        try:
            value = self._knob.read(change["new"])
        except ValueError as error:
            self._panel.say(str(error))
        else:
            self._panel.take({self._knob.quantity: value})


def _spoken(knob, value):
    """What a screen reader should say of a knob; `panel.js` puts it where it is looked for."""
    words = {name: getattr(knob, name) for name in ("digits", "low", "high", "step")} | {
        "name": f"{knob.label} {knob.symbol}".strip(),
        "unit": knob.shown_in.spoken,
        "position": knob.position(value),
        "now": knob.number(value),
    }
    data = " ".join(f'data-{name}="{escape(str(word))}"' for name, word in words.items())
    return f"<span {data}></span>"

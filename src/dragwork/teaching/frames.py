"""A panel as stored pictures: one for each position of a knob, with the panel's own sentence."""

from dataclasses import dataclass
from functools import cached_property
from io import BytesIO
from itertools import product

import numpy as np
from PIL import Image

ALONE, TOGETHER = 21, 9  # at most so many positions of a knob: moved alone, and with another
_NEARLY_WHITE = 247  # of 255, in each of red, green and blue
COLOURS = 32  # of all frames of a panel; the next number is "as in the reference case"


@dataclass(frozen=True)
class Frame:
    """A state of a panel: .png, where it differs from the reference case; .sentence and .alt."""

    png: bytes
    sentence: str
    alt: str


class Frames:
    """The frames of a panel. A state is a position for each knob, counted from the lowest.

    Each knob goes over its positions with the others at the reference case; two knobs that the
    cases move together go over all pairs of theirs.

    Parameters
    ----------
    panel : Panel
        Is revealed, and moved by each frame that is asked for.
    cases : sequence of dict
        Knobs' values by name [SI] that must be among the frames.
    scale : float
        Pixels per pixel of the page.

    Attributes
    ----------
    positions : dict
        Name of a knob to its values [SI], rising.
    reference : tuple of int
        The state of the reference case.
    states : list of tuple of int
        All states that have a frame.
    """

    def __init__(self, panel, cases=(), scale=1.0):
        self.panel, self._scale, start = panel, scale, panel.reference
        panel.reveal()
        cases = [{name: panel.knobs[name].check(value) for name, value in case.items()} for case in cases]
        changes = [{name: value for name, value in case.items() if value != start[name]} for case in cases]
        pairs = {frozenset(change) for change in changes if len(change) == 2}
        self.positions = {
            name: _positions(
                knob,
                TOGETHER if any(name in pair for pair in pairs) else ALONE,
                {start[name], *(change[name] for change in changes if name in change)},
            )
            for name, knob in panel.knobs.items()
        }
        self.reference = self._state(start)
        grids = [*pairs, *({name} for name in panel.knobs)]
        self.states = sorted({
            *(self._state(start | change) for change in changes),
            *(state for grid in grids for state in product(*(
                range(len(values)) if name in grid else [place]
                for (name, values), place in zip(self.positions.items(), self.reference)
            ))),
        })  # fmt: skip

    def _state(self, values):
        return tuple(places.index(values[name]) for name, places in self.positions.items())

    def values(self, state):
        """The knobs' values by name [SI] in a state."""
        return {name: values[place] for (name, values), place in zip(self.positions.items(), state)}

    def frame(self, state):
        """What the panel shows in a state that is come to from the reference case."""
        still = self._still  # before the panel moves to the state, whose words are taken
        pixels = self._pixels(state)
        kept = np.where(pixels == still, COLOURS, pixels).astype(np.uint8)
        return Frame(self._png(kept, transparency=COLOURS), self.panel.sentence, self.panel.alt)

    def whole(self, state):
        """The same, with all of its picture."""
        return Frame(self._png(self._pixels(state)), self.panel.sentence, self.panel.alt)

    @cached_property
    def ends(self):
        """The states with a knob at its lowest or its highest, the others at the reference case: to its name."""
        ends = {}
        for name, values in self.positions.items():
            for end in (values[0], values[-1]):
                ends[self._state(self.panel.reference | {name: end})] = name
        ends.pop(self.reference, None)
        return ends

    @cached_property
    def _palette(self):
        """A picture with the colours of all: those of the reference case and the ends."""
        drawn = [np.asarray(self._drawn(state)) for state in (self.reference, *self.ends)]
        together = Image.fromarray(np.concatenate(drawn))
        palette = together.quantize(COLOURS, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)
        colours = np.reshape(palette.getpalette()[: 3 * COLOURS], (-1, 3))
        colours[colours.min(axis=1) > _NEARLY_WHITE] = 255  # paper is white, and its nearest colour is sought coarsely
        palette.putpalette(colours.ravel().tolist())
        return palette

    @cached_property
    def _still(self):
        return self._pixels(self.reference)

    def _drawn(self, state):
        self.panel.reset()
        if state != self.reference:
            self.panel.set(**self.values(state))
        return Image.open(BytesIO(self.panel.picture.png(self._scale)))

    def _pixels(self, state):
        """Numbers of colours of the palette."""
        palette = self._palette
        return np.asarray(self._drawn(state).quantize(palette=palette, dither=Image.Dither.NONE))

    def _png(self, pixels, **options):
        picture = Image.fromarray(pixels)
        picture.putpalette(self._palette.getpalette()[: 3 * COLOURS] + [255, 255, 255])
        out = BytesIO()
        picture.save(out, "PNG", optimize=True, **options)
        return out.getvalue()


def _positions(knob, most, wanted):
    """At most so many values [SI] of a knob, evenly spread but for the ends and those wanted."""
    steps = np.linspace(0, knob.steps, min(most, knob.steps + 1))
    values = {knob.at(round(step)) for step in steps}
    wanted = {knob.at(0), knob.at(knob.steps), *wanted}
    for value in sorted(wanted - values):
        spare = values - wanted
        if len(values) == most and spare:
            values.remove(min(spare, key=lambda place: (abs(place - value), place)))
        values.add(value)
    return tuple(sorted(values))

"""What every panel of a lesson must hold, wherever it is tested."""

import inspect
from itertools import product

from dragwork.measurement.tunnel import read_sheet
from dragwork.scenario import data_file
from dragwork.scenario.riders import TOBIN
from dragwork.scenario.roads import BRICKFIELD_LOOP
from dragwork.scenario.saltpan_lane import saltpan_lane
from dragwork.teaching import panels
from dragwork.teaching.forms.course_editor import CourseEditor
from dragwork.teaching.profile import Profile


def every_knob_moves(panel, seen):
    """Each knob, from end to end, changes picture and sentence: the others as they stand, or at an end.

    In still air on the flat, with a true zero, a knob may have nothing to change. `seen`: sentence and
    picture at each place of `at_both_ends`, which are the first case.
    """
    start = panel.values
    ends = {name: (knob.into_si(knob.low), knob.into_si(knob.high)) for name, knob in panel.knobs.items()}
    cases = [{**start, **{name: pair[end] for name, pair in ends.items()}} for end in (1, 0)]
    for name, knob in panel.knobs.items():
        if not _all_differ(*(seen[f"{knob.label} {number}"] for number in (knob.low, knob.high))):
            moved = (_moves(panel, case, name, ends[name]) for case in cases)
            assert any(moved), f"{knob.label}: picture or sentence stays"
    panel.set(**start)


def _moves(panel, case, name, ends):
    """Whether sentence and picture are others at the two ends of a knob."""
    seen = []
    for end in ends:
        panel.set(**{**case, name: end})
        seen.append((panel.sentence, panel.picture.png()))
    return _all_differ(*seen)


def _all_differ(these, those):
    return all(low != high for low, high in zip(these, those))


class Asked:
    """Something to be guessed first."""

    drawn = ""

    def __init__(self, key="asked"):
        self.key, self.locked = key, None


#: What a panel cannot do without: made when it is asked for.
GIVEN = {
    ("sheet",): lambda: [read_sheet(data_file("BL-7.csv"))],
    ("sheet", "position"): lambda: [saltpan_lane(), "P"],
    ("editor",): lambda: [CourseEditor(TOBIN, Profile("nowhere"), BRICKFIELD_LOOP)],
}


def all_panels():
    """Names of all panels that the library makes, with the arguments that each cannot do without."""
    for name in panels.__all__:
        make = getattr(panels, name)
        if inspect.isfunction(make):
            parameters = inspect.signature(make).parameters.values()
            yield name, tuple(p.name for p in parameters if p.default is p.empty)


def made(name, needed):
    """A panel by its name."""
    return getattr(panels, name)(*(GIVEN[needed]() if needed else []))


def at_both_ends(panel):
    """The panel at its reference case, and at both ends of each knob with the others as they stand."""
    start = panel.values
    yield "reference"
    for knob in panel.knobs.values():
        for number in (knob.low, knob.high):
            panel.set(**{**start, knob.quantity: knob.into_si(number)})
            yield f"{knob.label} {number}"
    panel.reset()


def in_every_corner(panel):
    """The panel with each knob at one of its ends, in all ways."""
    for corner in product(*((knob.low, knob.high) for knob in panel.knobs.values())):
        panel.set(**{name: knob.into_si(end) for (name, knob), end in zip(panel.knobs.items(), corner)})
        yield f"corner {corner}"
    panel.reset()

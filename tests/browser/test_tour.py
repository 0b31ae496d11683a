"""The tour: every notebook run in the browser, every slider moved by keyboard, pictures kept."""

import harness
import pytest

from dragwork.setup.working_copy import shipped

pytestmark = pytest.mark.tour


@pytest.mark.parametrize("name", shipped(harness.ROOT))
def test_tour(open_notebook, name):
    notebook = open_notebook(name)
    stem = name.replace("/", "_").removesuffix(".ipynb")
    notebook.run()
    notebook.unfold()
    notebook.shoot(stem)
    notebook.reveal()
    for number, panel in enumerate(notebook.panels, 1):
        panel.shoot(f"{stem}_panel_{number}")
        panel.reset()
        reference = panel.sentence
        for slider in panel.sliders:
            _move(panel, slider)
        panel.shoot(f"{stem}_panel_{number}_moved")
        panel.reset()
        assert panel.sentence == reference
    assert notebook.complaints == []


def _move(panel, slider):
    """One step and both ends: the words, the sentence and the picture follow each time."""
    seen = [_shown(panel, slider)]
    for key in ("ArrowLeft" if slider.value == slider.high else "ArrowRight", "Home", "End"):
        already_there = {"Home": slider.low, "End": slider.high}.get(key) == slider.value
        slider.press(key)
        if not already_there:
            seen.append(_shown(panel, slider))
            assert all(new != old for new, old in zip(seen[-1], seen[-2], strict=True)), slider.name
        end = {"Home": slider.low, "End": slider.high}.get(key)
        assert end in (None, slider.value), slider.name


def _shown(panel, slider):
    return slider.words, panel.sentence, panel.picture

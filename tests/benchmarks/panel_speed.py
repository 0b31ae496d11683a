"""How fast panels follow a slider, beside a new pyplot figure each time; and how fast sheets are read.

`.venv/bin/python tests/benchmarks/panel_speed.py [PANEL...]` prints the table, of all panels where none is
named: processor time of a move, median and 95th percentile, and what a plain way takes. Trust the
ratios, at least five are wanted; a busy machine makes all times longer. Not a timed test.
"""

import sys
from pathlib import Path
from time import perf_counter, thread_time

import ipywidgets
import matplotlib

matplotlib.use("agg")

import matplotlib.pyplot as plt
import numpy as np

from dragwork.measurement.tunnel import read_sheet
from dragwork.scenario import data_file
from dragwork.teaching.figures import style
from dragwork.teaching.figures.style import styled
from dragwork.teaching.panels.view import View

sys.path.append(str(Path(__file__).parents[1] / "teaching"))
from panel_checks import all_panels, made  # noqa: E402

MOVES = 200
WANTED = 5


def times(slider, moves):
    """Processor times of moves of a slider [ms]."""
    taken = []
    for _ in range(moves):
        start = thread_time()
        slider.value = (slider.value + 7) % (slider.max + 1)
        taken.append(1e3 * (thread_time() - start))
    return taken


def plainly(panel, row, moves):
    """The same with everything made anew at each move, on a pyplot figure."""

    def by_pyplot(width=5.7, height=4.0, **grid):
        with styled():
            return plt.subplots(figsize=(width, height), dpi=100, **grid)

    ours, style.new_figure = style.new_figure, by_pyplot
    start, anew = panel.values, panel.picture.anew

    def draw(change):
        picture = anew()
        picture.update(panel._model(**{**start, row._knob.quantity: row._knob.at(change["new"])}))
        picture.figure.canvas.draw()
        plt.close(picture.figure)

    slider = ipywidgets.IntSlider(max=row._knob.steps)
    slider.observe(draw, "value")
    try:
        return times(slider, moves)
    finally:
        style.new_figure = ours


def report(name, moves):
    """A line of the table."""
    panel = made(name, dict(all_panels())[name])
    panel._view = View(panel)
    row = panel._view._rows[0]
    ours = times(row._slider, moves)
    naive = float(np.median(plainly(panel, row, max(2, moves // 5))))
    middle, slow = float(np.median(ours)), float(np.percentile(ours, 95))
    ratio = naive / middle
    print(f"{name:24} {middle:6.1f} {slow:6.1f} ms {naive:4.0f} ms {ratio:6.1f}  wanted {WANTED}")


def main(names):
    """Print the table for some panels, or for all."""
    print("processor time of a move median   95 %   plainly   ratio")
    for name in names or dict(all_panels()):
        report(name, MOVES)
    start = perf_counter()
    sheet = read_sheet(data_file("BL-7.csv"))
    sheet.drag_areas()
    read = perf_counter()
    sheet.draws(2000, 0)
    print(f"read a sheet of a day {read - start:.2f} s, 2000 joint draws {perf_counter() - read:.2f} s")


if __name__ == "__main__":
    main(sys.argv[1:])

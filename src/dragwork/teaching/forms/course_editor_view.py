"""The widgets of the course editor: a row of boxes for each leg or stretch, the strip, a file, the
wind."""

from functools import partial
from html import escape

import ipywidgets as widgets

from dragwork.files import text_of
from dragwork.measurement.road import HOME
from dragwork.teaching.figures.road_strip import RoadStrip, road_in_minutes
from dragwork.teaching.forms import view
from dragwork.teaching.forms.leg_columns import CELLS, DROP, KEEP, LIMIT, MOST_ROWS
from dragwork.teaching.panels.parts import Image, close_all, named, show_part, text


class CourseEditorView(view.FormView):
    """The editor on the page."""

    title, look = "Course editor", "dragwork-form dragwork-editor"
    css = text_of(__package__, "course_editor.css")

    def parts(self):
        self._rows, self._strip = [], (0, None)  # the strip for so many legs
        self._name = named("dragwork-wide", view.text_box("Name of the road", "", self._call))
        self._table = named("dragwork-legs", widgets.VBox())
        self._heads = named("dragwork-leg", widgets.HBox(
            [text("dragwork-head", escape(words)) for words in ("", *(c.heading for c in CELLS), "", "", "")]
        ))  # fmt: skip
        tip, sum_up = "Show the whole road in a few rows again", partial(self.do, self.form.sum_up)
        self._sum_up = view.button("Sum the road up", sum_up, tip)
        self._picture = named("dragwork-picture", Image(format="png"))
        self._note = self.told("dragwork-remark", lambda: [self.form.note])
        add = view.button("Add a leg", partial(self.add, None), "Add a leg at the end")
        save = partial(self.report, self._note, self._saved)
        save = view.button("Save the legs as CSV", save, "Save the legs beside this notebook")
        sentence = self.told("dragwork-sentence", lambda: [self.form.sentence])
        table = [self._picture, sentence, self._name, self._table, view.row(add, self._sum_up)]
        boxes = ("Wind", "m/s", "3"), ("from", "° or N, NE ...", "W")
        self._wind = [view.text_box(label, unit, placeholder=example) for label, unit, example in boxes]
        press = view.answer_button("Put this wind on every leg", self._blow)
        wind = _group("The same wind on every leg", view.row(*self._wind, press))
        return [*table, self._note, wind, self._file_part(), save]

    def _file_part(self):
        self._choice = view.FileChoice(".gpx,.csv", "Choose a file: a ride (GPX), or a table of legs (CSV)")
        ends = [("leave them out: they may lead to your door", DROP), ("keep them", KEEP)]
        self._ends = view.field(widgets.RadioButtons, f"First and last {HOME:.0f} m", options=ends, value=None)
        self._descents = view.text_box("Limit on descents", "km/h", value=LIMIT)
        bends, flat = "Brake for bends, as sharp as the recording shows them", "The road is flat, so the file needs no elevations"
        self._bends = widgets.Checkbox(value=True, indent=False, description=bends)
        self._flat = widgets.Checkbox(value=False, indent=False, description=flat)
        return _group(
            "Or a ride of yours (GPX), or a table of legs (CSV)",
            view.row(self._choice.button, self._choice.chosen), self._ends, self._descents, self._bends, self._flat,
            view.answer_button("Take this file", self._load, "Put the legs of this file into the table"),
        )  # fmt: skip

    # -- how it stands --------------------------------------------------------------------------------

    def follow(self):
        super().follow()
        form = self.form
        while len(self._rows) < len(form.rows):
            self._rows.append(_LegRow(self, len(self._rows)))
        rows = self._rows[: len(form.rows)]
        self._table.children = (self._heads, *(each.box for each in rows))
        for each in rows:
            each.follow(form)
        self._name.value = form.name
        show_part(self._sum_up, len(form.road.course.legs) > MOST_ROWS)
        show_part(self._flat, form.flat_asked)
        if self._strip[0] != len(form.road.course.legs):
            self._strip = len(form.road.course.legs), RoadStrip(len(form.road.course.legs))
        picture = self._strip[1]
        picture.update(road_in_minutes(form.road.course, form.ridden))
        view.draw(self._picture, picture, f"{picture.title}. {form.sentence}")

    def tell(self):
        """Say aloud what changed."""
        self.say(*self.form.remarks.values(), self.form.note, self.form.sentence)

    # -- what is pressed ------------------------------------------------------------------------------

    def typed(self, row, field, value):
        """A box was changed."""
        if self.form.rows[row][field] != value:
            self.form.type(row, field, value)
            self.tell()

    def _call(self, name):
        if name != self.form.name:
            self.form.call(name)

    def add(self, after):
        """A leg more was wanted, after a row or at the end; the keyboard goes there."""
        before = len(self.form.rows)
        self.form.add(after)
        self.tell()
        if len(self.form.rows) > before:
            self._rows[before if after is None else after + 1].take_focus()

    def do(self, change, *values, row=None):
        """Have the form change something, and say what changed; the keyboard goes on at a row."""
        change(*values)
        self.tell()
        if row is not None:
            self._rows[min(row, len(self.form.rows) - 1)].take_focus()

    def _blow(self):
        self.do(self.form.blow, *(box.value for box in self._wind))

    def _load(self):
        how = self._ends.value, self._descents.value, self._bends.value, self._flat.value
        self.do(self.form.load, self._choice.file, *how)

    def _saved(self):
        return f"Saved as {self.form.save().name}, in the folder of this notebook. Notebook 12 reads it too."

    def close(self):
        for each in self._rows:
            close_all(each.box)
        super().close()


class _LegRow:
    """A leg or a stretch: a box for each column, a leg more, this row less, what is behind it, and
    what would help."""

    def __init__(self, page, place):
        self._boxes = {
            cell.field: view.text_box("", "", partial(page.typed, place, cell.field), placeholder=cell.empty)
            for cell in CELLS
        }
        self._place, self._remark = place, text("dragwork-remark")
        here, form = partial(page.do, row=place), page.form
        self._open = view.button("", partial(here, form.open, place))
        cells = [
            text("dragwork-number", str(place + 1)),
            *self._boxes.values(),
            view.button("+", partial(page.add, place), f"Add a leg after row {place + 1}"),
            view.button("−", partial(here, form.remove, place), f"Take row {place + 1} away"),
            self._open,
        ]
        line = named("dragwork-leg", widgets.HBox(cells))
        self.box = named("dragwork-question", widgets.VBox([line, self._remark]))

    def follow(self, form):
        row, remark = form.rows[self._place], form.remarks.get(self._place, "")
        for cell in CELLS:
            box = self._boxes[cell.field]
            box.description = f"{form.noun} {self._place + 1}, {cell.heading}"
            box.value = row[cell.field]
            view.mark_wrong(box, f"{cell.label.lower()}:" in remark)
        self._open.description = f"{row.number} legs"
        self._open.tooltip = f"Open the {row.number} legs of row {self._place + 1}"
        show_part(self._open, row.number > 1)
        view.fill(self._remark, remark)

    def take_focus(self):
        self._boxes["distance"].focus()


def _group(heading, *parts):
    """Parts under a heading of their own."""
    heading = text("dragwork-prompt", f"<h3>{heading}</h3>")
    return named("dragwork-question", widgets.VBox([heading, *parts]))

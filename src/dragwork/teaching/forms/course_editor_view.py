"""The widgets of the course editor: a row of boxes for each leg or stretch, the strip, a file, the
wind."""

from html import escape
from importlib.resources import files

import ipywidgets as widgets

from dragwork.measurement.road import HOME
from dragwork.teaching.figures.road_strip import RoadStrip, road_in_minutes
from dragwork.teaching.forms.course_editor import CELLS, DROP, KEEP, LIMIT, MOST_ROWS
from dragwork.teaching.forms.flow import File
from dragwork.teaching.forms.widgets import FormView
from dragwork.teaching.panels.parts import Image, close_all, named, show_part, text

_CRISP = 2.0  # pixels of the picture per pixel of the page


class CourseEditorView(FormView):
    """The editor on the page."""

    def __init__(self, form):
        self._rows = []
        self._strip = None
        self._name = widgets.Text(description="Name of the road", continuous_update=False)
        self._name.add_class("dragwork-field")
        self._name.add_class("dragwork-wide")
        self._table = named("dragwork-legs", widgets.VBox())
        self._heads = named("dragwork-leg", widgets.HBox(
            [text("dragwork-head", escape(words)) for words in ("", *(c.heading for c in CELLS), "", "", "")]
        ))  # fmt: skip
        self._sum_up = _button("Sum the road up", "Show the whole road in a few rows again", self._close)
        self._picture = named("dragwork-picture", Image(format="png"))
        self._sentence = text("dragwork-sentence")
        self._note = text("dragwork-remark")
        css = files(__package__).joinpath("course_editor.css").read_text("utf-8")
        parts = [
            self._picture,
            self._sentence,
            self._name,
            self._table,
            _row(
                _button("Add a leg", "Add a leg at the end", lambda: self._add(None)), self._sum_up
            ),
            self._note,
            *self._wind_part(),
            *self._file_part(),
            _row(_button("Save the legs as CSV", "Save the legs beside this notebook", self._save)),
            text("dragwork-style", f"<style>{css}</style>"),
        ]
        super().__init__(form, "Course editor", parts)
        self.box.add_class("dragwork-editor")
        self._name.observe(self._call, "value")

    def _wind_part(self):
        self._wind = [
            named("dragwork-field", widgets.Text(description=words, placeholder=hint))
            for words, hint in (("Wind, m/s", "3"), ("from, ° or N, NE ...", "W"))
        ]
        press = _button("Put this wind on every leg", "", self._blow)
        return text("dragwork-prompt", "<h3>The same wind on every leg</h3>"), _row(*self._wind, press)

    def _file_part(self):
        self._upload = widgets.FileUpload(
            accept=".gpx,.csv", multiple=False, description="Choose a file",
            tooltip="Choose a GPX file of a ride, or a CSV table of legs",
        )  # fmt: skip
        self._chosen = text("dragwork-field-hint")
        self._upload.observe(self._choose, "value")
        metres = f"{HOME:.0f} m"
        self._ends = named("dragwork-field", widgets.RadioButtons(
            description=f"First and last {metres}", value=None,
            options=[("leave them out: they may lead to your door", DROP), ("keep them", KEEP)],
        ))  # fmt: skip
        self._descents = named("dragwork-field", widgets.Text(
            description="Limit on descents, km/h", value=LIMIT, continuous_update=False
        ))  # fmt: skip
        self._bends, self._flat = (
            widgets.Checkbox(value=value, indent=False, description=words)
            for value, words in (
                (True, "Brake for bends, as sharp as the recording shows them"),
                (False, "The road is flat, so the file needs no elevations"),
            )
        )
        return (
            text("dragwork-prompt", "<h3>Or a ride of yours (GPX), or a table of legs (CSV)</h3>"),
            _row(self._upload, self._chosen),
            self._ends,
            self._descents,
            self._bends,
            self._flat,
            _row(_button("Take this file", "Put the legs of this file into the table", self._load)),
        )

    # -- how it stands --------------------------------------------------------------------------------

    def follow(self):
        super().follow()
        form = self.form
        while len(self._rows) < len(form.rows):
            self._rows.append(_LegRow(self, len(self._rows)))
        shown = [row.box for row in self._rows[: len(form.rows)]]
        if tuple(self._table.children) != (self._heads, *shown):
            self._table.children = (self._heads, *shown)
        for row in self._rows[: len(form.rows)]:
            row.follow(form)
        self._name.value = form.name
        self._sentence.value = escape(form.sentence)
        self._note.value = escape(form.note)
        show_part(self._note, bool(form.note))
        show_part(self._sum_up, len(form.road.course.legs) > MOST_ROWS)
        show_part(self._flat, form.flat_asked)
        self._draw()

    def _draw(self):
        ridden, legs = self.form.ridden, len(self.form.road.course.legs)
        if self._strip is None or self._strip[0] != legs:
            self._strip = legs, RoadStrip(legs)
        picture = self._strip[1]
        picture.update(road_in_minutes(self.form.road.course, ridden))
        self._picture.width, self._picture.height = map(str, picture.size)
        self._picture.value = picture.png(_CRISP)
        self._picture.tooltip = f"{picture.title}. {self.form.sentence}"

    def tell(self):
        """Say aloud what changed."""
        form = self.form
        self.say(*form.remarks.values(), form.note, form.sentence)

    # -- what is pressed ------------------------------------------------------------------------------

    def typed(self, row, field, value):
        """A box was changed."""
        if self.form.rows[row][field] != value:
            self.form.type(row, field, value)
            self.tell()

    def _call(self, change):
        if change["new"] != self.form.name:
            self.form.call(change["new"])

    def _add(self, after):
        before = len(self.form.rows)
        self.form.add(after)
        self.tell()
        if len(self.form.rows) > before:
            self._rows[before if after is None else after + 1].take_focus()

    add_after = _add

    def remove(self, row):
        """A leg's minus was pressed."""
        self.form.remove(row)
        self.tell()
        self._rows[min(row, len(self.form.rows) - 1)].take_focus()

    def open(self, row):
        """A row's legs are asked for."""
        self.form.open(row)
        self.tell()
        self._rows[row].take_focus()

    def _close(self):
        self.form.sum_up()
        self.tell()

    def _blow(self):
        self.form.blow(*(box.value for box in self._wind))
        self.tell()

    def _choose(self, change):
        self._chosen.value = escape(f"Chosen: {change['new'][0]['name']}.") if change["new"] else ""

    def _load(self):
        chosen = self._upload.value
        file = File(chosen[0]["name"], bytes(chosen[0]["content"])) if chosen else None
        self.form.load(
            file, self._ends.value, self._descents.value, self._bends.value, self._flat.value
        )
        self.tell()

    def _save(self):
        try:
            said = f"Saved as {self.form.save().name}, in the folder of this notebook."
        except OSError as error:
            said = f"The legs could not be written here: {error.strerror}."
        self._note.value = escape(said)
        show_part(self._note, True)
        self.say(said)

    def close(self):
        for row in self._rows:
            close_all(row.box)
        super().close()


class _LegRow:
    """A leg or a stretch: a box for each column, a leg more, this row less, what is behind it, and
    what would help."""

    def __init__(self, view, place):
        self._boxes = {}
        for cell in CELLS:
            box = widgets.Text(placeholder=cell.empty, continuous_update=False)
            box.observe(lambda change, f=cell.field: view.typed(place, f, change["new"]), "value")
            self._boxes[cell.field] = box
        self._remark = text("dragwork-remark")
        self._open = _button("", "", lambda: view.open(place))
        cells = [
            text("dragwork-number", str(place + 1)),
            *self._boxes.values(),
            _button("+", f"Add a leg after row {place + 1}", lambda: view.add_after(place)),
            _button("−", f"Take row {place + 1} away", lambda: view.remove(place)),
            self._open,
        ]
        line = named("dragwork-leg", widgets.HBox(cells))
        self._place = place
        self.box = widgets.VBox([line, self._remark])

    def follow(self, form):
        row = form.rows[self._place]
        for cell in CELLS:
            self._boxes[cell.field].description = f"{form.noun} {self._place + 1}, {cell.heading}"
            self._boxes[cell.field].value = row[cell.field]
        self._open.description = f"{row.number} legs"
        self._open.tooltip = f"Open the {row.number} legs of row {self._place + 1}"
        show_part(self._open, row.number > 1)
        remark = form.remarks.get(self._place, "")
        self._remark.value = escape(remark)
        show_part(self._remark, bool(remark))

    def take_focus(self):
        self._boxes["distance"].focus()


def _button(label, tooltip, press):
    button = widgets.Button(description=label, tooltip=tooltip or label)
    button.on_click(lambda _: press())
    return button


def _row(*parts):
    return named("dragwork-row", widgets.HBox(list(parts)))

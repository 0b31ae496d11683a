"""The widgets of the field sheet's questions: as those of a first drag area, and the empty sheet."""

from html import escape

import ipywidgets as widgets

from dragwork.teaching.forms.one_ride_view import OneRideView
from dragwork.teaching.panels.parts import text


class FieldView(OneRideView):
    """Questions for a field test."""

    title = "Questions for a field test"
    made = "The drag area stands below."

    def __init__(self, flow):
        super().__init__(flow)
        self.save.description = "Keep this with my rider"
        self.save.tooltip = "Keep the drag area with your rider, for all notebooks"
        self.empty = widgets.Button(
            description="Save an empty field sheet", tooltip="Save it as CSV beside this notebook"
        )
        self.emptied = text("dragwork-saved")
        self.empty.on_click(lambda _: self._save_empty())
        self.box.children = (self.empty, self.emptied, *self.box.children)

    def _save_empty(self):
        try:
            path = self.flow.save_empty_sheet()
        except OSError as error:
            said = f"The sheet could not be written here: {error.strerror}."
        else:
            said = f"Saved as {path.name}, in the folder of this notebook. A spreadsheet opens it."
        self.emptied.value = escape(said)
        self.say(said)

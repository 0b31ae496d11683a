"""The widgets of the first drag area: as those of any flow, and a button that keeps the rider."""

from html import escape

from dragwork.teaching.forms.view import View
from dragwork.teaching.panels.parts import show_part


class OneRideView(View):
    """Questions for a first drag area."""

    title = "Questions for a first drag area"
    made = "The drag area stands below."

    def __init__(self, flow):
        super().__init__(flow)
        self.save.description = "Keep this as my rider"
        self.save.tooltip = "Keep the rider in your own file, for all notebooks"

    def follow(self):
        """Show the flow as it stands; there is no page to print."""
        super().follow()
        show_part(self.print, False)

    def _save(self, pdf=False):
        try:
            path = self.flow.save()
        except ValueError as error:
            said = str(error)
        else:
            said = (
                f"Kept in {path.name}, your own file on this computer. Run a notebook again, and "
                "its 'my rider' is this one."
            )
        self.saved.value = escape(said)
        self.say(said)

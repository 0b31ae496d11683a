"""The widgets of the questions about the learner: as those of any flow; nothing has to be saved."""

from dragwork.teaching.forms.view import View
from dragwork.teaching.panels.parts import show_part


class AboutMeView(View):
    """Questions about the learner and their rider."""

    title = "Questions about you and your rider"
    made = "It is kept in your own file."

    def follow(self):
        """Show the flow as it stands; every answer is kept by itself."""
        super().follow()
        for part in (self.save, self.print, self.saved):
            show_part(part, False)

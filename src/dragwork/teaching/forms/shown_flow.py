"""A flow that shows itself as the last line of a cell, with what it makes below its questions."""

from dragwork.teaching.forms.flow import Flow


class ShownFlow(Flow):
    """Questions, then words for the result. The widgets are loaded when they are first shown."""

    _view = None

    def view_class(self):
        """The widgets: a `View`, or a subclass."""
        from dragwork.teaching.forms.view import View

        return View

    def result_in_words(self):
        """What a page prints below the questions, as Markdown, once there is a result."""
        return self.result.markdown()

    def markdown(self):
        """The questions with their sentences, and below them the result."""
        said = super().markdown()
        return said if self.result is None else f"{said}\n\n{self.result_in_words()}"

    def _ipython_display_(self):
        from dragwork.teaching.forms.view import show

        self._view = show(self, self._view, self.view_class())

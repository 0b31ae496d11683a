"""The widgets with which all work is saved and brought back."""

from dragwork.teaching.forms.flow_view import chosen_file, file_button
from dragwork.teaching.forms.view import FormView, button, done, fill, row
from dragwork.teaching.panels.parts import text


class MyWorkView(FormView):
    """A button that saves, one that chooses a file, one that brings it back."""

    def __init__(self, form):
        self.upload = file_button(".json", "Choose a file of your work")
        self._says, self._chosen = text("dragwork-remark"), text("dragwork-field-hint")
        self.upload.observe(lambda _: self._show(), "value")
        parts = [
            row(button("Save all my work", lambda: self._do(form.saved_in_words), "Save all my work to one file")),
            row(
                self.upload, self._chosen,
                button("Bring it back", lambda: self._do(self._back), "Add the work of this file to mine"),
            ),
            self._says,
        ]  # fmt: skip
        super().__init__(form, "All my work", parts)

    def _show(self):
        file = chosen_file(self.upload)
        fill(self._chosen, file and f"Chosen: {file.name}.")

    def _back(self):
        return self.form.bring_back(chosen_file(self.upload))

    def _do(self, what):
        said = done(what)
        fill(self._says, said)
        self.follow()
        self.say(said)

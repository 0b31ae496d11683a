"""All that a learner has done, saved to one file and brought back on another computer."""

from datetime import date
from pathlib import Path

from dragwork.files import free_path
from dragwork.teaching.forms.fields import opened
from dragwork.teaching.forms.flow import saved_here
from dragwork.teaching.forms.flow_view import chosen_file, file_button
from dragwork.teaching.forms.form import Form
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


class MyWork(Form):
    """One button saves all work to a file, another brings it back. By code: `.save()`,
    `.bring_back("my work 2026-11-28.json")`."""

    view = MyWorkView

    def save(self, folder="."):
        """Write the learner's file beside the notebook, never over another file.

        Parameters
        ----------
        folder : str or path

        Returns
        -------
        Path
        """
        content = self.profile.all_of_it()
        path = free_path(Path(folder, f"my work {date.today().isoformat()}.json"), content)
        path.write_bytes(content)
        return path

    def bring_back(self, file):
        """Add the work of a saved file to what is here; nothing that is here is lost.

        Parameters
        ----------
        file : File, str or path

        Returns
        -------
        str
            What was brought back.

        Raises
        ------
        ValueError
            Where it is no such file, in words.
        """
        if not file:
            raise ValueError("There is no file chosen yet. Choose one whose name begins with 'my work'.")
        before = len(self.profile.entries())
        self.profile.add_all(opened(file).content)
        more = len(self.profile.entries()) - before
        new = "1 new entry" if more == 1 else f"{more} new entries"
        return (
            f"{opened(file).name} is added to your own file: {new}. What was here already stays as it "
            "was. Run a notebook again to see it there."
        )

    def saved_in_words(self):
        """Save, and say where."""
        return saved_here(self.save().name, "Take it to the other computer and bring it back there, in this notebook.")

    def markdown(self):
        return "All your work is in one file. It can be saved here, and brought back on another computer."


def my_work():
    """The form with which a learner saves all work, and brings it back on another computer.

    Returns
    -------
    MyWork
    """
    return MyWork()

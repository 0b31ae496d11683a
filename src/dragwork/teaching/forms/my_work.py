"""All that a learner has done, saved to one file and brought back on another computer."""

from datetime import date
from functools import partial

from dragwork.teaching.forms.fields import opened
from dragwork.teaching.forms.form import Form, write_beside
from dragwork.teaching.forms.view import FileChoice, FormView, button, row


class MyWorkView(FormView):
    """A button that saves, one that chooses a file, one that brings it back."""

    title = "All my work"

    def parts(self):
        form, choice = self.form, FileChoice(".json", "Choose a file of your work")
        self.upload, says = choice.button, self.told("dragwork-remark", tuple)
        save = partial(self.report, says, form.saved_in_words)
        save = button("Save all my work", save, "Save all my work to one file")
        again = partial(self.report, says, lambda: form.bring_back(choice.file))
        back = button("Bring it back", again, "Add the work of this file to mine")
        return [row(save), row(self.upload, choice.chosen, back), says]


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
        return write_beside(folder, f"my work {date.today().isoformat()}.json", self.profile.all_of_it())

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
        file, before = opened(file), len(self.profile.entries())
        self.profile.add_all(file.content)
        more = len(self.profile.entries()) - before
        new = "1 new entry" if more == 1 else f"{more} new entries"
        stays = "What was here already stays as it was. Run a notebook again to see it there."
        return f"{file.name} is added to your own file: {new}. {stays}"

    def saved_in_words(self):
        """Save, and say where."""
        then = "Take it to the other computer and bring it back there, in this notebook."
        return f"Saved as {self.save().name}, in the folder of this notebook. {then}"

    def markdown(self):
        return "All your work is in one file. It can be saved here, and brought back on another computer."


def my_work():
    """The form with which a learner saves all work, and brings it back on another computer.

    Returns
    -------
    MyWork
    """
    return MyWork()

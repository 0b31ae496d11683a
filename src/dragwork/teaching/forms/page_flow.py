"""A flow that ends in a page: saved beside the notebook, shown below its questions."""

from pathlib import Path

from dragwork.files import free_path
from dragwork.teaching.forms.flow import Action, Flow, saved_here
from dragwork.teaching.printing import CannotPrint, print_page


class PageFlow(Flow):
    """Questions, then a page. As the last line of a cell it shows itself.

    Subclasses set `file_name`, without its ending. `result` is a `Report` or what writes itself
    as one.
    """

    file_name = "my_page"

    @property
    def actions(self):
        return (
            Action("Save the page", "Save the page as a file beside this notebook", self._save),
            Action("Save it as PDF too", "Save the page, and print it to a PDF",
                   lambda: self._save(pdf=True)),
        )  # fmt: skip

    def _save(self, pdf=False):
        try:
            path = self.save(pdf=pdf)
        except CannotPrint as error:
            return f"The page is saved. {error}"
        names = f"{path.name} and {path.with_suffix('.pdf').name}" if pdf else path.name
        return saved_here(names, "It opens from the list of files at the left; a browser prints it.")

    def save(self, folder=".", pdf=False):
        """Write the page beside the notebook, never over an earlier one.

        Parameters
        ----------
        folder : str or path
        pdf : bool
            Print it as well, to a PDF of the same name.

        Returns
        -------
        Path

        Raises
        ------
        ValueError
            While a question is open.
        CannotPrint
            Where a PDF is wanted and no browser prints it; the page itself is saved then.
        """
        html = self.found("The page is not made").html()
        page = html.encode("utf-8")
        path = free_path(Path(folder, f"{self.file_name}.html"), page)
        path.write_bytes(page)
        if pdf:
            print_page(html, path.with_suffix(".pdf"))
        return path

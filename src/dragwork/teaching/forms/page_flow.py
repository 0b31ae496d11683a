"""A flow that ends in a page: saved beside the notebook, shown below its questions."""

from dragwork.teaching.forms.flow import Flow
from dragwork.teaching.forms.form import write_beside
from dragwork.teaching.printing import CannotPrint, print_page
from dragwork.wording import words_in


class PageFlow(Flow):
    """Questions, then a page. As the last line of a cell it shows itself.

    Subclasses set `file_name`, without its ending. `result` is a `Report` or what writes itself
    as one.
    """

    file_name = "my_page"
    words = words_in(__package__, "page_flow.json")

    def press(self, **told):
        try:
            return super().press(**told)
        except CannotPrint as error:
            return f"The page is saved. {error}"

    def print(self, folder="."):
        """Save the page, and print it to a PDF; both files, errors as of `save`."""
        path = self.save(folder, pdf=True)
        return path, path.with_suffix(".pdf")

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
        path = write_beside(folder, f"{self.file_name}.html", html)
        if pdf:
            print_page(html, path.with_suffix(".pdf"))
        return path

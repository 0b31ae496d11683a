"""A flow that ends in a page: saved beside the notebook, shown below its questions."""

from pathlib import Path

from dragwork.files import free_path
from dragwork.teaching.forms.shown_flow import ShownFlow
from dragwork.teaching.printing import print_page


class PageFlow(ShownFlow):
    """Questions, then a page. As the last line of a cell it shows itself.

    Subclasses set `file_name`, without its ending. `result` is a `Report` or what writes itself
    as one.
    """

    file_name = "my_page"

    def answer_all(self, **typed):
        """Answer all questions by code, fields that are not named as they stand.

        Parameters
        ----------
        **typed
            Field name to what is chosen or typed.

        Raises
        ------
        ValueError
            For an unknown field, or for the first answer that cannot be used, in words.
        """
        for name, value in typed.items():
            if name not in self.typed:
                raise ValueError(f"'{name}' is not asked here.")
            self.type(name, value)
        for question in self.questions:
            if not self.submit(question):
                raise ValueError(self.remarks[question.name])

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
        if self.result is None:
            raise ValueError(f"The page is not made yet: '{self.open.prompt}' is open.")
        html = self.result.html()
        page = html.encode("utf-8")
        path = free_path(Path(folder, f"{self.file_name}.html"), page)
        path.write_bytes(page)
        if pdf:
            print_page(html, path.with_suffix(".pdf"))
        return path

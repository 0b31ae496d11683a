"""A tunnel sheet of one's own in notebook 04: read, asked about, and shown as drag areas with their ranges."""

from dragwork.measurement import tunnel_results
from dragwork.teaching.forms import own_file
from dragwork.teaching.forms.flow import Flow, FormWords
from dragwork.teaching.forms.form import write_beside
from dragwork.teaching.report import Found, FromTunnel, Table

WORDS = FormWords("sheet_flow.json")


def _evidence(file, said):
    return FromTunnel(own_file.tunnel_sheet(file, said), file.name)


class SheetFlow(Flow):
    """One question, then drag areas with their ranges. As the last line of a cell it shows itself.

    By code: `flow.answer(upload="my_sheet.xlsx")`, then `flow.result.rows`.
    """

    words = WORDS.table
    questions = WORDS.questions(
        {"sheet": lambda values, _: own_file.by_its_name(_evidence, values["upload"], values["said"])},
        {"sheet": lambda evidence, _: " ".join(evidence.opening)},
        {"sheet": own_file.AskingQuestion},
        shared={"what a tunnel sheet leaves open": own_file.TUNNEL_FIELDS},
    )

    def finish(self, answers):
        sheet = answers["sheet"].sheet
        rows = WORDS.rows("areas", tunnel_results.yaw_bands(sheet).to_dict("records"))
        notes = (*map(str, sheet.faults), *sheet.notes)
        return Found((Table(rows, "Drag areas with their 95 % ranges"), notes), sheet=sheet, rows=rows)

    def save(self, folder="."):
        """Write the drag areas as CSV beside the notebook, never over another file.

        Parameters
        ----------
        folder : str or path

        Returns
        -------
        Path

        Raises
        ------
        ValueError
            While no sheet is read, in words.
        """
        table = tunnel_results.drag_areas_csv(self.found("There are no drag areas").sheet)
        return write_beside(folder, "my_drag_areas.csv", table, fresh=True)

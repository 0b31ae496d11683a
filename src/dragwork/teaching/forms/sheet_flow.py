"""A tunnel sheet of one's own in notebook 04: read, asked about, and shown as drag areas with their ranges."""

from dataclasses import dataclass

from dragwork.measurement import tunnel, tunnel_results
from dragwork.teaching.forms.flow import Flow, FormWords
from dragwork.teaching.forms.form import write_beside
from dragwork.teaching.forms.own_file import TUNNEL_FIELDS, asking, by_its_name, tunnel_sheet
from dragwork.teaching.report import Found, FromTunnel, Table

WORDS = FormWords("sheet_flow.json")


@dataclass(frozen=True, eq=False)
class SheetAreas(Found):
    """What a tunnel sheet says, in rows for a table and in notes."""

    sheet: tunnel.TunnelSheet

    @property
    def rows(self):
        """A set-up at a wind angle each, with its drag area and 95 % range."""
        return WORDS.rows("areas", tunnel_results.yaw_bands(self.sheet).to_dict("records"))

    @property
    def notes(self):
        """Rows that were left out, and what the sheet cannot tell; each with what to do."""
        return (*map(str, self.sheet.faults), *self.sheet.notes)

    @property
    def pieces(self):
        return Table(self.rows, "Drag areas with their 95 % ranges"), self.notes


def _evidence(file, said):
    def bands_too(sheet):
        tunnel_results.yaw_bands(sheet)
        return sheet

    return FromTunnel(tunnel_sheet(file, said, bands_too), file.name)


(_SHEET,) = WORDS.questions(
    {"sheet": (
        lambda values, answers: by_its_name(_evidence, values["upload"], values["said"]),
        lambda evidence, answers: " ".join(evidence.opening),
    )},
    shared={"what a tunnel sheet leaves open": TUNNEL_FIELDS},
)


class SheetFlow(Flow):
    """One question, then drag areas with their ranges. As the last line of a cell it shows itself.

    By code: `flow.answer(upload="my_sheet.xlsx")`, then `flow.result.rows`.
    """

    words = WORDS.table
    questions = (asking(_SHEET),)

    def finish(self, answers):
        return SheetAreas(answers["sheet"].sheet)

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

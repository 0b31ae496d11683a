"""The riders of the Quillhaven Wheelers, an invented club. No such people are meant to exist."""

from dataclasses import dataclass

from dragwork.physics.power import Rider


@dataclass(frozen=True, eq=False)
class Member:
    """A member: how to call them, their set-up as a `Rider`, and the power they ride at [W]."""

    name: str
    rider: Rider
    power: float
    about: str


TOBIN = Member(
    "Tobin", Rider(all_up_mass=84, drag_area=0.320, rolling_coefficient=0.0040), 220,
    "rides the club's long Sunday loop on a road bike",
)
IMKE = Member(
    "Imke", Rider(all_up_mass=70, drag_area=0.230, rolling_coefficient=0.0035), 290,
    "races against the clock",
)
ROSALIND = Member(
    "Rosalind", Rider(all_up_mass=72, drag_area=0.340, rolling_coefficient=0.0050), 130,
    "took up cycling two years ago",
)
FAROUK = Member(
    "Farouk", Rider(all_up_mass=78, drag_area=0.180, rolling_coefficient=0.0060), 95,
    "rides a hand-cycle",
)  # fmt: skip

MEMBERS = {member.name: member for member in (TOBIN, IMKE, ROSALIND, FAROUK)}

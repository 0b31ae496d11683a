"""The questions behind the page of notebook 12: sheet, set-ups, rider, road, air."""

from dataclasses import dataclass, replace
from hashlib import sha256
from io import BytesIO
from pathlib import Path

from dragwork import units
from dragwork.measurement.tunnel import SheetError, TunnelSheet, read_sheet
from dragwork.physics.air import density
from dragwork.physics.power import Conditions, Rider
from dragwork.physics.speed import steady_speed
from dragwork.scenario.barrow_lane import bl7, bl7_with_faults
from dragwork.scenario.riders import MEMBERS, Member
from dragwork.scenario.roads import ROADS
from dragwork.teaching.forms.flow import Choice, Flow, Question, Typed, Upload
from dragwork.teaching.panels.knobs import CATALOGUE
from dragwork.teaching.report import build_report, difference_in_words, listed, runs_of

OWN = "own"
USUAL_AIR = 1.2  # kg/m3
FILE_NAME = "my_report"
DEMO_SHEETS = {
    "BL-7": ("the club's demo sheet, invented", bl7),
    "BL-7 with faults": ("the same day with slips in it, invented", bl7_with_faults),
}

_MASS = replace(CATALOGUE["all_up_mass"], low=20, high=250)
_ROLLING = replace(CATALOGUE["rolling_coefficient"], low=0.001, high=0.02)
_POWER = replace(CATALOGUE["power"], low=10, high=1500)
_TEMPERATURE = replace(CATALOGUE["temperature"], low=-25, high=50)
_PRESSURE = replace(CATALOGUE["pressure"], low=600, high=1085)
_HUMIDITY = CATALOGUE["relative_humidity"]


@dataclass(frozen=True, eq=False)
class NamedSheet:
    """A sheet and what the page calls it."""

    name: str
    sheet: TunnelSheet


# -- 1 the sheet --------------------------------------------------------------------------------------


def _sheets(answers):
    return {name: f"{name}: {about}" for name, (about, _) in DEMO_SHEETS.items()} | {
        OWN: "a file of my own"
    }


def _read_sheet(values, answers):
    chosen = values["sheet"]
    if chosen == OWN:
        file = values["upload"]
        fingerprint = sha256(file.content).hexdigest()[:12]
        named = NamedSheet(f"{file.name} (fingerprint {fingerprint})", _read_upload(file))
    else:
        about, sheet = DEMO_SHEETS[chosen]
        named = NamedSheet(f"{chosen} ({about})", sheet())
    _check(named)
    return named


def _read_upload(file):
    try:
        return read_sheet(BytesIO(file.content))
    except SheetError as error:
        raise ValueError(f"{file.name} could not be used. {error}") from None


def _check(named):
    """Refuse a sheet that is clear, and yet holds nothing to compare; in words."""
    name, sheet = named.name, named.sheet
    if not sheet.rows.used.any():
        raise ValueError(
            f"{name} was read, but none of its {len(sheet.rows)} rows can be used. It begins with "
            f"this: {sheet.faults[0]}"
        )
    if len(sheet.set_ups) < 2:
        raise ValueError(
            f"{name} holds usable runs of one set-up, {sheet.set_ups[0]}. Two are needed."
        )
    try:
        sheet.draws(1)
    except ValueError as error:
        raise ValueError(f"{name} was read, but it gives no range. {error}") from None


def _sheet_in_words(named, answers):
    used, left = runs_of(named.sheet)
    first = f"Read {named.name}: {used + left} runs of set-ups {listed(named.sheet.set_ups)}"
    if not left:
        return f"{first}; all of them are used."
    rows = "1 row was" if left == 1 else f"{left} rows were"
    reasons = " ".join(str(fault) for fault in named.sheet.faults)
    return f"{first}; {rows} left out, because something is wrong there. {reasons}"


# -- 2 the set-ups ------------------------------------------------------------------------------------


def _set_ups(answers):
    return {name: name for name in answers["sheet"].sheet.set_ups} if "sheet" in answers else {}


def _read_set_ups(values, answers):
    before, after = values["before"], values["after"]
    if before == after:
        raise ValueError(f"Both are '{before}'. Choose two different set-ups.")
    difference_in_words(answers["sheet"].sheet, before, after)  # refuses what cannot be compared
    return before, after


def _set_ups_in_words(answer, answers):
    return difference_in_words(answers["sheet"].sheet, *answer)


# -- 3 the rider --------------------------------------------------------------------------------------


def _riders(answers):
    members = {
        name: f"{name}, who {member.about}: {_POWER.words(member.power)}"
        for name, member in MEMBERS.items()
    }
    return members | {OWN: "numbers of my own"}


def _read_rider(values, answers):
    if values["rider"] != OWN:
        return MEMBERS[values["rider"]]
    before, _ = answers["set-ups"]
    return Member(
        values["name"].strip() or "the rider",
        Rider(
            all_up_mass=values["all_up_mass"],
            drag_area=answers["sheet"].sheet.yaw_curve(before),
            rolling_coefficient=values["rolling_coefficient"],
        ),
        values["power"],
        "own numbers",
    )


def _rider_in_words(member, answers):
    before, _ = answers["set-ups"]
    curve = answers["sheet"].sheet.yaw_curve(before)
    rider = replace(member.rider, drag_area=curve)
    speed = steady_speed(rider, Conditions(air_density=USUAL_AIR), member.power)
    name = member.name[:1].upper() + member.name[1:]
    return (
        f"{name}: {_MASS.words(rider.all_up_mass)} all up, rolling coefficient "
        f"{_ROLLING.words(rider.rolling_coefficient)}, {_POWER.words(member.power)} at the crank. "
        f"With set-up {before} that gives {units.to_kmh(speed):.1f} km/h on a flat road in still "
        f"air of {USUAL_AIR:.2f} kg/m³. The drag areas are those of the sheet."
    )


# -- 4 the road ---------------------------------------------------------------------------------------


def _roads(answers):
    return {name: f"{name}: {road.about}" for name, road in ROADS.items()}


def _road_in_words(road, answers):
    distance, ascent = units.to_kilometres(road.course.distance), road.course.ascent
    climbing = f"{ascent:.0f} m of climbing" if ascent >= 1 else "no climbing"
    return f"{road.name}: {distance:.3g} km with {climbing}. {road.about}"


# -- 5 the air ----------------------------------------------------------------------------------------


def _airs(answers):
    usual = f"{USUAL_AIR:.2f} kg/m³, an ordinary day near sea level"
    return {"usual": usual, "weather": "from temperature and pressure"}


def _read_air(values, answers):
    if values["air"] == "usual":
        return {"air_density": USUAL_AIR}
    weather = {name: values[name] for name in ("temperature", "pressure", "relative_humidity")}
    # Rounded to what the page prints, so that the page can be made again from its settings.
    return {"air_density": round(float(density(**weather)), 4), **weather}


def _air_in_words(air, answers):
    said = "The air has a density of"
    if "temperature" not in air:
        return f"{said} {air['air_density']:.2f} kg/m³."
    return (
        f"{said} {air['air_density']:.4f} kg/m³ at {_TEMPERATURE.words(air['temperature'])}, {_PRESSURE.words(air['pressure'])} "
        f"and {_HUMIDITY.words(air['relative_humidity'])} humidity."
    )


# -- together -----------------------------------------------------------------------------------------


def _typed(knob, start="", when=None, hint=""):
    """A box for a knob's quantity, with the knob's limits."""
    hint = hint or knob.range
    return Typed(knob.quantity, knob.label, hint, start, when, knob.printed_unit, knob.read)


QUESTIONS = (
    Question(
        "sheet",
        "Whose sheet?",
        "Take the club's demo sheet, or a tunnel run sheet of your own, saved as CSV.",
        (
            Choice("sheet", "The sheet", options=_sheets),
            Upload(
                "upload",
                "Your sheet",
                "Save it as CSV; the columns are those of the demo sheet.",
                when=("sheet", OWN),
                accept=".csv,.txt,.tsv",
            ),
        ),
        _read_sheet,
        _sheet_in_words,
    ),
    Question(
        "set-ups",
        "Which two set-ups?",
        "The page says what the second saves against the first.",
        (
            Choice("before", "Set-up now", options=_set_ups),
            Choice("after", "Set-up instead", options=_set_ups),
        ),
        _read_set_ups,
        _set_ups_in_words,
    ),
    Question(
        "rider",
        "Which rider?",
        "Mass is all-up mass: rider, bicycle, bottles and clothing. Power is power at the crank.",
        (
            Choice("rider", "The rider", options=_riders),
            Typed("name", "Name on the page", "May stay empty", when=("rider", OWN)),
            _typed(_MASS, when=("rider", OWN)),
            _typed(_ROLLING, "0.004", ("rider", OWN), "0.004 is usual for road tyres on asphalt"),
            _typed(_POWER, when=("rider", OWN)),
        ),
        _read_rider,
        _rider_in_words,
    ),
    Question(
        "road",
        "Which road?",
        "Wind is the wind at the rider's height.",
        (Choice("road", "The road", options=_roads),),
        lambda values, answers: ROADS[values["road"]],
        _road_in_words,
    ),
    Question(
        "air",
        "Which air?",
        "Pressure is what a barometer reads at the place, not the forecast's sea-level pressure.",
        (
            Choice("air", "The air", options=_airs),
            _typed(_TEMPERATURE, when=("air", "weather")),
            _typed(_PRESSURE, when=("air", "weather")),
            _typed(_HUMIDITY, "50", ("air", "weather"), "50 does where it is not known"),
        ),
        _read_air,
        _air_in_words,
    ),
)


def _finish(answers):
    before, after = answers["set-ups"]
    return build_report(
        answers["sheet"].sheet,
        before,
        after,
        answers["rider"],
        answers["road"],
        air_density=answers["air"]["air_density"],
        sheet_name=answers["sheet"].name,
    )


class ReportFlow(Flow):
    """Five questions, then the page. As the last line of a cell it shows itself.

    By code: `flow.answer(sheet="BL-7", before="A", after="B", rider="Tobin", road="Long Hill 10",
    air="usual")`, then `flow.result` is the `Report` and `flow.save()` writes it. An own sheet is
    `sheet="own", upload="my_sheet.csv"`; own numbers are `rider="own", all_up_mass="84 kg",
    power="220"`, as text, in the units that the question shows.
    """

    def __init__(self):
        super().__init__(QUESTIONS, _finish)
        self._view = None

    def save(self, folder="."):
        """Write the page beside the notebook, never over an earlier one.

        Parameters
        ----------
        folder : str or path
            By default the notebook's own.

        Returns
        -------
        Path
            `my_report.html`, or `my_report_2.html` and so on where another page has that name.

        Raises
        ------
        ValueError
            While a question is open.
        """
        if self.result is None:
            raise ValueError(f"The page is not made yet: '{self.open.prompt}' is open.")
        page = self.result.html().encode("utf-8")
        number = 1
        while True:
            name = f"{FILE_NAME}.html" if number == 1 else f"{FILE_NAME}_{number}.html"
            path = Path(folder) / name
            if not path.exists():
                path.write_bytes(page)
                return path
            if path.read_bytes() == page:
                return path
            number += 1

    def markdown(self):
        """The questions with their sentences, and below them the page."""
        said = super().markdown()
        return said if self.result is None else f"{said}\n\n{self.result.markdown()}"

    def _ipython_display_(self):
        from dragwork.teaching.forms.view import show

        self._view = show(self, self._view)

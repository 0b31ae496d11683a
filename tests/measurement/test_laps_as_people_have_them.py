"""Road tests with few columns: each layout gives the same drag areas, its gaps said and paid for."""

import io

import numpy as np
import people_laps as people
import published
import pytest
from loops import over

from dragwork.measurement.field_sheet import NotSaid, SheetError, laps_named, read_laps
from dragwork.measurement.roadtest import RollingNeeded, fit, usual_errors

CALM = people.ridden(noise=0.004, seed=3)


def read(layout, laps=CALM):
    how, said = people.LAYOUTS[layout]
    how = ({h: c for h, c in how[0].items() if c != "" or h in ("lap", "remarks", "traffic")}, *how[1:])
    return read_laps(io.BytesIO(people.written(laps, *how)), **said)


@over(people.LAYOUTS)
def test_each_layout_gives_the_drag_areas(layout):
    sheet = read(layout)
    assert sheet.faults == () and len(sheet.used) >= 22
    found = fit(sheet)
    for code, area in people.AREA.items():
        low, high = found.intervals[f"drag_area {code}"]
        # 0.4 % of power from lap to lap, over 24 laps: 2 % holds it four times over.
        assert found.drag_area[code] == pytest.approx(area, rel=0.02)
        assert low <= area <= high
    assert np.allclose(sheet.used.air_density, people.air_density(), rtol=2e-3)


# -- what is not there has its price ------------------------------------------------------------------


def test_a_gap_widens_the_range_and_says_by_how_much():
    """By the algebra of two columns: a watt is 0.975/v newtons, 1 m/s more at the end is m v/d."""
    full, sparse = (fit(read(layout)) for layout in ("zero, start and end", "time, and the length said"))
    for code in people.AREA:
        (a, b), (c, d) = (one.intervals[f"drag_area {code}"] for one in (full, sparse))
        assert d - c > 1.1 * (b - a)
    assert not any("gives no" in note for note in full.notes)
    zero, gain = sparse.notes[:2]
    v = sparse.observations.speed.to_numpy()
    design = np.zeros((v.size, 3))
    design[np.arange(v.size), (sparse.observations.position != sparse.positions[0]).astype(int)] = people.air_density() * v**2 / 2
    design[:, 2] = people.MASS * people.G

    def shift(force):
        u = sparse.observations.standard_uncertainty.to_numpy()
        return abs(np.linalg.lstsq(design / u[:, None], force / u, rcond=None)[0][0])

    offset = np.hypot(3.0, 1.0)
    assert f"change the drag area by {shift(offset * 0.975 / v):.3f} m²" in zero and "no meter zero" in zero
    push = people.MASS * 0.1 * v / people.LENGTH
    watts = np.mean(push * v) / 0.975
    assert f"{watts:.0f} W of the power" in gain and f"{shift(push):.3f} m² too large" in gain


def test_humidity_that_is_not_given_costs_what_it_can_change():
    """From 0 to 100 % by the ideal gas of air and vapour at 15 °C: 0.6 %."""
    sheet = read("no humidity")
    (said,) = [note for note in sheet.asked if "Humidity" in note]
    change = people.air_density(h=0) / people.air_density(h=100) - 1
    assert f"changes by {100 * change:.1f} %" in said
    assert usual_errors(sheet).air_density == pytest.approx(np.hypot(0.003, change / np.sqrt(12)), rel=0.02)


def test_what_is_not_noted_joins_the_usual_errors():
    (record,) = published.for_test("test_what_is_not_noted_joins_the_usual_errors")
    assert usual_errors(read("zero, start and end")).meter_offset == record.inputs["usual"]
    record.assert_close(usual_errors(read("no humidity")).meter_offset)


def test_lengths_written_to_the_tenth_of_a_kilometre_cost_three_times_their_step():
    columns = people.LAYOUTS["lap time and length"][0][0] | {"distance [m]": ""}
    columns = {h: c for h, c in columns.items() if c} | {"distance [km]": lambda lap, i: "1.2"}
    sheet = read_laps(io.BytesIO(people.written(CALM, columns, people.DAY)))
    assert sheet.widened["speed_scale"] == pytest.approx(0.1 / np.sqrt(12) / 1.2)
    found = fit(sheet)
    # A drag area goes with the cube of the speed.
    assert abs(found.shared["speed_scale"][0]) == pytest.approx(3 * 0.024 * found.values[0], rel=0.05)
    assert any("to the metre" in note for note in sheet.notes)


# -- what only the rider can say ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("columns", "notes", "needs"),
    [
        (people.BASE, "", {"mass", "weather"}),
        (people.BASE, "15 °C, 60 %\nall-up mass 84 kg\n", {"weather"}),
        (people.BASE, "15 °C, QNH 1013 hPa\nall-up mass 84 kg\n", {"weather"}),
        (people.BASE, "15 °C, 1009 hPa\nrider's weight 72 kg\n", {"mass"}),
        (people.BASE, "15 °C, 1009 hPa\nrider mass 72 kg, bike 9 kg\n", {"mass"}),
        (people.BASE, "at dawn 4 °C, at noon 21 °C, 1009 hPa, all-up mass 84 kg\n", {"weather"}),
        (people.TURNS, people.DAY, {"ridden"}),
        ({"direction": "direction", "time": "1:23.4", "power [W]": "W"}, people.DAY, {"distance"}),
        ({"lap": "lap", "time": "1:23.4", "power": "W"}, "", {"mass", "weather", "ridden", "distance"}),
    ],
)
def test_what_is_not_said_is_asked_for(columns, notes, needs):
    with pytest.raises(NotSaid) as refused:
        read_laps(io.BytesIO(people.written(CALM, columns, notes)))
    assert set(refused.value.needs) == needs
    for words in str(refused.value).split(". "):
        assert "_" not in words
    assert str(refused.value).count("in the form") == len(needs)


@pytest.mark.parametrize(
    ("columns", "words"),
    [
        ({"position": "position", "direction": "direction", "speed [km/h]": "km/h"}, "lacks the column mean power"),
        ({"position": "position", "direction": "direction", "mean power [W]": "W"}, "no mean speed"),
    ],
)
def test_a_sheet_without_power_or_speed_is_refused(columns, words):
    with pytest.raises(SheetError, match=words):
        read_laps(io.BytesIO(people.written(CALM, columns, people.DAY)))


def test_the_weather_of_a_stated_altitude():
    """ISO 2533: 843.1 hPa at 1,520 m, by its barometric formula."""
    notes = "Altitude 1520 m, 15 °C, 60 % RH, system mass 84 kg\n"
    sheet = read_laps(io.BytesIO(people.written(CALM, people.BASE, notes)))
    expected = 1013.25 * (1 - 0.0065 * 1520 / 288.15) ** 5.25588
    assert sheet.used.pressure.iloc[0] == pytest.approx(100 * expected, rel=1e-3)
    assert usual_errors(sheet).air_density > 0.01 and any("barometer" in note for note in sheet.asked)


@pytest.mark.parametrize(
    ("text", "laps"),
    [
        ("hoods 1-3; drops 4-6", {"1": "hoods", "2": "hoods", "3": "hoods", "4": "drops", "5": "drops", "6": "drops"}),
        ("Helmet 2: 1, 3; Helmet 3: laps 2 and 4", {"1": "Helmet 2", "3": "Helmet 2", "2": "Helmet 3", "4": "Helmet 3"}),
        ("A = 1 to 2\nB = 4–5, 7", {"1": "A", "2": "A", "4": "B", "5": "B", "7": "B"}),
    ],
)
def test_positions_of_laps_as_people_type_them(text, laps):
    assert laps_named(text) == laps


@pytest.mark.parametrize("text", ["", "hoods", "hoods 3-1", "hoods 1-3; drops 3-4", "1-3"])
def test_positions_that_cannot_be_read_help(text):
    with pytest.raises(ValueError, match="hoods 1-8; drops|named twice|backwards"):
        laps_named(text)


def test_slips_are_faults_and_never_repaired():
    columns = people.BASE | {"distance [m]": "m", "time": lambda lap, i: "1:59.0" if i == 5 else people.CELLS["1:23.4"](lap, i)}
    sheet = read_laps(io.BytesIO(people.written(CALM, columns, people.DAY)))
    (fault,) = sheet.faults
    assert fault.row == 8 and "distance over time is" in fault.what
    hours = {"direction": "direction", "position": "position", "power [W]": "W", "distance [m]": "m",
             "time": lambda lap, i: people.clock(people.LENGTH / lap["v"], "{m}:{s:02.0f}:00")}  # fmt: skip
    sheet = read_laps(io.BytesIO(people.written(CALM, hours, people.DAY)))
    assert len(sheet.faults) == 24 and "spreadsheet took for hours" in str(sheet.faults[0])


def test_miles_under_kilometres_are_asked_about():
    wrong = people.BASE | {"mean speed [km/h]": "mph"}
    sheet = read_laps(io.BytesIO(people.written(CALM, wrong, people.DAY)))
    assert any("units of speed" in note for note in sheet.asked)


# -- one speed, and coverage ---------------------------------------------------------------------------


def test_laps_at_one_speed_take_a_stated_rolling_coefficient():
    sheet = read("four columns, the rest in notes", people.ridden((36,), ("hoods", "drops") * 3, 0.004, 4))
    with pytest.raises(RollingNeeded, match="nearly one speed"):
        fit(sheet)
    found = fit(sheet, people.ROLLING)
    low, high = found.intervals["drag_area hoods"]
    assert low <= people.AREA["hoods"] <= high
    # dCdA = m g dCrr/q, by hand
    q = people.air_density() * 10**2 / 2
    assert abs(found.shared["rolling_coefficient"][0]) == pytest.approx(people.MASS * people.G * 0.0005 / q, rel=0.01)


def sparse_days(number, seed, layout, speeds, stated):
    """Share of 95 % ranges that hold the truth, for one drag area and the difference; median half-widths."""
    hits, widths = np.zeros(2), []
    for trial in range(number):
        rng = np.random.default_rng([seed, trial])
        rolling = rng.uniform(0.0035, 0.0055)
        laps = people.ridden(
            speeds, ("hoods", "drops", "drops", "hoods"), noise=0.008, seed=int(rng.integers(1e9)),
            wind=rng.normal(0, 0.5), gust=0.2, offset=rng.uniform(-5, 5), scale=1 + rng.normal(0, 0.01),
            gain=rng.normal(0, 0.1), gain_sd=0.2, rolling=rolling,
        )  # fmt: skip
        found = fit(read(layout, laps), rolling + rng.normal(0, 0.0005) if stated else None)
        low, high = found.intervals["drag_area hoods"]
        gap = found.difference("hoods", "drops")
        hits += [low <= people.AREA["hoods"] <= high, gap.low <= 0.040 <= gap.high]
        widths.append([(high - low) / 2, (gap.high - gap.low) / 2])
    return hits / number, np.median(widths, axis=0)


SPARSE = {
    "two speeds and more": ("four columns, the rest in notes", (22, 29, 36, 43), False),
    "one speed": ("four columns, the rest in notes", (36, 36.5, 35.5), True),
    "a head unit": ("a head unit's laps", (24, 32, 40), False),
    "times of a loop": ("lap time and length", (22, 29, 36, 43), False),
}


def check_coverage(number, seed, case, least):
    shares, (area, gap) = sparse_days(number, seed, *SPARSE[case])
    print(f"{case}: {shares}, half-widths {area:.4f} {gap:.4f}")
    assert min(shares) >= least
    # Not by being wide: an offset of 3 W and wind, known to an analyst, leave about so much.
    assert area < 0.06 and gap < 0.04


# 12 trials at 95 %: fewer than 9 happen once in 400. At 300 trials two standard errors are 2.5 %.
@pytest.mark.parametrize("case", SPARSE)
def test_95_percent_ranges_of_sparse_sheets_hold_the_truth(case):
    check_coverage(12, 21, case, 0.75)


@pytest.mark.tour
@pytest.mark.parametrize("case", SPARSE)
def test_95_percent_ranges_of_300_sparse_sheets_hold_the_truth(case):
    check_coverage(300, 22, case, 0.92)

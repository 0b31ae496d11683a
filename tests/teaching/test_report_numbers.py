"""Published drag areas as people type and paste them; expected values are written out by hand."""

import numpy as np
import pytest
from loops import over

from dragwork.measurement.field_sheet import NotSaid
from dragwork.teaching.forms.report_numbers import read_numbers
from dragwork.teaching.report import FromNumbers

BOTH = {"hoods": (0.320, 0.310, 0.330), "drops": (0.300, 0.290, 0.310)}
SD = {"hoods": (0.320, 0.320 - 1.96 * 0.004, 0.320 + 1.96 * 0.004), "drops": (0.300, 0.300 - 1.96 * 0.004, 0.300 + 1.96 * 0.004)}
YAWS = {"hoods": {0: (0.320, 0.310, 0.330), 10: (0.310, 0.300, 0.320)}, "drops": {0: (0.300, 0.290, 0.310), 10: (0.290, 0.280, 0.300)}}


def seen(text, half_range=None):
    """By name and yaw in degrees: drag area and the ends of its range."""
    return {
        name: {round(float(np.degrees(yaw)), 6): (a.drag_area, a.low, a.high) for yaw, a in by_yaw.items()}
        for name, by_yaw in read_numbers(text, half_range).items()
    }


def same(found, wanted):
    assert list(found) == list(wanted)
    for name, by_yaw in wanted.items():
        by_yaw = by_yaw if isinstance(by_yaw, dict) else {0: by_yaw}
        assert set(found[name]) == set(by_yaw)
        for yaw, ends in by_yaw.items():
            assert found[name][yaw] == pytest.approx(ends, abs=2e-6)


@over([
    ("hoods 0.320, 0.310 to 0.330; drops 0.30 ± 0.01", BOTH),
    ("hoods: 0,320 (0,310 - 0,330)\ndrops = 0,300 m² +/- 0,01", BOTH),
    ("hoods 0.320 [0.310, 0.330]\ndrops 0.300 [0.290, 0.310]", BOTH),
    ("hoods 0,320; 0,310 to 0,330; drops 0,300; 0,290 bis 0,310", BOTH),
    ("hoods\t0.320\t0.310\t0.330\ndrops\t0.300\t0.290\t0.310", BOTH),
    ("hoods   0.320   0.310   0.330\ndrops   0.300   0.290   0.310", BOTH),
    ("hoods: CdA = 0.320 m² ± 0.010 m²; drops: CdA = 0.300 m² (95% CI 0.290 to 0.310)", BOTH),
    ("hoods 3200 cm² ± 100; drops 3000 cm² ± 100", BOTH),
    ("hoods .320 ±.010\ndrops .300±.010", BOTH),
    ("Helmet 2 0.231 ± 0.003; Helmet 3\t0.228\t± 0.003", {"Helmet 2": (0.231, 0.228, 0.234), "Helmet 3": (0.228, 0.225, 0.231)}),
    ("Aero 0.5 helmet 0.231±0.003; Round 0.24 ± 0.01", {"Aero 0.5 helmet": (0.231, 0.228, 0.234), "Round": (0.24, 0.23, 0.25)}),
    ("hoods 0.50 ± 2 %; drops 0.40 ± 5%", {"hoods": (0.5, 0.49, 0.51), "drops": (0.4, 0.38, 0.42)}),
    ("hoods 0.32(1); drops 0.300(5)", {"hoods": (0.32, 0.32 - 0.0196, 0.32 + 0.0196), "drops": (0.3, 0.3 - 0.0098, 0.3 + 0.0098)}),
    ("hoods (n = 5): 0.320 ± 0.010 m2\ndrops (n = 5): 0.300 ± 0.010 m2", {"hoods (n = 5)": BOTH["hoods"], "drops (n = 5)": BOTH["drops"]}),
    ("Position\tCdA (m²)\tSD\nhoods\t0.320\t0.004\ndrops\t0.300\t0.004", SD),
    ("Posture   CdA   SD\nhoods   0.320   0.004\ndrops   0.300   0.004", SD),
    ("Study;Position;CdA;SD\nX;hoods;0,320;0,004\nX;drops;0,300;0,004", SD),
    ("name;CdA;low;high\nhoods;0,320;0,310;0,330\ndrops;0,300;0,290;0,310", BOTH),
    ("Position,Mean CdA [m2],95 % CI\nhoods,0.320,0.310-0.330\ndrops,0.300,0.290-0.310", BOTH),
    ("| Position | CdA | ± |\n|---|---|---|\n| hoods | 0.32 | 0.01 |\n| drops | 0.30 | 0.01 |", BOTH),
    ("Position;CdA [cm2];±\nhoods;3200;100\ndrops;3000;100", BOTH),
    ("hoods at 0° 0.320 ± 0.01; hoods at 10° 0.310 ± 0.01; drops yaw 0: 0.300 ± 0.01; drops yaw 10: 0.290 ± 0.01", YAWS),
    ("hoods 0°: 0.320 ± 0.01, 10°: 0.310 ± 0.01\ndrops 0°: 0.300 ± 0.01, 10°: 0.290 ± 0.01", YAWS),
    ("Set-up,Yaw (deg),CdA (m2),95% CI\nhoods,0,0.320,0.310-0.330\n,10,0.310,0.300-0.320\ndrops,0,0.300,0.290-0.310\n,10,0.290,0.280-0.300", YAWS),
    ("Position\t0°\t10°\nhoods\t0.320 ± 0.01\t0.310 ± 0.01\ndrops\t0.300 ± 0.01\t0.290 ± 0.01", YAWS),
])  # fmt: skip
def test_numbers_as_people_type_and_paste_them(text, wanted):
    same(seen(text), wanted)


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("hoods 0.320\ndrops 0.300", BOTH),
        ("hoods, 0,320; drops, 0,300", BOTH),
        ("Position\t0°\t10°\nhoods\t0.320\t0.310\ndrops\t0.300\t0.290", YAWS),
        ("Yaw\thoods\tdrops\n0\t0.320\t0.300\n10\t0.310\t0.290", YAWS),
        ("CdA\nhoods 0.32, 0.31 to 0.33\ndrops 0.3"[4:], BOTH),
    ],
)
def test_a_range_is_asked_for_once_where_there_is_none(text, wanted):
    with pytest.raises(NotSaid, match="how much each may be off") as refused:
        read_numbers(text)
    assert refused.value.needs == ("range",)
    same(seen(text, 0.010), wanted)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "Two set-ups are needed"),
        ("hoods 0.32 ± 0.01", "Two set-ups are needed"),
        ("A 0.32 ± 0.01; A 0.30 ± 0.01", "'A' is there twice"),
        ("A 0.32, 0.33 to 0.34; B 0.3 ± 0.01", "does not include 0.32"),
        ("A 320 ± 10; B 300 ± 10", "is no drag area of a rider"),
        ("hoods 0.32 0.01; drops 0.30 0.01", "not clear what the last number is"),
        ("hoods 0.32 ± 3; drops 0.30 ± 3", "Then write ± 3 %"),
        ("hoods low; drops lower", "is not read"),
        ("Position\tCdA\tSD\nhoods\tlow\t0.004\ndrops\t0.300\t0.004", "'low' is not read as a drag area"),
        ("Position\tCdA\tSD\nhoods\t0.320\tsmall\ndrops\t0.300\t0.004", "'small' is not read as a number"),
    ],
)
def test_numbers_that_cannot_be_help(text, words):
    with pytest.raises(ValueError, match=words):
        read_numbers(text)


def test_the_curve_carries_the_yaw():
    numbers = FromNumbers(read_numbers("hoods 0° 0.320 ± 0.01; hoods 10° 0.310 ± 0.02; drops 0° 0.300 ± 0.01; drops 10° 0.290 ± 0.01"))
    assert numbers.curve("hoods")(np.radians(5)) == pytest.approx(0.315)
    drawn = numbers.draws(20_000, 1)["hoods"].drag_area
    # Half-ranges 0.01 and 0.02 over 1.96, wholly alike: their mean is off by 0.015/1.96.
    assert np.std(drawn, axis=0) == pytest.approx([0.01 / 1.96, 0.02 / 1.96], rel=0.03)
    assert np.std(drawn.mean(axis=1)) == pytest.approx(0.015 / 1.96, rel=0.03)
    found = numbers.compare("hoods", "drops", np.radians(10))
    assert found.difference == pytest.approx(0.020) and found.high - found.difference == pytest.approx(np.hypot(0.02, 0.01), rel=1e-3)
    assert "at 10° 0.31 m²" in numbers.count and not any("straight ahead" in said for said in numbers.not_held)

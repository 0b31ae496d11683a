"""The page: its numbers against exact algebra, its words, its HTML."""

import re
from dataclasses import replace
from datetime import date
from functools import cache
from html.parser import HTMLParser
from io import BytesIO
from itertools import cycle

import numpy as np
import pytest

from dragwork.decisions.rides import EXACT as NO_DOUBT
from dragwork.measurement.tunnel import SharedErrors, read_sheet
from dragwork.physics.course import Course, Leg
from dragwork.physics.power import Rider
from dragwork.scenario.barrow_lane import TRUE_DRAG_AREA, bl7, bl7_with_faults
from dragwork.scenario.riders import FAROUK, MEMBERS, TOBIN, Member
from dragwork.scenario.roads import CINDER_LANE, LONG_HILL, ROADS, THREE_KILNS, Road
from dragwork.teaching.report import build_report
from dragwork.teaching.report.page import Part

DAY = date(2026, 5, 1)
EXACT = SharedErrors(*[0.0] * 6)
HEADINGS = (
    "set-up", "repeat", "order", "speed [m/s]", "yaw [deg]", "temperature [degC]",
    "station pressure [hPa]", "humidity [%]", "drag", "drag unit", "tare", "tare unit", "axis",
)  # fmt: skip
SOUND, FAULTY = bl7(), bl7_with_faults()
FEW = 200  # days, where no number of the page is held closely


def sheet_of(areas, speed=12.0, yaws=(0,), spread=0.0, shared=EXACT, repeats=2):
    """A sheet with known drag areas [m2] by set-up, as a laboratory would write it.

    Dry air at 15 degC and 1013.25 hPa has 1.2255 kg/m3 (CIPM-2007: p M/(Z R T), Z 0.9995922,
    published); the forces follow from it by algebra, far more digits than the sheet needs.
    """
    air = 101325 * 28.96546e-3 / (0.9995922115 * 8.314472 * 288.15)
    lines = [",".join(HEADINGS)]
    order = 0
    for repeat in range(repeats):
        for set_up, area in areas.items():
            for yaw in yaws:
                order += 1
                here = area + spread * (-1) ** repeat
                drag = 3.0 + here * air * speed**2 / 2
                lines.append(
                    f"{set_up},{repeat + 1},{order},{speed},{yaw},15.0,1013.25,0,{drag:.9f},N,3.0,N,body"
                )
    return read_sheet(BytesIO("\n".join(lines).encode()), shared)


def road_of(*legs, wind=0.0):
    return Road(
        "The Straight", Course(legs), "Straight.", np.ones(len(legs)), np.full(len(legs), wind)
    )


def frictionless(power=200.0, efficiency=0.98):
    return Member("Nobody", Rider(80, 0.3, rolling_coefficient=0.0, drivetrain_efficiency=efficiency),
                  power, "rolls without resistance")  # fmt: skip


def page(sheet=None, before="hoods", after="clip-ons", member=TOBIN, road=THREE_KILNS, **more):
    """The page of a case, of few days; the same record for the same case. `build_report` makes it anew."""
    return built(sheet or SOUND, before, after, member, road, **{"date": DAY, "draws": FEW} | more)


built = cache(build_report)


# -- the numbers ------------------------------------------------------------------------------------


def test_seconds_and_watts_against_closed_form():
    """No rolling, flat, still: v = (2 P eta/(rho CdA))^(1/3), so both answers are exact algebra."""
    sheet = sheet_of({"A": 0.320, "B": 0.290})
    report = page(sheet, "A", "B", frictionless(), road_of(Leg(4_000.0)), air_density=1.18, draws=2_000)
    wheel = 200 * 0.98
    speed = {
        name: (2 * wheel / (1.18 * area)) ** (1 / 3) for name, area in (("A", 0.32), ("B", 0.29))
    }
    saved = 4_000 / speed["A"] - 4_000 / speed["B"]
    assert report.assumed == pytest.approx(saved, rel=2e-4)  # density in the sheet to 5 digits
    assert report.watts.mid == pytest.approx(0.5 * 1.18 * 0.03 * speed["A"] ** 3 / 0.98, rel=1e-2)
    unshared = page(sheet, "A", "B", frictionless(), road_of(Leg(4_000.0)), air_density=1.18,
                    unstated=NO_DOUBT, draws=2_000)  # fmt: skip
    assert unshared.seconds.mid == pytest.approx(saved, rel=2e-3)  # a median of 2,000 draws


def test_a_sheet_without_spread_gives_a_narrow_range_and_never_none():
    """Readings that agree to the last digit were rounded or copied: no range of width zero."""
    report = page(
        sheet_of({"A": 0.32, "B": 0.29}), "A", "B", frictionless(), road_of(Leg(10_000.0)),
        unstated=NO_DOUBT,
    )  # fmt: skip
    for found in (report.seconds, report.watts, report.planning):
        assert 0 < found.high - found.low < 0.05 * found.mid


def test_width_of_the_range_against_linear_propagation():
    """Two set-ups, six repeats each, spread s: s_r^2 = 6 s^2/5 by its definition, dof 10.

    A mean of six has s_r/sqrt(6); the difference sqrt(2) times that; watts at a fixed speed are
    rho v^3/(2 eta) times the difference. Student's t at 10 degrees of freedom, 97.5 %: 2.228
    (any table). 2,000 draws leave about 3 % on a quantile.
    """
    sheet = sheet_of({"A": 0.320, "B": 0.290}, spread=0.002, repeats=6)
    report = page(sheet, "A", "B", frictionless(), road_of(Leg(2_000.0)), draws=20_000,
                  unstated=NO_DOUBT)  # fmt: skip
    s_r = np.sqrt(6 / 5) * 0.002
    speed = (2 * 200 * 0.98 / (1.2 * 0.32)) ** (1 / 3)
    half = 2.228 * s_r * np.sqrt(2 / 6) * 1.2 * speed**3 / (2 * 0.98)
    assert (report.watts.high - report.watts.low) / 2 == pytest.approx(half, rel=0.04)
    assert (report.watts.high + report.watts.low) / 2 == pytest.approx(report.watts.mid, rel=0.02)


def test_errors_that_both_share_cancel_in_the_difference():
    """A scale error u alone moves the saved watts by the fraction u of them, not of all watts."""
    shared = SharedErrors(0.02, *[0.0] * 5)
    sheet = sheet_of({"A": 0.320, "B": 0.290}, shared=shared)
    report = page(sheet, "A", "B", frictionless(), road_of(Leg(2_000.0)), draws=20_000,
                  unstated=NO_DOUBT)  # fmt: skip
    half = (report.watts.high - report.watts.low) / 2
    assert half == pytest.approx(1.96 * 0.02 * report.watts.mid, rel=0.04)


def test_the_legs_add_up_to_the_road():
    report = page()
    (legs,) = next(part.pieces for part in report.parts if part.heading == "How this was found")
    assert len(legs.rows) == len(THREE_KILNS.course.legs)
    ends = [row["Time saved"].removesuffix(" s saved").split(" to ") for row in legs.rows]
    low, high = (sum(int(each[i]) for each in ends) for i in (0, 1))
    assert low - 2 < report.seconds.low < report.seconds.mid < report.seconds.high < high + 2


def test_the_range_holds_what_the_invented_truth_saves():
    """BL-7 was made from stated drag areas; ridden with them the saving lies in the page's range."""
    from dragwork.physics.course import ride
    from dragwork.scenario.barrow_lane import true_curve

    def truth(name):
        return ride(
            CINDER_LANE.course, replace(TOBIN.rider, drag_area=true_curve(name)), 220.0
        ).time

    for after in ("clip-ons", "time-trial"):
        found = page(after=after, road=CINDER_LANE).seconds
        assert found.low < truth("hoods") - truth(after) < found.high


def test_planning_is_narrower_and_levels_are_named():
    report = page()
    assert report.seconds.low < report.planning.low < report.planning.mid == report.seconds.mid
    assert report.seconds.mid < report.planning.high < report.seconds.high
    assert (report.seconds.level, report.watts.level, report.planning.level) == (
        0.95, 0.95, 0.8,
    )  # fmt: skip
    said = " ".join(report.answer)
    assert "95 % range" in said and "80 % range" in said and "at the crank" in said


@pytest.mark.parametrize(("member", "road"), list(zip(MEMBERS.values(), cycle(ROADS.values()))), ids=lambda x: x.name)
def test_swapped_set_ups_give_the_opposite(member, road):
    case = {"member": member, "road": road}
    there = page(before="hoods", after="time-trial", **case).seconds
    back = page(before="time-trial", after="hoods", **case).seconds
    assert back.mid == pytest.approx(-there.mid)
    assert (back.low, back.high) == pytest.approx((-there.high, -there.low))


def test_power_given_goes_before_the_members_own():
    given = page(member=TOBIN, road=LONG_HILL, power=160)
    assert given.settings["Power"] == "160 W at the crank"
    assert given.markdown() == page(member=replace(TOBIN, power=160), road=LONG_HILL).markdown()


# -- the words --------------------------------------------------------------------------------------


def test_the_answer_says_saves_costs_or_cannot_tell():
    sheet = sheet_of({"A": 0.320, "B": 0.290, "C": 0.3203}, spread=0.002)
    road = road_of(Leg(20_000.0))
    assert page(sheet, "A", "B", TOBIN, road).answer[0].startswith("With B instead of A, Tobin saves")
    assert page(sheet, "B", "A", TOBIN, road).answer[0].startswith("With A instead of B, Tobin loses")
    unsure = page(sheet, "A", "C", TOBIN, road)
    assert unsure.seconds.sign == 0
    assert unsure.answer[0].startswith("This sheet cannot show"), "a page that cannot show says so first"
    assert not any("The gain is gone" in sentence for sentence in unsure.sentences)
    assert re.search(r"min lost to .* min saved", unsure.answer[0])
    assert any("That range includes zero" in sentence for sentence in unsure.sentences)
    assert any("More repeats" in sentence for sentence in unsure.sentences)


def test_minutes_beyond_the_measured_yaw():
    """18 km/h beside 5 m/s of side wind: yaw is 45 degrees, far beyond a sheet with yaw 0 and 10."""
    sheet = sheet_of({"A": 0.32, "B": 0.29}, yaws=(0, 10))
    side = replace(
        road_of(Leg(5_000.0), Leg(5_000.0, heading=np.pi / 2), wind=5.0), wind_from=np.pi / 2
    )
    report = page(sheet, "A", "B", FAROUK, side)
    said = next(s for s in report.sentences if "measured angles" in s)
    minutes, whole = map(int, re.search(r"For (\d+) of (\d+) minutes", said).groups())
    assert 0 < minutes < whole  # the second leg rides straight into it
    assert any("Dashes below the strip" in s for s in report.sentences)
    calm = page(sheet, "A", "B", FAROUK, road_of(Leg(10_000.0)))
    assert not any("beyond the measured angles" in s for s in calm.sentences)


def test_speeds_outside_the_tunnels_are_on_the_first_page():
    """Tobin rides Three Kilns far below 54 km/h of air speed, the only one measured here."""
    report = page(sheet_of({"A": 0.32, "B": 0.29}, speed=15.0), "A", "B")
    (to_know,) = next(part for part in report.parts if part.heading == "What you should know with it").pieces
    assert "at 54 km/h of air speed" in to_know[0]
    assert re.match(r"For \d+ of 114 minutes the air speed is outside the measured ones", to_know[1])
    assert any("The gain is gone if the new position costs Tobin more than" in s for s in to_know)


def test_the_first_page_comes_in_its_order_and_the_rest_on_pages_of_its_own():
    report = page(extra=(Part("A claim", ("Long.",), brief="Short."), Part("The room", ("All.",), new_page=True)))
    headings = [part.heading for part in report.parts]
    assert headings[:5] == ["On Three Kilns 60", "What you should know with it", "What the ranges leave out", "Before you act on it", ""]
    assert headings[5:8] == ["The room", "How this was found", "A claim"]
    assert [part.heading for part in report.parts if part.new_page] == ["The room", "How this was found"]
    assert report.parts[1].pieces[0][-1] == "Short." and len(report.parts[3].pieces[0]) == 3


def test_the_fingerprint_follows_the_settings_and_the_answer():
    def fingerprint(**more):
        return re.search(r"fingerprint: (\w+)", page(road=LONG_HILL, **more).markdown())[1]

    assert len({fingerprint(), fingerprint(power=221), fingerprint(seed=2), fingerprint(sheet=FAULTY)}) == 4


def test_rows_left_out_are_named_with_the_reason_and_what_would_mend_it():
    report = page(FAULTY)
    said = " ".join(report.sentences)
    for fault in FAULTY.faults:
        assert f"Row {fault.row}," in said and fault.what in said and fault.mend in said
    assert "101 runs were used, 7 left out" in said
    sound = " ".join(page().sentences)
    assert "108 runs were used, none left out" in sound and "None: nothing" in sound


def test_a_rider_far_from_the_sheets_body_is_warned():
    assert any(
        "Farouk is known for 0.180 m²" in s for s in page(member=FAROUK, road=LONG_HILL).sentences
    )
    assert not any("is known for" in s for s in page(member=TOBIN).sentences)


def test_cautions_and_limits_stand_on_every_page():
    said = " ".join(page(road=LONG_HILL, unstated=NO_DOUBT).sentences).lower()
    for word in ("qualified fitter", "gusts", "traffic", "current rule text",
                 "health", "tunnel to road", "assumed to be exact", "best of several"):  # fmt: skip
        assert word in said, word
    for word in ("lose weight", "body mass", "body weight", "simply", "obviously"):
        assert word not in said


def test_sentences_are_short():
    """Twenty words or a few more; what the sheet and the sources say of themselves is theirs."""
    report = page(FAULTY, member=FAROUK, road=CINDER_LANE)
    ours = [s for part in report.parts for piece in part.pieces
            if part.heading not in ("", "Sources", "Rows of the sheet that were left out")
            for s in ([piece] if isinstance(piece, str) else
                      piece if isinstance(piece, tuple) and piece != FAULTY.notes else [])]  # fmt: skip
    for paragraph in (*report.answer, *ours):
        for sentence in re.split(r"(?<=[.:;?])\s", paragraph):
            assert len(sentence.split()) <= 22, sentence


@pytest.mark.parametrize(
    "before, after, words",
    [
        ("hoods", "skis", "'skis' is not in the sheet; it has hoods, clip-ons and time-trial"),
        ("hoods", "hoods", "given twice"),
    ],
)
def test_impossible_set_ups_are_refused_in_words(before, after, words):
    with pytest.raises(ValueError, match=words):
        page(before=before, after=after)


@pytest.mark.parametrize("bad", [{"power": -5}, {"power": float("nan")}, {"air_density": 1200}])
def test_impossible_numbers_are_refused_in_words(bad):
    with pytest.raises(ValueError, match=next(iter(bad)).replace("_", " ")):
        page(**bad)


# -- the file ---------------------------------------------------------------------------------------


class Reader(HTMLParser):
    """Tags, attributes and unclosed elements of a page."""

    VOID = ("meta", "img")

    def __init__(self, text):
        super().__init__()
        self.tags, self.open = [], []
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        self.tags.append((tag, dict(attributes)))
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag


def test_same_input_same_page_apart_from_the_date():
    case = ("hoods", "clip-ons", TOBIN, LONG_HILL)
    same = page(road=LONG_HILL)
    first, second = same.html(), build_report(bl7(), *case, date=DAY, draws=FEW).html()
    assert first == second
    later = build_report(SOUND, *case, date=date(2027, 1, 2), draws=FEW)
    assert later.markdown() == same.markdown()
    dated = replace(same, date=later.date).html()
    assert dated != first and dated.replace("2027-01-02", "2026-05-01") == first


def test_the_date_is_today_unless_given():
    assert build_report(SOUND, "hoods", "clip-ons", TOBIN, LONG_HILL, draws=FEW).date == date.today()


def test_the_file_is_whole_and_fetches_nothing():
    text = page().html()
    read = Reader(text)
    assert read.open == []
    names = [tag for tag, _ in read.tags]
    assert not {"script", "link", "iframe", "a", "object"} & set(names)
    assert "http" not in text and "url(" not in text and "@import" not in text
    assert dict(read.tags)["html"] == {"lang": "en"}
    assert "@media print" in text
    assert [names.count(f"h{level}") for level in (1, 3)] == [1, 0] and names.count("h2") == 9
    assert len(text) < 200_000


def test_pictures_stand_in_the_file_with_their_words():
    images = [a for tag, a in Reader(page().html()).tags if tag == "img"]
    assert len(images) == 2
    for image in images:
        assert image["src"].startswith("data:image/png;base64,")
        assert len(image["alt"]) > 40
    assert "min" in images[0]["alt"]
    assert "hoods" in images[1]["alt"] and "m²" in images[1]["alt"]


def test_table_heads_are_heads():
    tags = Reader(page().html()).tags
    assert sum(a.get("scope") == "col" for _, a in tags) == 6 + 2
    assert sum(a.get("scope") == "row" for _, a in tags) == 4 + 7


def test_a_name_cannot_break_the_page():
    nasty = replace(TOBIN, name='<b>T & "co"')
    text = page(member=nasty, road=LONG_HILL).html()
    assert "<b>" not in text and "&lt;b&gt;T &amp;" in text
    assert Reader(text).open == []


def test_the_settings_are_complete_and_in_print():
    report = page(sheet_name="My sheet", air_density=1.1875, road=LONG_HILL)
    text = report.html()
    for name in ("Sheet", "Set-ups", "Rider", "Power", "Road", "Air density", "Uncertain", "Draws",
                 "Program"):
        assert f"{name}: {report.settings[name]}" in text
    assert "1.1875 kg/m³" in text and "My sheet" in text and "seed 1" in text


# -- in a notebook ----------------------------------------------------------------------------------


def test_the_page_in_a_notebook_is_words_and_pictures_in_turn(monkeypatch):
    shown = []
    monkeypatch.setattr(
        "dragwork.teaching.report.page.display", lambda piece, raw=False: shown.append(piece)
    )
    report = page()
    report._ipython_display_()
    kinds = ["words" if isinstance(piece, dict) else "picture" for piece in shown]
    assert kinds == ["words", "picture", "words", "picture", "words"]
    data, about = shown[1]._repr_mimebundle_()
    assert data["image/png"][:4] == b"\x89PNG" and about["image/png"]["alt"]
    words = "\n".join(piece["text/markdown"] for piece in shown[::2])
    assert words.startswith("### ") and report.answer[0] in words and "| Leg |" in words
    assert str(DAY) not in words  # so that a stored notebook stays as it is
    assert repr(report) == report.markdown()


def test_true_areas_stand_in_the_demo():
    """The numbers told on the page are those of the sheet's making, within its stated range."""
    report = page()
    said = next(s for s in report.sentences if s.startswith("At yaw 0"))
    told = float(re.search(r"is (0\.\d+) m² smaller", said)[1])
    low, high = map(float, re.search(r"range: (0\.\d+) to (0\.\d+) m² less", said).groups())
    truth = TRUE_DRAG_AREA["hoods"][1] - TRUE_DRAG_AREA["clip-ons"][1]
    assert low < truth < high and low < told < high

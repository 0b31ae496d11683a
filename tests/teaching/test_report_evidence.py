"""Three doors to the page, the doubts about the ride, and the audience's table."""

from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from ode_ride import ode_ride

from dragwork.decisions.rides import EXACT, Unstated, drawn_days, ride_on
from dragwork.measurement.tunnel import read_sheet
from dragwork.physics.course import Course, Leg
from dragwork.physics.power import Conditions, Rider, power_balance
from dragwork.physics.speed import steady_speed
from dragwork.scenario.barrow_lane import bl7
from dragwork.scenario.riders import FAROUK, IMKE, MEMBERS, ROSALIND, TOBIN, Member
from dragwork.scenario.roads import CINDER_LANE, LONG_HILL, THREE_KILNS, Road
from dragwork.teaching.report import FromNumbers, PublishedArea, build_report
from dragwork.teaching.report.audience import audience, audience_part, read_members
from dragwork.teaching.report.evidence import difference_in_words
from dragwork.teaching.report.page import Table

BL7 = bl7()
BOTH = FromNumbers({"bars": PublishedArea(0.320, 0.310, 0.330),
                    "low": PublishedArea(0.300, 0.285, 0.315)}, "a leaflet")  # fmt: skip
FLAT = Road("The Straight", Course([Leg(2_000.0)]), "Straight.", np.ones(1), np.zeros(1))
NOBODY = Member("Nobody", Rider(80, 0.3, rolling_coefficient=0.0, drivetrain_efficiency=1.0), 200,
                "rolls without resistance")  # fmt: skip


# -- numbers that somebody published ----------------------------------------------------------------


def test_ranges_of_two_published_numbers_join_in_quadrature():
    """Half-ranges 0.010 and 0.015, nothing shared: the difference has sqrt(0.01^2 + 0.015^2)."""
    found = BOTH.compare("bars", "low", 0.0)
    half = np.hypot(0.010, 0.015)
    assert found.difference == pytest.approx(0.020)
    assert (found.low, found.high) == pytest.approx((0.020 - half, 0.020 + half))


def test_draws_of_published_numbers_have_their_spread():
    """A 95 % range of +-0.010 is a standard uncertainty of 0.010/1.959964 (any normal table)."""
    drawn = BOTH.draws(20_000, 1)
    assert np.std(drawn["bars"].drag_area) == pytest.approx(0.010 / 1.959964, rel=0.025)
    assert abs(np.corrcoef(drawn["bars"].drag_area[:, 0], drawn["low"].drag_area[:, 0])[0, 1]) < 0.04


def test_seconds_from_published_numbers_by_the_cube_root():
    """No rolling, flat, still: v = (2 P/(rho CdA))^(1/3), exact algebra."""
    report = build_report(BOTH, "bars", "low", NOBODY, FLAT, unstated=EXACT)
    slow, fast = ((2 * 200 / (1.2 * area)) ** (1 / 3) for area in (0.320, 0.300))
    assert report.assumed == pytest.approx(2_000 / slow - 2_000 / fast, rel=1e-6)
    assert report.seconds.mid == pytest.approx(report.assumed, rel=0.03)  # the median of 2,000 draws
    assert report.watts.mid == pytest.approx(0.5 * 1.2 * 0.020 * slow**3, rel=0.03)
    half = (report.watts.high - report.watts.low) / 2
    assert half == pytest.approx(np.hypot(0.010, 0.015) * 0.6 * slow**3, rel=0.06)  # 2,000 draws


def test_a_page_from_numbers_says_what_nobody_measured():
    said = " ".join(build_report(BOTH, "bars", "low", TOBIN, LONG_HILL).sentences)
    for words in ("Nothing was measured for this page", "a leaflet", "is not known",
                  "at which speed and yaw they were measured", "one who is not named"):  # fmt: skip
        assert words in said, words
    assert "runs" not in said and "tunnel" not in said


@pytest.mark.parametrize(
    "bad, words",
    [((0.32, 0.33, 0.34), "does not include"), ((0.32, 0.3, 99), "drag area 99"),
     ((0.0, 0.0, 0.1), "above 0"), ((float("nan"), 0.3, 0.4), "drag area")],
)  # fmt: skip
def test_a_range_that_cannot_be_is_refused(bad, words):
    with pytest.raises(ValueError, match=words):
        PublishedArea(*bad)


def test_one_number_is_nothing_to_compare():
    with pytest.raises(ValueError, match="Two set-ups"):
        FromNumbers({"bars": PublishedArea(0.32, 0.31, 0.33)})


@pytest.mark.parametrize("given", [BL7, BOTH], ids=["sheet", "numbers"])
def test_a_set_up_that_is_not_there_is_named(given):
    with pytest.raises(ValueError, match="'skis' is not in the"):
        difference_in_words(given, next(iter(given.set_ups)), "skis")


def test_what_is_no_evidence_is_refused():
    with pytest.raises(ValueError, match="is not a Evidence|is not an Evidence"):
        build_report("BL-7", "hoods", "clip-ons", TOBIN, LONG_HILL)


# -- doubts about the ride ----------------------------------------------------------------------------


def test_doubts_widen_the_range_and_leave_the_ride_as_assumed():
    case = (BL7, "hoods", "clip-ons", TOBIN, LONG_HILL)
    sure, usual = build_report(*case, unstated=EXACT), build_report(*case)
    assert usual.assumed == sure.assumed == pytest.approx(sure.seconds.mid, rel=0.01)
    assert usual.seconds.high - usual.seconds.low > sure.seconds.high - sure.seconds.low


def test_a_doubt_about_power_against_the_cube_root():
    """Time goes with P^(-1/3), so 3 % of power is 1 % of the seconds saved (exact, first order)."""
    exact = FromNumbers({"a": PublishedArea(0.32, 0.32, 0.32), "b": PublishedArea(0.3, 0.3, 0.3)})
    doubt = Unstated(0.03, 0, 0, 0, 0)
    report = build_report(exact, "a", "b", NOBODY, FLAT, unstated=doubt, draws=20_000)
    half = (report.seconds.high - report.seconds.low) / 2
    assert half == pytest.approx(1.96 * 0.01 * report.seconds.mid, rel=0.04)


def test_the_page_names_the_widest_doubt_first():
    report = build_report(BOTH, "bars", "low", TOBIN, LONG_HILL)
    assert "The biggest unknown is the drag areas of the numbers" in report.answer[1]
    windy = build_report(BL7, "hoods", "clip-ons", TOBIN, CINDER_LANE,
                         unstated=Unstated(0, 0, 0, 0, 3.0, 0))  # fmt: skip
    assert "the wind on the day" in windy.answer[1]


@pytest.mark.parametrize(
    "member, road",
    [(TOBIN, CINDER_LANE), (ROSALIND, THREE_KILNS), (IMKE, LONG_HILL), (FAROUK, CINDER_LANE)],
    ids=lambda x: x.name,
)
def test_the_headline_is_the_middle_of_its_own_draws(member, road):
    """An independent count of the draws: half of them save more than the headline."""
    report = build_report(BL7, "hoods", "time-trial", member, road, draws=200)
    drawn = BL7.draws(200, 1)
    days = drawn_days(road.course, member.rider, **road.day(member.power), unstated=Unstated(), draws=200)
    times = [
        ride_on(days, replace(days.rider, drag_area=drawn[name])).time
        for name in ("hoods", "time-trial")
    ]
    below = np.mean(times[0] - times[1] < report.seconds.mid)
    assert below == pytest.approx(0.5, abs=0.001)
    assert report.planning.mid == report.seconds.mid


def test_the_ride_as_assumed_is_told_where_it_is_not_the_middle():
    """In an unexpected wind of 2 m/s more is saved than in the expected one."""
    report = build_report(BL7, "hoods", "clip-ons", TOBIN, THREE_KILNS,
                          unstated=Unstated(0, 0, 0, 0, 2.0, 0))  # fmt: skip
    assert report.assumed < report.planning.low and "Exactly as assumed" in report.answer[0]
    calm = build_report(BOTH, "bars", "low", TOBIN, LONG_HILL).answer[0]
    assert "Exactly as assumed" not in calm


def test_what_would_eat_the_seconds_up_is_told():
    """By an independent ride: with that much power less, the new set-up is as slow as the old."""
    report = build_report(BOTH, "bars", "low", TOBIN, CINDER_LANE)
    sentence = next(s for s in report.sentences if s.startswith("The gain is gone"))
    watts = float(sentence.split()[-2])
    slow = ode_ride(CINDER_LANE.course, replace(TOBIN.rider, drag_area=0.320), 220).time
    fast = ode_ride(CINDER_LANE.course, replace(TOBIN.rider, drag_area=0.300), 220 - watts).time
    assert slow == pytest.approx(fast, rel=0.001)  # the watts are told as a whole number


def test_a_published_range_that_is_wider_on_one_side_stays_so():
    """The draws give back the 95 % range that was typed; a difference takes the side that counts."""
    one, two = PublishedArea(0.26, 0.25, 0.33), PublishedArea(0.24, 0.20, 0.25)
    numbers = FromNumbers({"one": one, "two": two})
    ends = np.quantile(numbers.draws(200_000, 1)["one"].drag_area, [0.025, 0.5, 0.975])
    assert ends == pytest.approx([0.25, 0.26, 0.33], abs=5e-4)
    found = numbers.compare("one", "two", 0.0)
    assert found.low == pytest.approx(0.02 - np.hypot(0.01, 0.01), abs=1e-12)
    assert found.high == pytest.approx(0.02 + np.hypot(0.07, 0.04), abs=1e-12)


# -- the audience -------------------------------------------------------------------------------------


@pytest.mark.usefixtures("few_days", "unpainted")
def test_each_cell_is_what_the_page_of_that_rider_says():
    table = audience(BL7, MEMBERS.values(), CINDER_LANE, unstated=EXACT)
    for member, cells in zip(table.members, table.cells):
        page = build_report(BL7, "hoods", "time-trial", member, CINDER_LANE, unstated=EXACT)
        cell = cells["time-trial"]
        assert cell.seconds.mid == pytest.approx(page.seconds.mid)
        assert cell.watts.mid == pytest.approx(page.watts.mid)
        assert cell.seconds.low == pytest.approx(page.planning.low)
        assert cells["hoods"].seconds.mid == 0


def test_where_the_order_flips_is_where_two_set_ups_take_the_same_time():
    """In a side wind a set-up that falls with yaw is for slow riders, one low at yaw 0 for fast."""
    lines = ["set-up,repeat,order,speed [m/s],yaw [deg],temperature [degC],station pressure [hPa],"
             "humidity [%],drag,drag unit,tare,tare unit,axis"]  # fmt: skip
    rho, order = 1.2, 0
    for repeat in (1, 2):
        for name, areas in {"round": {0: 0.300, 15: 0.300}, "deep": {0: 0.306, 15: 0.270}}.items():
            for yaw, area in areas.items():
                order += 1
                force = 3.0 + (area + 0.0001 * repeat) * rho * 72
                lines.append(f"{name},{repeat},{order},12.0,{yaw},20.0,1013.25,0,{force:.6f},N,3.0,N,body")
    sheet = read_sheet(BytesIO("\n".join(lines).encode()))
    side = Road("Side Road", Course([Leg(20_000.0)]), "Wind from the side.", np.ones(1),
                np.full(1, 0.5), np.pi / 2)  # fmt: skip
    table = audience(sheet, [TOBIN], side, unstated=EXACT)
    (power, below, above), = table.flips
    assert (below, above) == ("deep", "round")
    slow, fast = (audience(sheet, [Member("x", TOBIN.rider, p, "")], side, unstated=EXACT).order[0][0]
                  for p in (power * 0.8, power * 1.25))  # fmt: skip
    assert (slow, fast) == ("deep", "round")
    assert any("flips" in piece for piece in audience_part(table).pieces if isinstance(piece, str))


@pytest.mark.usefixtures("few_days")
def test_the_part_has_riders_down_and_set_ups_across():
    part = audience_part(audience(BL7, MEMBERS.values(), LONG_HILL))
    rows = next(piece for piece in part.pieces if isinstance(piece, Table)).rows
    assert [row["Rider"].split(",")[0] for row in rows] == list(MEMBERS)
    assert list(rows[0]) == ["Rider", "hoods (now)", "clip-ons", "time-trial"]
    assert "80 %" in part.pieces[0].caption and " to " in rows[0]["clip-ons"]
    assert any("order" in piece for piece in part.pieces if isinstance(piece, str))


def test_riders_from_the_room():
    """A speed becomes the power that rides it on the flat: 100 N x v at the wheel by algebra."""
    rider = Rider(80, 0.3, rolling_coefficient=0.0, drivetrain_efficiency=1.0)
    june, sam, ann = read_members("June 180 W 75 kg; Sam 36 km/h 80,5 kg\nAnn Lee, 250W, 70kg", rider)
    assert (june.name, june.power, june.rider.all_up_mass) == ("June", 180, 75)
    assert sam.power == pytest.approx(0.5 * 1.2 * 0.3 * 1000) and sam.rider.all_up_mass == 80.5
    assert (ann.name, ann.power) == ("Ann Lee", 250)


@pytest.mark.parametrize(
    "text, words",
    [("", "Nobody is named"), ("June", "give a power or a speed, and a mass"),
     ("June 180 75 kg", "a unit is needed"), ("June 5000 W 70 kg", "outside 10 to 1500 W"),
     ("June 180 W -3 kg", "all-up mass −3 kg"), ("June 180 W", "and a mass"), ("; ;", "Nobody"),
     ("June 1.2.3 W 70 kg", "June")],
)  # fmt: skip
def test_what_cannot_be_read_of_the_room_is_told_by_rider(text, words):
    with pytest.raises(ValueError, match=words):
        read_members(text, TOBIN.rider)


def test_nobody_and_a_crowd_are_refused():
    for crowd in ([], [TOBIN] * 21):
        with pytest.raises(ValueError, match="one to 20 riders"):
            audience(BL7, crowd, LONG_HILL)


def test_the_watts_of_the_audience_hold_the_doubt_about_the_power():
    """dW/W = 3 dv/v = 3/(1 + 2 s) dP/P at the rider's own speed, by the small-change rule."""
    numbers = FromNumbers({
        "before": PublishedArea(0.32, 0.3199999, 0.3200001),
        "after": PublishedArea(0.30, 0.2999999, 0.3000001),
    })  # fmt: skip
    table = audience(numbers, [TOBIN], CINDER_LANE, unstated=replace(EXACT, power=0.04))
    found = table.cells[0]["after"].watts
    speed = steady_speed(TOBIN.rider, Conditions(), TOBIN.power)
    share = power_balance(TOBIN.rider, Conditions(), speed).air_share
    half = 1.2816 * 0.04 * 3 / (1 + 2 * share) * found.mid
    assert (found.high - found.low) / 2 == pytest.approx(half, rel=0.08)  # 1000 draws

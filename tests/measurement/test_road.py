"""Courses from recorded rides and from tables of legs."""

import io
import random
import re
from dataclasses import fields, replace
from functools import cache

import gpxpy
import numpy as np
import published
import pytest
from loops import over
from tracks import METRE, STRETCH, climbing, file, gpx, hairpins, join, ride, ride_by_ode

from dragwork.measurement.gpx_points import gpx_points
from dragwork.measurement.road import (
    HOME,
    legs_table,
    read_gpx,
    read_legs,
    rows_of,
)
from dragwork.measurement.sheet_file import SheetError
from dragwork.measurement.track import on_a_plane
from dragwork.physics.course import Course, Leg
from dragwork.physics.course import ride as library_ride
from dragwork.physics.power import Rider
from dragwork.scenario import data_file, three_kilns
from dragwork.units import deg, kmh, percent, to_deg

# -- places on the earth ------------------------------------------------------------------------------


@pytest.mark.parametrize("record", published.for_test("test_a_degree_of_the_earth"), ids=lambda r: r.id)
def test_a_degree_of_the_earth(record):
    latitude, longitude = (
        np.linspace(*record.inputs[name], 2000) for name in ("latitude", "longitude")
    )
    longitude = np.where(longitude > 180, longitude - 360, longitude)
    record.assert_close(read_gpx(file(list(zip(latitude, longitude)))).distance)


def test_quarter_meridian():
    _, north = on_a_plane(np.linspace(0, 90, 20_000), np.zeros(20_000))
    published.record("quarter-meridian").assert_close(north[-1])


def test_quarter_of_the_equator():
    east, north = on_a_plane(np.zeros(100), np.linspace(0, 90, 100))
    published.record("equator").assert_close(east[-1])
    assert np.all(north == 0)


def test_length_as_gpxpy_measures_it():
    text = gpx(ride(lambda s: 0 * s, apart=50))
    record = published.record("gpxpy-length")
    expected = gpxpy.parse(text).length_2d()
    assert read_gpx(io.StringIO(text)).distance == pytest.approx(expected, rel=record.tolerance)


@pytest.mark.parametrize("bearing", [0, 45, 90, 135, 180, 225, 270, 315])
def test_heading_clockwise_from_north(bearing):
    along = np.arange(0, 3000, 20.0) * METRE
    stretch = 1 / np.cos(np.deg2rad(45.0))
    points = zip(45 + along * np.cos(deg(bearing)), 7 + along * np.sin(deg(bearing)) * stretch)
    course = read_gpx(file(list(points)))
    turn = to_deg(np.angle(np.exp(1j * (course.legs[0].heading - deg(bearing)))))
    assert abs(turn) < 0.5 and len(course.legs) == 1


# -- what a receiver makes of a road ------------------------------------------------------------------

HILLS = {
    "one long hill": lambda s: 400 - abs(s - 10_000) * 0.04,
    "rolling, 1 km": lambda s: 20 * np.sin(2 * np.pi * s / 1000),
    "rolling, 2 km": lambda s: 20 * np.sin(2 * np.pi * s / 2000),
    "rolling, 5 km": lambda s: 60 * np.sin(2 * np.pi * s / 5000),
}
RECEIVERS = {
    "no noise": {"apart": 10.0},
    "barometer": {"apart": 10.0, "places": 2.0, "elevations": 0.3},
    "satellites": {"apart": 10.0, "places": 3.0, "elevations": 2.0},
    "sparse": {"apart": 25.0, "places": 3.0, "elevations": 1.0},
}


@pytest.mark.parametrize("receiver", RECEIVERS)
@pytest.mark.parametrize("hills", HILLS)
def test_a_known_ascent_comes_back_within_five_percent(hills, receiver):
    profile = HILLS[hills]
    course = read_gpx(file(ride(profile, **RECEIVERS[receiver], seed=11)))
    assert course.ascent == pytest.approx(climbing(profile), rel=0.05)
    assert course.distance == pytest.approx(20_000, rel=0.012)


@pytest.mark.parametrize("receiver", RECEIVERS)
def test_a_flat_road_stays_flat(receiver):
    for seed in range(2):
        course = read_gpx(file(ride(lambda s: 0 * s + 80, **RECEIVERS[receiver], seed=seed)))
        assert course.ascent < 5 * course.distance / 10_000


@pytest.mark.tour
@pytest.mark.parametrize("hills", ["flat", *HILLS])
def test_ascent_for_a_hundred_seeds(hills):
    profile = HILLS.get(hills, lambda s: 0 * s)
    found = []
    for seed in range(100):
        course = read_gpx(file(ride(profile, **RECEIVERS["satellites"], seed=seed)))
        found.append(course.ascent)
    slack = 10 if hills == "flat" else 0.05 * climbing(profile)
    assert np.mean(abs(np.array(found) - climbing(profile)) < slack) >= 0.95


def test_a_stop_at_a_red_light_adds_no_road():
    rng = np.random.default_rng(5)
    points = ride(lambda s: 0 * s, length=4000)
    still = np.array(points[200]) + rng.standard_normal((300, 3)) * [2 * METRE, 2 * METRE, 0.5]
    course = read_gpx(file([*points[:200], *map(tuple, still.tolist()), *points[200:]]))
    assert course.distance == pytest.approx(4000, rel=0.03)


def test_a_stray_point_is_left_out_and_told():
    points = ride(lambda s: 0 * s + 5, length=5000)
    points[100] = (points[100][0] + 0.05, points[100][1], points[100][2])
    points[300] = (0.0, 0.0, 5.0)
    course = read_gpx(file(points))
    assert course.distance == pytest.approx(5000, rel=0.01)
    assert "1 point far off the road left out." in course.record.notes
    assert "1 point without a place on the earth left out." in course.record.notes


def test_a_gap_is_bridged_and_told():
    points = ride(lambda s: 0 * s + 5, length=6000, bend=0.0)
    course = read_gpx(file(points[:200] + points[350:]))
    assert course.record.gaps == 1
    assert course.distance == pytest.approx(6000, rel=0.01)
    assert any("1 gap longer than 500 m, the longest 1510 m" in note for note in course.record.notes)


def test_a_spike_in_the_elevation_is_no_hill():
    points = ride(lambda s: 0 * s + 50, length=5000)
    points[250] = (*points[250][:2], 400.0)
    assert read_gpx(file(points)).ascent < 1


def test_hairpins_keep_their_length():
    for radius, apart, noise, short in ((8, 3, 0, 0.015), (12, 5, 1, 0.02), (12, 10, 0, 0.02), (20, 10, 2, 0.015)):
        length, points = hairpins(radius, apart=apart, noise=noise, gradient=0.12)
        course = read_gpx(file(points))
        assert course.distance == pytest.approx(length * np.hypot(1, 0.12), rel=short)
        assert course.ascent == pytest.approx(0.12 * length, rel=0.01)


def test_points_too_far_apart_for_the_bends_are_told():
    _, points = hairpins(12, apart=25, gradient=0.05)
    assert "The points are 2" in str(read_gpx(file(points)).record)
    assert "tighter than that" in str(read_gpx(file(points)).record)


def test_a_rolling_road_has_short_legs_and_a_straight_one_long_legs():
    rolling = read_gpx(file(ride(HILLS["rolling, 1 km"])))
    assert len(rolling.legs) > 300 and np.median(rolling.column("distance")) < 80
    assert len(read_gpx(file(ride(HILLS["one long hill"], bend=0.0))).legs) < 20


SHARP = {
    **HILLS,
    "rolling, mixed": lambda s: 12 * np.sin(s / 302) + 5 * np.sin(s / 116 + 1) + 40 * np.sin(s / 1432),
    "saw, 500 m": lambda s: 0.03 * abs((s + 500) % 1000 - 500),
    "saw, 700 m": lambda s: 0.035 * abs((s + 700) % 1400 - 700),
}


TOUR = pytest.mark.tour
SOME = [pytest.param(r, marks=() if r in ("barometer", "satellites") else TOUR) for r in RECEIVERS]


@cache
def true_times(hills):
    """Seconds of the ride over the true road, before and after."""
    rise = np.diff(SHARP[hills](np.arange(0.0, 12_001.0, 20.0)))
    return ride_by_ode(np.hypot(20.0, rise), rise / 20.0)


@pytest.mark.parametrize("receiver", SOME)
@pytest.mark.parametrize("hills", SHARP)
def test_a_ride_over_what_was_read_takes_as_long_as_over_the_true_road(hills, receiver):
    # Both rides by the solver of scipy, with kinetic energy: 84 kg, 0.32 m2 and 5 % less, 220 W.
    course = read_gpx(file(ride(SHARP[hills], length=12_000, **RECEIVERS[receiver], seed=3)))
    before, after = true_times(hills)
    now, then = ride_by_ode(course.column("distance"), course.column("gradient"))
    noisy = receiver in ("satellites", "sparse")
    assert now == pytest.approx(before, rel=0.015 if noisy else 0.01)
    assert now - then == pytest.approx(before - after, rel=0.04 if noisy else 0.012)
    rider = Rider(84.0, np.array([0.32, 0.304]), 0.004, 0.97, rotating_mass=0.0)
    ridden = library_ride(course, rider, 220.0, start_speed=8.0).time
    assert ridden == pytest.approx([now, then], rel=2e-3)


def test_the_ends_can_be_left_out():
    points = ride(lambda s: 0 * s, length=5000)
    whole, less = read_gpx(file(points)), read_gpx(file(points), drop_ends=HOME)
    assert less.distance == pytest.approx(whole.distance - 2 * HOME, abs=20)
    assert "The first and last 300 m are left out." in str(less.record)
    with pytest.raises(SheetError, match="Without 2500 m at each end less than 200 m are left"):
        read_gpx(file(points), drop_ends=2500)


def test_no_place_stays_in_a_course():
    course = read_gpx(file(ride(lambda s: 0 * s, length=3000)))
    assert set(vars(course.legs[0])) == {field.name for field in fields(Leg)}
    assert course.radius == (np.inf,) * len(course.legs)
    assert "45" not in str(course.record).replace("45 m", "")


def test_the_demo_ride():
    course = read_gpx(data_file("three_kilns.gpx"))
    assert course.ascent == pytest.approx(three_kilns.ASCENT, rel=0.05)
    assert course.distance == pytest.approx(60_000, rel=0.01)
    assert course.record.notes == () and course.record.gaps == 0


# -- files as they come -------------------------------------------------------------------------------


def test_gpx_1_0_and_a_route_are_read_with_a_note():
    points = ride(HILLS["one long hill"])
    old = read_gpx(file(points, version="1.0"))
    assert old.legs == read_gpx(file(points)).legs
    assert "GPX 1.0" in old.record.notes[0]
    route = read_gpx(file(points, kind="rte"))
    assert "planned route" in route.record.notes[0] and route.legs == old.legs


def test_without_elevation_it_counts_as_flat_and_says_so():
    course = read_gpx(file([point[:2] for point in ride(lambda s: 0 * s)]))
    assert course.ascent == 0
    assert "no elevation, so the road counts as flat" in course.record.notes[0]


def test_missing_elevations_are_filled_in_and_told():
    profile = HILLS["one long hill"]
    points = [p if i % 3 else p[:2] for i, p in enumerate(ride(profile))]
    course = read_gpx(file(points))
    assert course.ascent == pytest.approx(climbing(profile), rel=0.05)
    assert "667 points without elevation, filled in between." in course.record.notes


def test_elevations_that_are_all_the_same_count_as_none():
    course = read_gpx(file([(*point[:2], 0.0) for point in ride(lambda s: 0 * s)]))
    assert not course.record.heights and course.ascent == 0
    assert "All elevations in the file are the same, so the road counts as flat" in course.record.notes[0]
    assert read_gpx(file(ride(HILLS["rolling, 5 km"]))).record.heights


def test_tracks_that_follow_each_other_are_one_ride():
    points = ride(HILLS["one long hill"])
    whole, parted = read_gpx(file(points)), read_gpx(join(points[:600], points[600:]))
    assert parted.distance == pytest.approx(whole.distance, rel=1e-3)
    assert parted.ascent == pytest.approx(whole.ascent, rel=0.01)
    assert "2 tracks that follow each other are joined to one ride." in str(parted.record)
    assert not any("joined" in note for note in whole.record.notes)


def test_the_way_between_tracks_is_left_out_where_nobody_recorded_it():
    points = ride(HILLS["one long hill"])
    found = read_gpx(join(points[:600], points[1400:]))
    # 7.7 km as the crow flies: the road between winds by 0.4 rad, which is (1 - 0.4^2/4) of its 8 km
    assert found.distance == pytest.approx(12_000, rel=0.01)
    assert found.ascent == pytest.approx(6000 * 0.04, rel=0.02)
    assert "Between tracks 7.7 km were not recorded. They are left out." in found.record.notes


def test_tracks_of_two_days_are_two_rides():
    points = ride(HILLS["one long hill"])
    morning, later, tomorrow = "2001-01-01T08:00:00Z", "2001-01-01T15:00:00Z", "2001-01-03T08:00:00Z"
    found = read_gpx(join(points[:1500], points[1500:], times=(morning, tomorrow)))
    assert found.distance == pytest.approx(15_000, rel=0.01)
    assert "Of 2 tracks the longest is used." in found.record.notes
    found = read_gpx(join(points[:1500], points[1500:], times=(morning, later)))
    assert found.distance == pytest.approx(20_000, rel=0.01)


def test_a_track_that_repeats_another_is_left_out_and_segments_are_joined():
    points = ride(HILLS["one long hill"])
    found = read_gpx(join(points, points[:100]))
    assert "1 track left out: all its points are in another." in found.record.notes
    text = gpx(points)
    middle = text.index("<trkpt", len(text) // 3)
    parted = text[:middle] + "</trkseg><trkseg>" + text[middle:]
    assert read_gpx(io.StringIO(parted)).legs == found.legs


def test_a_file_has_a_name_and_a_fingerprint(tmp_path):
    path = tmp_path / "sunday.gpx"
    path.write_text(gpx(ride(HILLS["one long hill"], length=3000)), encoding="utf-8")
    record = read_gpx(path).record
    assert record.file == "sunday.gpx" and len(record.fingerprint) == 12
    assert read_gpx(io.BytesIO(path.read_bytes())).record == replace(record, file="")


# -- limits -------------------------------------------------------------------------------------------


def square(radius, side=400.0, apart=4.0):
    """Points round a square with rounded corners, three corners of it, and the corners' places."""
    heading = []
    for corner in range(4):
        heading += [corner * np.pi / 2] * int(side)
        arc = np.arange(0, np.pi / 2, 1 / radius)
        heading += list(corner * np.pi / 2 + arc) if corner < 3 else []
    east, north = np.cumsum(np.sin(heading)), np.cumsum(np.cos(heading))
    return [
        (45 + n * METRE, 7 + e * METRE * STRETCH, 50.0 + 0.01 * (i % 2))
        for i, (e, n) in enumerate(zip(east[:: int(apart)], north[:: int(apart)]))
    ]


@pytest.mark.parametrize("radius", [12.0, 20.0, 40.0])
def test_a_bend_has_short_legs_and_a_limit_by_its_radius(radius):
    course = read_gpx(file(square(radius))).with_limits(sideways=3.0)
    limit, distance = course.column("speed_limit"), course.column("distance")
    bends = np.isfinite(limit)
    assert "in 3 bends." in course.limits_in_words()
    assert limit[bends] ** 2 / radius == pytest.approx(3.0, rel=0.35)
    assert distance[bends].sum() == pytest.approx(3 * radius * np.pi / 2, rel=0.35)
    assert course.legs[0].speed_limit is None and course.legs[-1].speed_limit is None
    assert np.all(np.isinf(course_without_limits(course).with_limits(sideways=None).column("speed_limit")))


def course_without_limits(course):
    return replace(course, legs=tuple(replace(leg, speed_limit=None) for leg in course.legs))


def test_noise_makes_no_bends():
    course = read_gpx(file(ride(lambda s: 0 * s + 5, **RECEIVERS["satellites"], seed=2)))
    assert np.all(np.isinf(course.radius))


def test_a_descent_goes_on_while_it_falls_and_is_somewhere_steep():
    course = read_gpx(file(ride(HILLS["one long hill"], bend=0.0)))
    down = course.column("gradient") < percent(-1)
    limited = course.with_limits(kmh(45))
    assert np.array_equal(limited.column("speed_limit"), np.where(down, kmh(45), np.inf))
    assert limited.limits_in_words() == "Limits: 45 km/h on 1 descent (10.0 km)."
    gentle = read_gpx(file(ride(lambda s: 300 - 0.015 * s)))
    assert gentle.with_limits().limits_in_words() == "No speed limits."


def test_what_is_no_limit_is_refused():
    course = read_gpx(file(ride(lambda s: 0 * s + 5, length=2000)))
    with pytest.raises(ValueError, match="sideways 50 m/s2 is outside"):
        course.with_limits(sideways=50)
    with pytest.raises(ValueError, match="speed limit"):
        course.with_limits(descents=-1)


# -- files that are no road ---------------------------------------------------------------------------


def test_paths_bytes_and_encodings(tmp_path):
    points = ride(HILLS["one long hill"], length=3000)
    text = gpx(points, more="<metadata><name>Höhe</name></metadata>")
    legs = read_gpx(io.StringIO(text)).legs
    path = tmp_path / "ride.gpx"
    for encoding in ("utf-8", "utf-8-sig", "utf-16", "cp1252"):
        path.write_bytes(text.encode(encoding))
        assert read_gpx(path).legs == legs
    assert read_gpx(io.BytesIO(text.encode())).legs == read_gpx(str(path)).legs == legs


def test_a_prefix_for_the_namespace_is_valid_and_other_elements_are_passed_over():
    """As XML 1.0 has it, section 2 of its namespaces; the parser of gpxpy is the second witness."""
    points = ride(HILLS["one long hill"], length=3000)
    plain = gpx(points)
    legs = read_gpx(io.StringIO(plain)).legs
    prefixed = re.sub(r"<(/?)(?=[a-z])", r"<\1g:", plain).replace("xmlns=", "xmlns:g=")
    assert "<g:trkpt" in prefixed and read_gpx(io.StringIO(prefixed)).legs == legs
    more = (
        "<number>" + "9" * 5000 + "</number><number>1e999</number><extensions><x><ele>9</ele><trkpt/></x>"
        "</extensions>"
    )
    assert read_gpx(io.StringIO(plain.replace("<trk>", f"<trk>{more}", 1))).legs == legs
    known = [(p.latitude, p.longitude, p.elevation) for p in gpxpy.parse(plain).walk(only_points=True)]
    assert [[tuple(point[:3]) for point in t] for t in gpx_points(plain).tracks] == [known]


@pytest.mark.parametrize("bad", ["9" * 400, "1e400", "-1e400", "nan"])
def test_a_number_without_end_is_none(bad):
    points = ride(HILLS["one long hill"], length=3000)
    text = re.sub("<ele>[^<]*</ele>", f"<ele>{bad}</ele>", gpx(points), count=1)
    assert "1 point without elevation, filled in between." in read_gpx(io.StringIO(text)).record.notes
    text = gpx(points).replace('lat="', f'lat="{bad}" was="', 1)
    assert "1 point without a place on the earth left out." in read_gpx(io.StringIO(text)).record.notes


FAR = [(1, 1, 0), (30, 1, 0)]
BOMB = (
    '<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>'
    '<gpx version="1.1"><trk><name>&b;</name></trk></gpx>'
)
OUTSIDE = (
    '<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY x SYSTEM "file:///etc/hostname">]>'
    '<gpx version="1.1"><trk><name>&x;</name></trk></gpx>'
)


@over([
    ("", "is empty"),
    ("   \n", "is empty"),
    ("not a gpx at all", "no element 'gpx'"),
    ("<gpx", "damaged and cannot be read as GPX"),
    ("<gpx version='1.1'></gpx>", "no track or route of two points"),
    ("<gpx version='1.1'><wpt lat='1' lon='2'/></gpx>", "single places only"),
    (gpx([(1, 1)]), "no track or route of two points"),
    (gpx([(1, 1), (1, 1)]), "span 0 m of road; 200 m are needed"),
    (gpx(FAR), "span 3209 km, more than 1000 km"),
    (gpx([(91, 1), (92, 1)]), "Fewer than two points have a place"),
    (gpx([("x", 1), (1, 1)]), "damaged .* Invalid value"),
    (gpx([(1, 1)]).replace('lat="1"', ""), "damaged .* mandatory"),
    (BOMB, "declares a document type or entities"),
    (OUTSIDE, "declares a document type or entities"),
    (BOMB.encode("utf-16"), "declares a document type or entities"),
    (b"\x00\x01\x02", "not text"),
    ("<gpx><extensions>" + "<a>" * 150_000, "more than 50 elements stand within each other"),
    ("<a>" * 150_000 + "<gpx>", "more than 50 elements stand within each other"),
    ("<gpx" + ' a="1"' * 100_000 + "/>", "damaged and cannot be read as GPX: duplicate attribute"),
    ("<gpx>" + "<trkpt/>" * 100_001 + "</gpx>", "100001 points; at most 100000"),
    (b" " * 30_000_001, "larger than 30 MB"),
])
def test_what_is_no_road_is_refused_in_words(content, words):
    source = io.BytesIO(content) if isinstance(content, bytes) else io.StringIO(content)
    with pytest.raises(SheetError, match=words):
        read_gpx(source)


def test_no_such_file():
    with pytest.raises(SheetError, match="cannot be opened: no_such_ride.gpx: No such file"):
        read_gpx("no_such_ride.gpx")


@pytest.mark.parametrize("bad", [{"drop_ends": -1}, {"drop_ends": 2e6}])
def test_options_have_ranges(bad):
    with pytest.raises(ValueError, match="Left out at each end: .* outside the allowed range"):
        read_gpx("any", **bad)


def test_a_damaged_file_gives_a_course_or_a_clear_refusal():
    rng = random.Random(4)
    whole = gpx(ride(lambda s: 0 * s + 5, length=1500, apart=20))
    for _ in range(150):
        text = list(whole)
        for _ in range(rng.randrange(1, 4)):
            at, length = rng.randrange(len(text)), rng.randrange(1, 40)
            text[at : at + length] = rng.choice(["", "9", "<", "&", '"', "é", "-", "e5", "</trk>"])
        try:
            assert read_gpx(io.StringIO("".join(text))).distance > 0
        except SheetError as error:
            assert len(str(error)) < 400


# -- a table of legs ----------------------------------------------------------------------------------

TABLE = "length [km];gradient [%];heading [deg];limit [km/h];share of power [%];wind [m/s];wind from [deg]\n"


def test_a_table_of_legs_climbs_what_it_should():
    course = read_legs("length [km],gradient [%],heading [deg]\n10,4,0\n").course
    published.record("legs-ascent").assert_close(course.ascent)


def test_decimal_commas_and_empty_cells():
    found = read_legs(TABLE + "12,5;-3,5;180;50;50;;\n20;0;90;;;3,2;270\n")
    first, second = found.course.legs
    assert first == Leg(12_500, percent(-3.5), deg(180), kmh(50))
    assert second == Leg(20_000, 0, deg(90))
    assert found.power_factor.tolist() == [0.5, 1] and found.wind_speed.tolist() == [0, 3.2]
    assert found.wind_from.tolist() == [0, deg(270)]


def test_into_a_table_and_back():
    course = Course([Leg(20_000, 0, deg(10)), Leg(1234.5, 0.0412, deg(190), kmh(50))])
    found = read_legs(legs_table(course, [1, 0.5], 3.3, deg(200)))
    for name in ("distance", "gradient", "heading", "speed_limit"):
        np.testing.assert_allclose(found.course.column(name), course.column(name), rtol=1e-8)
    assert found.power_factor.tolist() == [1, 0.5] and found.wind_speed.tolist() == [3.3, 3.3]
    np.testing.assert_allclose(found.wind_from, deg(200), rtol=1e-8)


def test_a_table_from_a_file(tmp_path):
    path = tmp_path / "legs.csv"
    path.write_text(legs_table(Course([Leg(1000)])), encoding="utf-8")
    assert read_legs(path).course == read_legs(str(path)).course == Course([Leg(1000)])


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("1;45;0;;;;\n", "Row 2, column 'gradient .*45 % is outside the allowed range, -40 to 40 %"),
        ("1;x;0;;;;\n", "Row 2, column 'gradient .*'x' is not a number"),
        (";1;0;;;;\n", "Row 2, column 'length .*is empty"),
        ("-1;1;0;;;;\n", "Row 2, column 'length .*outside the allowed range"),
        ("", "header"),
    ],
)
def test_a_cell_that_is_not_clear_is_named(rows, words):
    with pytest.raises(SheetError, match=words):
        read_legs(TABLE + rows)


def test_rows_fit_the_course():
    with pytest.raises(ValueError, match="wind speed has the shape"):
        rows_of(Course([Leg(1000)]), wind_speed=[1, 2])

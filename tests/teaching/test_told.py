"""A claim in the words in which it is heard; what it comes to is worked out by hand beside it."""

import pytest
from hypothesis import given
from hypothesis import strategies as some
from loops import over

from dragwork.teaching.told import claim_of, left_out, read_road, read_told

KMH, MILE, G = 1 / 3.6, 1609.344, 9.80665  # m/s, m, m/s2: exact

HEARD = [  # text, of which sort it is, what it tells in SI
    ("20 W at 50", "watts", {"watts": 20, "speed": 50 * KMH}),
    ("20W @ 50 km/h", "watts", {"watts": 20, "speed": 50 * KMH}),
    ("saves 20 watts at about 50 kilometres an hour", "watts", {"watts": 20, "speed": 50 * KMH}),
    ("20 W, 50 km/h", "watts", {"watts": 20, "speed": 50 * KMH}),
    ("at 50 km/h it saves 20 W", "watts", {"watts": 20, "speed": 50 * KMH}),
    ("20 W at 30 mph", "watts", {"watts": 20, "speed": 30 * MILE / 3600}),
    ("20 W at 30 miles per hour", "watts", {"watts": 20, "speed": 30 * MILE / 3600}),
    ("15 to 20 W", "watts", {"watts": (15, 20)}),
    ("15-20 W", "watts", {"watts": (15, 20)}),
    ("15–20W at 45", "watts", {"watts": (15, 20), "speed": 45 * KMH}),
    ("15 W to 20 W", "watts", {"watts": (15, 20)}),
    ("20 to 15 W", "watts", {"watts": (15, 20)}),
    ("between 15 and 20 W at 45", "watts", {"watts": (15, 20), "speed": 45 * KMH}),
    ("20 ± 5 W", "watts", {"watts": (15, 25)}),
    ("20 +/- 5 W", "watts", {"watts": (15, 25)}),
    ("up to 20 W", "watts", {"watts": (0, 20)}),
    ("as much as 20 W at 48 km/h", "watts", {"watts": (0, 20), "speed": 48 * KMH}),
    ("at least 20 W", "watts", {"watts": 20}),
    ("−3 W", "watts", {"watts": -3}),
    ("loses 3 W at 45", "watts", {"watts": -3, "speed": 45 * KMH}),
    ("minus 3 W", "watts", {"watts": -3}),
    ("speed 50 km/h: 20 W", "watts", {"watts": 20, "speed": 50 * KMH}),
    ("20w@50kph", "watts", {"watts": 20, "speed": 50 * KMH}),
    ("20 W at 45 in air of 1.15 kg/m3", "watts", {"watts": 20, "speed": 45 * KMH, "air_density": 1.15}),
    ("the BL7 helmet saves 20 W", "watts", {"watts": 20}),
    ("90s/40km", "time", {"time": 90, "distance": 40e3}),
    ("12,5 W", "watts", {"watts": 12.5}),
    ("0.02 kW", "watts", {"watts": 20}),
    ("20 W at the crank at 45 km/h", "watts", {"watts": 20, "speed": 45 * KMH, "at": "crank"}),
    ("20 W at 48 km/h and 15° of yaw", "watts", {"watts": 20, "speed": 48 * KMH, "yaw": 0.2617993877991494}),
    ("20 W at 50 km/h for 300 EUR", "watts", {"watts": 20, "speed": 50 * KMH}),
    ("1:00", "time", {"time": 60}),
    ("1 min 30 s over 40 km", "time", {"time": 90, "distance": 40e3}),
    ("1 min 30 over 40", "time", {"time": 90, "distance": 40e3}),
    ("1m30s over 40k", "time", {"time": 90, "distance": 40e3}),
    ("1:30 over 40 km", "time", {"time": 90, "distance": 40e3}),
    ("1.5 min over 25 miles", "time", {"time": 90, "distance": 25 * MILE}),
    ("20 minutes over 180 km", "time", {"time": 1200, "distance": 180e3}),
    ("a saving of 20 min over 180 kilometers", "time", {"time": 1200, "distance": 180e3}),
    ("60 to 90 s over 40 km", "time", {"time": (60, 90), "distance": 40e3}),
    ("1:00 to 1:30 over 40 km", "time", {"time": (60, 90), "distance": 40e3}),
    ("1:00 to 2 min over 40 km", "time", {"time": (60, 120), "distance": 40e3}),
    ("1 min 30 s to 2 min 10 s over 40 km", "time", {"time": (90, 130), "distance": 40e3}),
    ("2 min to 1 min 30 s", "time", {"time": (90, 120)}),
    ("up to a minute over 40 km", "time", {"time": (0, 60), "distance": 40e3}),
    ("2 s per km", "time", {"time": 2, "distance": 1e3}),
    ("2 s/km", "time", {"time": 2, "distance": 1e3}),
    ("3 seconds a mile", "time", {"time": 3, "distance": MILE}),
    ("10 seconds per 10 km", "time", {"time": 10, "distance": 10e3}),
    ("90 s over 40 km in 1:06:40", "time", {"time": 90, "distance": 40e3, "ride_time": 4000}),
    ("90 s over 40 km in 1 h 6 min 40 s", "time", {"time": 90, "distance": 40e3, "ride_time": 4000}),
    ("60 s over 40 km at 250 W", "time", {"time": 60, "distance": 40e3, "power": 250}),
    ("60 s over 40 km at 45", "time", {"time": 60, "distance": 40e3, "speed": 45 * KMH}),
    ("60 s slower over 40 km", "time", {"time": -60, "distance": 40e3}),
    ("4 % less drag", "percent", {"percent": 0.04}),
    ("4 to 6 per cent", "percent", {"percent": (0.04, 0.06)}),
    ("up to 5%", "percent", {"percent": (0, 0.05)}),
    ("80 grams of drag at 30 mph", "force", {"force": 0.08 * G, "speed": 30 * MILE / 3600}),
    ("0.8 N", "force", {"force": 0.8}),
    ("300 grams lighter", "mass", {"mass": 0.3}),
    ("2 lb lighter", "mass", {"mass": 2 * 0.45359237}),
    ("20 W at 50 km/h and 90 s over 40 km", "watts",
     {"watts": 20, "speed": 50 * KMH, "time": 90, "distance": 40e3, "speed_of": ("watts",)}),
]  # fmt: skip

ROADS = [
    ("40", {"distance": 40e3}),
    ("25 miles", {"distance": 25 * MILE}),
    ("40 km in 1:06:40", {"distance": 40e3, "ride_time": 4000}),
    ("40 km in 1:06", {"distance": 40e3, "ride_time": 3960}),  # 40 km in 66 s is none
    ("10 km in 16:40", {"distance": 10e3, "ride_time": 1000}),
    ("10 km in 0:00", {"distance": 10e3, "ride_time": 0}),
]



BESIDE = ("speed", "distance", "ride_time", "yaw", "air_density", "power", "at")


@over(HEARD)
def test_a_claim_is_read_as_it_is_heard(text, sort, told):
    found = read_told(text)
    assert found.sort == sort and found.text == text
    beside = {name for name in BESIDE if getattr(found, name) is not None}
    assert {*found.numbers, *beside} == set(told) - {"speed_of"}
    for name, value in told.items():
        if name in found.numbers:
            ends = value if isinstance(value, tuple) else (value, value)
            assert found.numbers[name] == pytest.approx(ends, rel=1e-12)
        else:
            assert getattr(found, name) == (value if isinstance(value, str | tuple) else pytest.approx(value))


@pytest.mark.parametrize(("text", "told"), ROADS)
def test_a_road_is_read_with_its_time(text, told):
    assert read_road(text) == pytest.approx(told)


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("20 W", {"speed", "at", "about"}), ("20 W at 50 at the crank", {"about"}), ("60 s", {"distance", "speed", "about"}),
        ("90 s over 40 km in 1:06:40", {"about"}), ("4 % less drag", {"of_what", "about"}), ("5 % less of the whole drag", {"about"}),
        ("4 % less power", {"speed", "about"}), ("80 g lighter", set()), ("2 % more power", set()), ("nonsense", set()), ("", set()),
    ],
)  # fmt: skip
def test_only_what_is_left_out_gets_a_box(text, asked):
    assert left_out(text) == asked


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "Nothing typed yet"),
        ("twenty", "no number in it"),
        ("20", "has no unit"),
        ("20 W in 5 parts", "has no unit"),
        ("20 W and 30 W", "does not fit beside the other number"),
        ("20 W at 40 to 50 km/h", "give one number here, not a range"),
        ("20 W at 20 °C", "has no place here"),
        ("80 g", "of drag, or 80 g lighter"),
    ],
)  # fmt: skip
def test_what_has_no_place_is_refused_in_words(text, words):
    with pytest.raises(ValueError) as refusal:
        read_told(text)
    assert words in str(refusal.value) and str(refusal.value).endswith(".")


@given(some.text(max_size=60))
def test_any_line_is_read_or_refused_in_words(text):
    for read in (read_told, read_road):
        try:
            read(text)
        except ValueError as refusal:
            assert str(refusal).endswith(".")


def test_two_speeds_that_do_not_agree_are_refused_and_two_alike_are_one():
    told = read_told("20 W at 50")
    assert told.with_(speed=50 * KMH).speed == pytest.approx(50 * KMH)
    with pytest.raises(ValueError, match="The speed is given twice"):
        told.with_(speed=45 * KMH)


def test_the_claims_of_a_line():
    """2 P/(rho v^3) at both ends: 15 and 20 W at 50 km/h in 1.2 kg/m3; half of it for `up to`."""
    line = read_told("15 to 20 W in the air at 50").with_(air_density=1.2, yaw=0.0)
    area = claim_of(line).drag_area_change
    low, high = (2 * watts / (1.2 * (50 * KMH) ** 3) for watts in (15, 20))
    assert (area.low, area.mid, area.high) == pytest.approx((low, (low + high) / 2, high))
    up_to = read_told("up to 20 W in the air at 50").with_(air_density=1.2, yaw=0.0)
    area = claim_of(up_to).drag_area_change
    assert (area.low, area.mid, area.high) == pytest.approx((0, high / 2, high))
    claim = claim_of(read_told("1 min 30 s over 40 km in 1:06:40"))
    assert claim.words == "90 s over 40 km at 36 km/h"  # 40 km in 4000 s
    with pytest.raises(ValueError, match="Over what distance"):
        claim_of(read_told("90 s"))


def test_a_speed_belongs_to_the_number_beside_it():
    line = read_told("20 W at 50 km/h and 90 s over 40 km")
    stated = {kind: [c.mid for c in claim_of(line, kind).conditions if c.name == "speed" and c.stated] for kind in line.numbers}
    assert stated == {"watts": [pytest.approx(50 * KMH)], "time": []}
    line = read_told("90 s over 40 km").with_(speed=45 * KMH)
    assert claim_of(line).words == "90 s over 40 km at 45 km/h"


SORTS = {  # more lines as they are heard, by the sort that each is of
    "watts": ["This helmet is worth 15 watts", "saves 20 W more than the old helmet", "20-Watt helmet", "fifteen to twenty watts", "15 W + 8 W"],
    "time": ["saves you 40 seconds in a 10 mile time trial", "20 min faster for 180 km", "half an hour over 180 km", "3 seconds per km"],
    "percent": ["reduces drag by 6 percent", "6 % lower CdA", "ten percent", "drafting saves 30 %", "5% + 10%"],
    "force": ["0.8 N less drag at 50", "100 grams less drag at 30mph"],
    "mass": ["takes 1 kg off the bike", "a kilo lighter", "weighs 80 g less", "two kilos lighter"],
    "power": ["1 % more FTP", "an extra 15 watts", "30 watts more", "adds 10 W to your power", "get fitter", "ceramic bearings save 2 W",
              "a waxed chain is worth 3 watts", "5 % stronger after winter training", "more training is better than a helmet"],
    "rolling": ["tubeless tyres save 5 watts", "lower pressure saves 3 W", "latex tubes save 4 W at 40 km/h"],
    "sense": ["faster riders benefit most", "The quicker the rider, the bigger the saving", "weaker riders gain less in seconds"],
    "crosswind": ["works best in crosswinds", "great with wind from the side"],
    "share": ["the clip-ons give half of it", "bars give 80 % of it for 10 % of the price", "clip on bars give you most of the gain"],
}  # fmt: skip


@over([(sort, text) for sort, texts in SORTS.items() for text in texts])
def test_the_sort_is_read_from_the_words(sort, text):
    assert read_told(text).sort == sort


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("fifteen to twenty watts", {"watts": (15, 20)}), ("15 W + 8 W + 5 W", {"watts": (28, 28)}),
        ("an extra 15 watts", {"watts": (15, 15)}), ("half an hour over 180 km", {"time": (1800, 1800)}),
        ("costs 10 W", {"watts": (-10, -10)}), ("1 km/h faster at 40 km/h", {"time": (40e3 * 3.6 * (1 / 40 - 1 / 41),) * 2}),
        ("5 % faster at 40", {"time": (3600 * (1 - 1 / 1.05),) * 2}), ("5% + 10%", {"percent": (1 - 0.95 * 0.9,) * 2}),
    ],
)  # fmt: skip
def test_numbers_in_words_sums_and_gains_of_speed(text, numbers):
    found = read_told(text).numbers
    assert found.keys() == numbers.keys() and all(found[k] == pytest.approx(v) for k, v in numbers.items())


@pytest.mark.parametrize(
    "text", ["a cheap helmet gives 90 % of the benefit", "200 g lighter wheels are worth 5 watts", "saves 3 % time", "0.3 W/kg more",
             "a third less drag", "20 W at 50, but only 12 W at 40", "losing 2 kg beats any helmet", "7 kg bike instead of 8 kg"]
)  # fmt: skip
def test_what_is_not_read_is_refused_rather_than_guessed(text):
    with pytest.raises(ValueError, match=r"\.$"):
        read_told(text)

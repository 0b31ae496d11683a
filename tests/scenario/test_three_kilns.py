"""The made-up recording: made by its script, invented, at no place where a road is."""

import json

import gpxpy
import numpy as np
import pytest

from dragwork.scenario import data_file, three_kilns


@pytest.mark.parametrize(
    ("name", "content"),
    [("three_kilns.gpx", three_kilns.gpx), ("three_kilns_manifest.json", three_kilns.manifest)],
)
def test_files_are_those_that_the_script_makes(name, content):
    assert data_file(name).read_bytes() == content().encode()
    assert "Invented for teaching" in content()


def test_another_seed_is_another_recording():
    assert three_kilns.gpx(1) != three_kilns.gpx()


def test_the_true_road_is_as_long_and_as_high_as_said():
    east, north, elevation = three_kilns.out_and_back()
    found = json.loads(three_kilns.manifest())
    assert np.hypot(np.diff(east), np.diff(north)).sum() == pytest.approx(found["true_length [m]"])
    assert np.clip(np.diff(elevation), 0, None).sum() == pytest.approx(found["true_ascent [m]"])
    assert (east[0], north[0], elevation[0]) == (east[-1], north[-1], elevation[-1])


def test_it_is_gpx_1_1_without_times_in_mid_ocean():
    parsed = gpxpy.parse(data_file("three_kilns.gpx").read_text(encoding="utf-8"))
    assert parsed.version == "1.1" and not parsed.has_times()
    points = parsed.tracks[0].segments[0].points
    assert len(points) == 2401
    for point in points:  # the middle of the South Pacific, a thousand kilometres from any island
        assert -40.5 < point.latitude < -39.5 and -120.5 < point.longitude < -119.5

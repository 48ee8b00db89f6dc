import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.feeds.bench.bench_options import bench_options
from firmware.feeds.bench.light import camera_matrix
from firmware.feeds.bench.sensor import (
    LIGHT_CODES,
    LOWEST_STOPS,
    STEPS_A_STOP,
    cloud_of,
    light_codes,
    light_of_codes,
    sensor_tables,
    under_light,
)
from overlays.measure.counting.clip import picture_codes
from overlays.signal.carried import CarriedCurve
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve, published_curves
from overlays.signal.signal import Range, Signal


def carried(name, signal_range=Range.LIMITED):
    curve = published_curve(name)
    return CarriedCurve(curve, curve.carriage, signal_range)


@given(st.floats(2.0**-16, 60.0))
def test_a_light_code_is_within_half_a_step(light):
    code = light_codes(np.full(1, light, dtype=np.float32))
    back = light_of_codes()[code][0]
    assert abs(np.log2(back / light)) <= 0.5001 / STEPS_A_STOP + 1e-6


def test_no_light_is_the_lowest_code_and_too_much_the_highest():
    assert light_codes(np.array([0.0, -1.0, 1e9], dtype=np.float32)).tolist() == [
        0,
        0,
        LIGHT_CODES - 1,
    ]
    assert light_of_codes()[0] == pytest.approx(0.18 * 2.0**LOWEST_STOPS)


@pytest.mark.parametrize(
    ("signal", "codes"),
    [
        # Legal codes of tests/reference/levels.csv (1-254, 4-1019) and their 12-bit kin.
        (Signal(8), (1, 254)),
        (Signal(10), (4, 1019)),
        (Signal(12), (16, 4079)),
        (Signal(8, Range.FULL), (0, 255)),
        (Signal(10, Range.FULL), (0, 1023)),
    ],
)
def test_codes_kept_for_timing_are_never_sent(signal, codes):
    assert picture_codes(signal) == codes


@pytest.mark.parametrize("curve", published_curves(), ids=lambda c: c.name)
def test_tables_are_finite_and_rise_up_to_the_clip(curve):
    laid = CarriedCurve(curve, Carriage.NARROW, Range.LIMITED)
    tables = sensor_tables(bench_options("kelvin=3200"), laid)
    assert tables.light.shape == tables.nominal.shape == tables.sigma.shape == (LIGHT_CODES,)
    for table in (tables.light, tables.nominal, tables.sigma):
        assert np.isfinite(table).all()
    # F-Log and L-Log do not quite meet at their break, in the specification itself.
    assert (np.diff(tables.nominal) >= -1e-3).all()
    assert (tables.sigma >= 0.0).all()
    assert tables.sigma[-1] == 0.0


def test_standard_gamma_ends_at_its_top_and_a_log_curve_at_the_sensors_clip():
    assert sensor_tables(bench_options(""), carried("BT.709")).nominal.max() == pytest.approx(1.0)
    assert sensor_tables(bench_options(""), carried("HLG")).nominal.max() == pytest.approx(1.0)
    log = carried("S-Log3")
    tables = sensor_tables(bench_options("clip=5"), log)
    assert tables.nominal.max() == pytest.approx(log.nominal(0.18 * 32.0), abs=1e-5)


def test_exposure_moves_light_before_the_clip():
    plain = sensor_tables(bench_options(""), carried("S-Log3"))
    brighter = sensor_tables(bench_options("exposure=1"), carried("S-Log3"))
    assert brighter.light == pytest.approx(2.0 * plain.light)
    assert brighter.nominal.max() == plain.nominal.max()


def test_noise_scales_and_vanishes():
    usual, double, none = (
        sensor_tables(bench_options(f"noise={n}"), carried("S-Log3")).sigma for n in (1, 2, 0)
    )
    mid = round(-LOWEST_STOPS * STEPS_A_STOP)
    assert double[mid] == pytest.approx(2.0 * usual[mid], rel=1e-3)
    assert (none == 0.0).all()


def test_the_cloud_leaves_the_middle_and_the_right_alone():
    options = bench_options("size=640x360")
    cloud = cloud_of(options)
    assert (cloud.weight[240:] == 0).all()
    assert cloud.weight[0] == 4096
    assert cloud.wheel.min() >= 0
    assert cloud.wheel.max() == pytest.approx(0.3 * STEPS_A_STOP, rel=0.15)
    assert cloud_of(bench_options("cloud=0")).wheel.max() == 0


def test_the_cloud_dims_fully_up_to_a_fifth_of_the_width_and_by_half_at_28_percent():
    weight = cloud_of(bench_options("size=1000x500")).weight
    whole = weight.max()
    assert (weight[:200] == whole).all()  # a fifth; in between it is even (a smooth step)
    assert weight[279:281].mean() == pytest.approx(whole / 2.0, rel=1e-3)
    assert (weight[360:] == 0).all()
    assert np.count_nonzero((weight > 0) & (weight < whole)) > 155


def test_the_cloud_has_no_edge():
    cloud = cloud_of(bench_options("cloud=1"))
    assert np.abs(np.diff(cloud.wheel)).max() <= 3
    assert abs(int(cloud.wheel[0]) - int(cloud.wheel[-1])) <= 3


def test_a_light_that_suits_the_dial_leaves_the_scene_itself():
    scene = light_codes(np.random.default_rng(1).uniform(0.0, 4.0, (130, 8, 3)).astype(np.float32))
    assert under_light(scene, bench_options("kelvin=4300,dial=4300,tint=3,dial-tint=3")) is scene


def test_another_light_is_the_cameras_matrix_on_every_pixel():
    linear = np.random.default_rng(1).uniform(0.05, 4.0, (130, 8, 3)).astype(np.float32)
    found = under_light(light_codes(linear), bench_options("kelvin=3200,dial=5600,tint=5"))
    expected = linear @ camera_matrix(3200.0, 5.0, 5600.0).T
    np.testing.assert_allclose(light_of_codes()[found], np.maximum(expected, 0.0), 1e-3, 1e-4)


def test_light_beyond_the_primaries_is_no_light():
    linear = np.array([[[0.9, 0.9, 0.0]]], dtype=np.float32)
    found = under_light(light_codes(linear), bench_options("kelvin=3200,dial=5600"))
    assert found.min() == 0


def test_light_that_is_kept_cannot_be_spoilt():
    tables = sensor_tables(bench_options(""), carried("BT.709"))
    for kept in (light_of_codes(), tables.light):
        with pytest.raises(ValueError, match="read-only"):
            kept[0] = 1.0
    # Loops take these two; an array that cannot be written would be another kind to them.
    assert tables.nominal.flags.writeable
    assert tables.sigma.flags.writeable

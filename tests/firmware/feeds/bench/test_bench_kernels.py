import numpy as np
import pytest

from firmware.feeds.bench.bench_kernels import WHEEL, Cloud, Encoder, Output, Plate, emit, render
from firmware.feeds.bench.layout import layout_named, sample_steps
from overlays.signal.levels import encoding
from overlays.signal.signal import Signal, Subsampling

ROWS, COLUMNS = 6, 10
F32 = np.float32


def setting(sub, dim=0):
    """An encoder with straight tables, a cloud of one depth, and a random scene."""
    layout = layout_named({"4:4:4": "yuv444", "4:2:2": "yuv422", "4:2:0": "yuv420"}[sub.value])
    buffer = np.zeros(layout.samples(ROWS, COLUMNS), dtype=np.uint8)
    steps = sample_steps(buffer, layout.views(buffer, ROWS, COLUMNS, 1))
    nominal = np.arange(65536, dtype=F32) / F32(65535.0)
    way = encoding(Signal(8, subsampling=sub))
    encoder = Encoder(
        nominal,
        np.full(65536, 0.002, dtype=F32),
        (way.matrix * 256.0).astype(F32),
        (way.zero * 256.0).astype(F32),
        1.0,
        steps,
        sub.rows,
        sub.columns,
    )
    flat = np.zeros(COLUMNS, np.int32), np.zeros(ROWS, np.int32)
    weight = np.full(COLUMNS, WHEEL, np.int32)
    cloud = Cloud(np.full(WHEEL, dim, np.int32), *flat, weight)
    scene = np.random.default_rng(3).integers(8000, 60000, (ROWS, COLUMNS, 3)).astype(np.uint16)
    plate = Plate(np.zeros(buffer.size, np.uint16), np.zeros(buffer.size, np.uint8))
    return scene, encoder, cloud, plate, way


def expected(scene, way, sub):
    planes = (scene / 65535.0) @ way.matrix.T + way.zero
    out = [planes[:, :, 0]]
    for n in (1, 2):
        shape = (ROWS // sub.rows, sub.rows, COLUMNS // sub.columns, sub.columns)
        out.append(planes[:, :, n].reshape(shape).mean(axis=(1, 3)))
    return np.concatenate([plane.ravel() for plane in out])


@pytest.mark.parametrize("sub", Subsampling)
def test_render_is_the_matrix_and_the_mean_of_chroma(sub):
    scene, encoder, cloud, plate, way = setting(sub)
    render(scene, encoder, cloud, 0, (0, ROWS, COLUMNS), plate)
    assert plate.base / 256.0 == pytest.approx(expected(scene, way, sub), abs=0.003)


def test_chroma_has_less_noise_the_more_pixels_it_is_a_mean_of():
    gains = []
    for sub in Subsampling:
        scene, encoder, cloud, plate, _ = setting(sub)
        render(scene, encoder, cloud, 0, (0, ROWS, COLUMNS), plate)
        gains.append(float(plate.gain[-1]))
    assert gains[0] / gains[1] == pytest.approx(np.sqrt(2.0), rel=0.1)
    assert gains[0] / gains[2] == pytest.approx(2.0, rel=0.1)


@pytest.mark.parametrize("sub", Subsampling)
def test_noise_is_that_of_the_weighed_channels_to_the_nearest_unit(sub):
    scene, encoder, cloud, plate, way = setting(sub)
    render(scene, encoder._replace(gain_scale=2.3), cloud, 0, (0, ROWS, COLUMNS), plate)
    each = 2.3 * 256.0 * 0.002 * np.sqrt((way.matrix**2).sum(axis=1))
    each[1:] /= np.sqrt(sub.rows * sub.columns)
    chroma = ROWS * COLUMNS // (sub.rows * sub.columns)
    wanted = np.repeat(np.floor(each + 0.5), [ROWS * COLUMNS, chroma, chroma])
    np.testing.assert_array_equal(plate.gain, wanted)


def test_the_cloud_takes_light_codes_off_and_only_inside_the_window():
    scene, encoder, cloud, plate, way = setting(Subsampling.S444, dim=500)
    render(scene, encoder, cloud, 7, (2, 4, 6), plate)
    dimmed = expected(scene - 500, way, Subsampling.S444).reshape(3, ROWS, COLUMNS)
    got = plate.base.reshape(3, ROWS, COLUMNS) / 256.0
    assert got[:, 2:4, :6] == pytest.approx(dimmed[:, 2:4, :6], abs=0.003)
    got[:, 2:4, :6] = 0.0
    assert (got == 0.0).all()


def output(low=1, high=254, noise=0.0, shifted=1):
    return Output(F32(1 / 256), F32(noise), F32(low), F32(high), F32(shifted))


@pytest.mark.parametrize(("dtype", "shifted"), [(np.uint8, 1), (np.uint16, 1), (np.uint16, 64)])
def test_emit_rounds_keeps_to_legal_codes_and_shifts(dtype, shifted):
    base = np.array([0, 255, 256, 384, 383, 25600, 65535, 65000], dtype=np.uint16)
    out = np.zeros(8, dtype=dtype)
    table = np.zeros(16, dtype=np.int16)
    plate = Plate(base, np.zeros(8, np.uint8))
    emit(out, plate, table, np.zeros(2, np.int64), output(shifted=shifted))
    assert (out // shifted).tolist() == [1, 1, 1, 2, 1, 100, 254, 254]


def test_emit_adds_the_noise_of_the_place_it_is_told_to_read():
    plate = Plate(np.full(8, 25600, np.uint16), np.full(8, 10, np.uint8))
    table = np.arange(16, dtype=np.int16)
    out = np.zeros(8, dtype=np.uint8)
    emit(out, plate, table, np.array([0, 8]), output(noise=0.1))
    assert out.tolist() == [100, 101, 102, 103, 108, 109, 110, 111]

import numpy as np
import pytest

from firmware.feeds.bench.layout import layout_named, layout_names, sample_steps


@pytest.mark.parametrize("size", [(36, 64), (37, 65), (36, 65), (37, 64)])
@pytest.mark.parametrize("name", layout_names())
def test_buffer_just_holds_its_views_and_steps_find_every_sample(name, size):
    rows, columns = size
    layout = layout_named(name)
    for bits in layout.depths:
        wide = 1 if bits == 8 else 2
        buffer = np.zeros(layout.samples(rows, columns) * wide, dtype=np.uint8)
        planes = layout.views(buffer, rows, columns, wide)
        flat = buffer.view(np.uint8 if bits == 8 else np.uint16)
        for plane, (first, down, along) in zip(planes, sample_steps(buffer, planes), strict=True):
            flat[:] = 0
            high, broad = plane.shape
            where = first + down * np.arange(high)[:, None] + along * np.arange(broad)
            assert where.max() < flat.size
            flat[where] = 1 + np.arange(high * broad).reshape(high, broad) % 200
            np.testing.assert_array_equal(plane, flat[where])
            assert np.count_nonzero(flat) == plane.size
        with pytest.raises(Exception, match="cut short"):
            layout.views(buffer[: -wide * 4], rows, columns, wide)


def test_only_p010_keeps_its_codes_in_the_upper_bits():
    assert layout_named("nv12").shift(8) == 0
    assert layout_named("nv12").shift(10) == 6
    assert layout_named("yuv420").shift(10) == 0

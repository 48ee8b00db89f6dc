import os
import subprocess
import sys
from importlib import import_module

import numpy as np
import pytest

from firmware.feeds.bench.chart_colours import MUNSELL_CHART
from firmware.feeds.bench.sensor import light_codes, light_of_codes
from firmware.feeds.bench.workshop import BLACK, GREY, SKIN, named_boxes, pixel_place, workshop
from tests.every_processor import numbers
from tests.places import ROOT

KEPT = ["3540724d6d69cf67", "3c39aaeb4805e904", "c633a60cc71b7e94"]
"""Of the scene under three lights, made on a processor that has AVX2 and no AVX-512."""


@pytest.fixture(scope="module")
def light():
    return light_of_codes()[workshop(360, 640)]


def patch(light, box):
    column, row, size = pixel_place(box, 360, 640)
    top, left = row - size // 2, column - size // 2
    return light[top : top + size, left : left + size]


def test_every_named_thing_but_the_window_is_flat_and_as_it_was_painted(light):
    expected = {"grey card": (0.18,) * 3, "white card": (0.83,) * 3, "glossy black": (0.0016,) * 3}
    expected |= {f"chart {name}": value for name, value in MUNSELL_CHART.items()}
    for name, box in named_boxes().items():
        if name == "window":
            continue
        seen = np.unique(patch(light, box).reshape(-1, 3), axis=0)
        assert seen.shape == (1, 3), name
        if name in expected:
            assert seen[0] == pytest.approx(expected[name], rel=0.0003), name


def test_all_things_are_there_and_apart():
    boxes = named_boxes()
    assert len(boxes) == 4 + len(SKIN) + 24
    names = list(boxes)
    for n, one in enumerate(names):
        for other in names[n + 1 :]:
            a, b = boxes[one], boxes[other]
            assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1], (one, other)


def test_the_grey_card_is_in_the_middle_and_exactly_mid_grey():
    left, top, right, bottom = GREY
    assert (left + right) / 2 == pytest.approx(8 / 9, abs=1e-3)
    assert (top + bottom) / 2 == pytest.approx(0.5)
    card = light_codes(np.full((1, 1), 0.18, dtype=np.float32))
    assert light_of_codes()[card][0, 0] == pytest.approx(0.18, abs=1e-12)


def test_skin_like_patches_are_warm_and_go_from_light_to_dark(light):
    means = [patch(light, box).mean(axis=(0, 1)) for box in SKIN]
    assert [m.mean() for m in means] == sorted((m.mean() for m in means), reverse=True)
    assert all(m[0] > m[1] > m[2] for m in means)


def test_the_scene_is_a_picture_from_deep_black_to_clipping_sky(light):
    assert np.log2(light.max() / 0.18) > 7.0
    assert np.log2(patch(light, BLACK).mean() / 0.18) == pytest.approx(-6.8, abs=0.05)
    mean = np.log2(light.mean(axis=2) / 0.18)
    assert -3.0 < np.median(mean) < 0.5
    assert mean.std() > 1.0
    assert len(np.unique(light.reshape(-1, 3), axis=0)) > 20000


def test_a_box_smaller_than_a_pixel_holds_no_spot():
    assert pixel_place((0.5, 0.5, 0.5001, 0.5001), 360, 640) is None


def test_the_scene_is_the_same_on_every_processor():
    assert numbers() == KEPT


def test_the_scene_is_the_same_without_what_this_processor_can_do_beyond_the_least():
    of_numpy = import_module("numpy._core._multiarray_umath")
    more = [name for name in of_numpy.__cpu_dispatch__ if of_numpy.__cpu_features__[name]]
    least = {"NPY_DISABLE_CPU_FEATURES": " ".join(more), "OPENBLAS_CORETYPE": "Nehalem"}
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-m", "tests.every_processor"],
        cwd=ROOT,
        env={**os.environ, **least},
        check=True,
        capture_output=True,
        text=True,
    )
    assert done.stdout.split() == KEPT

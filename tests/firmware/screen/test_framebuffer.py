"""A framebuffer of cardboard: a file, and the answers a driver would give."""

import errno
import os

import numpy as np
import pygame
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import ScreenError
from firmware.screen.fbdev import plan_of
from firmware.screen.fbdev_fake import RGB565, XRGB8888, FakePanel
from firmware.screen.framebuffer import Framebuffer, Packer
from firmware.screen.glass import blank

LARGEST = (1920, 1080)
BGR565 = ((0, 5), (5, 6), (11, 5), (0, 0))
KINDS = {
    "565": (16, RGB565),
    "565, blue first": (16, BGR565),
    "555": (16, ((10, 5), (5, 5), (0, 5), (0, 0))),
    "1555": (16, ((10, 5), (5, 5), (0, 5), (15, 1))),
    "888": (24, XRGB8888),
    "888, blue first": (24, ((0, 8), (8, 8), (16, 8), (0, 0))),
    "x888": (32, XRGB8888),
    "8888, blue first": (32, ((0, 8), (8, 8), (16, 8), (24, 8))),
}


def filled(pixels):
    """A canvas of given (rows, columns) 0xRRGGBB."""
    made = blank(pixels.shape[::-1])
    pygame.surfarray.pixels2d(made)[...] = pixels.T
    return made


def picture(size, seed=0):
    columns, rows = size
    made = np.random.default_rng(seed).integers(0, 1 << 24, (rows, columns), dtype=np.uint32)
    made[: min(rows, 3), : min(columns, 3)] = 0xFFFFFF
    return made


def reference(pixels, fields):
    """The packed value of each pixel: the high bits of every colour, moved to its place."""
    packed = np.zeros(pixels.shape, np.uint64)
    for shift, (offset, length) in zip((16, 8, 0), fields[:3], strict=True):
        colour = (pixels.astype(np.uint64) >> np.uint64(shift)) & np.uint64(0xFF)
        packed |= (colour >> np.uint64(8 - length)) << np.uint64(offset)
    offset, length = fields[3]
    return packed | np.uint64(((1 << length) - 1) << offset)


def read_back(memory, plan, columns, rows):
    """Values of the pixels in memory, one byte after the other, low byte first."""
    size = plan.bits // 8
    found = np.zeros((rows, columns), np.uint64)
    for down in range(rows):
        start = plan.start + down * plan.stride
        row = np.frombuffer(memory, np.uint8)[start : start + columns * size]
        for byte in range(size):
            found[down] |= row[byte::size].astype(np.uint64) << np.uint64(8 * byte)
    return found


@given(
    st.sampled_from(sorted(KINDS)),
    st.integers(1, 40),
    st.integers(1, 24),
    st.integers(0, 17),
    st.tuples(st.integers(0, 3), st.integers(0, 3)),
    st.integers(0, 2**31),
)
def test_pixels_are_packed_as_the_fields_say(kind, columns, rows, padding, offset, seed):
    bits, fields = KINDS[kind]
    plan = plan_of(*FakePanel(columns, rows, bits, fields, padding, offset).answers(), "fake")
    memory = bytearray(b"\xee" * plan.length)
    pixels = picture((columns, rows), seed)
    assert Packer(plan, memory, (columns, rows)).write(filled(pixels)) == rows
    assert (read_back(memory, plan, columns, rows) == reference(pixels, fields)).all()
    # Nothing but those pixels was touched.
    touched = np.zeros(plan.length, bool)
    for row in range(rows):
        start = plan.start + row * plan.stride
        touched[start : start + plan.row_bytes] = True
    assert (np.frombuffer(memory, np.uint8)[~touched] == 0xEE).all()


@pytest.mark.usefixtures("panel")  # pygame converts only where there is a display
def test_565_is_what_pygame_itself_makes_of_a_16_bit_surface():
    pixels = picture((64, 48), 5)
    plan = plan_of(*FakePanel(64, 48).answers(), "fake")
    memory = bytearray(plan.length)
    Packer(plan, memory, (64, 48)).write(filled(pixels))
    theirs = filled(pixels).convert(16, 0)
    assert theirs.get_masks()[:3] == plan.masks[:3]
    assert (read_back(memory, plan, 64, 48) == pygame.surfarray.array2d(theirs).T).all()


@given(st.sets(st.integers(0, 31)), st.integers(0, 9))
def test_rows_that_are_the_same_are_not_touched(changed, padding):
    plan = plan_of(*FakePanel(20, 32, padding=padding).answers(), "fake")
    memory = bytearray(plan.length)
    packer = Packer(plan, memory, (20, 32))
    pixels = picture((20, 32))
    packer.write(filled(pixels))
    memory[:] = b"\xee" * plan.length  # whoever touches a row now leaves a trace
    after = pixels.copy()
    for row in changed:
        after[row, row % 20] ^= 0x808080
    assert packer.write(filled(after)) == len(changed)
    rows = np.frombuffer(memory, np.uint8).reshape(32, plan.stride)
    touched = (rows[:, : plan.row_bytes] != 0xEE).any(axis=1)
    assert set(np.flatnonzero(touched)) == changed
    assert packer.write(filled(after)) == 0


def test_a_change_below_the_panels_depth_is_none():
    plan = plan_of(*FakePanel(20, 32).answers(), "fake")
    packer = Packer(plan, bytearray(plan.length), (20, 32))
    grey = np.full((32, 20), 0x808080, np.uint32)
    packer.write(filled(grey))
    assert packer.write(filled(grey | 0x010101)) == 0


def test_a_smaller_picture_stands_in_the_middle_of_black():
    plan = plan_of(*FakePanel(20, 32, padding=6).answers(), "fake")
    memory = bytearray(b"\xee" * plan.length)
    Packer(plan, memory, (10, 12)).write(filled(np.full((12, 10), 0xFFFFFF, np.uint32)))
    seen = read_back(memory, plan, 20, 32)
    assert (seen[10:22, 5:15] == 0xFFFF).all()
    seen[10:22, 5:15] = 0
    assert not seen.any()


@pytest.fixture
def panel(tmp_path):
    made = Framebuffer(tmp_path / "fb1", None, LARGEST, FakePanel(columns=480, rows=320).opening())
    yield made
    made.close()


def test_a_panel_has_its_own_size_and_a_surface_to_paint_on(panel):
    assert panel.size == (480, 320)
    assert panel.sheet.get_size() == (480, 320)
    assert panel.under((7, 8)) == (7, 8)


@pytest.mark.usefixtures("panel")
def test_keyboards_are_read_without_a_screen():
    assert pygame.display.get_driver() == "evdev"


@pytest.mark.parametrize("keys", [True, False])
def test_an_sdl_that_reads_no_keyboards_paints_all_the_same(tmp_path, monkeypatch, keys):
    init = pygame.display.init

    def picky():
        if os.environ["SDL_VIDEODRIVER"] == "evdev" or not keys:
            raise pygame.error("no such driver")
        init()

    monkeypatch.setattr(pygame.display, "init", picky)
    opening = FakePanel(64, 32).opening()
    if not keys:
        with pytest.raises(ScreenError, match="cannot paint into memory"):
            Framebuffer(tmp_path / "fb1", None, LARGEST, opening)
        return
    made = Framebuffer(tmp_path / "fb1", None, LARGEST, opening)
    assert pygame.display.get_driver() == "dummy"
    made.close()


def test_what_is_shown_lies_in_the_file(panel, tmp_path):
    pixels = picture((480, 320), 3)
    panel.show(filled(pixels))
    plan = plan_of(*FakePanel(480, 320).answers(), "")
    memory = (tmp_path / "fb1").read_bytes()
    assert (read_back(memory, plan, 480, 320) == reference(pixels, RGB565)).all()


def test_after_closing_nothing_is_written_and_sdl_is_gone(tmp_path):
    made = Framebuffer(tmp_path / "fb1", None, LARGEST, FakePanel(columns=64, rows=32).opening())
    made.close()
    made.show(blank((64, 32)))
    assert set((tmp_path / "fb1").read_bytes()) == {0xEE}
    assert not pygame.display.get_init()


def test_a_size_of_ones_own(tmp_path):
    opening = FakePanel(columns=800, rows=480).opening()
    made = Framebuffer(tmp_path / "fb0", (640, 360), LARGEST, opening)
    assert made.size == (640, 360)
    made.close()
    with pytest.raises(ScreenError, match="800x480"):
        Framebuffer(tmp_path / "fb0", (801, 360), LARGEST, opening)


def test_a_large_one_is_painted_no_larger_than_the_layout_is_made_for(tmp_path):
    made = Framebuffer(
        tmp_path / "fb0", None, (400, 300), FakePanel(columns=480, rows=200).opening()
    )
    assert made.size == (400, 200)
    made.close()


@pytest.mark.parametrize(
    ("number", "remedy"),
    [
        (errno.EACCES, "adduser"),
        (errno.ENOENT, "/dev/fb"),
        (errno.ENODEV, "driver is gone"),
        (errno.ENOTTY, "is it a framebuffer"),
    ],
)
def test_a_node_that_cannot_be_opened_is_one_sentence(tmp_path, number, remedy):
    def refuses(path):
        raise OSError(number, os.strerror(number), str(path))

    with pytest.raises(ScreenError, match=rf"fb7 cannot be drawn on .*; .*{remedy}"):
        Framebuffer(tmp_path / "fb7", None, LARGEST, refuses)


def test_a_file_that_is_none_is_refused(tmp_path):
    (tmp_path / "fb0").write_bytes(bytes(100))
    with pytest.raises(ScreenError, match="is it a framebuffer"):
        Framebuffer(tmp_path / "fb0", None, LARGEST)

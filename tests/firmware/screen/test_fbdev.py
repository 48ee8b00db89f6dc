"""Sizes and places of the structures were read off a C compiler over Linux's own linux/fb.h."""

import ctypes
import mmap
import shutil
import subprocess
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import ScreenError
from firmware.screen.fbdev import Fixed, SystemNode, Variable, plan_of, read_plan
from firmware.screen.fbdev_fake import RGB565, XRGB8888, FakePanel

BGR565 = ((0, 5), (5, 6), (11, 5), (0, 0))


def test_structures_lie_as_the_kernels_do():
    assert ctypes.sizeof(Variable) == 160
    assert (Variable.transp.offset, Variable.rotate.offset) == (68, 136)
    assert ctypes.sizeof(Fixed) == 80
    assert (Fixed.line_length.offset, Fixed.capabilities.offset) == (48, 72)


@pytest.mark.skipif(
    not (shutil.which("gcc") and Path("/usr/include/linux/fb.h").exists()),
    reason="no C compiler, or no headers of the kernel",
)
def test_every_field_lies_where_the_header_puts_it(tmp_path):
    pairs = [(Variable, "fb_var_screeninfo"), (Fixed, "fb_fix_screeninfo")]
    asked = [
        (getattr(made, name).offset, f"offsetof(struct {theirs}, {name})")
        for made, theirs in pairs
        for name, *_ in made._fields_
        if name != "timings"
    ]
    asked += [(Variable.timings.offset, "offsetof(struct fb_var_screeninfo, pixclock)")]
    asked += [(ctypes.sizeof(made), f"sizeof(struct {theirs})") for made, theirs in pairs]
    checks = "".join(f"_Static_assert({what} == {ours}, {what!r});\n" for ours, what in asked)
    text = "#include <stddef.h>\n#include <linux/fb.h>\n" + checks.replace("'", '"')
    source = tmp_path / "check.c"
    source.write_text(text)
    done = subprocess.run(
        ["gcc", "-fsyntax-only", source], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr


def test_a_usual_panel():
    plan = plan_of(*FakePanel(480, 320, padding=64, offset=(0, 320)).answers(), "/dev/fb1")
    assert (plan.columns, plan.rows, plan.bits, plan.row_bytes) == (480, 320, 16, 960)
    assert plan.masks == (0xF800, 0x07E0, 0x001F, 0)
    assert (plan.stride, plan.start) == (1024, 320 * 1024)
    assert plan.length == 640 * 1024


def test_memory_that_begins_inside_a_page():
    variable, fixed = FakePanel(480, 320).answers()
    fixed.smem_start = 5 * mmap.PAGESIZE + 256
    plan = plan_of(variable, fixed, "/dev/fb1")
    assert plan.start == 256
    assert plan.length == 256 + 480 * 320 * 2


@pytest.mark.parametrize(
    ("bits", "fields", "masks"),
    [
        (16, BGR565, (0x001F, 0x07E0, 0xF800, 0)),
        (16, ((10, 5), (5, 5), (0, 5), (15, 1)), (0x7C00, 0x03E0, 0x001F, 0x8000)),
        (24, ((16, 8), (8, 8), (0, 8), (0, 0)), (0xFF0000, 0xFF00, 0xFF, 0)),
        (32, XRGB8888, (0xFF0000, 0xFF00, 0xFF, 0)),
        (32, ((0, 8), (8, 8), (16, 8), (24, 8)), (0xFF, 0xFF00, 0xFF0000, 0xFF000000)),
    ],
)
def test_fields_decide_the_masks(bits, fields, masks):
    assert plan_of(*FakePanel(bits=bits, fields=fields).answers(), "/dev/fb0").masks == masks


@pytest.mark.parametrize(
    ("bits", "fields"),
    [
        (8, ((0, 8), (0, 8), (0, 8), (0, 0))),
        (16, XRGB8888),
        (16, ((0, 4), (4, 4), (8, 4), (12, 4))),
        (32, RGB565),
        (32, ((0, 8), (0, 8), (16, 8), (0, 0))),
        (32, ((25, 8), (8, 8), (0, 8), (0, 0))),
        (32, ((16, 8), (8, 8), (0, 8), (40, 8))),
        (30, ((20, 10), (10, 10), (0, 10), (0, 0))),
    ],
)
def test_unknown_pixels_are_refused_in_one_sentence(bits, fields):
    of_colours = "-".join(str(length) for _, length in fields[:3])
    said = rf"/dev/fb0 has pixels of {bits} bits \({of_colours}, type .*needed"
    with pytest.raises(ScreenError, match=said):
        plan_of(*FakePanel(bits=bits, fields=fields).answers(), "/dev/fb0")


@pytest.mark.parametrize(
    ("where", "name", "value"),
    [
        (0, "grayscale", 1),
        (0, "nonstd", 1),
        (1, "type", 1),
        (1, "visual", 3),
    ],
)
def test_other_ways_to_keep_pixels_are_refused(where, name, value):
    answers = FakePanel().answers()
    setattr(answers[where], name, value)
    with pytest.raises(ScreenError, match="has pixels of"):
        plan_of(*answers, "/dev/fb0")


@given(
    st.integers(0, 2**32 - 1),
    st.integers(0, 2**32 - 1),
    st.integers(0, 2**32 - 1),
    st.integers(0, 2**32 - 1),
    st.integers(0, 2**32 - 1),
)
def test_whatever_a_driver_says_the_plan_stays_inside_its_memory(columns, rows, stride, length, up):
    variable, fixed = FakePanel().answers()
    variable.xres, variable.yres, variable.yoffset = columns, rows, up
    fixed.line_length, fixed.smem_len = stride, length
    plan = None
    with suppress(ScreenError):
        plan = plan_of(variable, fixed, "/dev/fb0")
    if plan is not None:
        assert columns
        assert rows
        end = plan.start + (plan.rows - 1) * plan.stride + plan.row_bytes
        assert end <= plan.length


@pytest.mark.parametrize(
    ("where", "name", "value"),
    [
        (0, "xres", 0),
        (0, "yres", 0),
        (0, "yres", 321),
        (0, "yoffset", 1),
        (0, "xoffset", 1),
        (0, "xres", 9000),
        (1, "line_length", 959),
        (1, "line_length", 0),
        (1, "smem_len", 960 * 320 - 1),
    ],
)
def test_sizes_that_cannot_be_are_refused(where, name, value):
    answers = FakePanel(480, 320).answers()
    setattr(answers[where], name, value)
    with pytest.raises(ScreenError, match=r"/dev/fb0 says .* which cannot be"):
        plan_of(*answers, "/dev/fb0")


def test_what_is_no_framebuffer_is_the_kernels_fault(tmp_path):
    path = tmp_path / "fb0"
    path.write_bytes(bytes(4096))
    node = SystemNode(path)
    memory = node.map(4096)
    with pytest.raises(OSError, match="ioctl"):
        read_plan(node, str(path))
    node.close()
    memory[0] = 7  # what is mapped stays so
    memory.close()
    assert path.read_bytes()[0] == 7

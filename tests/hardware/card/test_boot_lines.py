"""config.txt and cmdline.txt as texts."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.first_boot import kernel_options
from hardware.card import boot_lines
from hardware.card.boot_lines import Board, Input, lines_for, with_cmdline, with_config
from hardware.card.errors import ImageError
from tests.places import ROOT

CONFIG = """# For more options see the makers' pages
dtparam=audio=on
camera_auto_detect=1
dtoverlay=vc4-kms-v3d
[cm4]
otg_mode=1
[all]
"""
CMDLINE = (
    "console=serial0,115200 console=tty1 root=PARTUUID=6d696467-02 rootfstype=ext4 "
    "fsck.repair=yes rootwait quiet init=/usr/lib/raspberrypi-sys-mods/firstboot resize\n"
)


def board_file(board):
    return (ROOT / f"hardware/config-{board.value}.txt").read_text()


@pytest.mark.parametrize("board", Board)
def test_every_board_has_lines_for_every_input(board):
    bridge, usb, camera = (lines_for(board_file(board), chosen) for chosen in Input)
    assert any(line.startswith("dtoverlay=tc358743") for line in bridge)
    assert not any("tc358743" in line or "cma" in line for line in usb + camera)
    assert "camera_auto_detect=0" in usb
    assert "camera_auto_detect=1" in camera
    assert "dtoverlay=vc4-kms-v3d" in usb
    assert not any(line.startswith("#") for line in bridge)


def test_our_lines_come_last_and_for_all_boards():
    lines = lines_for(board_file(Board.PI4), Input.BRIDGE)
    made = with_config(CONFIG, lines)
    own = made.split(f"{boot_lines.BEGIN}\n")[1]
    assert own.splitlines()[0] == "[all]"
    assert own.splitlines()[1:-1] == lines
    # What was said of the same before no longer counts; the rest does.
    before = made.split(boot_lines.BEGIN)[0].splitlines()
    assert "camera_auto_detect=1" not in before
    assert "dtoverlay=vc4-kms-v3d" not in before
    assert {"dtparam=audio=on", "otg_mode=1"} <= set(before)


@given(st.text(st.sampled_from("ab=#[]\n"), max_size=60), st.sampled_from(Board))
def test_twice_is_as_once(text, board):
    lines = lines_for(board_file(board), Input.BRIDGE)
    once = with_config(text, lines)
    assert with_config(once, lines) == once


def test_the_kernels_options_lose_what_a_card_must_not_do():
    words = with_cmdline(CMDLINE, read_only=False).split()
    assert "resize" not in words
    assert not any(word.startswith("init=") for word in words)
    assert "console=tty1" not in words
    assert words.count("quiet") == 1
    assert "root=PARTUUID=6d696467-02" in words
    assert boot_lines.WANTS_READ_ONLY not in words
    assert with_cmdline(CMDLINE, read_only=False).count("\n") == 1


def test_the_wish_for_a_read_only_root_is_fulfilled_by_the_first_boot():
    made = with_cmdline(CMDLINE, read_only=True)
    assert boot_lines.WANTS_READ_ONLY == kernel_options.WISH
    assert boot_lines.READ_ONLY in kernel_options.READ_ONLY
    assert boot_lines.READ_ONLY not in made.split()
    assert boot_lines.READ_ONLY in kernel_options.fulfilled(made).split()
    assert with_cmdline(kernel_options.fulfilled(made), read_only=True) == made


def test_a_line_without_a_root_is_said():
    with pytest.raises(ImageError, match="root="):
        with_cmdline("console=tty1\n", read_only=False)

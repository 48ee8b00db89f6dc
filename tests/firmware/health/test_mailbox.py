import errno
import os
import struct

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.health.mailbox import (
    _PROPERTY,
    ROOM_BYTES,
    Brake,
    answer,
    is_refused,
    request,
    system_ask,
    throttle,
)

NOTHING: frozenset[Brake] = frozenset()


def answered(text, error=0):
    """A request as the firmware gives it back (layout: vcgencmd.c)."""
    given_back = request()
    struct.pack_into("=6I", given_back, 0, len(given_back), 1 << 31, 0x30080, ROOM_BYTES, 0, error)
    given_back[24 : 24 + ROOM_BYTES] = text.encode().ljust(ROOM_BYTES, b"\0")
    return given_back


class Firmware:
    """A firmware of cardboard that gives one answer."""

    def __init__(self, text, error=0):
        self.text, self.error = text, error
        self.asked: list[str] = []

    def __call__(self, node, given_over):
        self.asked.append(node.name)
        given_over[:] = answered(self.text, self.error)


def test_the_request_is_laid_out_as_the_kernel_takes_it_apart():
    made = request()
    size, status, tag, room, length, error = struct.unpack_from("=6I", made)
    assert size == len(made) == 24 + ROOM_BYTES + 4
    assert size % 4 == 0
    assert (status, tag, room, length, error) == (0, 0x00030080, ROOM_BYTES, 0, 0)
    assert bytes(made[24:38]) == b"get_throttled\0"
    assert bytes(made[-4:]) == bytes(4)


@given(st.integers(0, 0xFFFFFFFF))
def test_the_answer_is_read(bits):
    assert answer(answered(f"throttled=0x{bits:x}")) == bits


@given(st.binary(max_size=1200))
def test_garbage_is_no_answer_and_no_fault(content):
    read = answer(content)
    assert read is None or b"throttled=0x" in content


@pytest.mark.parametrize(
    "text", ["", "throttled=", "error=1 error_msg='Command not registered'", "throttled=0x1 2"]
)
def test_other_answers_are_none(text):
    assert answer(answered(text)) is None
    assert answer(answered("throttled=0x0", error=1 << 31)) is None


def test_bits_mean_now_and_sixteen_higher_since_start_up(cardboard):
    cardboard.put("dev/vcio", "")
    found = throttle(cardboard.root, Firmware("throttled=0x50008"))
    assert found.now == {Brake.SOFT_LIMIT}
    assert found.since_start == {Brake.UNDER_VOLTAGE, Brake.THROTTLED}


def test_the_node_that_answers_nothing_else_is_asked_first(cardboard):
    cardboard.put("dev/vcio", "").put("dev/vcio_gencmd", "")
    ask = Firmware("throttled=0x0")
    assert throttle(cardboard.root, ask).now == NOTHING
    assert ask.asked == ["vcio_gencmd"]


def test_a_node_that_refuses_leaves_the_next_one(cardboard):
    cardboard.put("dev/vcio", "").put("dev/vcio_gencmd", "")
    good = Firmware("throttled=0x4")

    def ask(node, given_over):
        if node.name == "vcio_gencmd":
            raise OSError(errno.EPERM, "no")
        good(node, given_over)

    assert throttle(cardboard.root, ask).now == {Brake.THROTTLED}


def test_without_nodes_the_kernels_own_file_is_read_where_there_is_one(cardboard):
    assert throttle(cardboard.root) is None
    path = "sys/devices/platform/soc/soc:firmware/get_throttled"
    found = throttle(cardboard.put(path, "50005\n").root)
    assert found.now == {Brake.UNDER_VOLTAGE, Brake.THROTTLED}
    assert found.since_start is None, "its upper bits are cleared every two seconds"
    for garbage in ("", "\n", "no\n", "-1", "123456789"):
        assert throttle(cardboard.put(path, garbage).root) is None


def test_a_file_that_is_no_device_answers_nothing(cardboard):
    cardboard.put("dev/vcio", "")
    with pytest.raises(OSError, match="ioctl"):
        system_ask(cardboard.root / "dev/vcio", request())
    assert throttle(cardboard.root) is None


@pytest.mark.skipif(os.geteuid() == 0, reason="root may open everything")
def test_a_node_of_another_group_is_refused(cardboard):
    assert not is_refused(cardboard.root)
    cardboard.put("dev/vcio", "")
    assert not is_refused(cardboard.root)
    (cardboard.root / "dev/vcio").chmod(0)
    assert is_refused(cardboard.root)


def test_the_request_is_the_drivers():
    # raspberrypi/linux, drivers/char/broadcom/vcio.c: IOCTL_MBOX_PROPERTY _IOWR(100, 0, char *).
    of_pointers = {4: 0xC0046400, 8: 0xC0086400}  # include/uapi/asm-generic/ioctl.h
    assert of_pointers[struct.calcsize("P")] == _PROPERTY


# Raspberry Pi documentation, computers/os, vcgencmd, get_throttled.
@pytest.mark.parametrize(
    ("bit", "brake"),
    [
        (0, Brake.UNDER_VOLTAGE),
        (1, Brake.CAPPED),
        (2, Brake.THROTTLED),
        (3, Brake.SOFT_LIMIT),
    ],
)
def test_each_bit_is_what_the_documentation_says(cardboard, bit, brake):
    cardboard.put("dev/vcio", "")
    now = throttle(cardboard.root, Firmware(f"throttled={1 << bit:#x}"))
    since = throttle(cardboard.root, Firmware(f"throttled={1 << bit + 16:#x}"))
    assert (now.now, now.since_start) == ({brake}, NOTHING)
    assert (since.now, since.since_start) == (NOTHING, {brake})

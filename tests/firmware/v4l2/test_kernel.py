"""The five calls against this machine's own kernel, on a pipe and a file."""

import ctypes
import fcntl
import os
import termios

import pytest

from firmware.v4l2.kernel import SystemKernel

kernel = SystemKernel()


def test_open_does_not_block_and_close_closes(tmp_path):
    path = tmp_path / "fifo"
    os.mkfifo(path)
    fd = kernel.open(str(path))
    assert fcntl.fcntl(fd, fcntl.F_GETFL) & os.O_NONBLOCK
    kernel.close(fd)
    with pytest.raises(OSError, match="Bad file"):
        os.fstat(fd)


def test_select_tells_what_is_readable_and_is_bounded():
    ours, theirs = os.pipe()
    try:
        assert kernel.select([ours], [ours], 0.0) == ([], [])
        assert kernel.select([ours], [], -1.0) == ([], [])
        os.write(theirs, b"x")
        assert kernel.select([ours], [ours], 5.0) == ([ours], [])
    finally:
        os.close(ours)
        os.close(theirs)


def test_ioctl_writes_its_answer_into_the_argument():
    ours, theirs = os.pipe()
    try:
        os.write(theirs, b"four")
        waiting = ctypes.c_int()
        kernel.ioctl(ours, termios.FIONREAD, waiting)
        assert waiting.value == 4
    finally:
        os.close(ours)
        os.close(theirs)


def test_ioctl_failure_carries_the_errno(tmp_path):
    fd = os.open(tmp_path, os.O_RDONLY)
    try:
        with pytest.raises(OSError, match="Inappropriate ioctl"):
            kernel.ioctl(fd, 0x80685600, ctypes.c_int())
    finally:
        os.close(fd)


def test_mapping_shows_the_file_and_may_not_be_written(tmp_path):
    path = tmp_path / "memory"
    path.write_bytes(b"picture" * 1000)
    fd = kernel.open(str(path))
    mapping = kernel.mmap(fd, 7000, 0)
    kernel.close(fd)
    assert bytes(memoryview(mapping)[:7]) == b"picture"
    with pytest.raises(TypeError):
        mapping[0] = 0

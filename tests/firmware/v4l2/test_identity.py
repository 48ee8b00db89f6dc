"""Identities by a made /sys, as the kernel lays it out."""

import pytest

from firmware.v4l2.identity import identity_of, usb_identity


@pytest.fixture
def stick(tmp_path):
    def made(serial=""):
        device = tmp_path / "sys/devices/usb1/1-1.2"
        interface = device / "1-1.2:1.0"
        interface.mkdir(parents=True, exist_ok=True)
        (device / "idVendor").write_text("534d\n")
        (device / "idProduct").write_text("2109\n")
        if serial:
            (device / "serial").write_text(f"{serial}\n")
        node = tmp_path / "sys/class/video4linux/video3"
        node.mkdir(parents=True, exist_ok=True)
        if not (node / "device").exists():
            (node / "device").symlink_to(interface)
        return tmp_path

    return made


def test_a_stick_is_known_by_ids_and_serial_wherever_it_is_plugged_in(stick):
    root = stick("A 7")
    here = identity_of("/dev/video3", "uvcvideo", "usb-0000:01:00.0-1.2", root)
    assert here == identity_of("/dev/video3", "uvcvideo", "usb-0000:01:00.0-1.4", root)
    assert here == "usb 534d:2109 serial A 7"


def test_a_stick_without_a_serial_is_known_by_its_port(stick):
    root = stick()
    one = identity_of("/dev/video3", "uvcvideo", "usb-0000:01:00.0-1.2", root)
    assert one == "usb 534d:2109 at usb-0000:01:00.0-1.2"


def test_a_bridge_is_known_by_its_driver_and_port(tmp_path):
    assert identity_of("/dev/video0", "unicam", "platform:fe801000.csi", tmp_path) == (
        "unicam at platform:fe801000.csi"
    )
    assert identity_of("/dev/video0", "unicam", "", tmp_path) == "unicam"
    assert usb_identity("video0", tmp_path) is None

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.screen.connected import LEAST_MM, MOST_MM, connected_panel, panel_size_of
from firmware.v4l2.edid import SIZE_MM, field_monitor_edid

OURS = field_monitor_edid()


def summed(block):
    return bytes([*block[:127], -sum(block[:127]) % 256])


def stating(centimetres, millimetres):
    block = bytearray(OURS[:128])
    block[21:23] = centimetres
    wide, high = millimetres
    block[66:69] = wide & 255, high & 255, (wide >> 8) << 4 | high >> 8
    return summed(block)


def test_millimetres_are_taken_before_centimetres():
    assert panel_size_of(OURS).diagonal_mm == pytest.approx(math.hypot(*SIZE_MM))
    assert panel_size_of(stating((60, 34), (597, 336))).diagonal_mm == pytest.approx(685.1, abs=0.1)
    assert panel_size_of(stating((60, 34), (0, 0))).diagonal_mm == pytest.approx(689.6, abs=0.1)


@pytest.mark.parametrize(
    "edid",
    [b"", b"no", OURS[:127], bytes(128), bytes([*OURS[:127], OURS[127] ^ 1])],
    ids=["nothing", "no header", "cut short", "zeros", "wrong sum"],
)
def test_what_is_no_edid_states_no_size(edid):
    assert panel_size_of(edid) is None


def test_a_shape_or_an_absurd_size_is_no_size():
    assert panel_size_of(stating((16, 9), (160, 90))) is None
    assert panel_size_of(stating((1, 1), (10, 10))) is None
    assert panel_size_of(stating((255, 255), (4095, 4095))) is None


@given(st.binary(min_size=120, max_size=140))
def test_whatever_a_screen_sends_it_is_a_size_or_none(noise):
    for edid in (noise, summed(OURS[:8] + noise[8:127])):
        found = panel_size_of(edid)
        assert found is None or LEAST_MM <= found.diagonal_mm <= MOST_MM


def connector(root, name, status, edid):
    folder = root / "sys/class/drm" / name
    folder.mkdir(parents=True)
    (folder / "status").write_text(f"{status}\n")
    (folder / "edid").write_bytes(edid)


def test_of_one_screen_that_is_connected_its_size_is_known(tmp_path):
    assert connected_panel(tmp_path) is None
    connector(tmp_path, "card0-HDMI-A-1", "connected", OURS)
    connector(tmp_path, "card0-HDMI-A-2", "disconnected", stating((60, 34), (0, 0)))
    assert connected_panel(tmp_path) == panel_size_of(OURS)
    # A panel on SPI is said to be connected whatever is there, and is not what SDL draws on.
    connector(tmp_path, "card2-SPI-1", "connected", b"")
    assert connected_panel(tmp_path) == panel_size_of(OURS)
    connector(tmp_path, "card1-DSI-1", "connected", b"")
    assert connected_panel(tmp_path) is None, "which of two is looked at is not known"

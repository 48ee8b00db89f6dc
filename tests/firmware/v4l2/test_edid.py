"""The EDID against Debian's edid-decode, and the arithmetic behind it."""

import re
import shutil
import subprocess

import pytest

from firmware.v4l2.edid import BLOCK, MODES, field_monitor_edid, modes_for
from tests.places import ROOT

HARDWARE = ROOT / "hardware"


def decoded(edid, tmp_path):
    path = tmp_path / "edid.bin"
    path.write_bytes(edid)
    done = subprocess.run(
        ["edid-decode", "--check", str(path)], capture_output=True, text=True, check=False
    )
    return done.stdout


@pytest.mark.parametrize("lanes", [1, 2, 3, 4])
def test_blocks_add_up_and_follow_the_header(lanes):
    edid = field_monitor_edid(lanes)
    assert len(edid) == 2 * BLOCK
    assert edid[:8] == b"\x00\xff\xff\xff\xff\xff\xff\x00"
    assert edid[126] == 1  # one more block
    for start in (0, BLOCK):
        assert sum(edid[start : start + BLOCK]) % 256 == 0


@pytest.mark.skipif(not shutil.which("edid-decode"), reason="needs edid-decode (apt)")
@pytest.mark.parametrize("lanes", [1, 2, 3, 4])
def test_edid_decode_finds_no_fault(lanes, tmp_path):
    said = decoded(field_monitor_edid(lanes), tmp_path)
    assert "EDID conformity: PASS" in said, said
    assert "Failures:" not in said
    assert "Supports YCbCr 4:2:2" in said
    assert "Vendor-Specific Data Block (HDMI), OUI 00-0C-03" in said
    assert "Maximum TMDS clock: 165 MHz" in said
    assert "Display Product Name: 'midgrey'" in said


@pytest.mark.skipif(not shutil.which("edid-decode"), reason="needs edid-decode (apt)")
def test_every_mode_has_the_rate_its_number_stands_for(tmp_path):
    # edid-decode prints size, rate and clock of a VIC from its own table of CTA-861.
    said = decoded(field_monitor_edid(4), tmp_path)
    rows = re.findall(r"VIC +(\d+): +(\d+)x(\d+) +([\d.]+) Hz.*?([\d.]+) MHz", said)
    theirs = {int(vic): (int(c), int(r), float(hz), float(mhz)) for vic, c, r, hz, mhz in rows}
    assert len(theirs) == len(MODES)
    for mode in MODES:
        columns, rows_, rate, clock = theirs[mode.vic]
        assert (columns, rows_, clock) == (mode.columns, mode.rows, mode.clock_khz / 1000)
        assert rate == pytest.approx(mode.rate, abs=1e-3)
        total = (mode.columns + sum(mode.across)) * (mode.rows + sum(mode.down))
        assert mode.clock_khz * 1000 / total == pytest.approx(mode.rate, abs=1e-9)


def test_two_lanes_take_1080p50_but_not_60():
    # Raspberry Pi documentation, CSI-2 usage: two lanes up to 1080p50 in UYVY.
    names = {(mode.rows, mode.rate) for mode in modes_for(2)}
    assert (1080, 50) in names
    assert (1080, 60) not in names
    assert set(modes_for(4)) == set(MODES)
    assert modes_for(1)[0] is MODES[0]


@pytest.mark.parametrize("lanes", [0, 5, -1])
def test_impossible_lanes_are_refused(lanes):
    with pytest.raises(ValueError, match="1 to 4"):
        field_monitor_edid(lanes)


@pytest.mark.parametrize("lanes", [2, 4])
def test_binary_in_hardware_is_what_the_code_makes(lanes):
    assert (HARDWARE / f"edid-{lanes}-lanes.bin").read_bytes() == field_monitor_edid(lanes)

import pytest

from firmware.v4l2.fake_timings import KNOWN, timing


@pytest.mark.parametrize("name", KNOWN)
def test_name_tells_size_scan_and_rate(name):
    # Frame (progressive) or field (interlaced) rate is in the name, as CTA-861 writes it.
    rows, _, rate = name.replace("i", "p").partition("p")
    bt = timing(name).u.bt
    assert bt.height == int(rows)
    assert bool(bt.interlaced) is ("i" in name)
    total = (bt.width + bt.hsync) * (bt.height + bt.vsync)
    pictures = bt.pixelclock / total * (2 if bt.interlaced else 1)
    assert pictures == pytest.approx(float(rate), rel=1e-9)

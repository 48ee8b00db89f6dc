"""The fake answers as the kernel does; what the virtual board's own driver says is in checks."""

import errno

import pytest

from firmware.screen.fbdev import BLANK, UNBLANK, Variable, read_plan
from firmware.screen.fbdev_fake import UNTOUCHED, FakePanel


def test_it_says_what_it_was_made_as(tmp_path):
    panel = FakePanel(columns=100, rows=50, padding=8, offset=(2, 3))
    node = panel.opening()(tmp_path / "fb0")
    plan = read_plan(node, "fb0")
    assert (plan.columns, plan.rows, plan.stride) == (100, 50, 212)
    assert plan.start == 3 * 212 + 4
    memory = node.map(plan.length)
    node.close()
    memory[0] = 1
    memory.close()
    assert (tmp_path / "fb0").read_bytes() == b"\1" + bytes([UNTOUCHED]) * (53 * 212 - 1)


@pytest.mark.parametrize("blanks", [False, True])
def test_it_can_be_blanked_or_not(tmp_path, blanks):
    panel = FakePanel(blanks=blanks)
    node = panel.opening()(tmp_path / "fb0")
    if blanks:
        node.ask(BLANK, UNBLANK)
    else:
        with pytest.raises(OSError, match=f"Errno {errno.EINVAL}"):
            node.ask(BLANK, UNBLANK)
    assert panel.asked == [BLANK]
    with pytest.raises(OSError, match="Invalid"):
        node.ask(0x4699, Variable())
    node.close()

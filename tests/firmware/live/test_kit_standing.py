"""What instruments are told of a unit that was heard; copies of pictures: test_kitting."""

import pytest

from firmware.kit.ear import HeardNow
from firmware.live.kit_standing import heard_unit
from tests.kit_messages import presence, reading


@pytest.mark.parametrize(
    ("heard", "is_up", "why"),
    [
        (HeardNow("cam-b", presence(), reading(), None, 10**8), True, ""),
        (HeardNow("cam-b", presence(), reading(), None, 9 * 10**9), True, "was last heard 9 s ago"),
        (HeardNow("cam-b", presence(), reading(), None, None), True, "cam-b was not heard yet"),
        (HeardNow("cam-b", presence(online=False), reading(), None, 0), True, "cam-b is cut off"),
        (HeardNow("cam-b", presence(), reading(), None, 10**8), False, "out of reach"),
        (
            HeardNow("cam-b", presence(), reading(believed=False, state="stale"), None, 10**8),
            True,
            "has no picture that can be read: stale",
        ),
    ],
)
def test_why_nothing_of_a_unit_can_be_compared(heard, is_up, why):
    found = heard_unit(heard, is_up=is_up)
    assert why in found.why_not
    assert bool(found.why_not) is bool(why)
    assert sorted(found.spots) == list(range(1, 10))

from unittest.mock import Mock

from firmware.live.read_so_far import RANGE_EVERY_NS, RANGE_REST, ReadSoFar


def test_a_range_that_takes_long_is_read_less_often():
    known = ReadSoFar(Mock(), 0, 0, 0)
    known.rest_of_range(1_000_000)
    assert known.range_rest_ns == RANGE_EVERY_NS
    known.rest_of_range(RANGE_EVERY_NS)
    assert known.range_rest_ns == RANGE_REST * RANGE_EVERY_NS

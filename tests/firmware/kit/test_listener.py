"""Somebody who only hears; what reaches a reader out of reach later stands in test_post."""

from tests.brokers import until
from tests.firmware.kit.conftest import put, row


def test_a_listener_hears_a_unit_and_never_speaks_for_one(broker, unit, hearer):
    made = unit(broker.settings("cam-a"))
    reader = hearer(broker.settings("reader"))
    until(lambda: reader.listener.is_up and reader.unit("cam-a"))
    put(made.journal, row(1))
    until(lambda: reader.marks)
    assert [each.name for each in reader.listener.ear.units()] == ["cam-a"]
    assert reader.listener.trouble == ""
    reader.close()
    assert not reader.listener.is_up

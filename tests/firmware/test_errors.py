"""One root; a message is the sentence itself."""

import inspect

from firmware import errors


def test_every_fault_has_the_one_root_and_says_when_it_happens():
    for _, fault in inspect.getmembers(errors, inspect.isclass):
        assert issubclass(fault, errors.FirmwareError)
        assert fault.__doc__
        assert str(fault("the sentence")) == "the sentence"

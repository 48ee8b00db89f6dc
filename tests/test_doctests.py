"""The examples in docstrings are run: what they show is what comes out."""

import doctest
import importlib

import numpy as np
import pytest

from tests.places import ROOT

MODULES = [
    str(path.relative_to(ROOT).with_suffix("")).replace("/", ".")
    for package in ("overlays", "firmware")
    for path in sorted((ROOT / package).rglob("*.py"))
    # Only a module with an example is imported: some need a device, or a library of the board.
    if ">>> " in path.read_text()
]


def test_there_are_examples():
    assert len(MODULES) >= 60


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module_hold(name):
    module = importlib.import_module(name)
    with np.printoptions(legacy=False):  # colour-science has arrays printed as of old, once loaded
        done = doctest.testmod(module, optionflags=doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE)
    assert done.attempted > 0
    assert done.failed == 0

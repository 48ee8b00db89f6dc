"""What is excused is there, and nothing besides it goes by the same name."""

from collections import Counter

import pytest

from tests.mutation.equivalent import EQUIVALENT
from tests.mutation.mutants import mutants
from tests.mutation.workbench import ROOT


@pytest.mark.parametrize("excused", EQUIVALENT, ids=lambda excused: f"{excused[0]}: {excused[1]}")
def test_each_is_one_mutant_of_a_line_of_that_module(excused):
    module, code, what = excused
    text = (ROOT / module).read_text()
    lines = text.splitlines()
    found = [each for each in mutants(text) if each.words(text) == what]
    counted = Counter(each.line for each in found if lines[each.line - 1].strip() == code)
    assert set(counted.values()) == {1}

"""Steps and their marks: whatever is cut off is gone on with."""

from hypothesis import given
from hypothesis import strategies as st

from firmware.first_boot.boot_steps import BootStep, mark, marks_in, remaining


@given(st.sets(st.sampled_from([step.value for step in BootStep])))
def test_what_is_marked_is_not_done_again_and_the_order_stays(marks):
    left = remaining(marks)
    assert {step.value for step in left} == {step.value for step in BootStep} - marks
    assert list(left) == [step for step in BootStep if step in left]


def test_marks_are_files_that_are_found_again(tmp_path):
    folder = tmp_path / "card" / "marks"
    assert marks_in(folder) == set()
    (tmp_path / "card").mkdir()
    mark(folder, "packages")
    mark(folder, "packages")
    assert marks_in(folder) == {"packages"}

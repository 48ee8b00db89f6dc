"""The wish for a root that is only read."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import FirstBootError
from firmware.first_boot import kernel_options
from tests.places import ROOT

WORD = st.text(st.sampled_from("abc=./-"), min_size=1, max_size=8)


@given(st.lists(WORD))
def test_without_a_wish_nothing_changes(words):
    line = " ".join(words) + "\n"
    assert kernel_options.fulfilled(line) == line


@given(st.lists(WORD), st.lists(WORD))
def test_a_wish_is_fulfilled_once(before, behind):
    made = kernel_options.fulfilled(" ".join([*before, kernel_options.WISH, *behind]))
    assert made.split() == [*before, *behind, *kernel_options.READ_ONLY]
    assert kernel_options.fulfilled(made) == made


def test_the_file_is_changed_whole(tmp_path):
    path = tmp_path / "cmdline.txt"
    path.write_text(f"root=x {kernel_options.WISH}\n")
    kernel_options.fulfil(path)
    assert path.read_text() == f"root=x {' '.join(kernel_options.READ_ONLY)}\n"
    assert list(tmp_path.iterdir()) == [path]
    with pytest.raises(FirstBootError, match="stays writable"):
        kernel_options.fulfil(tmp_path / "none" / "cmdline.txt")


def test_the_program_that_is_named_goes_by_the_option():
    script = (ROOT / "systemd/card/read-only-root").read_text()
    assert f'*" {kernel_options.READ_ONLY[0]} "*' in script

"""Which modes a processor keeps up with: read off the kernel's file, said with its doubt."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.health.camera_modes import (
    ALLOWANCE,
    MODES,
    PROJECTED,
    Fit,
    Processor,
    fit_in_words,
    judged_fit,
    look_at_processor,
    modes_by_fit,
)


def cpuinfo(folder, part, cores):
    # As a Raspberry Pi's kernel prints it: raspberrypi/linux arch/arm64/kernel/cpuinfo.c.
    one = "processor\t: {}\nBogoMIPS\t: 108.00\nCPU implementer\t: 0x41\nCPU part\t: {}\n\n"
    (folder / "proc").mkdir(parents=True, exist_ok=True)
    text = "".join(one.format(n, part) for n in range(cores)) + "Revision\t: c03115\n"
    (folder / "proc/cpuinfo").write_text(text)
    return folder


def test_the_part_and_the_cores_are_read(tmp_path):
    assert look_at_processor(cpuinfo(tmp_path, "0xd08", 4)) == Processor("0xd08", 4)


def test_another_kind_of_machine_has_no_part(tmp_path):
    (tmp_path / "proc").mkdir()
    (tmp_path / "proc/cpuinfo").write_text("processor\t: 0\nmodel name\t: x\n")
    assert look_at_processor(tmp_path) == Processor(None, 1)
    assert look_at_processor(tmp_path / "nowhere") == Processor(None, 1)


@given(st.floats(0.1, 200.0), st.floats(1.0, 240.0), st.floats(1.0, 10.0))
def test_a_slower_frame_never_fits_better(frame_ms, rate, slower):
    order = [Fit.YES, Fit.DOUBTFUL, Fit.NO]
    quick, slow = judged_fit(frame_ms, rate), judged_fit(frame_ms * slower, rate)
    assert order.index(slow) >= order.index(quick)


def test_what_is_within_the_allowance_is_a_doubt():
    assert judged_fit(20.0, 50.0) is Fit.DOUBTFUL
    assert judged_fit(20.0 / ALLOWANCE - 0.01, 50.0) is Fit.YES
    assert judged_fit(20.0 * ALLOWANCE + 0.01, 50.0) is Fit.NO


@pytest.mark.parametrize("projected", PROJECTED.values(), ids=lambda p: p.core)
@pytest.mark.parametrize("workers", [1, 3])
def test_every_mode_is_in_one_list(projected, workers):
    told = [name for names in modes_by_fit(projected, workers).values() for name in names]
    assert sorted(told) == sorted(f"{rows}{rate}" for rows, rate in MODES)


@pytest.mark.parametrize("projected", PROJECTED.values(), ids=lambda p: p.core)
def test_more_workers_are_quicker_but_not_by_more_than_they_are(projected):
    for rows in ("720p", "1080p"):
        one, three = projected.frame_ms(rows, 1), projected.frame_ms(rows, 3)
        assert one / 3 < three < one


def test_words_name_processor_workers_and_that_nobody_measured(tmp_path):
    all_fit, words = fit_in_words(cpuinfo(tmp_path, "0xd08", 4))
    assert all_fit is not None
    assert words.startswith("Cortex-A72, 3 workers: ")
    assert words.endswith("(projected from its loops, no board was measured)")
    assert all(f"{rows}{rate}" in words for rows, rate in MODES)


def test_a_slow_board_is_told_what_it_does_not_keep_up_with(tmp_path):
    all_fit, words = fit_in_words(cpuinfo(tmp_path, "0xd03", 4))
    assert all_fit is False
    assert words.startswith("Cortex-A53, 3 workers: ")
    assert "720p50, 720p60, 1080p50, 1080p60 do not fit" in words


def test_one_core_has_one_worker_and_fewer_modes(tmp_path):
    _, four = fit_in_words(cpuinfo(tmp_path / "a", "0xd08", 4))
    all_fit, one = fit_in_words(cpuinfo(tmp_path / "b", "0xd08", 1))
    assert "one worker" in one
    assert not all_fit
    assert "not fit" in one
    assert one != four


def test_what_was_not_projected_is_said(tmp_path):
    # Arm 100442: the main ID register of a Cortex-A55.
    all_fit, words = fit_in_words(cpuinfo(tmp_path, "0xd05", 4))
    assert all_fit is None
    assert "nobody" in words

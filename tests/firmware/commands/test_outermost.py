import signal
import threading

import pytest

from firmware.commands.outermost import ending_when_told, guarded, sentence
from firmware.errors import FeedNotFoundError, ProfileError
from overlays.errors import UnknownCurveError


def ends(fault):
    with pytest.raises(SystemExit) as ended, guarded():
        raise fault
    return ended.value.code


@pytest.mark.parametrize(
    "fault",
    [
        FeedNotFoundError("nothing at x.mov; check the path"),
        UnknownCurveError("unknown curve 'x'; did you mean y?"),
        PermissionError(13, "Permission denied", "x.mov"),
    ],
)
def test_a_fault_is_one_sentence_and_status_2(fault, capsys):
    assert ends(fault) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("midgrey: ")
    assert err.count("\n") == 1
    assert "Traceback" not in err


def test_ctrl_c_is_quiet(capsys):
    assert ends(KeyboardInterrupt()) == 130
    assert capsys.readouterr() == ("", "")


def test_a_closed_pipe_is_quiet(capfd):
    assert ends(BrokenPipeError(32, "Broken pipe")) == 141
    assert capfd.readouterr().err == ""


def test_a_bug_keeps_its_traceback():
    with pytest.raises(ZeroDivisionError), guarded():
        raise ZeroDivisionError


def test_system_faults_name_the_file():
    fault = PermissionError(13, "Permission denied", "x.mov")
    assert sentence(fault) == (
        "midgrey: x.mov: the system refused: permission denied; check the path"
    )
    assert sentence(OSError("odd")) == "midgrey: the system refused: odd"


def test_several_mistakes_get_a_heading():
    assert sentence(ProfileError("a\nb")) == "midgrey: 2 mistakes:\na\nb"


def test_a_fault_without_words_still_says_something():
    assert sentence(ProfileError("")) == "midgrey: ProfileError"


def test_told_to_end_it_says_so(capsys):
    """Without a screen SIGTERM ended a run without a sentence (issue 19, item 13)."""
    before = signal.getsignal(signal.SIGTERM)
    with pytest.raises(SystemExit) as ended, guarded(), ending_when_told():
        signal.raise_signal(signal.SIGTERM)
    assert ended.value.code == 143
    assert capsys.readouterr().err == "midgrey: told to end (SIGTERM), and ended\n"
    assert signal.getsignal(signal.SIGTERM) is before


def test_only_the_main_thread_says_what_a_signal_does():
    before, seen = signal.getsignal(signal.SIGTERM), []

    def look():
        with ending_when_told():
            seen.append(signal.getsignal(signal.SIGTERM))

    thread = threading.Thread(target=look)
    thread.start()
    thread.join()
    assert seen == [before]


def test_faults_of_what_was_interrupted_are_not_told(capsys):
    def interrupted():
        try:
            signal.raise_signal(signal.SIGTERM)
        except BaseException as fault:
            raise RuntimeError("no compiled object yet") from fault

    with pytest.raises(SystemExit) as ended, guarded(), ending_when_told():
        interrupted()
    assert ended.value.code == 143
    assert "compiled" not in capsys.readouterr().err

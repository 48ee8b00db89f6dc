"""What a person says is kept as said, and what nobody said is open."""

import pytest

from firmware.selftest.found import RowFound, RowOutcome, Seer, left_open
from firmware.selftest.questions import judged, photograph_of
from firmware.selftest.step import CheckRow

STEP = CheckRow(7, "question", "run", "expect", "needs")
MEASURED = RowFound(RowOutcome.OTHERWISE, "measured")


def answers(*lines):
    left = list(lines)
    return lambda _question: left.pop(0)


@pytest.fixture
def photograph(tmp_path):
    path = tmp_path / "a picture.JPG"
    path.write_bytes(b"\xff\xd8\xff\xe0 and so on")
    return path


def test_a_verdict_words_and_a_photograph_are_kept(photograph):
    said: list[str] = []
    ask = answers("what", "Y", " a grey picture ", "/nowhere.jpg", str(photograph))
    found, picture = judged(STEP, MEASURED, ask, said.append)
    assert (found.outcome, found.seen_by) == (RowOutcome.AS_EXPECTED, Seer.PERSON)
    assert (found.typed, found.photograph, found.words) == (
        "a grey picture",
        "step-07.jpg",
        "measured",
    )
    assert picture.content == photograph.read_bytes()
    assert len(said) == 1
    assert said[0].startswith("  /nowhere.jpg: no such file")


def test_enter_leaves_it_open_whatever_was_measured():
    found, picture = judged(STEP, MEASURED, answers(""), print)
    assert (found.outcome, found.seen_by, picture) == (RowOutcome.OPEN, Seer.NOBODY, None)


def test_no_is_no():
    found, _ = judged(STEP, left_open("x"), answers("n", "", ""), print)
    assert (found.outcome, found.typed) == (RowOutcome.OTHERWISE, "")


@pytest.mark.parametrize(
    ("content", "name"),
    [
        (b"\x89PNG\r\n\x1a\n...", "step-07.png"),
        (b"\0\0\0\x18ftypheic", "step-07.heic"),
        (b"GIF89a", None),
        (b"", None),
    ],
)
def test_a_photograph_is_known_by_how_it_begins(tmp_path, content, name):
    path = tmp_path / "x"
    path.write_bytes(content)
    if name is None:
        with pytest.raises(ValueError, match="no photograph"):
            photograph_of(STEP, path)
    else:
        assert photograph_of(STEP, path).name == name

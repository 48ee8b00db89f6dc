"""What a person reads of advice in the terminal."""

from firmware.instruments.advice.answer import READ_AGAIN
from tests.asking import asked, printed

BENCH = "bench:size=640x360,cloud=0,signal=yuv422-10"


def test_the_sentences_stand_in_the_order_of_their_use():
    lines = printed("expose", feed=f"{BENCH},exposure=1", aperture="4", iso="800").splitlines()
    assert "spot at 320,180" in lines[0]
    assert "target 0 st" in lines[0]
    assert lines[1].startswith("Off +1.00 ±0.")
    assert lines[1].endswith(" st: too bright.")
    assert lines[2].startswith("Close to f/5.6")
    assert any(line.startswith("  or ") and "ISO" in line for line in lines[3:])
    assert any(line.startswith("Brightest then") for line in lines[3:])


def test_what_else_a_move_changes_is_said_with_it():
    lines = printed("expose", feed=f"{BENCH},exposure=1", shutter="180 deg").splitlines()
    assert any(line.startswith("  90 deg: ") and "motion" in line for line in lines)


def test_what_is_not_known_is_said_in_words():
    feed = f"{BENCH},exposure=4"
    text = printed("expose", feed=feed, iso="800")
    assert "Off unknown: " in text
    for warning in asked("expose", feed=feed, iso="800")["warnings"]:
        sentence = f"\n{warning[0].upper()}{warning[1:]}.\n"  # the advice itself, not a note
        assert text.count(f"Note: {warning}.") + text.count(sentence) == 1


def test_a_terminals_minus_is_a_hyphen():
    text = printed("expose", feed=f"{BENCH},exposure=-1.5", iso="800")
    assert "Off -1.50" in text
    assert "−" not in text


def test_a_spot_without_a_reading_is_told_what_to_do_and_only_once():
    # It was "No advice: the spot gives no reading", and the remedy a note among four others.
    text = printed("expose", feed=f"{BENCH},exposure=4")
    assert "\nThe spot is clipped: take light off until it is not.\n" in text
    assert "No advice" not in text
    assert "Note: the spot is clipped: take light off" not in text


def test_a_move_without_a_note_has_nothing_behind_it():
    text = printed("expose", feed=f"{BENCH},exposure=1", aperture="4", iso="800")
    others = [line for line in text.splitlines() if line.startswith("  or ")]
    assert others
    assert all(line.endswith((" st", ")")) and "None" not in line for line in others)


def test_a_spot_that_may_be_clipped_is_to_be_read_again():
    # It was "Take 6.02 st off the light", as if it were sure to read no more than that.
    feed = "bench:size=640x360,noise=0,cloud=0,rate=5"
    found = asked("expose", feed=feed, profile="log-s3", at="128,48,16")
    assert found["advice"].startswith("take 6.02 st off the light")
    assert found["advice"].endswith(READ_AGAIN)
    sure = asked("expose", feed=feed, profile="log-s3", at="320,180,16")
    assert READ_AGAIN not in sure["advice"]

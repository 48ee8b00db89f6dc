import pytest

from firmware.errors import ArgumentError
from firmware.written.spelling import choice, nearest, offer
from overlays.signal.signal import Matrix, Range


@pytest.mark.parametrize("word", ["BT.2020", "bt2020", "Bt 2020"])
def test_choice_does_not_mind_case_and_punctuation(word):
    assert choice(Matrix, word, "matrix") is Matrix.BT2020


def test_unknown_choice_names_the_nearest():
    with pytest.raises(ArgumentError, match=r"unknown range 'limted'; did you mean limited\?"):
        choice(Range, "limted", "range")


def test_unknown_choice_with_nothing_near_names_all():
    with pytest.raises(ArgumentError, match="it is one of limited, full"):
        choice(Range, "zzz", "range")


def test_nearest_gives_the_word_as_it_is_spelled():
    assert nearest("SLOG3", ["V-Log", "S-Log3"]) == "S-Log3"
    assert nearest("nothing like it", ["V-Log"]) is None


def test_offer_never_comes_without_a_remedy():
    assert offer("targt", ["target", "clip"]) == "did you mean target?"
    assert offer("zebra", ["target", "clip"]) == "it is one of target, clip"

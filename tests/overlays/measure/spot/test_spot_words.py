"""What a spot says of itself: each fault by its own sentence, once."""

import pytest

from overlays.measure.spot.spot_words import clipping_sentences, codec_sentences, unknown_sentences
from overlays.wording.reasons import Reason

SPECK = 0.002


def test_clipping_names_its_channels_and_that_the_light_is_higher():
    (said,) = clipping_sentences(0.81, (0.81, 0.0, 0.3), Reason.CLIPPED, SPECK)
    assert said.startswith("81 % of the spot is clipped (RB): ")
    assert "higher" in said
    (said,) = clipping_sentences(0.0004, (0.0004, 0.0, 0.0), Reason.PARTLY_CLIPPED, SPECK)
    assert said.startswith("<0.1 % of the spot is clipped (R): ")


def test_what_noise_explains_is_worth_a_word_from_a_share_on():
    assert clipping_sentences(0.0, (0.0, 0.0, 0.0), None, SPECK) == ()
    assert clipping_sentences(0.001, (0.001, 0.0, 0.0), None, SPECK) == ()
    (said,) = clipping_sentences(0.01, (0.01, 0.0, 0.0), None, SPECK)
    assert "the ± holds it" in said


@pytest.mark.parametrize(
    ("reason", "cut", "words"),
    [
        (Reason.NO_LIGHT, "", "no light above black"),
        (
            Reason.CUT_OFF,
            "the lowest code",
            "cut off at the lowest code: the true light is no more",
        ),
        (Reason.DOWN_TO_NO_LIGHT, "", "no lower bound"),
    ],
)
def test_every_reason_has_its_sentence(reason, cut, words):
    (said,) = unknown_sentences(reason, cut)
    assert words in said


def test_what_clipping_says_is_not_said_twice():
    assert unknown_sentences(Reason.CLIPPED, "") == unknown_sentences(None, "") == ()


@pytest.mark.parametrize(
    ("is_guessed", "edge", "count"), [(True, 16, 1), (True, 32, 0), (False, 16, 0)]
)
def test_a_small_spot_says_that_it_does_not_show_how_coarse_compression_is(is_guessed, edge, count):
    said = codec_sentences(is_guessed, edge)
    assert len(said) == count
    assert all("so small a spot does not tell: use 32 pixels" in each for each in said)


@pytest.mark.parametrize("stray", [0.0, 0.0004, 0.002])
def test_a_few_stray_pixels_of_another_channel_do_not_change_the_words(stray):
    # A held scene said (RG) and (RGB) in turns.
    (said,) = clipping_sentences(0.4, (0.4, 0.3, stray), Reason.CLIPPED, SPECK)
    assert said.startswith("40 % of the spot is clipped (RG): ")
    (said,) = clipping_sentences(0.4, (0.4, 0.3, 0.1), Reason.CLIPPED, SPECK)
    assert "(RGB)" in said

import pytest

from overlays.draw.moment.shown import Face, Source


@pytest.mark.parametrize("face", list(Face))
def test_numbers_may_be_taken_only_from_a_live_or_held_frame(shown, face):
    moment = shown(face=face)
    # With a lamp that is stuck the picture is live all the same.
    assert (moment.readable is moment.measured) == (
        face in {Face.LIVE, Face.HELD, Face.LAMP, Face.LOCKED}
    )


def test_the_curve_is_named_once():
    assert Source("Standard gamma (BT.709)", "BT.709", "").read_as == "Standard gamma (BT.709)"
    assert Source("My camera", "HLG", "").read_as == "My camera  ·  HLG"

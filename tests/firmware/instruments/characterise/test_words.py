from firmware.instruments.characterise.words import camera_words, outlier_words
from tests.overlays.measure.characterise.test_camera import camera


def test_what_was_found_is_said_with_what_is_not_known():
    found, _ = camera("V-Log", 10)
    said = " ".join(camera_words(found))
    for word in ("clip", "floor", "usable range", "metered", "V-Log"):
        assert word in said
    assert outlier_words(found) == ()
    deep, _ = camera("PQ", 10)
    assert "not known" in " ".join(camera_words(deep))


def test_an_outlier_is_named_with_how_far_it_is_off():
    found, _ = camera("V-Log", 10, misset=(-1.0 / 3.0, 1.0 / 3.0))
    (said,) = outlier_words(found)
    assert "-0.33" in said

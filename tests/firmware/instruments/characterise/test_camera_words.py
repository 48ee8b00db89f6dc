from dataclasses import replace

from firmware.instruments.characterise.camera_words import camera_words, outlier_words
from overlays.measure.characterise.flicker import Light
from tests.overlays.measure.characterise.test_camera_found import camera


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


def test_what_makes_steps_scatter_is_said_as_far_as_it_is_known():
    found, _ = camera("V-Log", 10)
    scattered = replace(found, scatter_stops=0.05)
    said = " ".join(camera_words(scattered))
    assert "or light that flickers make" in said
    seen = replace(scattered, light=Light(0.21, 18, 20))
    said = " ".join(camera_words(seen))
    assert "swings by ±0.21 st, seen at 18 of 20 steps" in said
    assert "what flicker leaves in a mean" in said
    ruled_out = replace(scattered, light=Light(is_ruled_out=True))
    said = " ".join(camera_words(ruled_out))
    assert "flicker" not in said
    assert "settings that are a little off make them" in said


def test_so_many_in_doubt_are_counted_and_not_named():
    found, _ = camera("V-Log", 10)
    steps = tuple(
        replace(step, is_doubtful=number % 2 == 0 and step.is_used)
        for number, step in enumerate(found.steps)
    )
    (said,) = outlier_words(replace(found, steps=steps))
    count = sum(step.is_doubtful for step in steps)
    assert said.startswith(f"{count} of {len(steps)} steps are in doubt")
    assert "all are used" in said

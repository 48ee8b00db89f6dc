from overlays.measure.suspicion.suspected import Sign, Suspicion


def test_a_suspicion_is_one_sentence_with_how_much_there_is_of_it():
    said = Suspicion(Sign.BARS, 0.25, 0.01).words
    assert said.endswith("(25 ±1.0 %)")
    assert "\n" not in said
    for sign in Sign:
        assert not sign.value.endswith(".")

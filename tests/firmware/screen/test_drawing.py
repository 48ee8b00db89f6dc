from firmware.screen.drawing import Drawing


def test_ways_of_drawing_have_words_of_their_own():
    words = [each.value for each in Drawing]
    assert len(words) == len(set(words)) == 4

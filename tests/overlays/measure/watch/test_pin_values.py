from overlays.measure.watch.pin_values import values_of_stops


def test_colours_are_against_green_and_without_green_there_is_no_news_of_them():
    assert values_of_stops(1.0, (0.5, 0.25, None)) == (1.0, 0.25, None)
    assert values_of_stops(None, (0.5, None, 1.0)) == (None, None, None)

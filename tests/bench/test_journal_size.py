from tests.bench.journal_size import peak_mib, timed, words


def test_it_says_the_middle_and_the_slowest():
    said = words("x", [1.0, 2.0, 3.0, 50.0])
    assert "2.5 ms" in said
    assert "longest 50.0" in said
    assert timed(lambda: None) < 100.0
    assert peak_mib() > 1.0

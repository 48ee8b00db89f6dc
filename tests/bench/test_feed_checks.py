from tests.bench.feed_checks import judged_triples


def test_the_tally_counts_every_triple_twice_and_names_what_is_tied():
    tally = judged_triples(6, 3, 10)
    assert tally.judged == 6
    assert tally.certain <= tally.certain_with_more
    assert sum(tally.tied.values()) == 6

"""A few seconds of the live soak; `python -m tests.bench.soak --live 3600` is the whole."""

from tests.bench.live_soak import live_soak


def test_the_live_path_keeps_its_buffers_and_leaves_nothing_behind():
    made = live_soak(5.0, seed=3)
    assert made["looked_at"] > 20
    assert made["written_while_lent"] == made["still_lent"] == made["left_open"] == 0
    assert made["frames"]["shown"] > 5
    assert sum(made["did"].values()) > 40
    assert {"LIVE"} < set(made["faces"])
    assert made["after"]["threads"] < made["start"]["threads"]

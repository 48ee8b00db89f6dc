from firmware.health.stats import Stats
from firmware.live.hooks import Hooks
from firmware.live.settling import LOADED_NS, MEMORY_EVERY_NS, WARM_NS, Settling


def test_it_settles_once_after_the_first_frame_and_then_looks_at_memory():
    warm: list[int] = []
    looks: list[int] = []
    stats = Stats(lambda: looks.append(1))
    stats.is_settling = True
    settling = Settling(Hooks(warm=lambda: warm.append(1)), stats)
    settling.turn(0, 0)
    settling.turn(10 * WARM_NS, 0)
    assert (warm, looks) == ([], [])
    settling.turn(10 * WARM_NS, 1)
    settling.turn(10 * WARM_NS + LOADED_NS - 1, 9)
    assert (warm, stats.is_settling) == ([], True)
    settling.turn(11 * WARM_NS - 1, 9)
    assert (warm, stats.is_settling) == ([1], True)
    for turn in range(4):
        settling.turn(11 * WARM_NS + turn * MEMORY_EVERY_NS, 9)
    assert (warm, stats.is_settling) == ([1], False)
    assert looks == [1] * 4

from firmware.clock import HandClock
from firmware.instruments.asking import Opener, Wanted
from firmware.instruments.kept_places import KeptPlaces
from firmware.journal.evidence import of_places
from firmware.opening.overrides import Overrides
from tests.marked import SMALL


def test_a_frame_that_is_gone_reads_as_it_did():
    wanted = Wanted(f"{SMALL},curve=V-Log,signal=yuv422-10", "log-v", Overrides(), 3, ("0.3,0.4",))
    with Opener(HandClock(10**9)).scene(wanted) as scene:
        places = [scene.place, *(pin.place for pin in scene.desk.pins)]
        kept = KeptPlaces.of(scene, places)
        read = [scene.read(place) for place in places]
    found = of_places(kept)
    assert found is not None
    again = found[0].scene()
    assert (again.frame.number, again.frame.time_ns) == (kept.number, kept.time_ns)
    for place, before in zip(places, read, strict=True):
        now = again.read(place)
        for name in ("stops", "stops_pm", "percent", "percent_pm", "rgb_stops", "warnings"):
            assert getattr(now, name) == getattr(before, name)

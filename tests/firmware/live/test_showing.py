from firmware.live.freshness import Freshness
from firmware.live.orders import orders_of
from firmware.live.showing import Besides, shown_of
from firmware.live.state import first_state
from firmware.opening.read_with import read_with
from firmware.profiles.shelf import load_profile
from overlays.draw.moment.shown import Face
from tests import views


def test_before_the_first_frame_stripes_stand_in_words_and_warnings_come_together(info):
    profile = load_profile("standard")
    feed = info(warnings=("from the feed",))
    state = first_state((profile,), feed, views.EXPOSE)
    orders = orders_of(state, read_with(profile, feed))
    said = Besides(("from choice",), "saved", None, 3)
    shown = shown_of(state, feed, orders, None, Freshness(Face.STARTING, "opening"), said)
    assert (shown.face, shown.face_words, shown.note, shown.turn) == (
        Face.STARTING,
        "opening",
        "saved",
        3,
    )
    assert shown.warnings == ("from the feed", "from choice")
    assert len(shown.stripes) == len(state.stripes)
    assert shown.source.feed == "fake: 96x64"
    assert shown.help == ()

import pytest

from overlays.draw.layout.layouts import layout
from overlays.draw.layout.lettering import Letters, Text
from overlays.draw.layout.views import Arrangement, TraceKind, View
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Alert, Face, Shown, Source
from overlays.draw.rail.index_pieces import figures_of, index_pieces
from overlays.wording.numbers import UNKNOWN
from tests import views

NAMES = tuple(view.name for view in views.VIEWS)
SIZES = [(480, 320), (800, 480), (1280, 720), (480, 800)]
INDEX = View("index", Arrangement.NUMBER)


@pytest.fixture(scope="module")
def letters():
    return Letters()


def laid(size, letters, **changes):
    source = Source("", "", "", is_simulated=True)
    given = {"face": Face.LIVE, "face_words": "", "index": NAMES, **changes}
    shown = Shown(views.EXPOSE, TraceKind.LUMA, None, source=source, **given)
    made = layout(INDEX, size, (16, 9), has_rail=True)
    pieces = index_pieces(shown, made.readings, letters, made.theme)
    return made, [piece for piece in pieces if isinstance(piece, Text)]


@pytest.mark.parametrize("size", SIZES)
def test_each_view_stands_over_its_button_in_two_rows(size, letters):
    made, texts = laid(size, letters)
    for place, name in enumerate(NAMES[:8]):
        (title,) = (t for t in texts if t.words.removeprefix("– ") == name)
        assert made.rail.button_at((title.x, size[1] - 1)) == place % 4
        assert title.words.startswith("– ") is (place >= 4)
    last = " ".join(text.words for text in texts[-2:])
    assert all(name in last for name in NAMES[8:])


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("face", [Face.LIVE, Face.HELD, Face.LOST])
def test_nothing_leaves_its_area_whatever_stands_above(size, face, letters):
    alert = Alert("supply too weak: the board slows down; use its own supply", Tone.ALARM)
    made, texts = laid(size, letters, face=face, face_words="why it is so", alert=alert)
    for text in texts:
        box = letters.area(text)
        assert box.bottom <= made.foot.top
        assert box.left >= 0
        assert box.right <= size[0]


def test_what_is_not_measured_is_not_known_and_what_no_camera_sent_is_said(letters):
    _, texts = laid((800, 480), letters)
    assert sum(text.words == UNKNOWN for text in texts) == 8
    assert "simulated" in texts[-1].words


def test_without_a_readable_moment_there_are_no_figures():
    shown = Shown(views.EXPOSE, TraceKind.LUMA, None, Face.LOST, "", Source("", "", ""))
    assert figures_of(shown) == {}

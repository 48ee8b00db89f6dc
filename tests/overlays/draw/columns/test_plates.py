import pytest

from overlays.draw.columns.giant import giant_pieces
from overlays.draw.columns.plates import (
    alert_pieces,
    banner_pieces,
    note_pieces,
    plate_pieces,
    under_banner,
)
from overlays.draw.layout.areas import Area
from overlays.draw.layout.layouts import layout
from overlays.draw.layout.lettering import Block, Text
from overlays.draw.layout.theme import AMBER, GROUND, RED_WORDS, TextSize, theme_for
from overlays.draw.layout.views import Arrangement
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Alert, Face
from overlays.measure.spot.spot import SpotPlace
from tests import views

SCREENS = [(800, 480), (1024, 600), (1280, 720), (1920, 1080)]


def texts(pieces):
    return [piece for piece in pieces if isinstance(piece, Text) and piece.words]


def words(pieces):
    return [piece.words for piece in texts(pieces)]


def check(pieces, area, letters):
    lines = texts(pieces)
    for line in lines:
        assert area.holds(letters.area(line)), line
    for index, one in enumerate(lines):
        for other in lines[index + 1 :]:
            mine = letters.area(one)
            spare = mine.height // 8
            mine = Area(mine.left, mine.top + spare, mine.width, max(mine.height - 2 * spare, 1))
            assert not mine.meets(letters.area(other)), (one, other)
    return lines


@pytest.mark.parametrize("screen", SCREENS)
def test_the_plate_stays_in_its_corner_whatever_it_reads(shown, measured, letters, screen):
    made = layout(views.PICTURE, screen, (1920, 1080))
    sizes = set()
    for place in (SpotPlace(90, 50, 8), SpotPlace(5, 50, 8)):
        moment = shown(view=views.PICTURE, measured=measured(place=place))
        pieces = plate_pieces(moment, made.readings, letters, made.theme)
        check(pieces, made.screen, letters)
        box = next(p.area for p in pieces if isinstance(p, Block))
        assert box.width < 0.5 * screen[0]
        sizes.add((box.width, box.height))
    assert len(sizes) == 1


@pytest.mark.parametrize("screen", SCREENS)
def test_the_lines_of_the_plate_have_the_same_room_above_and_below(shown, letters, screen):
    made = layout(views.PICTURE, screen, (1920, 1080))
    pieces = plate_pieces(shown(view=views.PICTURE), made.readings, letters, made.theme)
    box = next(p.area for p in pieces if isinstance(p, Block))
    stops, doubt, percent, foot = (letters.area(text) for text in texts(pieces))
    above, below = stops.top - box.top, box.bottom - foot.bottom
    assert abs(above - below) <= 1
    assert above >= made.theme.gap // 3
    lines = [text.top + letters.base(text.pixels) for text in texts(pieces)]
    assert lines[0] == lines[1] == lines[2]  # the three numbers stand on one line
    assert stops.right <= doubt.left < doubt.right <= percent.left
    assert 0 <= foot.top - stops.bottom < box.height // 8
    assert stops.left - box.left == foot.left - box.left == made.theme.gap
    assert box.bottom == made.readings.bottom


def test_the_plate_has_the_doubt_of_a_number_and_none_where_there_is_no_number(shown, letters):
    made = layout(views.PICTURE, (800, 480), (1920, 1080))
    known = words(plate_pieces(shown(), made.readings, letters, made.theme))
    assert any(each.startswith("±") and each.endswith(" st") for each in known)
    lost = shown(face=Face.LOST, face_words="why")
    assert not any(
        "±" in each for each in words(plate_pieces(lost, made.readings, letters, made.theme))
    )


@pytest.mark.parametrize("face", [Face.HELD, Face.STALE, Face.LOST])
def test_a_banner_names_what_is_not_live(shown, letters, face):
    moment = shown(face=face, face_words="because of this")
    area = Area(10, 10, 480, 270)
    pieces = banner_pieces(moment, area, letters, theme_for(800, 480))
    check(pieces, area, letters)
    assert words(pieces) == [face.value.upper(), "because of this"]
    bar = next(p.area for p in pieces if isinstance(p, Block))
    assert bar.width == area.width


def test_a_live_picture_has_no_banner(shown, letters):
    assert banner_pieces(shown(), Area(0, 0, 99, 99), letters, theme_for(800, 480)) == []


def test_a_note_stands_at_the_lower_right_and_is_said_to_its_end(letters):
    area = Area(50, 50, 300, 200)
    note = " ".join(["saved a file of a very long name"] * 5)
    pieces = note_pieces(note, area, letters, theme_for(800, 480))
    check(pieces, area, letters)
    assert " ".join(words(pieces)) == note
    box = next(p.area for p in pieces if isinstance(p, Block))
    assert (box.right, box.bottom) == (area.right, area.bottom)
    assert note_pieces("", area, letters, theme_for(800, 480)) == []


TROUBLE = "power supply was too weak: use a stronger one, a shorter lead"


@pytest.mark.parametrize("screen", [(480, 320), *SCREENS])
@pytest.mark.parametrize(
    "view", [view for view in views.VIEWS if view.arrangement is not Arrangement.NUMBER]
)
@pytest.mark.parametrize("face", [Face.LIVE, Face.HELD, Face.LOST])
def test_an_alert_is_whole_on_every_picture_and_clear_of_banner_and_readings(
    shown, letters, screen, view, face
):
    made = layout(view, screen, (1920, 1080))
    alert = Alert(TROUBLE, Tone.ALARM)
    banner = banner_pieces(shown(face=face), made.clear, letters, made.theme)
    free = under_banner(banner, made.clear)
    pieces = alert_pieces(alert, free, letters, made.theme)
    check([*banner, *pieces], made.clear, letters)
    assert " ".join(words(pieces)) == f"!! {TROUBLE}"
    box = next(p.area for p in pieces if isinstance(p, Block))
    assert made.picture.holds(box)
    assert box.height < 0.45 * made.picture.height
    if view is views.PICTURE:
        plate = plate_pieces(shown(), made.readings, letters, made.theme)
        assert not any(box.meets(p.area) for p in plate if isinstance(p, Block))
    else:
        assert not box.meets(made.readings)


def test_how_grave_an_alert_is_shows_in_a_sign_as_well_as_a_colour(letters):
    area, theme = Area(0, 0, 800, 400), theme_for(1280, 720)
    for tone, sign, colour in ((Tone.ALARM, "!!", RED_WORDS), (Tone.PLAIN, "!", AMBER)):
        pieces = alert_pieces(Alert("a: b", tone), area, letters, theme)
        assert words(pieces) == [sign, "a: b"]
        assert colour in [p.colour for p in pieces if isinstance(p, Block)]
    assert alert_pieces(None, area, letters, theme) == []


@pytest.mark.parametrize("screen", [(480, 320), *SCREENS])
@pytest.mark.parametrize("name", ["HOT", "WEAK SUPPLY", "CARD READ-ONLY", "NOT SAVED"])
def test_what_is_grave_has_a_name_as_large_as_that_of_a_face(letters, screen, name):
    made = layout(views.EXPOSE, screen, (1920, 1080))
    pieces = alert_pieces(Alert(TROUBLE, Tone.ALARM, name), made.clear, letters, made.theme)
    check(pieces, made.clear, letters)
    title = next(p for p in pieces if isinstance(p, Text))
    assert title.words == f"!! {name}"
    assert title.pixels == made.theme.text_pixels(TextSize.LARGE)
    assert " ".join(words(pieces)) == f"!! {name} {TROUBLE}"
    box, head = (p.area for p in pieces if isinstance(p, Block))
    assert made.picture.holds(box)
    assert box.height < 0.5 * made.picture.height
    assert head.width == box.width  # a bar, not a square: seen as one from two metres


@pytest.mark.parametrize("screen", [(480, 320), *SCREENS])
def test_what_a_start_waits_for_is_said_to_its_end(shown, letters, screen):
    words_of_it = "first start on this machine: preparing the measuring code, 12 of about 110 parts"
    made = layout(views.EXPOSE, screen, (1920, 1080))
    moment = shown(face=Face.STARTING, face_words=words_of_it)
    pieces = banner_pieces(moment, made.clear, letters, made.theme)
    check(pieces, made.clear, letters)
    assert " ".join(words(pieces)[1:]) == words_of_it


def test_what_hangs_is_said_to_its_end_however_small_the_screen(shown, letters):
    said = "measuring: no result for 0.6 s"
    made = layout(views.EXPOSE, (480, 320), (1920, 1080))
    pieces = banner_pieces(
        shown(face=Face.STALLED, face_words=said), made.clear, letters, made.theme
    )
    assert " ".join(words(pieces)) == f"STALLED {said}"
    free = under_banner(pieces, made.clear)
    assert not any(free.meets(p.area) for p in pieces if isinstance(p, Block))
    assert under_banner([], made.clear) == made.clear


@pytest.mark.parametrize("screen", [(480, 320), *SCREENS])
@pytest.mark.parametrize("view", [views.EXPOSE, views.TARGET, views.BALANCE])
def test_the_name_of_what_is_missing_is_whole(shown, letters, screen, view):
    missing = (
        "v4l2:/dev/v4l/by-id/usb-A_Capture_Stick-video-index0 is not there yet, looking for it"
    )
    made = layout(view, screen, (1920, 1080))
    moment = shown(view=view, face=Face.LOST, face_words=missing)
    if view is views.TARGET:
        pieces = giant_pieces(moment, made.readings, letters, made.theme)
        check(pieces, made.screen, letters)
    else:
        pieces = banner_pieces(moment, made.clear, letters, made.theme)
        check(pieces, made.clear, letters)
    assert missing.replace(" ", "") in "".join(words(pieces)).replace(" ", "")


def test_a_lock_stands_in_a_corner_of_the_picture_and_covers_no_reading(shown, letters):
    made = layout(views.EXPOSE, (480, 320), (1920, 1080))
    pieces = banner_pieces(shown(face=Face.LOCKED), made.clear, letters, made.theme)
    check(pieces, made.clear, letters)
    assert words(pieces) == ["LOCKED"]
    box = next(p.area for p in pieces if isinstance(p, Block))
    assert box.width * box.height < made.picture.width * made.picture.height / 20


def test_a_banner_deeper_than_the_area_leaves_nothing_of_it():
    free = under_banner([Block(Area(0, 0, 200, 90), GROUND)], Area(0, 40, 200, 30))
    assert (free.top, free.height) == (90, 0)

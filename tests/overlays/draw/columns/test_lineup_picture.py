import pytest

from overlays.draw.columns.lineup_picture import BAR_PERCENT, BARS, NEAR_BLACK, level, lineup_pieces
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Block, Text
from overlays.draw.layout.theme import theme_for
from overlays.draw.moment.lineup import GUIDE, Lineup

SIZES = [(480, 320), (800, 480), (1280, 720), (480, 800)]


def laid(letters, size, step=0, note="panel light 60 %"):
    return lineup_pieces(Lineup(step, note), Area(0, 0, *size), letters, theme_for(*size))


def test_bars_have_the_levels_of_the_standard(letters):
    # ITU-R BT.1729 and SMPTE RP 219: 75 % is code 721 of 64 to 940, that is 191 of 255.
    assert level(BAR_PERCENT) == round((721 - 64) / 876 * 255) == 191
    blocks = [piece for piece in laid(letters, (800, 480)) if isinstance(piece, Block)]
    assert [piece.colour for piece in blocks[: len(BARS)]] == [
        (191, 191, 191),
        (191, 191, 0),
        (0, 191, 191),
        (0, 191, 0),
        (191, 0, 191),
        (191, 0, 0),
        (0, 0, 191),
    ]


@pytest.mark.parametrize(("percent", "code10"), [(0.0, 64), (1.83, 80), (4.0, 99)])
def test_steps_near_black_are_those_of_the_standards(percent, code10):
    # ITU-R BT.814-4 Tables 2 and 3 (64, 80) and SMPTE RP 219 (99), both seen second-hand.
    assert percent in NEAR_BLACK
    assert percent == pytest.approx((code10 - 64) / 8.76, abs=0.01)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("step", range(len(GUIDE)))
def test_the_guide_is_said_whole_and_nothing_lies_over_another(letters, size, step):
    pieces = laid(letters, size, step)
    screen = Area(0, 0, *size)
    texts = [piece for piece in pieces if isinstance(piece, Text)]
    said = " ".join(piece.words for piece in texts)
    assert all(word in said for word in (GUIDE[step].name + " " + GUIDE[step].words).split())
    boxes = [letters.area(piece) for piece in texts]
    assert all(screen.holds(box) for box in boxes)
    assert not any(a.meets(b) for n, a in enumerate(boxes) for b in boxes[n + 1 :])
    assert all(
        screen.holds(piece.area) and piece.area.height > 10
        for piece in pieces
        if isinstance(piece, Block)
    )


def test_the_ramp_rises_from_black_to_white_without_a_hue(letters):
    ramp = [p.colour for p in laid(letters, (800, 480)) if isinstance(p, Block)][len(BARS) :][:64]
    assert ramp[0] == (0, 0, 0)
    assert ramp[-1] == (255, 255, 255)
    assert ramp == sorted(set(ramp))
    assert all(len(set(colour)) == 1 for colour in ramp)

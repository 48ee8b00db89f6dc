import pytest

from firmware.actions import Press, Touch
from firmware.rail.pages import DONE, At, Leaf, Meaning, Slot, leaves_of, page_of

HOLD, HELP = Meaning("hold", Press.HOLD), Meaning("help", Press.HELP)
LEFT = Meaning("left", Press.SPOT_LEFT)


@pytest.mark.parametrize(
    ("slot", "short", "long", "again"),
    [
        (Slot(HOLD, HELP), HOLD, HELP, None),
        (Slot(HOLD), HOLD, None, None),
        (Slot(None, HELP), None, HELP, None),
        (Slot(LEFT), LEFT, LEFT, LEFT),  # what moves something goes on while it is held
        (Slot(LEFT, HELP), LEFT, HELP, None),
    ],
)
def test_a_slot_stands_for_what_is_pressed_and_what_is_held(slot, short, long, again):
    touches = (Touch.SHORT, Touch.LONG, Touch.AGAIN)
    assert tuple(slot.entry(touch) for touch in touches) == (short, long, again)


def test_a_page_has_four_buttons_however_few_labels():
    assert page_of([HOLD]) == (Slot(HOLD), Slot(), Slot(), Slot())
    assert page_of([HOLD], [None, HELP])[1] == Slot(None, HELP)


@pytest.mark.parametrize("count", range(1, 20))
def test_all_entries_lie_on_pages_that_lead_on_and_back(count):
    entries = [Meaning(f"view {n}", Press.HOLD) for n in range(count)]
    guarded = Meaning("quit", Press.QUIT, is_guarded=True)
    pages = leaves_of([guarded, *entries], Leaf.MORE)
    found = [
        each
        for page in pages
        for row in ([s.pressed for s in page[:3]], [s.held for s in page[:3]])
        for each in row
        if each is not None
    ]
    assert found == [*entries, guarded]
    for number, page in enumerate(pages):
        assert page[3].pressed == DONE
        assert all(slot.pressed != guarded for slot in page)
        on = page[3].held
        assert (None if on is None else on.does) == (
            At(Leaf.MORE, number + 1) if number + 1 < len(pages) else None
        )

"""A board that a kit sees too: what is pressed, then what the kit asks for; what was painted."""

from firmware.actions import FromPage, Press
from firmware.live.kit_board import KitBoard


class Both:
    """A board and a kit that note in which order they are told."""

    def __init__(self, *does):
        self.does, self.order = list(does), []

    def actions(self):
        return self.does

    def paint(self, shown):
        self.order.append(("painted", shown))

    def flip(self):
        self.order.append(("seen",))

    def publish(self, shown):
        self.order.append(("published", shown))


def test_what_the_kit_asks_for_comes_after_what_is_pressed():
    kit = Both(FromPage(Press.MARK))
    assert KitBoard(Both(Press.HOLD), kit).actions() == [Press.HOLD, FromPage(Press.MARK)]


def test_what_is_painted_is_published_once_it_is_painted():
    both = Both()
    board = KitBoard(both, both)
    board.paint("a moment")
    board.flip()
    assert both.order == [("painted", "a moment"), ("published", "a moment"), ("seen",)]

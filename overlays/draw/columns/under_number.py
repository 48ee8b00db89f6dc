"""What stands under a main number: a sentence that says what to do, then all else."""

from collections.abc import Sequence

from overlays.draw.columns.column import Column
from overlays.draw.columns.items import LEAST_LINES, Item, height_of, lay_in_turns, lay_items
from overlays.draw.columns.sentence import Sentence
from overlays.draw.layout.lettering import Piece


def fits(column: Column, rest: Column, words: Sentence | None, items: Sequence[Item]) -> bool:
    """Whether all of it has room at once: in one column, or each in its own."""
    said = 0 if words is None else words.height
    if rest is not column:
        return said <= column.left_over and height_of(items) <= rest.left_over
    return said + column.rule_height + height_of(items) <= column.left_over


def lay_under(
    column: Column,
    rest: Column,
    words: Sentence | None,
    items: Sequence[Item],
    turn: int,
    pixels: int,
) -> list[Piece]:
    """What stands in both columns then.

    The sentence stays where it can; of the rest, what has no room has its turn.

    Parameters
    ----------
    column, rest:
        Of the number and the sentence, and of all else: the same column unless the area is wide.
    turn:
        Goes up with time.
    pixels:
        The em of rows.
    """
    is_one = rest is column
    queue = list(items)
    if words is not None:
        room = column.left_over
        if is_one:
            line = column.letters.height(words.pixels)
            room -= column.rule_height + min(LEAST_LINES * line, height_of(items))
        if words.height <= room:
            words.say(column)
        else:
            queue = [Item(words.height, lines=words.lines, colour=words.colour), *queue]
    if is_one and items and len(queue) == len(items):
        column.rule()
    if queue and height_of(queue) <= rest.left_over:
        lay_items(queue, rest, pixels)
    elif queue:
        lay_in_turns(queue, rest, turn, pixels, pixels if words is None else words.pixels)
    return column.pieces if is_one else [*column.pieces, *rest.pieces]

"""Which page stands on the rail: a table of pages, made of what is shown and what its view offers.

One press of a button of the first page does what is done most: the spot to the grey card, to the
brightest thing, what the view is for, the picture held, the reading kept. Its first button opens
the index, where two rows of four views stand over the four buttons, so that each view is two
presses away. Nothing here knows a view or an instrument.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from firmware.actions import Press, ShowView
from firmware.instruments.offers import Offers
from firmware.rail.pages import (
    BUTTONS,
    DONE,
    OPENS,
    At,
    Leaf,
    Meaning,
    Page,
    Slot,
    leaves_of,
    page_of,
)

USUAL = Offers()

IN_INDEX = 2 * BUTTONS
"""Views that one page holds; more of them stand on the page beside it."""
ACROSS, DOWN = 0, 1
FINE = 2
"""Numbers of the pages that move the spot: one of the first two, and FINE besides."""


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What is shown, as far as labels depend on it.

    Attributes
    ----------
    views:
        Names of all, in the order of work.
    view:
        The one in use.
    offers:
        What its instrument offers.
    is_painted, is_held, has_help:
        Whether stripes are painted, a frame is held, the help is shown.
    next_trace:
        What the trace would show next.
    lineup_steps:
        How many steps the guide has by which the panel itself is set.
    """

    views: tuple[str, ...]
    view: str
    offers: Offers = USUAL
    is_painted: bool = True
    is_held: bool = False
    has_help: bool = False
    next_trace: str = "R G B"
    lineup_steps: int = 1

    def named(self, press: Press, usual: str) -> Meaning:
        """A press by what it does in this view: the instrument's word goes over the usual one."""
        own = {each.press: each.label for each in self.offers.own}
        return Meaning(own.get(press, usual), press)


def page(at: At, now: Surroundings) -> Page:
    """What the buttons mean."""
    if now.has_help:
        return page_of([None, None, None, Meaning("close", Press.HELP)])
    return _PAGES[at.leaf](at.number, now)


def _root(_number: int, now: Surroundings) -> Page:
    own = now.offers.own
    mine = Meaning(own[0].label, own[0].press) if own else _stripes(now)
    hold = now.named(Press.HOLD, "go on" if now.is_held else "hold")
    return page_of(
        [
            Meaning(f"views{OPENS}", At(Leaf.INDEX)),
            Meaning("grey card", Press.SPOT_TO_CARD),
            mine,
            Meaning("mark", Press.MARK),
        ],
        [
            Meaning(f"more{OPENS}", At(Leaf.MORE)),
            Meaning("brightest", Press.SPOT_TO_BRIGHTEST),
            Meaning(f"{now.view}{OPENS}", At(Leaf.OWN)),
            hold if hold.label not in {each.label for each in own[:1]} else None,
        ],
    )


def _index(_number: int, now: Surroundings) -> Page:
    views = [Meaning(name, ShowView(name)) for name in now.views[:IN_INDEX]]
    return page_of(views[:BUTTONS], views[BUTTONS:])


def _own(_number: int, now: Surroundings) -> Page:
    offers = now.offers
    up = down = None
    if offers.turned:
        down = Meaning(f"{offers.turned} −", Press.STRIPE_DOWN)
        up = Meaning(f"{offers.turned} +", Press.STRIPE_UP)
    chosen = Meaning(offers.chosen, Press.NEXT_STRIPE) if offers.chosen else None
    pressed = [down, up, chosen, DONE]
    rest = [Meaning(each.label, each.press) for each in offers.own[1:]]
    rest.append(Meaning(f"move {offers.moved}{OPENS}", At(Leaf.MOVE)))
    # What stands on the first page or here already need not stand here twice.
    known = {each.does for each in rest} | {each.press for each in offers.own}
    rest += [each for each in (_stripes(now), _trace(now)) if each.does not in known]
    held: list[Meaning | None] = [None] * BUTTONS
    for row, place in [(pressed, 0), (pressed, 1), (pressed, 2), (held, 2), (held, 3)]:
        if row[place] is None and rest:
            row[place] = rest.pop(0)
    for place, each in enumerate(pressed):
        if rest and each is not None and not Slot(each).goes_on and held[place] is None:
            held[place] = rest.pop(0)
    return page_of(pressed, held)


def _more(number: int, now: Surroundings) -> Page:
    beyond = [Meaning(name, ShowView(name)) for name in now.views[IN_INDEX:]]
    tools = [
        Meaning(f"spot{OPENS}", At(Leaf.SPOT)),
        Meaning(f"profile{OPENS}", At(Leaf.PROFILE)),
        Meaning(f"monitor{OPENS}", At(Leaf.MONITOR)),
        Meaning(f"size{OPENS}", At(Leaf.SIZE)),
        Meaning(f"phone{OPENS}", At(Leaf.PHONE)),
        Meaning("help", Press.HELP),
        _stripes(now),
        _trace(now),
        Meaning("dismiss", Press.DISMISS),
        Meaning("keep clip", Press.KEEP_CLIP),
        now.named(Press.SET_REFERENCE, "set reference"),
        Meaning("save screen", Press.SCREENSHOT),
        Meaning("next thing", Press.SPOT_TO_NEXT),
        Meaning("next view", Press.NEXT_VIEW),
        Meaning("last view", Press.PREVIOUS_VIEW),
        Meaning("quit", Press.QUIT, is_guarded=True),
    ]
    pages = leaves_of([*beyond, *tools], Leaf.MORE)
    return pages[number % len(pages)]


def _spot(_number: int, now: Surroundings) -> Page:
    return page_of(
        [
            Meaning("darkest", Press.SPOT_TO_DARKEST),
            Meaning("next chip", Press.SPOT_TO_CHIP),
            now.named(Press.SET_PIN, "set pin"),
            DONE,
        ],
        [
            now.named(Press.SPOT_CENTRE, "centre"),
            Meaning("next pin", Press.SPOT_TO_PIN),
            now.named(Press.LIFT_PIN, "lift pin"),
            Meaning(f"move{OPENS}", At(Leaf.MOVE)),
        ],
    )


_MOVES = {
    ACROSS: (Press.SPOT_LEFT, Press.SPOT_RIGHT),
    DOWN: (Press.SPOT_UP, Press.SPOT_DOWN),
    ACROSS | FINE: (Press.SPOT_LEFT_FINE, Press.SPOT_RIGHT_FINE),
    DOWN | FINE: (Press.SPOT_UP_FINE, Press.SPOT_DOWN_FINE),
}


def _move(number: int, now: Surroundings) -> Page:
    one, other = _MOVES[number]
    names = ("up", "down") if number & DOWN else ("left", "right")
    turn = "left, right" if number & DOWN else "up, down"
    return page_of(
        [
            Meaning(names[0], one),
            Meaning(names[1], other),
            Meaning(turn, At(Leaf.MOVE, number ^ DOWN)),
            DONE,
        ],
        [
            None,
            None,
            Meaning("far steps" if number & FINE else "fine steps", At(Leaf.MOVE, number ^ FINE)),
            replace(now.named(Press.SET_PIN, "set pin"), ends=True),
        ],
    )


def _size(_number: int, _now: Surroundings) -> Page:
    smaller, larger = Press.SPOT_SMALLER, Press.SPOT_LARGER
    move = Meaning(f"move{OPENS}", At(Leaf.MOVE))
    return page_of([Meaning("smaller", smaller), Meaning("larger", larger), move, DONE])


def _profile(_number: int, _now: Surroundings) -> Page:
    before, behind = Press.PREVIOUS_PROFILE, Press.NEXT_PROFILE
    return page_of([Meaning("last profile", before), Meaning("next profile", behind), None, DONE])


def _monitor(number: int, _now: Surroundings) -> Page:
    if number:
        return page_of(
            [
                Meaning("flip", Press.FLIP),
                Meaning("mirror", Press.MIRROR),
                Meaning(f"line up{OPENS}", At(Leaf.LINEUP)),
                DONE,
            ],
        )
    return page_of(
        [
            Meaning("magnify", Press.MAGNIFY),
            Meaning("edges", Press.EDGES),
            Meaning("stop map", Press.STOP_MAP),
            DONE,
        ],
        [
            Meaning("transform", Press.VIEW_TRANSFORM),
            Meaning("frame lines", Press.FRAME_LINES),
            Meaning("desqueeze", Press.DESQUEEZE),
            Meaning(f"turn{OPENS}", At(Leaf.MONITOR, 1)),
        ],
    )


def _phone(_number: int, now: Surroundings) -> Page:
    forget = Meaning("forget phones", Press.FORGET_PHONES, is_guarded=True)
    unit = now.named(Press.NEXT_UNIT, "A from a unit")
    return page_of([Meaning("show code", Press.SHOW_CODE), unit, None, DONE], [None, None, forget])


def _lineup(number: int, now: Surroundings) -> Page:
    """The panel is seen instead of the camera for as long as this page stands there."""
    onward = Meaning("next step", At(Leaf.LINEUP, (number + 1) % now.lineup_steps))
    darker, brighter = Press.LIGHT_DOWN, Press.LIGHT_UP
    return page_of([Meaning("darker", darker), Meaning("brighter", brighter), onward, DONE])


def _stripes(now: Surroundings) -> Meaning:
    return now.named(Press.STRIPES, "stripes off" if now.is_painted else "stripes on")


def _trace(now: Surroundings) -> Meaning:
    return Meaning(f"trace {now.next_trace}", Press.TRACE)


_PAGES: dict[Leaf, Callable[[int, Surroundings], Page]] = {
    Leaf.ROOT: _root,
    Leaf.INDEX: _index,
    Leaf.MORE: _more,
    Leaf.OWN: _own,
    Leaf.SPOT: _spot,
    Leaf.MOVE: _move,
    Leaf.SIZE: _size,
    Leaf.PROFILE: _profile,
    Leaf.MONITOR: _monitor,
    Leaf.PHONE: _phone,
    Leaf.LINEUP: _lineup,
}

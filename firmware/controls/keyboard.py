"""Which key does what; also the text of the help. Knows keys by name, not the library they come by.

Names are those of `pygame.key.name`.
"""

from dataclasses import dataclass

from firmware.actions import Press


@dataclass(frozen=True, slots=True)
class Key:
    """A key by name, with or without shift."""

    name: str
    shift: bool = False


@dataclass(frozen=True, slots=True)
class Entry:
    """Keys that belong together, and what they do in words.

    Attributes
    ----------
    label:
        How the keys are called in the help.
    words:
        What they do.
    keys:
        Each key with its press.
    """

    label: str
    words: str
    keys: tuple[tuple[Key, Press], ...]


def _arrows(*, shift: bool) -> tuple[tuple[Key, Press], ...]:
    coarse = (Press.SPOT_LEFT, Press.SPOT_RIGHT, Press.SPOT_UP, Press.SPOT_DOWN)
    fine = (
        Press.SPOT_LEFT_FINE,
        Press.SPOT_RIGHT_FINE,
        Press.SPOT_UP_FINE,
        Press.SPOT_DOWN_FINE,
    )
    names = ("left", "right", "up", "down")
    presses = fine if shift else coarse
    return tuple((Key(name, shift), press) for name, press in zip(names, presses, strict=True))


RAIL_KEYS = {f"f{number + 1}": number for number in range(4)}
"""Keys that stand for the four buttons under the rail, pressed or held as they are."""

ENTRIES: tuple[Entry, ...] = (
    Entry("F1  F2  F3  F4", "the labels along the lower edge; held, what stands under them", ()),
    Entry("arrows", "move the spot; in the chart view, the chosen corner", _arrows(shift=False)),
    Entry("shift + arrows", "move it pixel by pixel", _arrows(shift=True)),
    Entry(
        "[  ]",
        "spot smaller, larger",
        ((Key("["), Press.SPOT_SMALLER), (Key("]"), Press.SPOT_LARGER)),
    ),
    Entry(
        "C",
        "spot to the centre; in the chart view, look for the chart",
        ((Key("c"), Press.SPOT_CENTRE),),
    ),
    Entry(
        "1  2  3  4  5",
        "spot to the card, the brightest, the darkest thing, the next chip, the next pin",
        (
            (Key("1"), Press.SPOT_TO_CARD),
            (Key("2"), Press.SPOT_TO_BRIGHTEST),
            (Key("3"), Press.SPOT_TO_DARKEST),
            (Key("4"), Press.SPOT_TO_CHIP),
            (Key("5"), Press.SPOT_TO_PIN),
        ),
    ),
    Entry(
        "enter",
        "spot to the next of these, then to the centre",
        ((Key("return"), Press.SPOT_TO_NEXT),),
    ),
    Entry(
        "P   shift + P",
        "next, previous profile",
        ((Key("p"), Press.NEXT_PROFILE), (Key("p", shift=True), Press.PREVIOUS_PROFILE)),
    ),
    Entry("S", "stripes on, off", ((Key("s"), Press.STRIPES),)),
    Entry(
        "tab",
        "next stripe, control, corner; gain (balance, match); evenness (pins)",
        ((Key("tab"), Press.NEXT_STRIPE),),
    ),
    Entry(
        "+  −",
        "chosen stripe up, down; what the camera is set to in expose and balance",
        (
            (Key("="), Press.STRIPE_UP),
            (Key("=", shift=True), Press.STRIPE_UP),
            (Key("+"), Press.STRIPE_UP),
            (Key("[+]"), Press.STRIPE_UP),
            (Key("-"), Press.STRIPE_DOWN),
            (Key("[-]"), Press.STRIPE_DOWN),
        ),
    ),
    Entry("T", "trace of luma, of R G B", ((Key("t"), Press.TRACE),)),
    Entry(
        "V   shift + V",
        "next, previous view",
        ((Key("v"), Press.NEXT_VIEW), (Key("v", shift=True), Press.PREVIOUS_VIEW)),
    ),
    Entry(
        "N   shift + N",
        "set a pin where the spot is, lift the last",
        ((Key("n"), Press.SET_PIN), (Key("n", shift=True), Press.LIFT_PIN)),
    ),
    Entry(
        "R",
        "set the reference: begin a watch; take camera A (match); keep a ghost (balance)",
        ((Key("r"), Press.SET_REFERENCE),),
    ),
    Entry("A", "in match, camera A from the next unit of the kit", ((Key("a"), Press.NEXT_UNIT),)),
    Entry("M", "mark: save the readings in the journal", ((Key("m"), Press.MARK),)),
    Entry(
        "H   space",
        "hold the frame, go on",
        ((Key("h"), Press.HOLD), (Key("space"), Press.HOLD)),
    ),
    Entry(
        "G",
        "save what is on the screen; in match, the remainder as a CDL too",
        ((Key("g"), Press.SCREENSHOT),),
    ),
    Entry("W", "picture as sent or in a normal view", ((Key("w"), Press.VIEW_TRANSFORM),)),
    Entry("O", "picture by stops around mid-grey", ((Key("o"), Press.STOP_MAP),)),
    Entry("Z", "magnify round the spot, 2x and 4x", ((Key("z"), Press.MAGNIFY),)),
    Entry("E", "light what is sharp", ((Key("e"), Press.EDGES),)),
    Entry("F", "frame lines: one after the other, none", ((Key("f"), Press.FRAME_LINES),)),
    Entry("D", "desqueeze: one after the other, none", ((Key("d"), Press.DESQUEEZE),)),
    Entry(
        "U   shift + U",
        "picture upside down, mirrored",
        ((Key("u"), Press.FLIP), (Key("u", shift=True), Press.MIRROR)),
    ),
    Entry(
        "B   shift + B",
        "the panel's own light brighter, darker",
        ((Key("b"), Press.LIGHT_UP), (Key("b", shift=True), Press.LIGHT_DOWN)),
    ),
    Entry("X", "let what is suspected of the feed rest", ((Key("x"), Press.DISMISS),)),
    Entry("K", "write the clip that was found in the profile", ((Key("k"), Press.KEEP_CLIP),)),
    Entry(
        "Y   shift + Y",
        "show a code to pair a phone with the page, forget all phones",
        ((Key("y"), Press.SHOW_CODE), (Key("y", shift=True), Press.FORGET_PHONES)),
    ),
    Entry(
        "?",
        "this help",
        ((Key("/", shift=True), Press.HELP), (Key("?"), Press.HELP)),
    ),
    Entry("Q   esc", "quit", ((Key("q"), Press.QUIT), (Key("escape"), Press.QUIT))),
)

_TABLE = {key: press for entry in ENTRIES for key, press in entry.keys}


def press_of(key: Key) -> Press | None:
    """What a key does; shift is ignored where the key has no other meaning with it."""
    found = _TABLE.get(key)
    return _TABLE.get(Key(key.name)) if found is None else found


def help_entries() -> tuple[tuple[str, str], ...]:
    """Keys and what they do, in words."""
    return tuple((entry.label, entry.words) for entry in ENTRIES)

"""What is kept of the screens and of the answers: fixed bench frames, presses and commands.

The bench without noise is the same on every machine; clocks are moved by hand. Pictures and
answers lie beside this file. `python -m tests.golden.keep` writes them anew: only after a change
that is meant to be seen, and looked at before it is committed.
"""

from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).parent
SCREENS, ANSWERS = HERE / "screens", HERE / "answers"

STANDARD = "bench:noise=0,size=960x540,rate=2"
LOG = (
    "bench:noise=0,size=960x540,rate=2,curve=V-Log,signal=yuv422-10,exposure=-0.7,kelvin=3200,"
    "dial=5600"
)
SQUEEZED = "bench:noise=0,size=960x540,rate=2,cloud=0,signal=yuv422-10,range=squeezed"
HLG = "bench:noise=0,size=960x540,rate=2,curve=HLG,signal=nv12"
CHIPS = ((584, 233), (480, 270), (584, 306))
"""White, grey and glossy black on the bench at 960x540."""


@dataclass(frozen=True)
class Moment:
    """One screen: what is on it, and what was pressed to get there.

    `presses` are names of `Press`, made after the pins were set and two frames were shown;
    `frames` more follow.
    """

    name: str
    view: str
    feed: str
    profile: str | None = None
    size: tuple[int, int] = (800, 480)
    pins: bool = True
    presses: tuple[str, ...] = ()
    frames: int = 3
    silent_s: float = 0.0
    stalled: str = ""
    """The stage that hangs at last; all others go on."""
    leaf: str = ""
    """The rail's page at last, by the name of its `Leaf`."""
    locked: bool = False
    """Whether it is locked before anything is pressed."""


VIEWS = (
    "picture",
    "expose",
    "chips",
    "pins",
    "match",
    "watch",
    "balance",
    "chart",
)
PLACES = (
    ("standard", STANDARD, None, (800, 480)),
    ("log", LOG, "log-v", (1280, 720)),
    ("small", HLG, "hlg", (480, 320)),
)

MOMENTS = (
    *(
        Moment(f"{view}-{where}", view, feed, profile, size)
        for view in VIEWS
        for where, feed, profile, size in PLACES
    ),
    Moment("expose-rgb", "expose", STANDARD, presses=("TRACE",)),
    Moment("expose-nudged", "expose", LOG, "log-v", presses=("NEXT_STRIPE", "STRIPE_DOWN")),
    Moment("expose-bare", "expose", STANDARD, presses=("STRIPES",), pins=False),
    Moment("expose-stepped", "expose", STANDARD, "standard", presses=("NEXT_PROFILE",)),
    Moment("picture-stop-map", "picture", LOG, "log-v", presses=("STOP_MAP",)),
    Moment("picture-magnified", "picture", STANDARD, presses=("MAGNIFY", "FRAME_LINES")),
    Moment("picture-edges", "picture", STANDARD, presses=("MAGNIFY", "EDGES")),
    Moment("expose-flipped", "expose", LOG, "log-v", presses=("FLIP", "VIEW_TRANSFORM")),
    Moment("picture-map-small", "picture", STANDARD, None, (480, 320), presses=("STOP_MAP",)),
    Moment("expose-help", "expose", STANDARD, presses=("HELP",)),
    Moment("expose-held", "expose", STANDARD, presses=("HOLD",)),
    Moment("expose-stale", "expose", STANDARD, silent_s=1.0),
    Moment("target-stale", "target", STANDARD, silent_s=1.0),
    Moment("expose-stalled", "expose", STANDARD, stalled="measuring"),
    Moment("expose-stalled-small", "expose", HLG, "hlg", (480, 320), stalled="capture"),
    Moment("expose-lamp", "expose", STANDARD, stalled="lamp"),
    Moment("target-lamp", "target", STANDARD, stalled="lamp", size=(480, 320)),
    Moment("pins-even", "pins", STANDARD, presses=("NEXT_STRIPE",)),
    Moment("pins-none", "pins", STANDARD, pins=False),
    Moment("chips-none", "chips", STANDARD, pins=False),
    Moment("match-taken", "match", LOG, "log-v", (1280, 720), presses=("SET_REFERENCE",)),
    Moment("match-held", "match", LOG, "log-v", presses=("SET_REFERENCE", "HOLD")),
    Moment("match-gain", "match", STANDARD, presses=("SET_REFERENCE", "NEXT_STRIPE")),
    Moment("watch-marked", "watch", STANDARD, presses=("SET_REFERENCE",), frames=12),
    Moment("balance-dialled", "balance", LOG, "log-v", presses=("STRIPE_UP", "STRIPE_DOWN")),
    Moment("balance-ghost", "balance", STANDARD, presses=("SET_REFERENCE", "NEXT_STRIPE")),
    Moment("feedcheck-begun", "feedcheck", STANDARD),
    Moment("feedcheck-taken", "feedcheck", LOG, "log-v", (480, 320), presses=("HOLD",)),
    Moment("target-small", "target", HLG, "hlg", (480, 320)),
    Moment("target-over", "target", f"{LOG},exposure=1", "log-v", (1280, 720)),
    Moment("target-locked", "target", STANDARD, locked=True),
    Moment("expose-locked", "expose", STANDARD, size=(480, 320), locked=True),
    Moment("expose-upright", "expose", STANDARD, size=(480, 800)),
    Moment("balance-upright", "balance", LOG, "log-v", (720, 1280)),
    Moment("match-upright", "match", LOG, "log-v", (480, 800), presses=("SET_REFERENCE",)),
    Moment("target-upright", "target", STANDARD, size=(480, 800)),
    Moment("pins-upright", "pins", HLG, "hlg", (320, 480)),
    Moment("expose-at-right", "expose", STANDARD, presses=("SPOT_RIGHT",) * 12),
    Moment("lineup", "expose", STANDARD, leaf="LINEUP"),
    Moment("lineup-small", "expose", STANDARD, None, (480, 320), leaf="LINEUP"),
    Moment("lineup-upright", "expose", STANDARD, size=(480, 800), leaf="LINEUP"),
    Moment("chart-moved", "chart", STANDARD, presses=("NEXT_STRIPE", "SPOT_LEFT")),
)

_AT = [word for x, y in CHIPS for word in ("--at", f"{x},{y}")]
_CAMERA = "bench:noise=0,size=320x180,curve=V-Log,signal=yuv422-10,clip=4,cloud=0"
_BRACKET = [
    word
    for stop in range(-7, 5)
    for word in ("--bracket", f"{_CAMERA},exposure={stop}@{stop + (0.5 if stop == -2 else 0)}")
]
"""One step was set half a stop off."""

COMMANDS: dict[str, list[str]] = {
    "read": ["read", STANDARD],
    "read-log": ["read", LOG, "--profile", "log-v", "--at", "0.5,0.5", "--at", "584,233,24x16"],
    "read-guess": ["read", HLG, "--profile", "standard", "--carriage", "full"],
    "expose": ["expose", LOG, "--aperture", "4", "--iso", "800", "--mains", "50 Hz"],
    "expose-shutter": [
        "expose",
        STANDARD,
        "--target",
        "42 %",
        "--shutter",
        "180 deg",
        "--nd",
        "1/4",
    ],
    "chips": ["chips", STANDARD, *_AT],
    "chips-log": ["chips", LOG, *_AT],
    "pins": ["pins", LOG, *_AT, "--even", "480,270,100,80"],
    "match": ["match", STANDARD, LOG, *_AT, "--dial-b", "5600"],
    "match-undialled": ["match", STANDARD, HLG, *_AT[:2]],
    "watch": ["watch", STANDARD, *_AT, "--seconds", "20"],
    "balance": ["balance", LOG, "--dial", "5600", "--tint", "2"],
    "balance-undialled": ["balance", STANDARD],
    "chart": ["chart", STANDARD],
    "feedcheck": [
        "feedcheck",
        "--cap",
        f"{SQUEEZED},exposure=-12",
        "--card",
        SQUEEZED,
        "--clip",
        f"{SQUEEZED},exposure=7",
        "--dark",
        f"{SQUEEZED},exposure=-4",
    ],
    "characterise": [
        "characterise",
        "--cap",
        f"{_CAMERA},exposure=-12",
        *_BRACKET,
        "--clip",
        f"{_CAMERA},exposure=8",
    ],
    "chart-looks": ["chart", STANDARD, "--against", LOG, "--scale", "exposure"],
}
"""Each is asked for with --json."""

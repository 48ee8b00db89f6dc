"""What may be asked of the bench: ``bench:k=v,k=v``."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any, TypeVar

from firmware.errors import FeedOptionError
from firmware.feeds.bench.faults import Faults
from firmware.feeds.bench.lamps import Lamps
from firmware.feeds.bench.layout import BenchLayout, layout_named, layout_names
from firmware.feeds.bench.light import HIGHEST_KELVIN, LOWEST_KELVIN, camera_gains
from firmware.written.spelling import nearest
from overlays.errors import UnknownCurveError, UnknownGamutError
from overlays.signal.curves import Curve
from overlays.signal.gamuts import Gamut, published_gamut
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.signal import Matrix, Range, Signal
from overlays.wording.read_number import number_in, short, size_in, whole_in

Choice = TypeVar("Choice", Range, Matrix, Carriage)

DEFAULT_CURVE = "BT.709"
DEFAULT_GAMUT = published_gamut("BT.709")
"""Of the scene itself, whatever the curve."""
DEFAULT_LAYOUT = layout_named("uyvy")
SMALLEST_COLUMNS, SMALLEST_ROWS = 64, 36
LARGEST_COLUMNS, LARGEST_ROWS = 4096, 2304


@dataclass(frozen=True, slots=True)
class BenchOptions:
    """Everything that can be asked of the bench.

    Attributes
    ----------
    exposure_stops:
        The lens: 0 puts the grey card at mid-grey.
    kelvin, tint_thousandths:
        Colour of the light, and its Duv in thousandths (positive is greener).
    dial_kelvin, dial_tint_thousandths:
        The light the camera's balance is dialled to, in the same two numbers.
    gamut:
        Primaries of what the camera sends.
    noise:
        Times the usual sensor noise; 0 for none.
    cloud:
        Times the usual cloud; 0 for a clear sky.
    clip_stops:
        Where the sensor clips.
    curve, carriage:
        The transfer function; None leaves it to whoever opens the bench.
    layout, bits:
        How the samples lie in the buffer.
    range, matrix:
        Of the signal; None leaves them to whoever opens the bench.
    columns, rows, rate:
        Size of the picture and frames a second.
    seed:
        Of the noise.
    says_range, says_matrix:
        What it claims of its signal, as a grabber does; None for the truth, but nobody claims to
        be squeezed: it then says that it is limited.
    look:
        A curve that the camera sends in truth while it says that it sends another.
    lamps:
        How its light swings.
    faults:
        What is done to its pictures on the way.
    """

    exposure_stops: float = 0.0
    kelvin: float = 5600.0
    tint_thousandths: float = 0.0
    dial_kelvin: float = 5600.0
    dial_tint_thousandths: float = 0.0
    gamut: Gamut = DEFAULT_GAMUT
    noise: float = 1.0
    cloud: float = 1.0
    clip_stops: float = 6.0
    curve: Curve | None = None
    carriage: Carriage | None = None
    layout: BenchLayout = DEFAULT_LAYOUT
    bits: int = 8
    range: Range | None = None
    matrix: Matrix | None = None
    columns: int = 1920
    rows: int = 1080
    rate: float = 25.0
    seed: int = 1
    says_range: Range | None = None
    says_matrix: Matrix | None = None
    look: Curve | None = None
    lamps: Lamps = field(default_factory=Lamps)
    faults: Faults = field(default_factory=Faults)

    @property
    def claimed(self) -> Signal:
        """What the bench says of itself."""
        sent = self.signal
        honest = Range.LIMITED if sent.range.squeezes else sent.range
        return replace(
            sent, range=self.says_range or honest, matrix=self.says_matrix or sent.matrix
        )

    @property
    def signal(self) -> Signal:
        """What the bench sends."""
        return Signal(
            self.bits,
            self.range or Range.LIMITED,
            self.matrix or Matrix.BT709,
            self.layout.components,
            self.layout.subsampling,
        )


def _number(key: str, text: str, low: float, high: float, unit: str) -> float:
    """A number within limits."""
    number = number_in(text)
    if number is None or not low <= number <= high:
        raise FeedOptionError(
            f"bench: {key} = {short(text)}; a number from {low:g} to {high:g}{unit} is needed"
        )
    return number


def _choice(key: str, text: str, kind: type[Choice]) -> Choice:
    """A member of an enum by its value."""
    for member in kind:
        if str(member.value).lower() == text.lower():
            return member
    valid = ", ".join(str(member.value) for member in kind)
    raise FeedOptionError(f"bench: {key} = {text!r}; one of {valid} is needed")


def _curve(text: str) -> Curve:
    try:
        return published_curve(text)
    except UnknownCurveError as fault:
        raise FeedOptionError(f"bench: {fault}") from fault


def _gamut(text: str) -> Gamut:
    try:
        return published_gamut(text)
    except UnknownGamutError as fault:
        raise FeedOptionError(f"bench: {fault}") from fault


def _size(text: str) -> tuple[int, int]:
    size = size_in(text)
    if size is None:
        raise FeedOptionError(
            f"bench: size = {short(text)}; width x height is needed, as in 1920x1080"
        )
    wide, high = size
    if not (
        SMALLEST_COLUMNS <= wide <= LARGEST_COLUMNS
        and SMALLEST_ROWS <= high <= LARGEST_ROWS
        and high <= wide <= 4 * high
    ):
        raise FeedOptionError(
            f"bench: size = {short(text)}; the bench is drawn from "
            f"{SMALLEST_COLUMNS}x{SMALLEST_ROWS} to {LARGEST_COLUMNS}x{LARGEST_ROWS}, at "
            "least as wide as high and at most 4 times"
        )
    return wide, high


def _with_signal(options: BenchOptions, text: str) -> BenchOptions:
    name, dash, depth = text.lower().partition("-")
    if name not in layout_names():
        valid = ", ".join(layout_names())
        raise FeedOptionError(
            f"bench: signal = {text!r}; one of {valid} is needed, with the depth behind a hyphen "
            "(yuv422-10)"
        )
    layout = layout_named(name)
    bits = whole_in(depth) if dash else 8
    if bits is None or bits not in layout.depths:
        valid = ", ".join(str(number) for number in layout.depths)
        raise FeedOptionError(f"bench: signal = {text!r}; {name} carries {valid} bits")
    return replace(options, layout=layout, bits=bits)


def _with_size(options: BenchOptions, text: str) -> BenchOptions:
    columns, rows = _size(text)
    return replace(options, columns=columns, rows=rows)


def _with_claim(options: BenchOptions, text: str) -> BenchOptions:
    """A range or a matrix, whichever it names."""
    if any(each.value.lower() == text.lower() for each in Matrix):
        return replace(options, says_matrix=_choice("says", text, Matrix))
    return replace(options, says_range=_choice("says", text, Range))


def _yes(key: str, text: str) -> bool:
    if text.lower() not in {"yes", "no"}:
        raise FeedOptionError(f"bench: {key} = {text!r}; yes or no is needed")
    return text.lower() == "yes"


def _fault(key: str, made: Callable[[str], Any]) -> "Setter":
    """A setter of one of the faults."""
    return lambda o, t: replace(o, faults=replace(o.faults, **{key: made(t)}))


Setter = Callable[[BenchOptions, str], BenchOptions]
_SETTERS: dict[str, Setter] = {
    "exposure": lambda o, t: replace(
        o, exposure_stops=_number("exposure", t, -12.0, 12.0, " stops")
    ),
    "kelvin": lambda o, t: replace(
        o, kelvin=_number("kelvin", t, LOWEST_KELVIN, HIGHEST_KELVIN, " K")
    ),
    "tint": lambda o, t: replace(
        o, tint_thousandths=_number("tint", t, -30.0, 30.0, " thousandths of Duv")
    ),
    "dial": lambda o, t: replace(
        o, dial_kelvin=_number("dial", t, LOWEST_KELVIN, HIGHEST_KELVIN, " K")
    ),
    "dial-tint": lambda o, t: replace(
        o, dial_tint_thousandths=_number("dial-tint", t, -30.0, 30.0, " thousandths of Duv")
    ),
    "gamut": lambda o, t: replace(o, gamut=_gamut(t)),
    "noise": lambda o, t: replace(o, noise=_number("noise", t, 0.0, 8.0, "")),
    "cloud": lambda o, t: replace(o, cloud=_number("cloud", t, 0.0, 8.0, "")),
    "flicker": lambda o, t: replace(
        o, lamps=replace(o.lamps, swing_stops=_number("flicker", t, 0.0, 4.0, " stops"))
    ),
    "mains": lambda o, t: replace(
        o, lamps=replace(o.lamps, mains_hertz=_number("mains", t, 40.0, 70.0, " Hz"))
    ),
    "clip": lambda o, t: replace(o, clip_stops=_number("clip", t, -2.0, 12.0, " stops")),
    "curve": lambda o, t: replace(o, curve=_curve(t)),
    "carriage": lambda o, t: replace(o, carriage=_choice("carriage", t, Carriage)),
    "signal": _with_signal,
    "range": lambda o, t: replace(o, range=_choice("range", t, Range)),
    "matrix": lambda o, t: replace(o, matrix=_choice("matrix", t, Matrix)),
    "says": _with_claim,
    "look": lambda o, t: replace(o, look=_curve(t)),
    "repeats": _fault(
        "repeats", lambda t: int(_number("repeats", t, 2.0, 60.0, ", one of so many frames"))
    ),
    "comb": _fault("comb", lambda t: _yes("comb", t)),
    "blocks": _fault("blocks", lambda t: _yes("blocks", t)),
    "bars": _fault("bars", lambda t: _number("bars", t, 1.8, 4.0, ", width by height")),
    "menu": _fault("menu", lambda t: _yes("menu", t)),
    "zebra": _fault("zebra", lambda t: _number("zebra", t, 10.0, 109.0, " percent")),
    "floor": _fault("floor", lambda t: _number("floor", t, 0.5, 50.0, " percent")),
    "blends": _fault(
        "blends", lambda t: int(_number("blends", t, 2.0, 60.0, ", one of so many frames"))
    ),
    "chroma": _fault("chroma", lambda t: _number("chroma", t, 1.1, 8.0, " times")),
    "size": _with_size,
    "rate": lambda o, t: replace(o, rate=_number("rate", t, 0.5, 240.0, " frames a second")),
    "seed": lambda o, t: replace(o, seed=int(_number("seed", t, 0.0, 2.0**31, ""))),
}


def bench_options(text: str) -> BenchOptions:
    """The options of ``k=v,k=v`` (empty for all defaults).

    Raises
    ------
    FeedOptionError
        An option is unknown or impossible; the sentence names the valid ones.
    """
    options = BenchOptions()
    for item in filter(None, (part.strip() for part in text.split(","))):
        key, equals, value = (part.strip() for part in item.partition("="))
        setter = _SETTERS.get(key)
        if setter is None:
            meant = nearest(key, _SETTERS)
            hint = f"did you mean {meant}? " if meant else ""
            valid = ", ".join(_SETTERS)
            raise FeedOptionError(f"bench: unknown option {key!r}; {hint}the options are {valid}")
        if not equals or not value:
            raise FeedOptionError(f"bench: {key} has no value; write {key}=…")
        options = setter(options, value)
    _check_light(options)
    return options


def _check_light(options: BenchOptions) -> None:
    """A light beyond the primaries would be negative in one of them."""
    o = options
    gains = camera_gains(o.kelvin, o.tint_thousandths, o.dial_kelvin, o.dial_tint_thousandths)
    if gains.min() <= 0.0:
        raise FeedOptionError(
            f"bench: kelvin = {options.kelvin:g} with tint = {options.tint_thousandths:g} lies "
            "outside the BT.709 primaries; a tint nearer 0 or a higher kelvin is needed"
        )

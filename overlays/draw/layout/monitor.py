"""How the picture is shown: for eyes only, and never a part of what is measured."""

from dataclasses import dataclass, replace
from enum import Enum

from overlays.draw.layout.cube import Cube
from overlays.draw.layout.panel_size import PanelSize


class ViewTransform(Enum):
    """What the picture goes through on its way to the screen; the value stands on the screen."""

    NORMAL = "normal view"
    """As a standard camera would show that light."""
    AS_SENT = "as sent"
    """Codes as they came: a log picture is flat and grey."""
    CUBE = "cube"
    """Through a table of the user's own; its name stands on the screen."""


TIMES = (1, 2, 4)
"""How much the picture may be magnified."""

USUAL_RATIOS = (2.39, 1.85, 16.0 / 9.0)
"""Frame lines that are stepped through where the profile names none: 2.39 and 1.85 to 1 are those
of cinema (SMPTE ST 2048-1 for 4096x1716 and 3996x2160), 16:9 that of television (ITU-R BT.709)."""

USUAL_FACTORS = (4.0 / 3.0, 1.5, 1.8, 2.0)
"""What lenses squeeze by, stepped through where the profile names none (common practice, no
source)."""


@dataclass(frozen=True, slots=True)
class Monitor:
    """What is set of the picture on the screen.

    Attributes
    ----------
    transform:
        Which view transform.
    cube:
        The user's own table, None where there is none to choose.
    stop_map:
        Whether the picture is repainted by stops around mid-grey.
    flipped, mirrored:
        Upside down, and left for right; both together are a turn by 180 degrees.
    factors, factor:
        How much wider than sent the picture can be shown, above 0 (2 for a lens that squeezes to
        half), and the index of the one in use; None shows it as sent.
    ratios, frame:
        Frame lines to step through, width over height, and the index of those that are drawn;
        None draws none.
    safe_percent:
        Of width and height of the frame lines: an area inside them; 100 draws none.
    centre:
        Whether the centre is marked.
    times:
        How much the picture is magnified round the spot.
    edges:
        Whether edges are lit where the picture is sharp, and all else is dimmed.
    panel:
        How large the screen is and from where it is read, where the profile says so.
    """

    transform: ViewTransform = ViewTransform.NORMAL
    cube: Cube | None = None
    stop_map: bool = False
    flipped: bool = False
    mirrored: bool = False
    factors: tuple[float, ...] = USUAL_FACTORS
    factor: int | None = None
    ratios: tuple[float, ...] = USUAL_RATIOS
    frame: int | None = None
    safe_percent: float = 90.0
    centre: bool = True
    times: int = 1
    edges: bool = False
    panel: PanelSize | None = None

    @property
    def own(self) -> Cube | None:
        """The user's table, where the picture is shown through it."""
        return self.cube if self.transform is ViewTransform.CUBE and not self.stop_map else None

    @property
    def ratio(self) -> float | None:
        """Width over height of the frame lines, or None where none are drawn."""
        return None if self.frame is None else self.ratios[self.frame]

    @property
    def has_edges(self) -> bool:
        """Whether edges are lit: in a map by stops there are others."""
        return self.edges and not self.stop_map

    @property
    def desqueeze(self) -> float:
        """How much wider than sent the picture is shown."""
        return 1.0 if self.factor is None else self.factors[self.factor]


PLAIN = Monitor()
"""As a picture is shown where nobody asked for anything."""


def without_cube(monitor: Monitor) -> Monitor:
    """As it is set, but without a table, which belongs to the profile that names it."""
    if monitor.cube is None:
        return monitor
    was = monitor.transform
    return replace(
        monitor, cube=None, transform=ViewTransform.NORMAL if was is ViewTransform.CUBE else was
    )


def shape_of(monitor: Monitor, columns: int, rows: int) -> tuple[int, int]:
    """(columns, rows) that the picture's shape on the screen is that of, in whole numbers."""
    return (columns if monitor.desqueeze == 1.0 else round(columns * monitor.desqueeze), rows)


def _has_choice(monitor: Monitor, *, is_viewed: bool) -> bool:
    return not monitor.stop_map and (is_viewed or monitor.own is not None)


def _transform(monitor: Monitor) -> str:
    if monitor.own is not None:
        return monitor.own.name
    is_sent = monitor.transform is ViewTransform.AS_SENT
    shown = ViewTransform.AS_SENT if is_sent else ViewTransform.NORMAL
    return str(shown.value)


def words_of(monitor: Monitor, *, is_viewed: bool) -> str:
    """What is done to the picture, in few words; empty where it is shown as it came.

    Parameters
    ----------
    monitor:
        What is set.
    is_viewed:
        Whether its curve has a view transform: others look normal as they are sent.
    """
    said = [_transform(monitor)] if _has_choice(monitor, is_viewed=is_viewed) else []
    if monitor.has_edges:
        said.append("edges")
    if monitor.times > 1:
        said.append(f"{monitor.times}x")
    if monitor.flipped and monitor.mirrored:
        said.append("turned by 180°")
    elif monitor.flipped or monitor.mirrored:
        said.append("upside down" if monitor.flipped else "mirrored")
    if monitor.desqueeze != 1.0:
        said.append(f"desqueezed {monitor.desqueeze:.3g}x")
    if monitor.ratio is not None:
        said.append(f"{monitor.ratio:.2f}:1")
    return " · ".join(said)

"""What a run is to be, once its options are understood and a display was looked for."""

from dataclasses import dataclass, field
from pathlib import Path

from firmware.kit.settings import KitSettings
from firmware.opening.overrides import Overrides
from firmware.opening.session import DEVICES
from firmware.page.listening import Place
from firmware.presets.model import Lock
from firmware.screen.drawing import Drawing
from firmware.screen.rotation import Rotation
from overlays.draw.layout.views import View
from overlays.signal.quantities import Level


@dataclass(frozen=True, slots=True, kw_only=True)
class RunPlan:
    """One run.

    Attributes
    ----------
    view:
        The first.
    feed:
        As the user spells it; None takes the first feed found, else the bench.
    profile, overrides:
        Name or path, and what goes over it; None where none was given.
    size:
        (columns, rows) of the window; None takes the display's own, or 1280x720 unseen.
    frames:
        End after so many painted frames; None runs until stopped.
    screenshot, stats:
        PNG of the last painted frame; JSON of counts and times, written at the end.
    drawing, framebuffer, rotation:
        What is drawn on, the node of a panel, and how the picture is turned on it.
    devices:
        Where device files are looked for.
    is_service:
        Whether nobody sits at it: then it looks for whatever feed was named until that is there.
    lines:
        Whether moments are printed as lines of JSON, where nothing is drawn.
    is_headless:
        Whether a screen that comes is left alone.
    goal:
        Target and tolerance over those of the profiles; None leaves them.
    lock:
        What a locked unit allows; None where it is not locked.
    keep:
        The file that keeps what is set over a power cut; None keeps nothing.
    factory:
        Whether to start without what it keeps.
    journal, slate:
        Where marks are kept, None for the usual file; what the clapper board says, as written.
    page_updates:
        Whether phones may bring versions.
    page, page_code:
        Where a page for phones is served, None for nowhere; a code that pairs them, if a preset
        has one.
    kit:
        The kit it belongs to; None for none.
    wrong:
        Sentences on what was asked for and could not be followed.
    """

    view: View
    feed: str | None = None
    profile: str | None = None
    overrides: Overrides = field(default_factory=Overrides)
    size: tuple[int, int] | None = None
    frames: int | None = None
    screenshot: Path | None = None
    stats: Path | None = None
    drawing: Drawing = Drawing.WINDOW
    framebuffer: Path | None = None
    rotation: Rotation = Rotation.NONE
    devices: Path = DEVICES
    is_service: bool = False
    lines: bool = False
    is_headless: bool = False
    goal: tuple[Level | None, float | None] = (None, None)
    lock: Lock | None = None
    keep: Path | None = None
    factory: bool = False
    journal: Path | None = None
    slate: str = ""
    page: Place | None = None
    page_code: str = ""
    page_updates: bool = False
    kit: KitSettings | None = None
    wrong: tuple[str, ...] = ()

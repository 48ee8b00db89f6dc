"""The frame as midgrey makes it: census, painted picture with stripes, trace."""

import numpy as np
import numpy.typing as npt

from overlays.draw.layout.monitor import PLAIN, Monitor
from overlays.draw.layout.seen import part_of
from overlays.draw.layout.theme import theme_for
from overlays.draw.picture.edges import light_edges
from overlays.draw.picture.part import magnified
from overlays.draw.picture.picture import PictureDrawer
from overlays.draw.picture.stripes import painted_bands
from overlays.draw.trace.trace import TraceDrawer, trace_ground
from overlays.measure.counting.bands import Band, BandKind, around, code_band
from overlays.measure.counting.census import Census, Wants, take_census
from overlays.measure.counting.yardstick import yardstick
from overlays.sharing.crew import ALONE, Crew
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent
from overlays.signal.signal import Signal

PICTURE = (720, 1280)
TRACE = (200, 1280)
BANDS = (around(percent(42), percent(3)), Band(BandKind.ABOVE, percent(92)))


class Painter:
    """All of a frame, on surfaces of its own."""

    def __init__(self, signal: Signal, crew: Crew = ALONE) -> None:
        self._crew = crew
        self.yard = yardstick(signal, published_curve("BT.709"))
        self.bands = tuple(code_band(band, self.yard) for band in BANDS)
        self.painted = painted_bands(self.bands, theme_for(PICTURE[1], PICTURE[0]), PICTURE[1])
        self.picture: npt.NDArray[np.uint32] = np.zeros(PICTURE, np.uint32)
        self.trace: npt.NDArray[np.uint32] = np.zeros(TRACE, np.uint32)
        self.census: Census | None = None
        self._pictures, self._traces = PictureDrawer(), TraceDrawer()
        self._ground = trace_ground(TRACE[0], ())

    def count(self, frame: Frame) -> Census:
        """The census: levels by column, and chroma."""
        wants = Wants.LEVELS | Wants.CHROMA
        self.census = take_census(frame, self.yard, wants, self.census, self._crew)
        return self.census

    def paint(self, frame: Frame) -> None:
        """The picture with stripes."""
        self._pictures.draw(frame, self.yard, self.painted, self.picture, crew=self._crew)

    def paint_as(self, frame: Frame, monitor: Monitor) -> None:
        """The picture as somebody has asked for it, with stripes."""
        size = (frame.columns, frame.rows)
        part = magnified(frame, part_of(monitor, size, (size[0] // 2, size[1] // 2)))
        self._pictures.draw(part, self.yard, self.painted, self.picture, monitor)
        if monitor.has_edges:
            light_edges(self.picture)

    def paint_trace(self) -> None:
        """The trace of the last census."""
        assert self.census is not None
        self._traces.draw(self.census.levels, self._ground, (600, 640), self.trace, self._crew)

    def whole(self, frame: Frame) -> None:
        """Everything: counted, then painted, trace and picture beside each other as on a screen."""
        levels, ground = self.count(frame).levels, self._ground
        crew = self._crew
        how = self.yard, self.painted, self.picture, PLAIN, crew
        traced = self._traces.tasks(levels, ground, (600, 640), self.trace, crew.workers)
        crew.together([*self._pictures.tasks(frame, *how), *traced])

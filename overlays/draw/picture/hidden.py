"""What of a picture something else is painted over right after: it need not be drawn."""

from dataclasses import dataclass

from overlays.draw.layout.areas import Area
from overlays.draw.layout.monitor import Monitor

EVEN = 16
"""Drawn columns end at a multiple of this: whole steps of every loop for the width, whole vectors
of a machine."""


@dataclass(frozen=True, slots=True)
class Hidden:
    """Parts of a picture's area, in its pixels, that are painted over whatever is drawn there.

    Attributes
    ----------
    rows:
        From this row on all is hidden; None where no row is.
    columns, above:
        From this column on what lies above that row is hidden; None where nothing is.
    """

    rows: int | None = None
    columns: int | None = None
    above: int = 0

    @classmethod
    def under(cls, picture: Area, foot: Area, plate: Area | None) -> "Hidden":
        """What lies under the ground of a foot, and of a plate in the upper right corner.

        Parameters
        ----------
        picture, foot:
            Areas of the screen; the foot reaches across it, and on down to its lower edge.
        plate:
            The same; one that lies elsewhere, or None, hides nothing that need not be drawn.

        Returns
        -------
        Hidden
            In pixels of the picture.

        Examples
        --------
        >>> Hidden.under(Area(0, 0, 800, 450), Area(6, 430, 788, 18), Area(600, 0, 200, 300))
        Hidden(rows=430, columns=600, above=300)
        """
        rows = foot.top - picture.top if picture.meets(foot) else None
        if plate is None or plate.top > picture.top or plate.right < picture.right:
            return cls(rows)
        return cls(rows, plate.left - picture.left, plate.bottom - picture.top)

    def drawn(self, shape: tuple[int, int], monitor: Monitor) -> tuple[int, int, int]:
        """What is left to draw.

        Parameters
        ----------
        shape:
            (rows, columns) of the picture.
        monitor:
            A picture that is turned, or whose edges are looked for, is drawn whole.

        Returns
        -------
        tuple[int, int, int]
            How many rows; of how many columns those are that lie above a row, and that row.

        Examples
        --------
        >>> Hidden(rows=650, columns=955, above=414).drawn((720, 1280), Monitor())
        (650, 960, 414)
        >>> Hidden(rows=650).drawn((720, 1280), Monitor(flipped=True))
        (720, 1280, 0)
        """
        rows, columns = shape
        if monitor.flipped or monitor.mirrored or monitor.has_edges:
            return rows, columns, 0
        left = rows if self.rows is None else min(max(self.rows, 1), rows)
        if self.columns is None:
            return left, columns, 0
        return left, min(-(-max(self.columns, 1) // EVEN) * EVEN, columns), self.above


NOTHING = Hidden()

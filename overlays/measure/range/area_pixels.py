"""R', G' and B' of each pixel of a small area, where its mean does not say enough."""

import numpy as np

from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.curves import FloatArray
from overlays.signal.frame import Frame


def nominal_pixels(frame: Frame, yard: Yardstick, place: SpotPlace) -> FloatArray:
    """Nominal R', G', B' of each pixel of a spot; chroma serves its luma samples.

    Parameters
    ----------
    frame:
        Native codes; any layout.
    yard:
        Resolved for its signal.
    place:
        Inside the picture.

    Returns
    -------
    ndarray
        (pixels, 3) float64, nominal, row by row.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> nominal_pixels(grey_frame([[64, 940]]), VIDEO, SpotPlace(2, 1, 2)).round(3).tolist()
    [[0.0, 0.0, 0.0], [1.0, 1.0, 1.0], [0.0, 0.0, 0.0], [1.0, 1.0, 1.0]]
    """
    rows = np.arange(place.top, place.top + place.rows)
    columns = np.arange(place.left, place.left + place.size)
    shared = frame.signal.subsampling
    stored = [
        plane[np.ix_(rows // down, columns // across)].astype(np.float64)
        for plane, down, across in zip(
            frame.planes,
            (1, shared.rows, shared.rows),
            (1, shared.columns, shared.columns),
            strict=True,
        )
    ]
    samples = np.stack(stored, axis=-1).reshape(-1, 3)
    nominal: FloatArray = (samples - yard.decoding.zero) @ yard.decoding.matrix.T
    return nominal

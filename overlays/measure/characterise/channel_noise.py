"""Noise of R', G' and B' in a flat area, as a camera's channels have it, not a signal's planes."""

import numpy as np

from overlays.measure.spot.spot import SpotPlace
from overlays.signal.frame import Frame
from overlays.signal.levels import decoding, luma_scale

Channels = tuple[float, float, float]


def channel_noise(frame: Frame, place: SpotPlace) -> Channels:
    """Deviation of a sample of each channel, slow changes across and down the area left out.

    Parameters
    ----------
    frame:
        Native codes, any layout.
    place:
        A flat area; where it sticks out of the frame the part inside is looked at.

    Returns
    -------
    tuple of float
        Of R', G', B', in codes of luma. Looked at are the pixels that chroma has samples of its own
        for; what the camera or a codec averaged in chroma is not put back.

    Examples
    --------
    >>> from overlays.signal.example_frames import colour_frame
    >>> channel_noise(colour_frame([[(50, 50, 50)]], cell=16), SpotPlace(8, 8, 8))
    (0.0, 0.0, 0.0)
    """
    sub, scale, nominal = frame.signal.subsampling, luma_scale(frame.signal), decoding(frame.signal)
    rows, columns = (
        slice(max(-(-span[0] // step), 0), span[1] // step)
        for span, step in ((place.row_span, sub.rows), (place.column_span, sub.columns))
    )
    luma = frame.planes[0][:: sub.rows, :: sub.columns][rows, columns]
    planes = [luma, *(plane[rows, columns] for plane in frame.planes[1:])]
    # Plane by plane: pixel by pixel it takes more than twice as long.
    codes = np.stack(planes).astype(np.float64) / (1 << frame.shift)
    down, across = codes.shape[1:]
    if min(down, across) < 2:
        return 0.0, 0.0, 0.0
    # What is left of the planes together, before they are R', G' and B': a third of the arithmetic.
    codes -= codes.mean(axis=(1, 2), keepdims=True)
    along, beside, flat = codes.mean(axis=2), codes.mean(axis=1), codes.reshape(len(codes), -1)
    left = flat @ flat.T - across * along @ along.T - down * beside @ beside.T
    to_rgb = scale.span * nominal.matrix
    variance = np.sum(to_rgb @ left * to_rgb, axis=1) / ((down - 1) * (across - 1))
    variance = np.maximum(variance, 0.0)
    red, green, blue = (float(value) for value in np.sqrt(variance))
    return red, green, blue

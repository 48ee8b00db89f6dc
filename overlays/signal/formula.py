"""What a formula of a curve is, whatever its form."""

from typing import Protocol

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]


class Formula(Protocol):
    """Linear light to signal and back, on arrays.

    Examples
    --------
    >>> from overlays.signal.formulas import Power
    >>> root: Formula = Power(power=0.5)
    >>> root.encode(np.array([0.25, 1.0])).tolist(), root.decode(np.array([0.5, 1.0])).tolist()
    ([0.5, 1.0], [0.25, 1.0])
    """

    def encode(self, linear: FloatArray) -> FloatArray:
        """Signal of linear light.

        Parameters
        ----------
        linear:
            float64 of any shape, on the formula's own scale.

        Returns
        -------
        ndarray
            Nominally 0 to 1, of the same shape.
        """

    def decode(self, value: FloatArray) -> FloatArray:
        """Linear light of a signal.

        Parameters
        ----------
        value:
            float64 of any shape, nominally 0 to 1.

        Returns
        -------
        ndarray
            Linear light on the formula's own scale, of the same shape.
        """

"""A CDL as OpenColorIO applies it, which knows nothing of our arithmetic."""

import numpy as np
import pytest

ocio = pytest.importorskip("PyOpenColorIO")


def independent(transform, rgb):
    """`rgb` (n, 3) through OpenColorIO."""
    config = ocio.Config.CreateRaw()
    cpu = config.getProcessor(transform).getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE)
    return np.array([cpu.applyRGB([float(v) for v in row]) for row in rgb])


def transform_of(cdl):
    return ocio.CDLTransform(cdl.slope, cdl.offset, cdl.power, cdl.saturation)


def asc(transform):
    transform.setStyle(ocio.CDL_ASC)
    return transform

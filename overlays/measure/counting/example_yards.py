"""The yardsticks that the examples in docstrings are read with, of 10 bits and limited range."""

from overlays.measure.counting.yardstick import yardstick
from overlays.signal.example_frames import TEN_BITS
from overlays.signal.published import published_curve

VIDEO = yardstick(TEN_BITS, published_curve("BT.709"))
"""100 % is code 940 and a reflectance of 1, 2.47 stops over mid-grey."""
LOG = yardstick(TEN_BITS, published_curve("S-Log3"))
"""Mid-grey is code 420 and a stop above it 496, as the table of its paper has them."""

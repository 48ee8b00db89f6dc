"""The views there are, as plain values, for tests of drawing that know no instrument."""

from overlays.draw.layout.views import Arrangement, Over, Readings, View

PICTURE = View("picture", Arrangement.PICTURE, Over.STRIPES, Readings.SPOT)
EXPOSE = View("expose", Arrangement.TRACE, Over.STRIPES | Over.EXTREMES, Readings.BOTH, ("advice",))
CHIPS = View("chips")
PINS = View("pins")
MATCH = View("match", Arrangement.TRACE_AND_CORNER)
WATCH = View("watch")
BALANCE = View("balance", Arrangement.CORNER, Over.NOTHING)
CHART = View("chart", Arrangement.TABLE, Over.NOTHING)

FEED_CHECK = View("feedcheck", Arrangement.TRACE, Over.NOTHING)
TARGET = View("target", Arrangement.NUMBER, Over.NOTHING, once=("reading",))

VIEWS = (
    PICTURE,
    BALANCE,
    EXPOSE,
    CHIPS,
    PINS,
    MATCH,
    WATCH,
    TARGET,
    CHART,
    FEED_CHECK,
)
"""In the order they are turned through; a test of the registry holds them to it."""

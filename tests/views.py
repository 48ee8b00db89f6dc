"""The views there are, as plain values, for tests of drawing that know no instrument."""

from overlays.draw.layout.views import Arrangement, Over, Readings, View

PICTURE = View("picture", Arrangement.PICTURE, Over.STRIPES, Readings.SPOT)
EXPOSE = View("expose", Arrangement.TRACE, Over.STRIPES | Over.EXTREMES, Readings.SPOT)
READING = View("reading", Arrangement.NUMBER, Over.NOTHING, Readings.SPOT)
ADVICE = View("advice", over=Over.STRIPES | Over.EXTREMES)
CHIPS = View("chips")
PINS = View("pins")
MATCH = View("match", Arrangement.TRACE_AND_PANEL)
WATCH = View("watch")
BALANCE = View("balance", Arrangement.PANEL, Over.NOTHING)
CHART = View("chart", Arrangement.PANEL, Over.NOTHING)

FEED_CHECK = View("feedcheck", Arrangement.TRACE, Over.NOTHING)
TARGET = View("target", Arrangement.NUMBER, Over.NOTHING, Readings.REPORT)

VIEWS = (
    PICTURE,
    EXPOSE,
    READING,
    ADVICE,
    CHIPS,
    PINS,
    MATCH,
    WATCH,
    BALANCE,
    CHART,
    FEED_CHECK,
    TARGET,
)
"""In the order they are turned through; a test of the registry holds them to it."""

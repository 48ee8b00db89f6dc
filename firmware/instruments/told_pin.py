"""A pin as another unit of the kit tells it: the numbers it sends, and the reading they make here.

Loaded where something is heard or a mark is made of it, by nothing else that is on a screen.
"""

from dataclasses import dataclass
from typing import Annotated, ClassVar

import numpy as np
from pydantic import ConfigDict, Field

from overlays.measure.spot.spot import SpotPlace, SpotReading
from overlays.measure.spot.spot_errors import SpotErrors
from overlays.measure.spot.uncertainty import PlaneError

LONGEST = 400
"""Characters of a sentence."""
MOST_SENTENCES = 12
MOST_PINS = 9
"""The spot, and as many pins as there may be."""

Words = Annotated[str, Field(max_length=LONGEST)]
Sentences = Annotated[tuple[Words, ...], Field(max_length=MOST_SENTENCES)]
Share = Annotated[float, Field(ge=0.0, le=1.0)]
Light = Annotated[float, Field(ge=-1e6, le=1e6)]
HalfWidth = Annotated[float, Field(ge=0.0, le=1e6)]
Stops = Annotated[float, Field(ge=-100.0, le=100.0)]
Percent = Annotated[float, Field(ge=-1000.0, le=10_000.0)]
Pixels = Annotated[int, Field(ge=-100_000, le=100_000)]
PinNumber = Annotated[int, Field(ge=1, le=MOST_PINS)]
Channels = Annotated[str, Field(pattern=r"^[RGB]{0,3}$")]

_NOTHING = PlaneError(0.0, 0.0, 0.0, 1e6)


@dataclass(frozen=True, slots=True)
class ToldPin:
    """A pin as it was told, to the last bit.

    Attributes
    ----------
    number:
        Of the pin; the spot stands for pin 1 where none is set.
    x, y, width, height:
        Where it is in that unit's picture, in pixels: centre and edges.
    rgb_linear_pm:
        Half widths of the three at 95 %, in linear light.
    percent, percent_pm, stops, stops_pm, luminance, rgb_linear, rgb_stops, rgb_stops_pm, code:
        As `SpotReading` has them; so are clipped, clipped_rgb, below_floor, explained, may_clip,
        cut_off and warnings.
    """

    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(allow_inf_nan=False)

    number: PinNumber
    x: Pixels
    y: Pixels
    width: Pixels
    height: Pixels
    percent: Percent
    percent_pm: HalfWidth | None
    stops: Stops | None
    stops_pm: HalfWidth | None
    luminance: Light
    rgb_linear: tuple[Light, Light, Light]
    rgb_linear_pm: tuple[HalfWidth, HalfWidth, HalfWidth]
    rgb_stops: tuple[Stops | None, Stops | None, Stops | None]
    rgb_stops_pm: tuple[HalfWidth | None, HalfWidth | None, HalfWidth | None]
    code: tuple[Light, Light, Light]
    clipped: Share
    clipped_rgb: tuple[Share, Share, Share]
    below_floor: Share
    explained: Share
    may_clip: Channels
    cut_off: Words
    warnings: Sentences

    def spot(self) -> SpotReading:
        """The reading that was told.

        Of its errors no more is known here than the half width of each channel: of whatever is
        made of the three nothing smaller can be said than their sum.
        """
        height = 0 if self.height == self.width else self.height
        return SpotReading(
            place=SpotPlace(self.x, self.y, self.width, height),
            percent=self.percent,
            percent_pm=self.percent_pm,
            stops=self.stops,
            stops_pm=self.stops_pm,
            luminance=self.luminance,
            rgb_linear=self.rgb_linear,
            rgb_stops=self.rgb_stops,
            rgb_stops_pm=self.rgb_stops_pm,
            code=self.code,
            clipped=self.clipped,
            below_floor=self.below_floor,
            clipped_rgb=self.clipped_rgb,
            warnings=self.warnings,
            errors=self._errors(),
            cut_off=self.cut_off,
            explained=self.explained,
            may_clip=self.may_clip,
        )

    def _errors(self) -> SpotErrors:
        return SpotErrors(
            planes=[_NOTHING] * 3,
            slopes=np.zeros((3, 3)),
            squares=np.zeros((3, 3, 3)),
            excess=np.zeros(3),
            correlation=np.eye(3),
            hidden=np.array(self.rgb_linear_pm),
        )

"""What was found of a camera's ceilings, kept from reading to reading."""

from dataclasses import dataclass, field

from overlays.measure.counting.clip import FlatTop

SAME_PERCENT = 0.6
"""Ceilings no further apart are one: 1.3 codes of 8 bits, what rounding of three planes makes."""
LOWER_READINGS = 8
"""Readings in a row that must find a channel lower before it is believed: a white card may pass
for a ceiling once, a camera set otherwise clips lower from then on (two seconds of a live feed)."""


@dataclass(slots=True)
class _Channel:
    percent: float
    spread: float
    readings: int = 1
    lower: int = 0


@dataclass(slots=True)
class CeilingMemory:
    """Ceilings found so far; made anew whenever the camera, its settings or its profile change.

    A ceiling stays known while nothing reaches it, and goes as soon as a thing stands above it:
    then it was none. A higher one takes its place at once, a lower one once it has come again.
    """

    share: float = 0.0
    _channels: list[_Channel | None] = field(default_factory=lambda: [None, None, None])

    def see(self, found: FlatTop | None, peaks: tuple[float, float, float]) -> FlatTop | None:
        """Take in one reading.

        Parameters
        ----------
        found:
            The ceilings of one frame.
        peaks:
            Level in percent that things of that frame reach in R', G', B'.

        Returns
        -------
        FlatTop or None
            All that is known now.

        Examples
        --------
        >>> memory = CeilingMemory()
        >>> known = memory.see(FlatTop((90.0, None, None), share=0.02), peaks=(90.0, 80.0, 80.0))
        >>> memory.see(None, peaks=(50.0, 50.0, 50.0)).percents  # nothing reaches it: still known
        (90.0, None, None)
        >>> memory.see(None, peaks=(95.0, 50.0, 50.0)) is None  # what stands above it refutes it
        True
        """
        for channel in range(3):
            percent = None if found is None else found.percents[channel]
            spread = 0.0 if found is None else found.spreads[channel]
            self._channels[channel] = _after(
                self._channels[channel], percent, spread, peaks[channel]
            )
        self.share = 0.0 if found is None else found.share
        return self.known

    @property
    def known(self) -> FlatTop | None:
        """All that is known, None where nothing is."""
        if all(channel is None for channel in self._channels):
            return None
        red, green, blue = (None if c is None else c.percent for c in self._channels)
        spreads = [0.0 if c is None else c.spread for c in self._channels]
        return FlatTop(
            (red, green, blue),
            self.share,
            (spreads[0], spreads[1], spreads[2]),
            max(c.readings for c in self._channels if c is not None),
        )


def _after(
    kept: _Channel | None, percent: float | None, spread: float, peak: float
) -> _Channel | None:
    if kept is None:
        return None if percent is None else _Channel(percent, spread)
    if percent is None:
        refuted = peak > kept.percent + max(SAME_PERCENT, 4.0 * kept.spread)
        return None if refuted else _Channel(kept.percent, kept.spread, kept.readings)
    if abs(percent - kept.percent) <= SAME_PERCENT:
        part = 1.0 / min(kept.readings + 1, LOWER_READINGS)
        return _Channel(
            kept.percent + part * (percent - kept.percent),
            kept.spread + part * (spread - kept.spread),
            kept.readings + 1,
        )
    if percent > kept.percent or kept.lower + 1 >= LOWER_READINGS:
        return _Channel(percent, spread)
    return _Channel(kept.percent, kept.spread, kept.readings, kept.lower + 1)

"""Frame lines, the safe area inside them and the centre, on the picture."""

import pygame

from overlays.draw.layout.areas import Area
from overlays.draw.layout.monitor import Monitor
from overlays.draw.layout.seen import PictureSeen
from overlays.draw.layout.theme import EDGE, TEXT, Theme

CORNER = 0.08
"""Of the shorter side: how long the corners of the safe area are."""

CROSS = 0.03
"""Of the shorter side: how far the cross in the centre reaches."""


def framed(whole: Area, ratio: float) -> Area:
    """The largest area of a ratio (width over height) in the middle of another one."""
    width, height = whole.width, whole.height
    if width > height * ratio:
        width = round(height * ratio)
    else:
        height = round(width / ratio)
    left = whole.left + (whole.width - width) // 2
    return Area(left, whole.top + (whole.height - height) // 2, width, height)


def shared(whole: Area, percent: float) -> Area:
    """So much of the width and of the height of an area, in its middle."""
    width, height = round(whole.width * percent / 100.0), round(whole.height * percent / 100.0)
    left = whole.left + (whole.width - width) // 2
    return Area(left, whole.top + (whole.height - height) // 2, width, height)


def draw_frame_lines(
    surface: pygame.Surface,
    monitor: Monitor,
    seen: PictureSeen,
    size: tuple[int, int],
    theme: Theme,
) -> None:
    """What the profile asks for: lines are light with dark edges, so that they read on anything.

    `size` is (columns, rows) of the feed's picture.
    """
    if monitor.ratio is None:
        return
    picture = seen.area
    frame = framed(seen.cell(0, 0, *size), monitor.ratio)
    line = max(theme.hairline, 1)
    surface.set_clip((picture.left, picture.top, picture.width, picture.height))
    try:
        rect = pygame.Rect(frame.left, frame.top, frame.width, frame.height)
        pygame.draw.rect(surface, EDGE, rect.inflate(2 * line, 2 * line), line)
        pygame.draw.rect(surface, EDGE, rect.inflate(-2 * line, -2 * line), line)
        pygame.draw.rect(surface, TEXT, rect, line)
        if monitor.safe_percent < 100.0:
            _corners(surface, shared(frame, monitor.safe_percent), line)
        if monitor.centre:
            _centre(surface, frame, line)
    finally:
        surface.set_clip(None)


def _corners(surface: pygame.Surface, area: Area, line: int) -> None:
    """The four corners of an area: told from the frame by being open."""
    long = round(min(area.width, area.height) * CORNER)
    for x, inward in ((area.left, 1), (area.right - 1, -1)):
        for y, down in ((area.top, 1), (area.bottom - 1, -1)):
            _stroke(surface, (x, y), (x + inward * long, y), line)
            _stroke(surface, (x, y), (x, y + down * long), line)


def _centre(surface: pygame.Surface, area: Area, line: int) -> None:
    x, y = area.left + area.width // 2, area.top + area.height // 2
    far = max(round(min(area.width, area.height) * CROSS), 4)
    _stroke(surface, (x - far, y), (x + far, y), line)
    _stroke(surface, (x, y - far), (x, y + far), line)


def _stroke(
    surface: pygame.Surface, start: tuple[int, int], end: tuple[int, int], line: int
) -> None:
    pygame.draw.line(surface, EDGE, start, end, 3 * line)
    pygame.draw.line(surface, TEXT, start, end, line)

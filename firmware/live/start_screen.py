"""The screen before the first frame: what is waited for."""

from dataclasses import dataclass

from firmware.feeds.address import shown
from firmware.screen.blind import AnyScreen
from overlays.draw.layout.views import TraceKind, View
from overlays.draw.moment.shown import Face, Shown, Source


@dataclass(frozen=True, slots=True)
class StartScreen:
    """A screen, and what is to be seen on it: the first view, and the feed as it was asked for."""

    screen: AnyScreen
    view: View
    feed: str | None

    def say(self, words: str) -> None:
        """Show what it waits for; without words, that the feed is opened."""
        self.screen.paint(starting(self.view, self.feed, words))
        self.screen.flip()


def starting(view: View, asked: str | None, words: str) -> Shown:
    """What is on the screen before the first frame."""
    feed = shown(asked) if asked else "first feed found"
    return Shown(
        view=view,
        trace=TraceKind.LUMA,
        measured=None,
        face=Face.STARTING,
        face_words=words or f"opening {feed}",
        source=Source("", "", feed),
    )

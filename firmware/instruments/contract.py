"""What an instrument is: one measurement with its settings, answer, report and command.

The same `measure` serves live frames, a held frame and commands; the screen's report and layers,
the terminal's lines and the object of ``--json`` are all made from the answer it gives. What makes
the object stands in the module `object` beside the instrument, which no screen loads: there
`object_of(answer)` gives a dataclass of which the cleaner makes it.
"""

from abc import ABC, abstractmethod
from collections.abc import Generator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar, Generic, TypeVar

from firmware.actions import Press
from firmware.answers.table import Line
from firmware.instruments.asking import Opener, wanted_of
from firmware.instruments.desk import Desk
from firmware.instruments.heard import Heard
from firmware.instruments.kept_places import KeptPlaces
from firmware.instruments.offers import Offers
from firmware.instruments.scene import Scene
from firmware.profiles.model import Profile
from overlays.draw.layout.views import View
from overlays.draw.moment.layers import Layer
from overlays.draw.moment.report import Report
from overlays.measure.counting.census import Wants
from overlays.measure.spot.spot import SpotPlace
from overlays.wording.numbers import UNKNOWN

Settings = TypeVar("Settings")
Memory = TypeVar("Memory")
Answer = TypeVar("Answer")
NOTHING = Wants(0)


@dataclass(frozen=True, slots=True)
class Around:
    """What a press may depend on besides the settings it changes.

    Attributes
    ----------
    desk, profile:
        What is shared, and the profile in use.
    columns:
        Width of the feed's picture in pixels.
    """

    desk: Desk
    profile: Profile
    columns: int


@dataclass(frozen=True, slots=True)
class File:
    """Something to be saved beside a picture of the screen: the ending of its name, its content."""

    ending: str
    content: bytes


class Instrument(ABC, Generic[Settings, Memory, Answer]):
    """One measurement. Instances hold nothing: what changes is in settings and memory.

    Attributes
    ----------
    name:
        Of its folder, and of its command and view where they have no other.
    views:
        Arrangements of the screen in which it is measured; none for a command alone.
    counts:
        What is counted of every frame in its views, besides levels.
    counts_when_due:
        What is counted besides of the frames that it measures.
    clears:
        Presses that clear what it has latched, which a lock may allow.
    """

    name: ClassVar[str]
    views: ClassVar[tuple[View, ...]] = ()
    counts: ClassVar[Wants] = NOTHING
    counts_when_due: ClassVar[Wants] = NOTHING
    clears: ClassVar[frozenset[Press]] = frozenset()

    # Settings: pure, no device and no clock.

    @abstractmethod
    def settings(self, profile: Profile, rate: float) -> Settings:
        """What it is set to at the start, on a feed of `rate` frames a second (0: unknown)."""

    def with_profile(
        self,
        settings: Settings,
        profile: Profile,
        rate: float,
        left: Settings | None,
    ) -> Settings:
        """The settings once another profile is in use.

        `left` are those that were left when it was last in use; None where it never was.
        """
        return settings

    def kept(self, settings: Settings) -> dict[str, str]:
        """What of its settings outlives a power cut, by words of its own; nothing for most."""
        return {}

    def with_kept(self, settings: Settings, kept: Mapping[str, str]) -> Settings:
        """The settings with what was kept of them; what does not fit is passed over."""
        return settings

    def pressed(
        self,
        settings: Settings,
        press: Press,
        around: Around,
    ) -> tuple[Settings, Desk] | None:
        """What a press does in its view; None where it means what it means everywhere."""
        return None

    def pressed_elsewhere(
        self,
        settings: Settings,
        press: Press,
    ) -> Settings | None:
        """What a press does that the instrument in view has no use for; None for nothing."""
        return None

    def offers(self, settings: Settings) -> Offers:
        """What it offers the rail in its view; what everybody has need not be said."""
        return Offers()

    # Measuring

    @abstractmethod
    def memory(self) -> Memory:
        """What it keeps from frame to frame; live frames and a held one share it.

        They are measured in two threads: values in it are replaced as a whole, never changed.
        """

    def every_ns(self, settings: Settings) -> int:
        """Least time from one measurement to the next, in nanoseconds; 0: as often as is looked."""
        return 0

    def is_long(self, settings: Settings) -> bool:
        """Whether measuring takes longer than a frame lasts: it is then done in steps meanwhile."""
        return False

    def measure_in_steps(
        self, scene: Scene, settings: Settings, memory: Memory
    ) -> Generator[None, None, Answer]:
        """`measure` in steps, of what takes long; the scene stays as it is until the last."""
        yield
        return self.measure(scene, settings, memory)

    def follow(self, scene: Scene, settings: Settings, memory: Memory, *, in_view: bool) -> None:
        """Go on with what is watched, with each live frame that is read, whatever is in view."""

    @abstractmethod
    def measure(self, scene: Scene, settings: Settings, memory: Memory) -> Answer:
        """What it finds. What cannot be known is None in the answer, with a sentence."""

    def rests_on(self, scene: Scene, settings: Settings) -> tuple[SpotPlace, ...] | None:
        """The areas whose codes its answer is made of, with spot, extremes and shares of the scene.

        None where it takes more: all pixels of the frame where they lie, or frames before it.
        """
        return None

    def settled(self, settings: Settings, answer: Answer) -> Settings:
        """The settings by which an answer is found again where it was found, nothing looked for."""
        return settings

    def before(self, answer: Answer) -> Scene | None:
        """An earlier scene whose pins its answer is made of too, with a frame of its own."""
        return None

    def recalled(self, settings: Settings, scene: Scene) -> Memory:
        """The memory that such a scene leaves."""
        return self.memory()

    def anew(self, answer: Answer, scene: Scene) -> Answer:
        """An answer that rests on more than the codes of places, with what these say of it now."""
        return answer

    def places(self, answer: Answer) -> tuple[KeptPlaces, ...]:
        """Codes of earlier frames, by which what it says of them is found again.

        How that was done until 0.10.0 stands in the module `recomputed`; since then an instrument
        says in its module `from_codes` what is kept.
        """
        return ()

    def seen_at(self, memory: Memory, event: Any) -> Any:  # noqa: ANN401 - each has its own
        """Codes that an event was told of, for `from_codes`; None where they are gone."""
        return None

    def events(self, memory: Memory) -> tuple[Any, ...]:
        """What happened in the frames that were followed, the newest of it, oldest first.

        The same objects from call to call; may be called from another thread than follows. What
        makes an object of one is `event_object_of` in the module `object`.
        """
        return ()

    def standing(self, memory: Memory) -> str:
        """What goes on in any view, in a word or two; empty where nothing does.

        May be called from another thread than follows.
        """
        return ""

    def hear(self, memory: Memory, heard: Heard) -> None:
        """Take note of what other units of the kit say now; not of the thread that measures."""

    def ask(self, options: Any, opener: Opener) -> Answer:  # noqa: ANN401 - each has its own
        """The answer to its command, whose options are those of its `COMMAND`.

        Raises
        ------
        FirmwareError, OverlayError, OSError
            It cannot be had; one sentence says why.
        """
        with opener.scene(wanted_of(options, options.at)) as scene:
            settings = self.settings(scene.profile, scene.read_with.info.rate)
            return self.measure(scene, settings, self.memory())

    # Saying

    @abstractmethod
    def report(self, answer: Answer) -> Report | None:
        """For the column beside the picture; None in a view that shows spot and range there."""

    def layers(self, answer: Answer) -> tuple[Layer, ...]:
        """What is drawn of it besides."""
        return ()

    def figure(self, answer: Answer) -> str:
        """The answer in a number and its unit, or in a word: for the index of views."""
        report = self.report(answer)
        return "" if report is None else report.main

    def words(self, answer: Answer) -> dict[str, str]:
        """A few labelled words for a screen that shows no picture."""
        report = self.report(answer)
        if report is None:
            return {}
        if report.main == UNKNOWN:  # dashes are for a screen
            return {report.heading: "no reading", "": report.words}
        return {report.heading: f"{report.main} {report.beside}".strip(), "": report.words}

    @abstractmethod
    def lines(self, answer: Answer) -> Sequence[Line]:
        """For the terminal: lines and tables, warnings last."""

    def has_object(self, answer: Answer) -> bool:
        """Whether there is enough in an answer of its view for an object of ``--json``."""
        return True

    def keep(self, answer: Answer, options: Any) -> None:  # noqa: ANN401 - each has its own
        """Write the files that its command was asked for; last, so that none costs the answer.

        Raises
        ------
        FirmwareError
            One cannot be written.
        """

    def files(
        self,
        answer: Answer,
        stem: str,
    ) -> tuple[File, ...]:
        """What is to be saved beside a picture of the screen that is called `stem`."""
        return ()

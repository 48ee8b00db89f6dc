"""The kit beside a running loop: what is painted is published, what others say reaches instruments.

To the loop it is a board beside the screen, as the page is. Nothing here waits for a network, and
where a preset has no `[kit]` none of it is loaded.
"""

import sys
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Protocol

from firmware.actions import Action, FromPage, Press
from firmware.answers.cleaner import clean
from firmware.clock import Clock
from firmware.controls.panel import Board
from firmware.controls.saying import Sayer
from firmware.errors import KitError
from firmware.feeds.base import FeedInfo
from firmware.health.condition import Condition
from firmware.instruments.heard import Heard
from firmware.journal.slate import Slate
from firmware.live.kit_board import KitBoard
from firmware.live.kit_presets import KitPresets
from firmware.live.kit_standing import heard_unit, picture_of
from firmware.live.marking import Marking
from firmware.live.memories import Memories
from firmware.live.run_plan import RunPlan
from firmware.live.state import State
from firmware.opening.read_with import ReadWith, read_with
from firmware.presets.from_kit import FILE
from overlays.draw.moment.shown import Alert, Measured, Shown

if TYPE_CHECKING:
    from firmware.kit.post import Post
    from firmware.kit.reading import MomentCopy, PictureCopy

LACKING = "a kit needs what the extra kit brings: .venv/bin/pip install '.[kit]'"
HEARD_NS = 100_000_000
"""From telling the instruments what is heard to the next."""
WALL_NS = 500_000_000
"""From making the wall of units to the next."""
AGAIN_NS = 1_000_000_000
"""A moment that stays is published again so often: whoever listens knows that the unit is there."""
PATIENCE_NS = 10_000_000_000
"""How long there may be no connection before it stands on the screen."""


Sets = Callable[[str | None, str | None], None]


class Hearing(Protocol):
    """A loop, as far as a kit needs it."""

    state: State
    memories: Memories


class Kitting:
    """The kit of one run, whatever its feeds.

    Parameters
    ----------
    options:
        Which kit, if any.
    marking:
        Whose marks are sent, and whose slate is set.
    say:
        Takes a sentence for the log.
    sets:
        Told, in the loop's thread, which view and profile a preset of the kit asks for.

    Attributes
    ----------
    said:
        What is to be said on the screen of a kit that cannot be.
    """

    def __init__(
        self,
        options: RunPlan,
        clock: Clock,
        marking: Marking,
        say: Callable[[str], None],
        sets: Sets = lambda _view, _profile: None,
    ) -> None:
        self._clock, self._say, self._sets = clock, say, sets
        self._post: Post | None = None
        self._presets: KitPresets | None = None
        self._state: State | None = None
        self._memories: Memories = {}
        self._read: tuple[tuple[object, ...], ReadWith] | None = None
        self._info: FeedInfo | None = None
        self._sayer = Sayer()
        self._shown: Shown | None = None
        self._left_ns = self._heard_ns = self._up_ns = clock.now_ns()
        self._has_failed = False
        self._objects: tuple[int, list[dict[str, Any]]] | None = None
        self._conditions: tuple[Condition, ...] = ()
        self.said: tuple[str, ...] = ()
        if options.kit is None:
            return
        kept = None if options.keep is None else options.keep.with_name(FILE)
        self._presets = KitPresets(kept, options.kit.unit, say)
        try:
            self._open(options, marking)
        except ImportError as fault:
            words = f"{LACKING} ({fault.name} is missing)"
            if not options.is_service:
                raise KitError(words) from fault
            self.said = (words,)
            say(words)

    def _open(self, options: RunPlan, marking: Marking) -> None:
        # Only where there is a kit: the client and what it stands on take a while to load.
        from firmware.kit.around import PostAround  # noqa: PLC0415
        from firmware.kit.post import Post  # noqa: PLC0415

        assert options.kit is not None
        assert self._presets is not None
        around = PostAround(
            self._clock,
            marking.path,
            marking.slate,
            marking.set_slate,
            self._presets.take,
            lambda: self._conditions,
            self._say,
        )
        self._post = Post(options.kit, around)
        self._presets.answer = self._post.answer_preset
        self._post.start()

    @property
    def post(self) -> "Post | None":
        """What publishes and hears; None where there is no kit."""
        return self._post

    def look(self, conditions: tuple[Condition, ...]) -> None:
        """Take note of how the machine is; in the thread that looks at it."""
        self._conditions = conditions

    @property
    def is_kit(self) -> bool:
        """Whether this unit belongs to one."""
        return self._post is not None

    def units(self) -> list[dict[str, Any]] | None:
        """All units as objects, twice a second at the most; None where there is no kit."""
        if self._post is None:
            return None
        now_ns = self._clock.now_ns()
        if self._objects is None or now_ns - self._objects[0] >= WALL_NS:
            # Loaded with the post already.
            from firmware.kit.unit_object import object_of  # noqa: PLC0415

            found = [clean(object_of(each)) for each in self._post.ear.units()]
            self._objects = now_ns, found
        return self._objects[1]

    def mark_all(self, slate: Slate) -> bool:
        """Let every unit mark now, each with its own camera; False where none is in reach."""
        return self._post is not None and self._post.mark_all(replace(slate, camera=""))

    def planned(self, plan: RunPlan) -> RunPlan:
        """A plan with what the kit's presets said so far, for the next feed."""
        return plan if self._presets is None else self._presets.over(plan)

    def board(self, board: Board) -> Board:
        """A board whose moments the kit sees too."""
        return board if self._post is None else KitBoard(board, self)

    def turn(self, loop: Hearing, info: FeedInfo) -> str:
        """Take note of a state and its feed, and tell the instruments what is heard.

        What is to stand on the screen once: of a preset that the kit has sent; else empty.
        """
        if self._post is None or self._presets is None:
            return ""
        self._presets.state = loop.state
        self._state, self._memories, self._info = loop.state, loop.memories, info
        now_ns = self._clock.now_ns()
        if self._post.is_up:
            self._up_ns = now_ns
        if self._shown is not None and now_ns - self._left_ns >= AGAIN_NS:
            self._leave(self._shown, None)
        if now_ns - self._heard_ns >= HEARD_NS:
            self._heard_ns = now_ns
            heard = self._heard()
            for instrument in loop.state.registry:
                if instrument.name in loop.memories:
                    instrument.hear(loop.memories[instrument.name], heard)
        return self._presets.take_words()

    def _heard(self) -> Heard:
        assert self._post is not None
        own = self._post.settings.unit
        is_up = self._post.is_up
        found = (each for each in self._post.ear.units() if each.name != own and each.reading)
        return Heard({each.name: heard_unit(each, is_up=is_up) for each in found}, is_kit=True)

    def alert(self, other: Callable[[], Alert | None]) -> Callable[[], Alert | None]:
        """What is to stand on the screen: that the kit is out of reach, where nothing else does."""
        if self._post is None:
            return other

        def told() -> Alert | None:
            machine, post = other(), self._post
            if machine is not None or post is None or not post.trouble:
                return machine
            is_long = self._clock.now_ns() - self._up_ns >= PATIENCE_NS
            return Alert(f"kit: {post.trouble}") if is_long else None

        return told

    def actions(self) -> list[Action]:
        """Presets and marks that the kit asks for: by a lock they are kept out as a phone's are."""
        if self._post is None or self._presets is None:
            return []
        presets = self._presets.take_asked()
        for each in presets:
            self._sets(each.view, each.profile)
        return [*presets, *[FromPage(Press.MARK)] * self._post.take_marks_asked()]

    def publish(self, shown: Shown) -> None:
        """Leave what was painted; what fails at it takes nothing along."""
        if self._post is None or self._state is None or self._has_failed:
            return
        # Values alone are kept: the frame is lent.
        try:
            self._leave(shown, shown.readable)
        except Exception as fault:  # noqa: BLE001 - the screen goes on without the kit
            self._has_failed = True
            words = f"{type(fault).__name__}: {fault}"
            sys.stderr.write(f"midgrey: the kit has failed and is told nothing more: {words}\n")

    def _leave(self, shown: Shown, readable: Measured | None) -> None:
        assert self._post is not None
        self._shown = shown if readable is None else None
        if not self._post.wants_moment:
            return
        self._left_ns = self._clock.now_ns()
        self._post.leave_moment(self._copied(shown, readable))

    def _copied(self, shown: Shown, readable: Measured | None) -> "MomentCopy":
        # Loaded with the post already.
        from firmware.kit.reading import MomentCopy  # noqa: PLC0415

        saying = self._sayer.of(shown)
        return MomentCopy(
            self._clock.now_ns(),
            self._clock.wall_s(),
            shown.face,
            shown.face_words,
            shown.view.name,
            shown.goal,
            None if shown.alert is None else shown.alert.words,
            shown.warnings,
            saying,
            self._sayer.judged,
            self._watched(),
            None if readable is None else self._picture(readable),
        )

    def _watched(self) -> str:
        assert self._state is not None
        words = (
            each.standing(self._memories[each.name])
            for each in self._state.registry
            if each.name in self._memories
        )
        return ", ".join(each for each in words if each)

    def _picture(self, readable: Measured) -> "PictureCopy | None":
        state, info = self._state, self._info
        if state is None or info is None:
            return None
        key = (state.in_use, state.is_guess, info, state.override)
        if self._read is None or self._read[0] != key:
            made = read_with(state.in_use, info, is_guess=state.is_guess, override=state.override)
            self._read = key, made
        return picture_of(readable, self._read[1], state.desk.pins)

    def close(self) -> None:
        """Leave the kit."""
        if self._post is not None:
            self._post.close()

"""What a kit asks of a unit: to carry a slate, mark now, take a preset, say marks again."""

from collections import deque
from contextlib import suppress

from firmware.errors import KitError
from firmware.kit.around import PostAround
from firmware.kit.outbox import Outbox, slate_from
from firmware.kit.payloads import KitPreset, KitSlate, MarkNow, Missed, SlatePart
from firmware.kit.topics import Topic, parsed

MOST_WISHES = 16


class Wishes:
    """Takes what comes for all units, follows each wish once; in the kit's own thread."""

    def __init__(self, around: PostAround, outbox: Outbox) -> None:
        self._around, self._outbox = around, outbox
        self._waiting: deque[MarkNow | KitSlate | KitPreset | Missed] = deque(maxlen=MOST_WISHES)
        self._marks: deque[str] = deque(maxlen=MOST_WISHES)
        self._followed: deque[str] = deque(maxlen=4 * MOST_WISHES)
        self._slate: SlatePart | None = None
        self._said = ""

    def hear(self, topic: str, payload: bytes, *, is_kept: bool) -> None:
        """Leave what came; what is not understood is passed over, of a preset with a word."""
        try:
            message = parsed(topic, payload).message
        except KitError as fault:
            # A spoilt preset that is sent again and again is said once.
            if topic.endswith(f"/{Topic.PRESET.value}") and payload and str(fault) != self._said:
                self._said = str(fault)
                self._around.say(f"the kit's preset is refused: {fault}")
            return
        # A wish that the broker kept was not meant for now.
        if not (isinstance(message, MarkNow) and is_kept):
            self._waiting.append(message)

    def follow(self) -> None:
        """Do what was asked for since the last time."""
        while self._waiting:
            self._follow(self._waiting.popleft())

    def _follow(self, message: MarkNow | KitSlate | KitPreset | Missed) -> None:
        if isinstance(message, Missed):
            self._outbox.again(message.id)
        elif isinstance(message, KitPreset):
            self._around.take_preset(message)
        elif isinstance(message, MarkNow):
            if message.id not in self._followed:
                self._carry(message.slate)
                self._followed.append(message.id)
                self._marks.append(message.id)
        # The broker keeps it and says it again with each connection; a person may have changed
        # this unit's own meanwhile.
        elif message.slate != self._slate:
            self._slate = message.slate
            self._carry(message.slate)

    def _carry(self, slate: SlatePart | None) -> None:
        if slate is None:
            return
        with suppress(ValueError):  # a slate beside the journal that cannot be understood
            own = self._around.slate()
            if said := self._around.set_slate(slate_from(slate, own)):
                self._around.say(said)

    def take_marks(self) -> int:
        """How many marks were asked for since the last call; in the thread that draws."""
        count = len(self._marks)
        for _ in range(count):
            self._marks.popleft()
        return count

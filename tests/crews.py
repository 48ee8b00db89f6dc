"""Workers for tests: what they do is in the order that is most likely to show a fault."""

from collections.abc import Sequence

from overlays.sharing.crew import Task


class Backwards:
    """So many workers, of whom the last is always the first to be done; one thread."""

    def __init__(self, workers: int) -> None:
        self.workers = workers
        self.shared = 0

    def together(self, tasks: Sequence[Task]) -> None:
        """From the last to the first."""
        self.shared = max(self.shared, len(tasks))
        for task in reversed(tasks):
            task()

"""Which tests of a whole run are left out by the command for every day."""

from collections.abc import Mapping

QUICK_S = 30.0
"""What quick tests may take of each core. The command for every day should end within a minute; a
third of it goes into loading and collecting, and a busy moment may take the rest."""


def slow_ones(took: Mapping[str, float], cores: int) -> dict[str, float]:
    """Tests that find no room, the quickest having been let in first, with their seconds."""
    room = QUICK_S * cores
    out = {}
    for name in sorted(took, key=lambda each: (took[each], each)):
        room -= took[name]
        if room < 0.0:
            out[name] = round(took[name], 3)
    return out

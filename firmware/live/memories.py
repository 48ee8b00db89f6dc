"""What instruments keep from frame to frame."""

from collections.abc import Mapping
from typing import Any

from firmware.instruments.registry import Registry

Memories = Mapping[str, Any]
"""What each instrument keeps from frame to frame, by its name."""


def memories_of(registry: Registry) -> Memories:
    """Empty ones; live frames and held ones share them."""
    return {each.name: each.memory() for each in registry}

"""What every table of a profile keeps: nothing unknown, nothing changed afterwards."""

from pydantic import BaseModel, ConfigDict


class TomlTable(BaseModel):
    """Base of all tables."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", arbitrary_types_allowed=True, defer_build=True
    )

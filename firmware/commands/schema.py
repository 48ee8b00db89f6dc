"""`midgrey schema`: the JSON Schema of what each command gives with --json."""

import json
import sys
import typing
from typing import Any

from firmware.answers.schema import schema_of
from firmware.commands.doctor import DoctorObject
from firmware.commands.own import DOCTOR, RUN, UNITS, SchemaOptions
from firmware.commands.units import UnitsObject
from firmware.errors import ArgumentError
from firmware.instruments.registry import REGISTRY, Registry
from firmware.live.live_object import LiveObject
from firmware.written.declared import Command
from firmware.written.spelling import offer


def main(_command: Command, options: SchemaOptions) -> None:
    """Print it on standard output."""
    sys.stdout.write(json.dumps(schemas(options.command), indent=2, ensure_ascii=False) + "\n")


def schemas(name: str | None = None, registry: Registry = REGISTRY) -> dict[str, Any]:
    """The schema of one command, or with None those of all by their names.

    Raises
    ------
    ArgumentError
        No command of that name gives an object.
    """
    kinds: dict[str, type] = {
        command.name: typing.get_type_hints(registry.of_command(command.name).object_of)["return"]
        for command in registry.commands()
    }
    kinds[DOCTOR.name] = DoctorObject
    kinds[RUN.name] = LiveObject
    kinds[UNITS.name] = UnitsObject
    if name is None:
        return {each: schema_of(kind, _asked(each)) for each, kind in kinds.items()}
    if name not in kinds:
        raise ArgumentError(f"no command {name!r} gives an object; {offer(name, kinds)}")
    return schema_of(kinds[name], _asked(name))


def _asked(name: str) -> str:
    """How the object is asked for."""
    return f"midgrey {name} {'--headless' if name == RUN.name else '--json'}"

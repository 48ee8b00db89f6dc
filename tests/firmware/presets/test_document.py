"""Keys of a preset that are options of `run` are options of `run`."""

from dataclasses import fields

from firmware.presets.document import OPTIONS, PresetDocument
from firmware.written.options import RunOptions


def test_its_options_are_those_of_run():
    assert set(OPTIONS) <= {field.name for field in fields(RunOptions)}
    assert set(OPTIONS) <= set(PresetDocument.model_fields)

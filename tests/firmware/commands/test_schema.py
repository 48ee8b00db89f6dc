import json

import pytest
from typer.testing import CliRunner

from firmware.commands.build import application
from firmware.commands.schema import schemas
from firmware.errors import ArgumentError
from firmware.instruments.registry import REGISTRY


def test_all_or_one():
    assert set(schemas()) == {each.name for each in REGISTRY.commands()} | {
        "doctor",
        "run",
        "units",
    }
    assert schemas("read") == schemas()["read"]
    with pytest.raises(ArgumentError, match="did you mean read"):
        schemas("raed")


def test_it_is_printed_as_one_object():
    done = CliRunner().invoke(application(), ["schema", "chips"])
    assert done.exit_code == 0
    assert json.loads(done.stdout)["title"] == "midgrey chips --json"

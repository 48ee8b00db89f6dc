"""Every kept answer is as its schema says; jsonschema is the judge."""

import copy
import json

import jsonschema
import pytest

from firmware.commands.schema import schemas
from tests.golden.cases import ANSWERS, COMMANDS

ALL = schemas()


@pytest.mark.parametrize("name", ALL)
def test_each_is_a_schema_and_says_what_keys_are(name):
    schema = ALL[name]
    jsonschema.Draft202012Validator.check_schema(schema)
    assert schema["properties"]["schema"] == {"const": 1}
    assert schema["required"][0] == "schema"
    assert not any(key.endswith("_") for key in json.dumps(schema).split('"'))


@pytest.mark.parametrize("name", COMMANDS)
def test_a_kept_answer_is_valid(name):
    answer = json.loads((ANSWERS / f"{name}.json").read_text())
    jsonschema.validate(answer, ALL[COMMANDS[name][0]])


@pytest.mark.parametrize("name", COMMANDS)
def test_a_key_more_or_less_is_not(name):
    answer = json.loads((ANSWERS / f"{name}.json").read_text())
    more, less = copy.deepcopy(answer), copy.deepcopy(answer)
    more["nonesuch"] = 1
    less.pop("warnings")
    for wrong in (more, less):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(wrong, ALL[COMMANDS[name][0]])

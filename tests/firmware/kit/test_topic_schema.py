"""The file that documents the topics is what the models say, and what is sent obeys it."""

import json

import jsonschema
import pytest

from firmware.kit.topic_schema import FILE, schema_text, topics_schema
from firmware.kit.topics import FROM_UNITS, Topic, packed, topic_of
from tests.kit_messages import every_message


def test_the_file_is_made_of_the_models():
    assert FILE.read_text("utf-8") == schema_text()


@pytest.mark.parametrize("topic", Topic)
def test_what_is_sent_obeys_its_schema_and_what_is_spoilt_does_not(topic):
    told = topics_schema()["topics"]
    said = told[topic_of("UNIT" if topic in FROM_UNITS else "kit", topic)]
    check = jsonschema.Draft202012Validator(said["payload"])
    found = json.loads(packed(every_message()[topic]))
    check.validate(found)
    with pytest.raises(jsonschema.ValidationError):
        check.validate({**found, "schema": 2})

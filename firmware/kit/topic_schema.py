"""The JSON Schema of every topic, made from the models; run as a module it writes the file."""

import json
from pathlib import Path
from typing import Any

from firmware.kit.topics import FROM_UNITS, MODELS, QOS, RETAINED, ROOT, Topic

FILE = Path(__file__).parent / "topics.json"


def topics_schema() -> dict[str, Any]:
    """Every topic: who says it, how, and the schema of its payload."""
    return {
        "about": "Topics of a kit of midgrey units over MQTT 5.0; UNIT is a unit's name.",
        "topics": {_written(topic): _one(topic) for topic in Topic},
    }


def _written(topic: Topic) -> str:
    return f"{ROOT}/{'UNIT' if topic in FROM_UNITS else 'kit'}/{topic.value}"


def _one(topic: Topic) -> dict[str, Any]:
    own = topic in FROM_UNITS
    return {
        "said by": "the unit itself" if own else "whoever may write to all",
        "retained": topic in RETAINED,
        "qos": QOS[topic],
        "payload": {
            "$schema": "https://json-schema.org/draft/2020-12/schema",
            **MODELS[topic].model_json_schema(by_alias=True, mode="serialization"),
        },
    }


def schema_text() -> str:
    """The content of the file."""
    return json.dumps(topics_schema(), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    FILE.write_text(schema_text(), encoding="utf-8")

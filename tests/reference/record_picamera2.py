"""Records the calls of picamera2 that the camera feed makes, from its unpacked wheel.

    pip download --no-deps picamera2==0.3.38 && unzip -d FOLDER picamera2-*.whl
    python -m tests.reference.record_picamera2 FOLDER > tests/reference/picamera2.json

Names and defaults of parameters alone, read from the source as text: picamera2 itself needs a board
to be imported. The virtual board compares the record with the library that it runs.
"""

import ast
import json
import sys
from pathlib import Path

CALLS: dict[str, dict[str, tuple[str, ...]]] = {
    "picamera2.py": {
        "Picamera2": (
            "create_video_configuration",
            "configure",
            "camera_configuration",
            "start",
            "capture_request",
            "cancel_all_and_flush",
            "stop",
            "close",
        )
    },
    "job.py": {"Job": ("get_result",)},
    "request.py": {
        "CompletedRequest": ("get_metadata", "release"),
        "MappedArray": ("__init__", "__enter__", "__exit__", "array"),
    },
}


def parameters(function: ast.FunctionDef) -> dict[str, str | None]:
    """Each by its name, with its default as it is written; without `self`."""
    names = [each.arg for each in function.args.args]
    defaults = [ast.unparse(each) for each in function.args.defaults]
    padded = [None] * (len(names) - len(defaults)) + defaults
    return {name: value for name, value in zip(names, padded, strict=True) if name != "self"}


def recorded(folder: Path) -> dict[str, object]:
    """The record of a wheel."""
    (meta,) = folder.glob("picamera2-*.dist-info/METADATA")
    version = next(
        line.split(": ")[1] for line in meta.read_text().splitlines() if line.startswith("Version")
    )
    calls: dict[str, dict[str, str | None]] = {}
    for name, classes in CALLS.items():
        tree = ast.parse((folder / "picamera2" / name).read_text())
        for node in (each for each in tree.body if isinstance(each, ast.ClassDef)):
            for each in (each for each in node.body if isinstance(each, ast.FunctionDef)):
                if each.name in classes.get(node.name, ()):
                    # Of several declarations of one name, the last is the one that is called.
                    calls[f"{node.name}.{each.name}"] = parameters(each)
    missing = {f"{c}.{m}" for cs in CALLS.values() for c, ms in cs.items() for m in ms} - set(calls)
    assert not missing, missing
    return {"source": f"picamera2 {version}, its wheel on PyPI", "calls": calls}


if __name__ == "__main__":
    print(json.dumps(recorded(Path(sys.argv[1])), indent=1, sort_keys=True))

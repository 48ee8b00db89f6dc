"""Numbers of the bench's pictures, the same on every processor: run as a module it prints them."""

import hashlib

import numpy as np

from firmware.feeds.bench.bench_options import bench_options
from firmware.feeds.bench.sensor import under_light
from firmware.feeds.bench.workshop import workshop

LIGHTS = (
    "size=640x360",
    "size=640x360,kelvin=3200,dial=5600,gamut=V-Gamut",
    "size=640x360,kelvin=4300,dial=5000,tint=-3,gamut=BT.2020",
)


def numbers() -> list[str]:
    """The hash of the scene under each light."""
    scene = workshop(360, 640)
    seen = (under_light(scene, bench_options(light)) for light in LIGHTS)
    return [hashlib.sha256(np.ascontiguousarray(each)).hexdigest()[:16] for each in seen]


if __name__ == "__main__":
    print(" ".join(numbers()))

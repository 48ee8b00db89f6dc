"""A Raspberry Pi of cardboard: a folder with the files that a board's kernel offers."""

import pytest

PI_5 = "Raspberry Pi 5 Model B Rev 1.0"
PI_MOUNTS = "/dev/mmcblk0p2 / ext4 rw,noatime 0 0\n"


class Cardboard:
    def __init__(self, root):
        self.root = root

    def put(self, path, text):
        place = self.root / path.lstrip("/")
        place.parent.mkdir(parents=True, exist_ok=True)
        if isinstance(text, bytes):
            place.write_bytes(text)
        else:
            place.write_text(text)
        return self

    def warm(self, celsius):
        return self.put("sys/class/thermal/thermal_zone0/temp", f"{round(celsius * 1000)}\n")

    def low_voltage(self, alarm):
        return self.put("sys/class/hwmon/hwmon1/in0_lcrit_alarm", f"{int(alarm)}\n")

    def mounts(self, text):
        return self.put("proc/self/mounts", text)


@pytest.fixture
def cardboard(tmp_path):
    """Any machine: nothing in it."""
    return Cardboard(tmp_path)


@pytest.fixture
def pi(cardboard):
    """A board that is well."""
    cardboard.put("proc/device-tree/model", PI_5 + "\0")
    cardboard.put("sys/class/thermal/thermal_zone0/type", "cpu-thermal\n").warm(48.2)
    cardboard.put("sys/class/hwmon/hwmon0/name", "cpu_thermal\n")
    cardboard.put("sys/class/hwmon/hwmon1/name", "rpi_volt\n").low_voltage(alarm=False)
    cardboard.put("var/lib/midgrey/keep", "")
    return cardboard.mounts(PI_MOUNTS)

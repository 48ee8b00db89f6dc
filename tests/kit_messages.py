"""Messages of a kit that tests make."""

from firmware.instruments.told_pin import LONGEST, MOST_PINS
from firmware.kit.payloads import (
    CameraPart,
    Condition_,
    Health,
    KitMark,
    KitPreset,
    KitReading,
    KitSlate,
    MarkNow,
    Missed,
    PinPart,
    Presence,
    PresetAnswer,
    SlatePart,
)
from firmware.kit.topics import Topic

BOOT, ID = "0" * 32, "a" * 64


def pin(number=1, light=0.18, **more):
    told = {
        "number": number,
        "name": "",
        "x": 100,
        "y": 50,
        "width": 8,
        "height": 8,
        "percent": 40.0,
        "percent_pm": 0.1,
        "stops": 0.0,
        "stops_pm": 0.01,
        "at_least": False,
        "at_most": False,
        "luminance": light,
        "rgb_linear": (light, light, light),
        "rgb_linear_pm": (0.001, 0.001, 0.001),
        "rgb_stops": (0.0, 0.0, 0.0),
        "rgb_stops_pm": (0.01, 0.01, 0.01),
        "code": (400.0, 512.0, 512.0),
        "clipped": 0.0,
        "clipped_rgb": (0.0, 0.0, 0.0),
        "below_floor": 0.0,
        "explained": 0.0,
        "may_clip": "",
        "cut_off": "",
        "warnings": (),
    }
    return PinPart(**{**told, **more})


def camera(**more):
    told = {
        "feed": "bench",
        "width": 320,
        "height": 180,
        "bits": 10,
        "range": "limited",
        "matrix": "BT.709",
        "components": "Y'CbCr",
        "subsampling": "4:2:2",
        "lossy": False,
        "frame": 7,
        "timecode": None,
        "timecode_from": None,
        "simulated": True,
        "profile": "log-v",
        "curve": "V",
        "carriage": "full",
        "gamut": "BT.709",
        "warnings": (),
    }
    return CameraPart(**{**told, **more})


def reading(unit="cam-b", number=1, at_s=1.0, **more):
    told = {
        "schema": 1,
        "unit": unit,
        "boot": BOOT,
        "number": number,
        "at_s": at_s,
        "time": None,
        "state": "live",
        "believed": True,
        "state_words": "",
        "view": "match",
        "signal": ("in band",),
        "target": "0.0 st",
        "target_within": 0.1,
        "side": "in",
        "off_target": 0.02,
        "off_target_pm": 0.01,
        "why": "",
        "spot": pin(),
        "pins": tuple(pin(n) for n in range(1, MOST_PINS + 1)),
        "camera": camera(),
        "watch": "steady",
        "alert": None,
        "warnings": ("w" * LONGEST,),
    }
    return KitReading(**{**told, **more})


def presence(unit="cam-b", *, online=True, left=False, boot=BOOT):
    return Presence(schema=1, unit=unit, online=online, left=left, boot=boot)


def mark(unit="cam-b", **more):
    told = {
        "schema": 1,
        "unit": unit,
        "id": ID,
        "number": 3,
        "kind": "mark",
        "time": None,
        "clock": "clock unset",
        "slate": SlatePart(scene="12"),
        "feed": "bench",
        "simulated": True,
        "frame": 5,
        "timecode": None,
        "profile": None,
        "curve": None,
        "view": "match",
        "words": "add exposure",
        "stops": None,
        "stops_pm": None,
        "percent": 40.0,
        "percent_pm": None,
        "at_least": False,
        "at_most": False,
    }
    return KitMark(**{**told, **more})


def preset(number=1, units=(), **keys):
    return KitPreset(schema=1, id=f"{number:032x}", units=units, preset=keys)


def every_message():
    hot = Condition_(subject="temperature", severity="alarm", words="hot", remedy="cool it")
    return {
        Topic.PRESENCE: presence(),
        Topic.READING: reading(),
        Topic.HEALTH: Health(schema=1, unit="cam-b", boot=BOOT, conditions=(hot,)),
        Topic.MARK: mark(),
        Topic.PRESET_ANSWER: PresetAnswer(
            schema=1, unit="cam-b", id=ID, taken=True, words="taken (Day)"
        ),
        Topic.PRESET: preset(view="watch", target="-1 st"),
        Topic.SLATE: KitSlate(schema=1, slate=SlatePart(scene="12")),
        Topic.MARK_NOW: MarkNow(schema=1, id=ID, slate=None),
        Topic.MISSED: Missed(schema=1, id=ID),
    }

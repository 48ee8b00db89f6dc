"""What a person finds on the card's first partition, with any laptop: the folder `midgrey`."""

from pathlib import Path

from hardware.card.release import REPO

FOLDER = "midgrey"

README = """\
midgrey {version}
=================

This is the part of the card that every computer can read. Change files here,
put the card back into the unit, and start it. Take the card out only while the
unit is off.

unit.toml     What the unit starts as: its camera, its view, its lock, the code
              that pairs a phone with its page (page_code). Every line has its
              reason beside it. A mistake is shown on the unit's screen, and
              the last good file is used.
pins/         Which pin does what, if yours differ: copy pins-as-shipped.txt to
              pins.toml there, and change that.
log/          What the unit says of its first start, and its last words after a
              failure.
manifest.txt  Everything that is on this card, with version, licence and hash.

The card's other parts are Linux's own; computers with other systems may offer
to format them: say no.

Caution: use the supply that the board's maker names; batteries and mains have
their own rules, so has whatever is hung overhead. Follow local codes, and
leave licensed work to licensed people. A board in a closed case gets hot.
Never point a lens at the sun.
"""

UNIT = """\
# What this unit starts as. Every line is optional; take the # away and change what stands behind
# the = sign. `midgrey presets FOLDER` checks it on a laptop.
title = "midgrey"
# feed = "v4l2:/dev/video0"   # the bridge or stick; without it, the first one that is found
# profile = "standard"        # the camera's look: standard, hlg, log-v, log-s3, or one of yours
# view = "picture"            # what it shows first: picture, expose, balance, target ...
# rotate = 180                # the screen is mounted turned: 90, 180 or 270, clockwise
# page = "on"                 # a page for a phone
# page_code = "write your own, 8 letters or more"   # what pairs a phone with it
# lock = true                 # one view only, until two buttons are held
"""

LOG = """\
What the unit says of itself is written here: first-boot.txt, and its last
words after a failure. You may delete it.
"""


def files(version: str, manifest: str, repo: Path = REPO) -> dict[str, bytes]:
    """Path in the partition -> what stands there.

    Parameters
    ----------
    version:
        Of midgrey.
    manifest:
        Everything that is on the card.
    repo:
        The project's folder.
    """
    pins = (repo / "hardware/pins.toml").read_bytes()
    return {
        f"{FOLDER}/README.txt": README.format(version=version).encode(),
        f"{FOLDER}/unit.toml": UNIT.encode(),
        f"{FOLDER}/pins/pins-as-shipped.txt": pins,
        f"{FOLDER}/log/README.txt": LOG.encode(),
        f"{FOLDER}/manifest.txt": manifest.encode(),
    }

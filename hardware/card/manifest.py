"""Everything that a card brings besides its makers' system: package, version, licence, hash."""

from collections.abc import Iterable

from hardware.card.debs import Package
from hardware.card.wheels import Wheel

_HEAD = """\
# midgrey {version}, made from the image of the board makers' system with this SHA-256:
# {sum}
# Of Debian packages the licences lie on the unit in /usr/share/doc/*/copyright; of wheels they lie
# in their own folders under /opt/midgrey/releases/{version}. What has conditions for whoever hands
# a card on stands in the project's hardware/card/NOTICES.md.
# The columns, with a tab between: kind, package, version, licence, SHA-256
"""


def text(
    version: str,
    image_sum: str,
    wheels: Iterable[Wheel],
    packages: Iterable[Package],
) -> str:
    """The manifest.

    Parameters
    ----------
    version:
        Of midgrey.
    image_sum:
        SHA-256 of the makers' image; whatever a person calls it, the card is the same.
    wheels, packages:
        What was added.
    """
    rows = [("midgrey", "midgrey", version, "Apache-2.0", "-")]
    rows += [("wheel", each.name, each.version, each.licence, each.sha256) for each in wheels]
    rows += [
        ("debian", each.name, each.version, f"/usr/share/doc/{each.name}/copyright", each.sha256)
        for each in packages
    ]
    head = _HEAD.format(version=version, sum=image_sum)
    return head + "".join("\t".join(row) + "\n" for row in rows)

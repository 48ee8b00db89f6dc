"""From the makers' image to a card's, step by step, beside the file that is asked for."""

import shutil
import tempfile
import uuid
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from hardware.card import (
    boot_lines,
    ext4,
    fat,
    fat_files,
    kernels,
    layout,
    manifest,
    python_code,
    release,
    sparse,
    system_files,
)
from hardware.card.debs import Package
from hardware.card.ingredients import ingredients
from hardware.card.kernels import MadeFor
from hardware.card.layout import SECTOR, Layout
from hardware.card.order import Order, check
from hardware.card.tools import Tools, need
from hardware.card.wheels import Wheel

TOOLS = ("debugfs", "e2fsck", "resize2fs", "mke2fs", "mcopy", "mmd", "mtype", "dpkg-deb", "apt-get")
CARD = Path("opt/midgrey/card")
"""As `firmware.first_boot` looks for it: packages, and the marks of its steps."""
COMPILED = "compiled"


@dataclass(frozen=True)
class Work:
    """A card while it is being made.

    Attributes
    ----------
    order:
        What was asked for.
    folder:
        Where its parts lie.
    tools, say:
        Runs programs; tells a person what is being done.
    """

    order: Order
    folder: Path
    tools: Tools
    say: Callable[[str], None]

    def part(self, name: str) -> Path:
        """One of its parts: boot, root, data; tree, which is put into the root; fat."""
        return self.folder / name


def make(order: Order, tools: Tools, say: Callable[[str], None]) -> None:
    """Make a card's image.

    Raises
    ------
    CardError
        Nothing stands then under the name that was asked for but what stood there before.
    """
    need(TOOLS)
    check(order)
    with tempfile.TemporaryDirectory(dir=order.out.parent, prefix=".card-") as made:
        work = Work(order, Path(made), tools, say)
        with sparse.unpacked(order.image, work.folder) as plain:
            say(f"reading {order.image.name}")
            image_sum = sparse.sum_of(plain)
            head, lying = _take_apart(plain, work)
        chosen, packages = ingredients(order, work.part("root"), tools, say)
        version = release.name_of(chosen)
        _fill_tree(work, version, chosen, packages)
        _kernels(work, version, chosen, packages)
        say(f"writing midgrey {version} into the root")
        ext4.grow(work.part("root"), lying.root.size_bytes, tools)
        ext4.write_tree(work.part("root"), work.part("tree"), tools)
        listed = manifest.text(version, image_sum, chosen, packages)
        _fill_boot(work, version, listed)
        identity = uuid.uuid5(uuid.NAMESPACE_URL, f"midgrey:{image_sum}:{version}")
        ext4.make(work.part("data"), layout.DATA_BYTES, "midgrey-data", str(identity), tools)
        say(f"writing {order.out}")
        _put_together(head, lying, work)


def _take_apart(plain: Path, work: Work) -> tuple[bytes, Layout]:
    """The image's parts as files; all before its first partition, and where all is to lie."""
    name = str(work.order.image)
    with plain.open("rb") as file:
        head = file.read(SECTOR)
        table = layout.read_table(head, plain.stat().st_size, name)
        boot, root = layout.boot_and_root(table, name)
        head += file.read(boot.start_bytes - SECTOR)
    for part, partition in (("boot", boot), ("root", root)):
        sparse.take_out(plain, partition.start_bytes, partition.size_bytes, work.part(part))
    return head, layout.planned(boot, root, work.order.room_bytes)


def _fill_tree(
    work: Work, version: str, chosen: tuple[Wheel, ...], packages: tuple[Package, ...]
) -> None:
    tree, tools = work.part("tree"), work.tools
    place = tree / "opt/midgrey/releases" / version
    place.parent.mkdir(parents=True)
    release.make(place, version, chosen)
    signers = work.order.signers
    kept = None if signers is None else signers.read_bytes()
    system_files.write(tree, version, work.order.board, kept)
    tabs = ext4.read(work.part("root"), "/etc/fstab", tools)
    if tabs is not None:
        system_files.put(tree / "etc/fstab", system_files.with_fstab(tabs).encode())
    card = tree / CARD
    (card / "debs").mkdir(parents=True)
    for package in packages:
        shutil.copyfile(package.path, card / "debs" / package.path.name)
    python = python_code.find(tools)
    if python is None:
        work.say(
            f"no {python_code.NAME} on this machine: the board compiles the code at its first start"
        )
        return
    python_code.compile_all(
        place / "venv/lib", f"/opt/midgrey/releases/{version}/venv/lib", python, tools
    )
    (card / COMPILED).touch()


def _kernels(
    work: Work, version: str, chosen: tuple[Wheel, ...], packages: tuple[Package, ...]
) -> None:
    order = work.order
    processor = system_files.PROCESSORS[order.board]
    wanted = kernels.made_for(chosen, processor)
    if order.make_kernels and kernels.note_in(order.kernels) != wanted:
        _make_kernels(work, version, packages, wanted)
    kept = kernels.note_in(order.kernels)
    there, every = 0 if kept is None else len(wanted.still_hold(kept)), len(wanted.loops)
    if not there:
        work.say("no kernels are brought: the board makes them beside its first picture (minutes)")
    elif not kernels.lay(order.kernels, work.part("tree"), version, wanted):
        work.say(
            f"kernels of {there} of {every} modules are brought, and some may be missing: the "
            "board looks through them beside its first picture; --make-kernels does that here"
        )


def _make_kernels(work: Work, version: str, packages: tuple[Package, ...], wanted: MadeFor) -> None:
    order, before = work.order, kernels.note_in(work.order.kernels)
    there, every = 0 if before is None else len(wanted.still_hold(before)), len(wanted.loops)
    what = (
        f"those of {there} of {every} modules are there and are kept"
        if there
        else "10 to 60 minutes"
    )
    work.say(f"making kernels for {wanted.processor}, emulated, once for this code: {what}")
    fresh = work.part("kernels")
    fresh.mkdir()
    place = kernels.stand_in(work.part("root"), work.part("tree"), packages, work.tools)
    kernels.lend(order.kernels, place, version, wanted)
    made = kernels.make(place, version, wanted.processor, work.tools)
    kernels.keep(made, version, fresh)
    kernels.write_note(fresh, wanted)
    if (order.kernels / kernels.NOTE).exists():  # of older code; nothing else is taken away
        shutil.rmtree(order.kernels)
    shutil.copytree(fresh, order.kernels, dirs_exist_ok=True)


def _fill_boot(work: Work, version: str, listed: str) -> None:
    order, boot = work.order, work.part("boot")
    config = fat.read(boot, "/config.txt", work.tools) or ""
    cmdline = fat.read(boot, "/cmdline.txt", work.tools) or ""
    board_file = (release.REPO / f"hardware/config-{order.board.value}.txt").read_text("utf-8")
    lines = boot_lines.lines_for(board_file, order.chosen)
    made = {
        **fat_files.files(version, listed),
        "config.txt": boot_lines.with_config(config, lines).encode(),
        "cmdline.txt": boot_lines.with_cmdline(cmdline, read_only=order.read_only).encode(),
    }
    for name, content in made.items():
        system_files.put(work.part("fat") / name, content)
    fat.write_tree(boot, work.part("fat"), work.tools)


def _put_together(head: bytes, lying: Layout, work: Work) -> None:
    partitions = (lying.boot, lying.root, lying.data)
    with sparse.whole_or_nothing(work.order.out) as image:
        image.write(layout.with_table(head, lying) + head[SECTOR:])
        for partition, part in zip(partitions, ("boot", "root", "data"), strict=True):
            sparse.lay(work.part(part), image, partition.start_bytes)
        image.truncate(lying.size_bytes)

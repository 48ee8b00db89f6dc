"""The image for tests: of a tree, laid out as the makers' own."""

from hardware.card import debian, fat, layout
from tests.hardware.card.made import needs_tools, tools


@needs_tools
def test_an_image_of_a_tree_is_one_that_a_card_is_made_of(tmp_path, monkeypatch):
    monkeypatch.setattr(debian, "BOOT_BYTES", 40 << 20)
    monkeypatch.setattr(debian, "ROOT_BYTES", 16 << 20)
    root = tmp_path / "root"
    (root / "boot/firmware").mkdir(parents=True)
    (root / "boot/firmware/vmlinuz-1").write_text("kernel\n")
    (root / "etc").mkdir()
    (root / "etc/hostname").write_text("board\n")
    path = tmp_path / "debian.img"
    debian.make_image(root, path, tools())
    with path.open("rb") as file:
        table = layout.read_table(file.read(512), path.stat().st_size, "x")
    boot, rest = layout.boot_and_root(table, "x")
    assert boot.start_bytes == 8 << 20
    assert fat.read(f"{path}@@{boot.start_bytes}", "/vmlinuz-1", tools()) == "kernel\n"
    assert "rootwait" in fat.read(f"{path}@@{boot.start_bytes}", "/cmdline.txt", tools())
    tools().run("e2fsck", "-f", "-n", f"{path}?offset={rest.start_bytes}")

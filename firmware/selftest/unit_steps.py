"""Steps of the checklist that are about the unit itself."""

from firmware.selftest.card_looks import look_at_card
from firmware.selftest.step import CheckRow
from firmware.selftest.unit_looks import (
    look_at_driver,
    look_at_graph,
    look_at_health,
    look_at_pace,
    look_at_panel,
    look_at_start,
)

UNIT_STEPS = (
    CheckRow(
        1,
        "Does the screen show anything?",
        "power on",
        "the start-up picture, then the feed; never a black screen while `systemctl status "
        "midgrey` says running",
        "a screen",
    ),
    CheckRow(
        2,
        "Is the screen driver the right one?",
        "`journalctl -u midgrey`",
        'no mention of "offscreen" or "dummy"',
        "a screen, the unit installed",
        look_at_driver,
        is_judged=False,
    ),
    CheckRow(
        3,
        "How long does a start take?",
        "`systemd-analyze`, `systemctl show midgrey -p "
        "ExecMainStartTimestampMonotonic,ActiveEnterTimestampMonotonic`",
        "goal: 3 s from the service's start to the first reading",
        "the unit installed and running",
        look_at_start,
        is_judged=False,
    ),
    CheckRow(
        4,
        "Frame rate, and age of a frame",
        "`midgrey run v4l2:/dev/video0 --frames 1000 --stats s.json`",
        "no frame lost at 1080p25; age below two frames",
        "a capture device, the unit stopped",
        look_at_pace,
        is_judged=False,
    ),
    CheckRow(
        11,
        "Pi 5: the way through the media graph",
        "`midgrey read v4l2:/dev/video0`, `media-ctl -p`",
        "a reading; the link to `rp1-cfe-csi2_ch0` enabled",
        "a Raspberry Pi 5 with a bridge",
        look_at_graph,
        is_judged=False,
    ),
    CheckRow(
        14,
        "Buttons",
        "press each, hold each, turn the encoder fast",
        "what the rail says over each, held what stands in its lower line; no step lost",
        "buttons at the header",
    ),
    CheckRow(
        15,
        "Watchdog of the board",
        "`echo c > /proc/sysrq-trigger` as root (the card may need a check afterwards)",
        "the board restarts by itself within 20 s",
        "a Raspberry Pi that nobody needs just now",
    ),
    CheckRow(
        16,
        "Power cuts",
        "twenty, at random moments, with `--read-only` and without",
        "boots every time, marks and settings there",
        "a unit whose power can be cut",
    ),
    CheckRow(
        17,
        "Heat",
        "an hour at 1080p25 in the case; `midgrey doctor`",
        "no throttling",
        "a board in its case, an hour",
        look_at_health,
    ),
    CheckRow(
        19,
        "Install twice, uninstall",
        "`systemd/install.sh` twice, then `--uninstall`",
        '"nothing to change" the second time; nothing left',
        "root, a unit that may be taken down",
    ),
    CheckRow(
        20,
        "Panel on SPI",
        "its maker's boot line, no other screen; `midgrey doctor`, then power on",
        "doctor names the panel and `framebuffer`; the picture, no cursor blinking in it; "
        "write down frames a second (`--frames 250 --stats s.json`)",
        "a panel on SPI and no other screen",
        look_at_panel,
    ),
    CheckRow(
        21,
        "Turned panel, touch",
        "`MIDGREY_ROTATE=90` in `/etc/midgrey/environment`; touch a corner of the picture",
        "upright; the spot goes where it was touched",
        "a turned panel with touch",
    ),
    CheckRow(
        22,
        "Lamp",
        "clip the picture; then pull the HDMI plug",
        "lit; then flashing once a second",
        "a lamp at the header",
    ),
    CheckRow(
        23,
        "One frame less of lag",
        "`SDL_VIDEO_DOUBLE_BUFFER=1` in `/etc/midgrey/environment`; step 4 again",
        "a lower age without torn pictures; then it belongs into the unit",
        "a screen at HDMI or DSI",
    ),
    CheckRow(
        24,
        "A supply that is too weak",
        "a long thin lead at full load; `midgrey doctor`, then `vcgencmd get_throttled`",
        "within two seconds the line on the screen, gone a minute after; doctor and vcgencmd "
        'agree, also on "since start-up" (whether the kernel\'s own asking clears that is not '
        "known)",
        "a supply or lead that is too weak",
        look_at_health,
    ),
    CheckRow(
        25,
        "Heat on the screen",
        "cover the board until `midgrey doctor` says 80 °C, uncover it",
        "the line at 80 °C, gone below 75 °C",
        "a board that may be warmed",
        look_at_health,
    ),
    CheckRow(
        26,
        "Card full, card read-only",
        "fill `/var/lib/midgrey`; `mount -o remount,ro` its partition; press screenshot each time",
        "a note that the picture is not saved and the line on the screen; both gone when it "
        "is undone",
        "a unit with marks that may be lost",
    ),
    CheckRow(
        27,
        "A card's first start",
        "write a card (firmware/handbook/card.md), start it without a network, cut the power twice "
        "on the way; `midgrey doctor`",
        "a face for each step, then the picture, also after the cuts; doctor names the manifest",
        "a card made by `hardware/card/build`",
        look_at_card,
    ),
)

#!/bin/bash
# Make a Raspberry Pi OS Lite (or Debian) of release trixie into a midgrey appliance.
#
#   sudo systemd/install.sh                    install, or bring up to date
#   sudo systemd/install.sh --read-only        ... with a card that is never written to
#   sudo systemd/install.sh --trim-boot        ... that waits for no network and updates nothing
#   sudo systemd/install.sh --kit              ... that may reach a kit's broker in its own network
#   sudo systemd/install.sh --uninstall        remove everything, the marks as well
#   sudo systemd/install.sh --uninstall --keep-data
#
# Run it again as often as you like: what is as it should be is left alone.
# --wheels FOLDER  take Python packages from there and do not use the network
# --no-start       set everything up, start nothing (for building an image)
set -euo pipefail

here=$(cd "$(dirname "$0")" && pwd)
source_tree=$(dirname "$here")
place=/opt/midgrey
state=/var/lib/midgrey
cache=/var/cache/midgrey
cmdline=/boot/firmware/cmdline.txt

packages=(
    python3-venv python3-pip python3-numpy python3-numba python3-av python3-pygame
    python3-pydantic python3-rich python3-typer v4l-utils
    python3-starlette python3-uvicorn python3-websockets
    libgbm1 libegl1 libegl-mesa0 libgles2 libgl1-mesa-dri
)
# Only in Raspberry Pi OS's own archive, and only of use on its boards.
board_packages=(python3-picamera2 python3-lgpio python3-gpiozero)

# source in systemd/ -> target, mode
files=(
    "midgrey.service       /etc/systemd/system/midgrey.service                         644"
    "midgrey-page.socket   /etc/systemd/system/midgrey-page.socket                     644"
    "sysusers.conf         /usr/lib/sysusers.d/midgrey.conf                            644"
    "tmpfiles.conf         /usr/lib/tmpfiles.d/midgrey.conf                            644"
    "udev.rules            /etc/udev/rules.d/60-midgrey.rules                          644"
    "watchdog.conf         /etc/systemd/system.conf.d/50-midgrey.conf                  644"
    "journald.conf         /etc/systemd/journald.conf.d/50-midgrey.conf                644"
    "keep-last-words       /opt/midgrey/bin/keep-last-words                            755"
)
# Of a unit that belongs to a kit: what reaches its broker, and the right to.
kit_packages=(python3-paho-mqtt)
kit_files=(
    "kit/service.conf      /etc/systemd/system/midgrey.service.d/50-kit.conf           644"
)
readonly_files=(
    "readonly/hook         /etc/initramfs-tools/hooks/midgrey-readonly                 755"
    "readonly/mount        /etc/initramfs-tools/scripts/init-bottom/midgrey-readonly   755"
)

# Not needed by an appliance; each waits, or wakes up and writes, at the wrong moment.
trimmed=(
    NetworkManager-wait-online.service systemd-networkd-wait-online.service
    apt-daily.timer apt-daily-upgrade.timer man-db.timer dpkg-db-backup.timer
    e2scrub_all.timer fstrim.timer
)

changes=0
booted=no
[ -d /run/systemd/system ] && booted=yes

say() { echo "midgrey: $*"; }
fail() { echo "midgrey: $*" >&2; exit 2; }
changed() { changes=$((changes + 1)); say "$*"; }

# ---------------------------------------------------------------------------------------------

release() { . /etc/os-release && echo "${VERSION_CODENAME:-unknown}"; }

check_machine() {
    [ "$(id -u)" = 0 ] || fail "this sets up the machine: run it with sudo"
    case $(release) in
        trixie) ;;
        bookworm) fail "release bookworm has a pygame without screen support and a numpy that is" \
            "too old; write a card with the release trixie (see hardware/README.md)" ;;
        *) say "this release ($(release)) is untried; trixie is what it was made on" ;;
    esac
    [ "$(getconf LONG_BIT)" = 64 ] || fail "a 64-bit system is needed; this one is 32-bit"
    if grep -qw midgrey.readonly /proc/cmdline && [ "$(findmnt -no FSTYPE /)" = overlay ]; then
        fail "the card is read-only, so whatever is changed now would be gone at the next start:" \
            "take midgrey.readonly out of $cmdline, restart, and run this again"
    fi
}

installed() { [ "$(dpkg-query -W -f '${db:Status-Status}' "$1" 2>/dev/null)" = installed ]; }

install_packages() {
    local wanted=("${packages[@]}") missing=() package
    if [ -e /proc/device-tree/model ] && grep -q "Raspberry Pi" /proc/device-tree/model; then
        wanted+=("${board_packages[@]}")
    fi
    for package in "${wanted[@]}"; do installed "$package" || missing+=("$package"); done
    [ ${#missing[@]} = 0 ] && return
    changed "packages: ${missing[*]}"
    apt-get update -q
    apt-get install -q -y --no-install-recommends "${missing[@]}"
    mkdir -p "$place"
    printf '%s\n' "${missing[@]}" >> "$place/packages"
}

put() { # source target mode
    local from=$here/$1 to=$2 mode=$3
    if ! cmp -s "$from" "$to" || [ "$(stat -c %a "$to")" != "$mode" ]; then
        install -D -m "$mode" "$from" "$to"
        changed "$to"
    fi
}

put_all() {
    local line
    for line in "$@"; do
        # shellcheck disable=SC2086  # three words to a line
        put $line
    done
}

make_user() {
    getent passwd midgrey > /dev/null && return
    mkdir -p "$place"
    getent group gpio > /dev/null || echo gpio >> "$place/groups"
    systemd-sysusers /usr/lib/sysusers.d/midgrey.conf
    changed "user midgrey"
}

fingerprint() { # of everything that goes into the environment
    (cd "$source_tree" && find firmware overlays hardware systemd/locks pyproject.toml -type f \
        ! -path '*/__pycache__/*' -print0 | sort -z | xargs -0 sha256sum; python3 -V) | sha256sum
}

install_code() {
    local now pip=(--quiet --disable-pip-version-check --no-compile)
    now=$(fingerprint)
    if [ -x "$place/venv/bin/midgrey" ] && [ "$(cat "$place/fingerprint" 2>/dev/null)" = "$now" ]
    then
        return
    fi
    changed "$place/venv"
    [ -n "$wheels" ] && pip+=(--no-index --find-links "$wheels")
    rm -f "$place/fingerprint"
    # Debian's numpy, pygame and camera packages fit each other; ours sits on top of them.
    python3 -m venv --system-site-packages "$place/venv"
    "$place/venv/bin/python" -c 'import gpiozero, sys
from importlib.metadata import version
sys.exit(int(version("gpiozero").split(".")[0]) < 2)' 2>/dev/null ||
        "$place/venv/bin/pip" install "${pip[@]}" --require-hashes -r "$here/locks/gpio.txt"
    "$place/venv/bin/pip" install "${pip[@]}" --require-hashes -r "$here/locks/type.txt"
    "$place/venv/bin/pip" install "${pip[@]}" --require-hashes -r "$here/locks/build.txt"
    build=$(mktemp -d)
    cp -r "$source_tree"/{firmware,overlays,pyproject.toml,README.md,LICENSE} "$build" 2>/dev/null || true
    touch "$build/README.md"
    # Without isolation: that would fetch what builds it anew, and without a look at its hashes.
    "$place/venv/bin/pip" install "${pip[@]}" --no-deps --no-build-isolation --force-reinstall \
        "$build"
    rm -rf "$build"
    # Whole seconds: kernels are kept by the source's time of change, and neither a backup nor the
    # copy of a card keeps fractions.
    find "$place"/venv/lib/python3*/site-packages -name '*.py' -exec touch -d "@$(date +%s)" {} +
    "$place/venv/bin/python" -m compileall -q "$place"/venv/lib/python3*/site-packages || true
    rm -rf "$place/share" "$cache/kernels"
    mkdir -p "$place/share"
    cp -r "$source_tree/hardware" "$place/share/" 2>/dev/null || true
    cp "$source_tree"/README.md "$place/share/" 2>/dev/null || true
    echo "$now" > "$place/fingerprint"
}

prepare_kernels() {
    # The mark comes last: what was interrupted is gone through again.
    [ -e "$cache/kernels/ready" ] && return
    changed "compiled kernels in $cache/kernels (a minute or two)"
    install -d -m 750 -o midgrey -g midgrey "$state" "$cache" "$cache/kernels"
    local settings=()
    [ -e /etc/midgrey/environment ] && mapfile -t settings < <(grep -v '^#' /etc/midgrey/environment)
    setpriv --reuid=midgrey --regid=midgrey --init-groups env -i "${settings[@]}" \
        PATH=/usr/bin:/bin HOME="$state" NUMBA_CACHE_DIR="$cache/kernels" LC_ALL=C.UTF-8 \
        PYGAME_HIDE_SUPPORT_PROMPT=1 \
        "$place/venv/bin/python" -m firmware.live.warm || {
            say "not all kernels could be compiled now; the first start will be slow"
            return
        }
    touch "$cache/kernels/ready"
}

make_settings() {
    [ -e /etc/midgrey/environment ] && return
    mkdir -p /etc/midgrey
    cat > /etc/midgrey/environment << 'END'
# What the appliance starts with; see `midgrey run --help`.
#MIDGREY_FEED=v4l2:/dev/video0
#MIDGREY_OPTIONS=--profile log-v
END
    changed /etc/midgrey/environment
}

keep_console() { # free for the picture: a log-in that starts there would take the screen
    case $(systemctl is-enabled getty@tty1.service 2>/dev/null) in
        masked | masked-runtime | not-found | "") return 0 ;;
    esac
    systemctl -q mask getty@tty1.service
    # Somebody may be running this from there.
    if [ $booted = yes ] && ! who | grep -qw tty1; then systemctl -q stop getty@tty1.service; fi
    echo getty@tty1.service >> "$place/masked"
    changed "no log-in on the first console (alt + F2 has one)"
}

switch_on() {
    if [ "$(systemctl is-enabled midgrey.service 2>/dev/null)" != enabled ]; then
        systemctl -q enable midgrey.service
        changed "midgrey.service starts at boot"
    fi
    [ $booted = yes ] || return 0
    [ $changes = 0 ] && return
    systemctl daemon-reload
    udevadm control --reload && udevadm trigger --subsystem-match=video4linux
    [ "$start" = no ] || systemctl restart --no-block midgrey.service
}

# ---------------------------------------------------------------------------------------------

make_read_only() {
    put_all "${readonly_files[@]}"
    if [ -e /dev/disk/by-label/midgrey-data ]; then
        put data.mount /etc/systemd/system/var-lib-midgrey.mount 644
        # Off and on again: what wants it may be another unit than it was at the last installation.
        systemctl -q disable var-lib-midgrey.mount
        systemctl -q enable var-lib-midgrey.mount
    else
        say "no partition with the label midgrey-data: marks will be forgotten at power-off" \
            "(hardware/README.md says how to make one)"
    fi
    [ $changes = 0 ] || update-initramfs -u
    if [ -e $cmdline ]; then
        grep -qw midgrey.readonly $cmdline && return
        sed "1s/\$/ midgrey.readonly/" $cmdline > $cmdline.new
        sync $cmdline.new
        mv $cmdline.new $cmdline
        changed "read-only from the next boot on; take midgrey.readonly out of $cmdline to undo it"
    else
        say "add midgrey.readonly to the kernel's command line to make the disk read-only"
    fi
}

trim_boot() {
    local unit
    for unit in "${trimmed[@]}"; do
        case $(systemctl is-enabled "$unit" 2>/dev/null) in
            masked | masked-runtime | not-found | "") continue ;;
        esac
        systemctl -q mask "$unit"
        echo "$unit" >> "$place/masked"
        changed "$unit switched off"
    done
}

uninstall() {
    [ $booted = no ] || systemctl -q stop midgrey-page.socket midgrey.service 2>/dev/null || true
    systemctl -q disable midgrey-page.socket midgrey.service var-lib-midgrey.mount 2>/dev/null || true
    local line target
    for line in "${files[@]}" "${kit_files[@]}" "${readonly_files[@]}"; do
        target=$(echo "$line" | awk '{print $2}')
        rm -f "$target"
    done
    rm -f /etc/systemd/system/var-lib-midgrey.mount
    rmdir --ignore-fail-on-non-empty /etc/systemd/system/midgrey.service.d \
        /etc/systemd/system.conf.d /etc/systemd/journald.conf.d \
        2>/dev/null || true
    if [ -e $cmdline ] && grep -qw midgrey.readonly $cmdline; then
        sed -i 's/ midgrey\.readonly//' $cmdline
    fi
    if getent passwd midgrey > /dev/null; then userdel midgrey; fi
    if getent group midgrey > /dev/null; then groupdel midgrey; fi
    if [ -e "$place/groups" ]; then
        while read -r line; do groupdel "$line" 2>/dev/null || true; done < "$place/groups"
    fi
    if [ -e "$place/masked" ]; then
        xargs systemctl -q unmask < "$place/masked"
    fi
    if [ -e "$place/packages" ]; then
        say "these packages were fetched for midgrey; remove them if nothing else wants them:"
        say "  apt-get remove $(tr '\n' ' ' < "$place/packages")"
    fi
    rm -rf "$place" "$cache" /etc/midgrey /run/midgrey
    if [ "$keep_data" = yes ]; then
        say "kept: $state"
    else
        # A partition that is mounted there cannot be removed with its folder: it is emptied.
        [ ! -d "$state" ] || find "$state" -xdev -mindepth 1 -delete
        ! mountpoint -q "$state" || umount "$state"
        rm -rf "$state"
    fi
    [ $booted = no ] || systemctl daemon-reload
    say "removed"
}

# ---------------------------------------------------------------------------------------------

wheels="" start=yes read_only=no trim=no kit=no action=install keep_data=no
while [ $# -gt 0 ]; do
    case $1 in
        --wheels) wheels=$(cd "${2:?--wheels needs a folder}" && pwd); shift ;;
        --no-start) start=no ;;
        --read-only) read_only=yes ;;
        --trim-boot) trim=yes ;;
        --kit) kit=yes ;;
        --uninstall) action=uninstall ;;
        --keep-data) keep_data=yes ;;
        -h | --help) sed -n '2,14s/^# \{0,1\}//p' "$0"; exit 0 ;;
        *) fail "unknown option $1; --help lists them" ;;
    esac
    shift
done

check_machine
if [ $action = uninstall ]; then
    uninstall
    exit 0
fi
[ $kit = no ] || packages+=("${kit_packages[@]}")
install_packages
put_all "${files[@]}"
[ $kit = no ] || put_all "${kit_files[@]}"
make_user
make_settings
install_code
prepare_kernels
keep_console
switch_on
[ $trim = no ] || trim_boot
[ $read_only = no ] || make_read_only
if [ $changes = 0 ]; then say "nothing to change"; else say "done, $changes changes"; fi

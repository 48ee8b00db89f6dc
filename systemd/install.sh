#!/bin/bash
# Make a Raspberry Pi OS Lite (or Debian) of release trixie into a midgrey appliance.
#
#   sudo systemd/install.sh                    install, or bring up to date
#   sudo systemd/install.sh --read-only        ... with a card that is never written to
#   sudo systemd/install.sh --trim-boot        ... that waits for no network and updates nothing
#   sudo systemd/install.sh --signers FILE     ... that takes versions signed by these keys
#   sudo systemd/install.sh --page             ... where a phone may read it, in its own network
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
    libgbm1 libegl1 libegl-mesa0 libgles2 libgl1-mesa-dri openssh-client
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
    "guard                 /opt/midgrey/guard/guard                                    755"
    "update/midgrey-trial.timer      /etc/systemd/system/midgrey-trial.timer           644"
    "update/midgrey-trial.service    /etc/systemd/system/midgrey-trial.service         644"
    "update/midgrey-proved.path      /etc/systemd/system/midgrey-proved.path           644"
    "update/midgrey-proved.service   /etc/systemd/system/midgrey-proved.service        644"
    "update/midgrey-update@.service  /etc/systemd/system/midgrey-update@.service       644"
    "update/midgrey-incoming.path    /etc/systemd/system/midgrey-incoming.path         644"
    "update/midgrey-stick@.service   /etc/systemd/system/midgrey-stick@.service        644"
    "update/stick.rules    /etc/udev/rules.d/70-midgrey-stick.rules                    644"
)
enabled=(
    midgrey.service midgrey-proved.path midgrey-incoming.path
    midgrey-update@boot-firmware-midgrey.service
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

put_guard() { # what looks after versions, beside them
    local part from to
    for part in $(cd "$source_tree" && python3 -E -S -B -c \
        'from firmware.update.guard import PARTS; print(*PARTS)'); do
        from=$source_tree/$part to=$place/guard/$part
        cmp -s "$from" "$to" && continue
        # Whole or not at all: what looks before every start must never be half there.
        install -D -m 644 "$from" "$to.new"
        sync "$to.new"
        mv "$to.new" "$to"
        changed "$to"
    done
    local layout
    layout=$(cd "$source_tree" && python3 -E -S -B -c 'from firmware.update.places import LAYOUT; print(LAYOUT)')
    [ "$(cat "$place/layout" 2>/dev/null)" = "$layout" ] || echo "$layout" > "$place/layout"
}

lead() { # link version: an old one or the new one, whenever the power goes
    ln -sfn "releases/$2" "$place/.$1"
    mv -T "$place/.$1" "$place/$1"
    sync "$place"
}

started() { # the version that is started, if it is whole
    local version
    version=$(basename "$(readlink "$place/current" 2>/dev/null)" 2>/dev/null) || return 0
    [ ! -x "$place/releases/$version/bin/midgrey" ] || echo "$version"
}

install_code() {
    local version before making=("$here/make-release")
    version=$("$here/make-release" --say)
    before=$(started)
    [ "$before" != "$version" ] || return 0
    changed "$place/releases/$version"
    [ -z "$wheels" ] || making+=(--wheels "$wheels")
    mkdir -p "$place/releases"
    rm -rf "${place:?}/releases/$version"
    "${making[@]}" "$place/releases/$version" > /dev/null
    /usr/bin/python3 -I -m compileall -q "$place/releases/$version/venv" || true
    sync
    # What has proved itself stays, and the new one is on trial, as after any update.
    if [ -n "$before" ] && [ ! -e "$place/trial" ]; then lead previous "$before"; fi
    if [ -n "$before" ] && [ -e "$place/previous" ]; then
        echo "$version 0" > "$place/.trial"
        sync "$place/.trial"
        mv "$place/.trial" "$place/trial"
    fi
    lead current "$version"
    # An appliance of before versions lay beside each other: it is this one from now on.
    rm -rf "$place/venv" "$place/share" "$place/fingerprint"
    find "$cache/kernels" -mindepth 1 -maxdepth 1 ! -name '[0-9]*.*.*' -exec rm -rf {} + 2>/dev/null || true
}

prepare_kernels() {
    local version
    version=$(started)
    # The mark comes last: what was interrupted is gone through again.
    [ ! -e "$cache/kernels/$version/ready" ] || return 0
    changed "compiled kernels in $cache/kernels/$version (a minute or two)"
    install -d -m 750 -o midgrey -g midgrey "$state" "$cache" "$cache/kernels" "$cache/kernels/$version"
    local settings=()
    [ -e /etc/midgrey/environment ] && mapfile -t settings < <(grep -v '^#' /etc/midgrey/environment)
    setpriv --reuid=midgrey --regid=midgrey --init-groups env -i "${settings[@]}" \
        PATH=/usr/bin:/bin HOME="$state" NUMBA_CACHE_DIR="$cache/kernels" LC_ALL=C.UTF-8 \
        PYGAME_HIDE_SUPPORT_PROMPT=1 \
        "$place/releases/$version/bin/python" -m firmware.live.warm || {
            say "not all kernels could be compiled now; the first start will be slow"
            return
        }
    touch "$cache/kernels/$version/ready"
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

trust() { # file of keys, as ssh-keygen(1) describes under ALLOWED SIGNERS
    cmp -s "$1" /etc/midgrey/allowed_signers && return
    install -D -m 644 "$1" /etc/midgrey/allowed_signers
    changed "/etc/midgrey/allowed_signers: versions signed by these are taken"
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
    local unit
    for unit in "${enabled[@]}"; do
        [ "$(systemctl is-enabled "$unit" 2>/dev/null)" != enabled ] || continue
        systemctl -q enable "$unit"
        changed "$unit starts at boot"
    done
    [ $booted = yes ] || return 0
    [ $changes = 0 ] && return
    systemctl daemon-reload
    udevadm control --reload && udevadm trigger --subsystem-match=video4linux
    [ "$start" = yes ] || return 0
    systemctl start --no-block midgrey-proved.path midgrey-incoming.path
    if [ $page = yes ] && ! systemctl -q is-active midgrey-page.socket; then
        # A socket is handed to a service that starts, never to one that runs.
        systemctl -q stop midgrey.service
        systemctl -q start midgrey-page.socket
    fi
    systemctl restart --no-block midgrey.service
}

open_page() {
    [ "$(systemctl is-enabled midgrey-page.socket 2>/dev/null)" != enabled ] || return 0
    systemctl -q enable midgrey-page.socket
    changed "midgrey-page.socket listens at boot (page = \"on\" in the preset serves the page)"
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
    [ $booted = no ] || systemctl -q stop midgrey-page.socket midgrey-trial.timer "${enabled[@]}" \
        2>/dev/null || true
    systemctl -q disable midgrey-page.socket "${enabled[@]}" var-lib-midgrey.mount 2>/dev/null || true
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
    rm -rf "$place" "$cache" /etc/midgrey /run/midgrey /run/midgrey-update
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

wheels="" signers="" start=yes read_only=no trim=no page=no kit=no action=install keep_data=no
while [ $# -gt 0 ]; do
    case $1 in
        --wheels) wheels=$(cd "${2:?--wheels needs a folder}" && pwd); shift ;;
        --signers) signers=$(realpath "${2:?--signers needs a file}"); shift ;;
        --no-start) start=no ;;
        --read-only) read_only=yes ;;
        --trim-boot) trim=yes ;;
        --page) page=yes ;;
        --kit) kit=yes ;;
        --uninstall) action=uninstall ;;
        --keep-data) keep_data=yes ;;
        -h | --help) sed -n '2,16s/^# \{0,1\}//p' "$0"; exit 0 ;;
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
put_guard
make_user
make_settings
[ -z "$signers" ] || trust "$signers"
install_code
prepare_kernels
keep_console
[ $page = no ] || open_page
switch_on
[ $trim = no ] || trim_boot
[ $read_only = no ] || make_read_only
if [ $changes = 0 ]; then say "nothing to change"; else say "done, $changes changes"; fi

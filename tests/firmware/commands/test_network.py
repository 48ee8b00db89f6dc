"""A network of the unit's own, asked of NetworkManager's own program by what its manual says."""

import io
import stat

import pytest

from firmware.commands import network
from firmware.commands.network import LENGTH, NmcliReply, close, drawn_password, open_network, run
from firmware.commands.own import NetworkOptions
from firmware.errors import ArgumentError, FirmwareError
from tests.places import ROOT

# nmcli(1), nm-settings-nmcli(5): the properties that make an access point with WPA2.
WANTED = {
    "type": "wifi",
    "802-11-wireless.mode": "ap",
    "ipv4.method": "shared",
    "ipv4.addresses": "10.42.0.1/24",
    "802-11-wireless-security.key-mgmt": "wpa-psk",
    "802-11-wireless-security.proto": "rsn",
}


def asked(options, *answers):
    """What NetworkManager is asked, and what is printed."""
    words, left, out = [], list(answers), io.StringIO()

    def ask(these):
        words.append(list(these))
        return left.pop(0) if left else NmcliReply(0, "")

    open_network(options, ask, out, "secret23secr")
    return words, out.getvalue()


def test_an_access_point_is_made_and_opened():
    words, said = asked(NetworkOptions(name="set B", device="wlan1"))
    assert words[0] == ["connection", "delete", "id", "midgrey"]
    assert words[2] == ["connection", "up", "id", "midgrey"]
    pairs = dict(zip(words[1][2::2], words[1][3::2], strict=True))
    assert WANTED.items() <= pairs.items()
    assert (pairs["ssid"], pairs["ifname"]) == ("set B", "wlan1")
    assert pairs["802-11-wireless-security.psk"] == "secret23secr"
    assert "set B" in said
    assert "secret23secr" in said
    assert "http://10.42.0.1" in said


def test_its_address_is_where_the_page_listens():
    unit = (ROOT / "systemd" / "midgrey-page.socket").read_text()
    assert f"ListenStream={network.ADDRESS}:80\n" in unit


def test_without_a_name_it_has_the_units():
    words, _ = asked(NetworkOptions())
    name = words[1][words[1].index("ssid") + 1]
    assert name.startswith("midgrey-")


@pytest.mark.parametrize(
    "options",
    [
        NetworkOptions(name="x" * 33),
        NetworkOptions(name="a\nb"),
        NetworkOptions(device="--all"),
        NetworkOptions(device=""),
    ],
)
def test_what_is_no_name_is_refused_and_nothing_is_asked(options):
    with pytest.raises(ArgumentError):
        asked(options)


def test_what_networkmanager_says_is_handed_on_in_one_sentence():
    with pytest.raises(FirmwareError, match="NetworkManager: no Wi-Fi device"):
        asked(NetworkOptions(), NmcliReply(10, ""), NmcliReply(4, "no Wi-Fi device"))
    with pytest.raises(FirmwareError, match="NetworkManager: unknown connection"):
        close(lambda _: NmcliReply(10, "unknown connection"), io.StringIO())


def test_it_is_taken_away_again():
    out = io.StringIO()
    close(lambda words: NmcliReply(0, "") if words[1] == "delete" else NmcliReply(1, ""), out)
    assert out.getvalue() == "The network is gone.\n"


def test_passwords_are_long_enough_for_wpa_and_differ():
    drawn = {drawn_password() for _ in range(20)}
    assert len(drawn) == 20
    # 8 to 63 characters (IEEE 802.11, the pass-phrase of WPA).
    assert {len(each) for each in drawn} == {LENGTH}
    assert 8 <= LENGTH <= 63


def test_the_program_is_asked_and_what_it_says_of_a_fault_is_kept(tmp_path, monkeypatch):
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(FirmwareError, match="nmcli is not installed"):
        run(["connection"])
    program = tmp_path / "nmcli"
    program.write_text('#!/bin/sh\necho "Error: $1 is\n  not so" >&2\nexit 10\n')
    program.chmod(program.stat().st_mode | stat.S_IXUSR)
    assert run(["this"]) == NmcliReply(10, "this is not so")

"""Sentences of a connection that is refused, and how it is tried again (a broker: test_post)."""

import errno
import os
import socket
import ssl
import threading

import pytest

from firmware.clock import HandClock, SystemClock
from firmware.errors import KitError
from firmware.kit.line import MOST_AGAIN_NS, BrokerLine, Hears, Role, _words, refusal, sealed_by
from firmware.kit.settings import KitSettings, Wire
from tests.brokers import make_authority, until
from tests.places import ROOT

NOBODY = KitSettings("cam-a", "127.0.0.1", 1, "not a secret", Wire.PLAIN)


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (0x87, "does not know cam-a by this password"),
        (0x86, "does not know cam-a by this password"),
        (0x8E, "another unit calls itself cam-a too"),
        (0x97, "refuses cam-a (quota exceeded)"),
    ],
)
def test_a_refusal_says_what_to_do(code, words):
    assert words in refusal(code, "Quota exceeded", NOBODY)
    assert "not a secret" not in refusal(code, "", NOBODY)


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (KitError("no password"), "no password"),
        (ssl.SSLCertVerificationError("self-signed"), "is not believed"),
        (ssl.SSLError("WRONG_VERSION_NUMBER"), "does not speak TLS there: look at its port"),
        (PermissionError(errno.EPERM, ""), "may not ask the broker"),
        (ConnectionRefusedError(errno.ECONNREFUSED, ""), "cannot be reached"),
    ],
)
def test_what_kept_a_connection_from_coming_about_is_one_sentence(fault, words):
    fault.verify_message = "self-signed certificate"
    assert words in _words(fault, NOBODY)


def test_it_is_tried_again_after_longer_and_longer_pauses():
    clock = HandClock(10**12)
    line = BrokerLine(NOBODY, Role("x", ()), Hears(lambda *_: None), clock)
    pauses = []
    for _ in range(8):
        line.turn(0.01)
        assert "cannot be reached" in line.trouble
        pauses.append(line._try.again_ns - clock.now_ns())
        assert 0.0 < line.turn(0.01) <= 0.01
        clock.move(pauses[-1] / 1e9)
    assert pauses == sorted(pauses)
    assert pauses[-1] == MOST_AGAIN_NS
    assert not line.is_clear
    assert line.publish("t", b"", qos=1, retain=False) is None
    line.leave()


@pytest.mark.parametrize("number", [errno.EAFNOSUPPORT, errno.EPERM, errno.EHOSTUNREACH])
def test_a_unit_that_is_allowed_no_network_is_told_how(number, monkeypatch):
    def refuse(*_words, **_more):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(socket, "create_connection", refuse)
    line = BrokerLine(NOBODY, Role("x", ()), Hears(lambda *_: None), HandClock(10**12))
    line.turn(0.01)
    assert ("install.sh --kit" in line.trouble) is (number != errno.EHOSTUNREACH)


def test_what_answers_and_is_no_broker_is_given_up(monkeypatch):
    monkeypatch.setattr("firmware.kit.line.SETTLES_NS", 200_000_000)
    with socket.create_server(("127.0.0.1", 0)) as door:
        port = door.getsockname()[1]
        taken = []
        threading.Thread(target=lambda: taken.append(door.accept()[0]), daemon=True).start()
        settings = KitSettings("cam-a", "127.0.0.1", port, "x" * 8, Wire.PLAIN)
        line = BrokerLine(settings, Role("x", ()), Hears(lambda *_: None), SystemClock())
        until(lambda: line.turn(0.02) >= 0.0 and line.trouble)
        assert "does not answer" in line.trouble
        line.leave()
        taken[0].close()


def test_certificates_are_judged_alike_by_every_python(tmp_path):
    # ssl.create_default_context asks for this by itself from Python 3.13 on.
    make_authority(tmp_path)
    assert sealed_by(tmp_path / "ca.pem").verify_flags & ssl.VERIFY_X509_STRICT
    # So the page that says how an authority is made has to name its use (RFC 5280, 4.2.1.3).
    page = (ROOT / "systemd" / "README.md").read_text("utf-8")
    (line,) = (each for each in page.splitlines() if each.startswith("openssl req -x509"))
    assert "keyUsage=critical,keyCertSign,cRLSign" in line


def test_an_authority_that_is_not_there_is_said(tmp_path):
    with pytest.raises(KitError, match="no certificate that can be read"):
        sealed_by(tmp_path / "none.pem")

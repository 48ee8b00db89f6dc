"""Signatures are made and checked by ssh-keygen itself (OpenSSH)."""

import subprocess

import pytest

from firmware.update import signature
from firmware.update.signature import must_be_signed, sign
from tests.updates import made_key, refusal

SAYS = b'version = "1.2.3"\n'


@pytest.fixture(scope="module")
def keys(tmp_path_factory):
    folder = tmp_path_factory.mktemp("keys")
    return made_key(folder, "ours"), made_key(folder, "theirs")


def asked(says, signed, signers, folder, revoked=b""):
    file = folder / "revoked"
    if revoked:
        file.write_bytes(revoked)
    return lambda: must_be_signed("x", says, signed, signers, file)


def test_who_is_trusted_has_signed(keys, tmp_path):
    (key, signers), _ = keys
    asked(SAYS, sign(SAYS, key), signers, tmp_path)()


def test_whoever_else_has_signed_is_refused(keys, tmp_path):
    (_, signers), (other, _) = keys
    said = refusal(asked(SAYS, sign(SAYS, other), signers, tmp_path))
    assert said.startswith("x: it is not signed by anyone whom this unit trusts; ")


def test_another_text_another_purpose_and_no_signature_are_refused(keys, tmp_path):
    (key, signers), _ = keys
    signed = sign(SAYS, key)
    file = tmp_path / "says"
    file.write_bytes(SAYS)
    words = ["ssh-keygen", "-q", "-Y", "sign", "-f", str(key), "-n", "file", str(file)]
    subprocess.run(words, check=True, capture_output=True)
    elsewhere = (tmp_path / "says.sig").read_bytes()
    flipped = bytearray(SAYS)
    flipped[3] ^= 1
    for says, these in ((bytes(flipped), signed), (SAYS, elsewhere), (SAYS, b"none"), (SAYS, b"")):
        assert "not signed" in refusal(asked(says, these, signers, tmp_path))


def test_a_key_that_is_revoked_signs_no_more(keys, tmp_path):
    (key, signers), (other, _) = keys
    signed = sign(SAYS, key)
    asked(SAYS, signed, signers, tmp_path, other.with_suffix(".pub").read_bytes())()
    said = refusal(asked(SAYS, signed, signers, tmp_path, key.with_suffix(".pub").read_bytes()))
    assert "not signed" in said


def test_two_keys_are_trusted_while_one_follows_the_other(keys, tmp_path):
    (key, signers), (other, others) = keys
    both = tmp_path / "both"
    both.write_text(signers.read_text() + others.read_text())
    for each in (key, other):
        asked(SAYS, sign(SAYS, each), both, tmp_path)()


def test_a_unit_that_trusts_nobody_says_what_to_do(tmp_path):
    said = refusal(asked(SAYS, b"", tmp_path / "none", tmp_path))
    assert "trusts nobody's versions yet" in said
    assert str(tmp_path / "none") in said


def test_without_ssh_keygen_nothing_is_taken_for_signed(keys, tmp_path, monkeypatch):
    (key, signers), _ = keys
    signed = sign(SAYS, key)
    monkeypatch.setenv("PATH", str(tmp_path))
    assert "openssh-client" in refusal(asked(SAYS, signed, signers, tmp_path))
    assert "openssh-client" in refusal(lambda: sign(SAYS, key))


def test_one_that_does_not_answer_is_not_waited_for_for_ever(keys, tmp_path, monkeypatch):
    (_, signers), _ = keys
    slow = tmp_path / "ssh-keygen"
    slow.write_text("#!/bin/sh\nexec /usr/bin/sleep 60\n")
    slow.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(signature, "LONGEST_S", 0.2)
    assert "has not answered" in refusal(asked(SAYS, b"x", signers, tmp_path))


def test_a_key_that_is_none_is_said(tmp_path, capfd):
    assert str(tmp_path) in refusal(lambda: sign(SAYS, tmp_path / "none"))
    capfd.readouterr()

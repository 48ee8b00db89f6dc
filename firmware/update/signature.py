"""Who signed: asked of ssh-keygen, which every unit has, against the keys that this unit trusts.

A signature of SSH says of what kind it is, so that one for something else is none here (OpenSSH,
PROTOCOL.sshsig, "namespace"). Trusted keys stand in a file as ssh-keygen(1), "ALLOWED SIGNERS",
describes; those trusted no more in another, which is asked as well.
"""

import subprocess
import tempfile
from pathlib import Path

from firmware.errors import UpdateError
from firmware.update.places import REVOKED, SIGNERS

NAMESPACE = "midgrey-release"
"""What is signed is a version of midgrey, and nothing else."""
SIGNER = "release"
"""By which name whoever makes versions stands in the file of trusted keys."""
LONGEST_S = 30.0

UNSIGNED = "it is not signed by anyone whom this unit trusts"
MISSING = (
    "ssh-keygen is not there, without which no signature can be checked; apt install openssh-client"
)


def must_be_signed(
    name: str, says: bytes, signature: bytes, signers: Path = SIGNERS, revoked: Path = REVOKED
) -> None:
    """Go on only where a trusted key has signed.

    Parameters
    ----------
    name:
        Of the bundle, for the sentence of a refusal.
    says, signature:
        What is signed, and the signature.
    signers, revoked:
        Files of keys; of revoked ones there need be none.

    Raises
    ------
    UpdateError
        Nobody has, whom this unit trusts.
    """
    if not signers.is_file():
        raise UpdateError(
            f"{name}: this unit trusts nobody's versions yet; put the key of whoever makes them "
            f"into {signers}"
        )
    with tempfile.TemporaryDirectory(prefix="midgrey-update-") as folder:
        file = Path(folder) / "signature"
        file.write_bytes(signature)
        words = ["ssh-keygen", "-q", "-Y", "verify", "-f", str(signers), "-I", SIGNER]
        words += ["-n", NAMESPACE, "-s", str(file)]
        words += ["-r", str(revoked)] if revoked.exists() else []
        status = _run(words, says)
    if status:
        raise UpdateError(f"{name}: {UNSIGNED}; get it from who made this unit, or see {signers}")


def sign(says: bytes, key: Path) -> bytes:
    """The signature of a key's owner.

    Parameters
    ----------
    key:
        The private key; or the public one, where an agent has the private.

    Raises
    ------
    UpdateError
        ssh-keygen will not.
    """
    with tempfile.TemporaryDirectory(prefix="midgrey-update-") as folder:
        file = Path(folder) / "says"
        file.write_bytes(says)
        words = ["ssh-keygen", "-q", "-Y", "sign", "-f", str(key), "-n", NAMESPACE, str(file)]
        try:
            done = subprocess.run(words, stdout=subprocess.DEVNULL, check=False)
        except FileNotFoundError:
            raise UpdateError(MISSING) from None
        if done.returncode:
            raise UpdateError(f"{key}: ssh-keygen does not sign with it; it says why above")
        return Path(f"{file}.sig").read_bytes()


def _run(words: list[str], told: bytes) -> int:
    try:
        done = subprocess.run(
            words, input=told, capture_output=True, timeout=LONGEST_S, check=False
        )
    except FileNotFoundError:
        raise UpdateError(MISSING) from None
    except subprocess.TimeoutExpired:
        raise UpdateError(
            f"ssh-keygen has not answered for {LONGEST_S:g} seconds; try again"
        ) from None
    return done.returncode

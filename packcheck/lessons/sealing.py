"""Keys of cases under a passphrase: sealed so that nobody reads, changes or swaps them.

The passphrase becomes a key by scrypt (RFC 7914); what is sealed is encrypted and authenticated by AES-SIV (RFC 5297),
which gives the same bytes for the same content and needs no random number.
"""

from __future__ import annotations

import hashlib
import hmac
import json
from base64 import b64decode, b64encode
from collections.abc import Mapping
from typing import Any

from packcheck.files.problems import WrongUsage

INSTALL = "sealed keys need the cryptography library, which is not installed: pip install 'packcheck[lesson]'"
WRONG = "the passphrase does not open {name}, or the file was changed"
COST, BLOCK, LANES, LENGTH = 2**14, 8, 1, 64
"""Parameters of scrypt: 16 MiB of memory, and a key for AES-SIV-512."""
PADDED = 4096
"""Keys are sealed in whole blocks of so many bytes: their size does not tell how much is wrong."""
CONTEXT = b"packcheck lesson key 1"


def secret_of(passphrase: str, salt: bytes) -> bytes:
    """Return the secret that a passphrase and a salt stand for."""
    return hashlib.scrypt(passphrase.encode(), salt=salt, n=COST, r=BLOCK, p=LANES, dklen=LENGTH)


def salt_of(layout: bytes, number: int) -> bytes:
    """Return the salt of a lesson: no two layouts or numbers have one."""
    return hashlib.sha256(b"lesson %d " % number + hashlib.sha256(layout).digest()).digest()[:16]


def seed_of(secret: bytes, what: str) -> str:
    """Return a seed that nobody without the passphrase can make: a case cannot be made again to read its key."""
    return hmac.new(secret, what.encode(), hashlib.sha256).hexdigest()


def seal(key: Mapping[str, Any], secret: bytes, salt: bytes) -> str:
    """Return the text of a sealed key.

    Raises
    ------
    WrongUsage : the library that seals is not installed.
    """
    plain = json.dumps(key, ensure_ascii=False, sort_keys=True).encode()
    plain += b" " * (-len(plain) % PADDED)
    sealed = _cipher(secret).encrypt(plain, [CONTEXT, salt])
    return json.dumps({"key": 1, "salt": salt.hex(), "sealed": b64encode(sealed).decode()}, indent=1) + "\n"


def unseal(text: str, passphrase: str, name: str) -> tuple[dict[str, Any], bytes]:
    """Return what a sealed key holds, and the secret that it is sealed by.

    Raises
    ------
    WrongUsage : it is no sealed key, the passphrase is another one, or the file was changed.
    """
    try:
        outer = json.loads(text)
        salt, sealed = bytes.fromhex(outer["salt"]), b64decode(outer["sealed"])
    except (ValueError, KeyError, TypeError, RecursionError):
        raise WrongUsage(f"{name} is no sealed key of a lesson") from None
    secret = secret_of(passphrase, salt)
    cipher = _cipher(secret)
    from cryptography.exceptions import InvalidTag

    try:
        plain = cipher.decrypt(sealed, [CONTEXT, salt])
    except InvalidTag:
        raise WrongUsage(WRONG.format(name=name)) from None
    found: dict[str, Any] = json.loads(plain)
    return found, secret


def mark_of(sealed: str) -> str:
    """Return the hash of a sealed key that its case carries."""
    return hashlib.sha256(sealed.encode()).hexdigest()


def _cipher(secret: bytes) -> Any:
    try:
        from cryptography.hazmat.primitives.ciphers.aead import AESSIV
    except ImportError:
        raise WrongUsage(INSTALL) from None
    return AESSIV(secret)

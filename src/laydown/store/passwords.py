"""Passwords and secrets: only what cannot be turned back is kept."""

from __future__ import annotations

import hashlib
import secrets
from typing import TYPE_CHECKING

from laydown.errors import InvalidInput

if TYPE_CHECKING:
    from argon2 import PasswordHasher

SHORTEST, LONGEST = 10, 1000
"""Characters of a password."""


def hash_password(password: str) -> str:
    """Argon2id hash of a password. Takes a twentieth of a second on purpose: do it before opening a transaction.

    Raises
    ------
    InvalidInput
        When it is shorter than `SHORTEST` or longer than `LONGEST`.
    """
    if not SHORTEST <= len(password) <= LONGEST:
        raise InvalidInput(
            f"the password has {len(password)} characters; allowed are {SHORTEST} to {LONGEST}", where="password"
        )
    return _hasher().hash(password.encode("utf-8", "surrogatepass"))


def password_fits(password_hash: str | None, password: str) -> bool:
    """Whether a password is the one of a hash; takes as long when there is no hash, so that names cannot be found out.

    Parameters
    ----------
    password_hash : str or None
        None: nobody has it.
    """
    from argon2.exceptions import InvalidHashError, VerificationError

    told = password[: LONGEST + 1].encode("utf-8", "surrogatepass")
    try:
        return _hasher().verify(password_hash or _NOBODY, told) and password_hash is not None
    except (VerificationError, InvalidHashError):
        return False


def is_outdated(password_hash: str) -> bool:
    """Whether the hash was made with weaker settings than now; make it anew when its owner logs in."""
    return _hasher().check_needs_rehash(password_hash)


def new_secret() -> str:
    """Secret that nobody can guess: 256 bits, for a cookie or a token."""
    return secrets.token_urlsafe(32)


def secret_hash(secret: str) -> str:
    """SHA-256 of a secret of `new_secret`; a slow hash is not needed for what cannot be guessed."""
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()


# The hash of a random text that was thrown away, with the settings of `_hasher`.
_NOBODY = "$argon2id$v=19$m=65536,t=3,p=4$It8dSY2tTaYEEF0PhJwYRw$b+KKpc2ktqQg0WYEhYO6C50Dqbys2QMgQ1VvG8hc/R4"


def _hasher() -> PasswordHasher:
    from argon2 import PasswordHasher

    return PasswordHasher()

"""Tokens that open something by being known: made, digested, and kept as the digest only."""

import hashlib
import re
import secrets
from typing import Any

from django.db import models

# 32 bytes in URL-safe base64 are 43 signs.
TOKEN = re.compile(r"[A-Za-z0-9_-]{43}")


def new_token() -> str:
    """A token of 256 bits from the machine's own source: there is nothing to guess, so nobody counts guesses."""
    return secrets.token_urlsafe(32)


def digest_of(token: str) -> str:
    """SHA-256 in hex. No salt and no slow hash: those slow down guessing at words, and 256 bits are no word."""
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()


def digest_if_token(token: str) -> str | None:
    """As `digest_of`, but None for what cannot be a token, however long: nothing is hashed or looked up for it."""
    return digest_of(token) if TOKEN.fullmatch(token) else None


class DigestField(models.CharField):
    """The digest of a token. Its value never leaves the row: the tape, merges and exports read None."""

    def value_from_object(self, obj: models.Model) -> Any:
        """None: whoever copies the columns of a row asks here, Django's own serializers too."""
        return None

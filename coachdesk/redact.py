"""Keeps out of the log what would let its reader in."""

import logging
import re

_SIGN_IN = re.compile(r"/sign-in/[^/\s?]+")


class NoTokens(logging.Filter):
    """Puts a word in place of the token of a sign-in link: a refused press is logged, and its link may still work."""

    def filter(self, record: logging.LogRecord) -> bool:
        said = record.getMessage()
        hidden = _SIGN_IN.sub("/sign-in/(token)", said)
        if hidden != said:
            record.msg, record.args = hidden, None
        return True

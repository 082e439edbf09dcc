"""Keeps out of the log what would let its reader in."""

import logging
import re

# A sign-in link and a client's link: the token is what stands after the word.
_TOKENS = re.compile(r"/(sign-in|c)/[^/\s?]+")


class NoTokens(logging.Filter):
    """Puts a word in place of the token of a link: what is refused is logged, and its link may still work."""

    def filter(self, record: logging.LogRecord) -> bool:
        said = record.getMessage()
        hidden = _TOKENS.sub(r"/\1/(token)", said)
        if hidden != said:
            record.msg, record.args = hidden, None
        return True

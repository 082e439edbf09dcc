"""Keeps out of the log what would let its reader in."""

import logging
import re

# A sign-in link and a client's link: the token is what stands after the word. And what looks like a token anywhere
# else: in a mistyped address, a header, the words of an exception.
_IN_LINK = re.compile(r"/(sign-in|c)/+[^/\s?]+", re.IGNORECASE)
_TOKEN = re.compile(r"(?<![\w-])[\w-]{43}(?![\w-])", re.ASCII)


class NoTokens(logging.Filter):
    """Puts a word in place of the token of a link: what is refused is logged, and its link may still work."""

    def filter(self, record: logging.LogRecord) -> bool:
        said = record.getMessage()
        hidden = _TOKEN.sub("(token)", _IN_LINK.sub(r"/\1/(token)", said))
        if hidden != said:
            record.msg, record.args = hidden, None
        return True

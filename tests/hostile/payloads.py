"""What is sent: text, numbers, dates, ids and whole requests that nobody types by mistake."""

from collections.abc import Sequence
from random import Random

WORDS = (
    "", " ", "\t\n", "Ana", "x" * 5_000, "\u00e9" * 300, "e\u0301", "e" + "\u0301" * 8, "e" + "\u0301" * 10_000,
    "\u202eabc\u202c", "\u2066x\u2069", "\u200b", "\ufeffx", "\U0001f469\u200d\U0001f467", "\U0001f3cb\ufe0f" * 90,
    "\x00", "a\x00b", "\ufffd", "\u0130stanbul", "\ufb01t", "\u03a3\u0391\u03a3", "\u4e2d\u6587\u5b57", "\u0627" * 50,
    "\u2028line", "a\r\nb", "a\rb", "a\nb\n\n\nc", "<script>alert(1)</script>", "{{ 7*7 }}", "{% now 'Y' %}", "%s%n%d",
    "${1}", "'; DROP TABLE x; --", '" onmouseover="x', "=1+1", "@SUM(A1)", "../../etc/passwd", "null", "None", "true",
    "[]", "{}", "[object Object]", "%00", "%F0%9F", "\\u0000", "\\", "'", '"', "&lt;", "a" * 199 + "\u00e9",
    "  padded  ",
)  # fmt: skip
NUMBERS = (
    "0", "-0", "-1", "1", "2", "7", "007", "+3", "1,5", "1.5", "1.50", ".5", "5.", "1,000", "1.000,5", "1 000", "1'000",
    "1_000", "\uff11\uff12", "\u0663", "\u00b2", "\u00bd", "\u2167", "0x10", "0b1", "1e3", "1e400", "-1e400", "1e-400",
    "NaN", "nan", "Infinity", "-inf", "9" * 40, "0." + "3" * 40, "2147483647", "2147483648", "32767", "32768", "65536",
    "9223372036854775807", "9223372036854775808", "18446744073709551616", "-9223372036854775809", "99999", "1" * 400,
    "12abc", "1-2", "8-6", "6-8", "0-0", "1/0", "75%", "100 %", "10 kg", "22 lb", "1;2", "80/65/50", "80/80/80", "//",
    "1" * 5_000, "0.0001", "100.001",
)  # fmt: skip
DATES = (
    "0000-00-00", "0000-01-01", "0001-01-01", "9999-12-31", "10000-01-01", "2023-02-29", "2024-02-29", "2026-02-30",
    "2026-13-01", "2026-11-31", "2026-11-24", "2026-11-23", "2026-W48", "24.11.2026", "11/24/2026", "2026-11-24T10:00",
    "2026-11-24 ", "\uff12\uff10\uff12\uff16-11-24", "-2026-11-24", "2026-1-1", "today", "1970-01-01", "1899-12-31",
    "2099-12-31", "2026-11", "9999-12", "0001-01",
)  # fmt: skip
CHOICES = (
    "on",
    "off",
    "b",
    "l",
    "r",
    "straight",
    "drop_set",
    "series",
    "percent",
    "kg",
    "lb",
    "test",
    "peak",
    "chest",
    "1-1-1-b",
)


def values(ids: Sequence[str]) -> tuple[str, ...]:
    """Every hostile value; `ids` are those of other practices and of rows that never were."""
    return (*WORDS, *NUMBERS, *DATES, *CHOICES, *ids)


def nested(rng: Random) -> str:
    """JSON nested 10,000 deep."""
    opening, closing = rng.choice([("[", "]"), ('{"a":', "}")])
    return opening * 10_000 + "1" + closing * 10_000

"""Attacks on the written line: any text gets an answer, and no number of a line that is taken is lost or changed.

`python -m pytest tests/test_attack_written.py --inputs 100000` tries that many lines.
"""

import json
import re
from collections import Counter
from random import Random

import pytest

from coachdesk.engine import (
    FIELDS,
    EngineError,
    FieldErrors,
    Scheme,
    expand,
    read_written,
    scheme_from_fields,
    scheme_to_json,
)
from tests.hostile.payloads import values

PIECES = (
    "4 x 6-8", "4x6", "3 sets of 10 reps", "5/3/1", "3 x 8", "2 x failure", "@ 75 %", "@75%", "@ 100 kg", "at 225 lb",
    "@ 60/70/80 %", "RIR 2", "RPE 8", "rest 2 min", "rest 90 s", "rest 2:30", "90 s rest", ", ", " ", "/", "x", "@",
    "then", "drop 2 x 20 %", "left", "each side", "30 s", "20 m", "until 24 reps", "cluster 2+2+2", "to failure", "+",
    "-", "(", ")", "1,5", "72,5 %", "AMRAP", "%", "kg", "sets", "reps", "RIR", "0", "00", "7", "12", "1.25",
)  # fmt: skip
NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
TIME = re.compile(r"(\d+)(?::(\d\d)| ?min (\d+) ?s)")


def lines(rng: Random, count: int) -> list[str]:
    """Lines of the notation's own pieces, of hostile values, and of both with single signs taken out or put in."""
    odd, made = values([]), []
    for _ in range(count):
        parts = [rng.choice(PIECES) for _ in range(rng.randint(1, 7))]
        if rng.random() < 0.3:
            parts.insert(rng.randrange(len(parts) + 1), rng.choice(odd)[:420])
        text = rng.choice(("", " ", ", ")).join(parts)
        for _ in range(rng.choice((0, 0, 1, 2))):
            at = rng.randrange(len(text) + 1)
            text = (
                text[:at]
                + rng.choice(("", rng.choice("0123456789xX@%/.,:-+ \u00d7\u2013\u0660\u00bd\x00")))
                + text[at + 1 :]
            )
        made.append(text)
    return made


def held(scheme: object) -> set[float]:
    """Every number of a scheme, in every way it may have been written."""
    found: set[float] = set()

    def walk(one: object) -> None:
        if isinstance(one, dict):
            for value in one.values():
                walk(value)
        elif isinstance(one, list):
            found.add(float(len(one)))
            for value in one:
                walk(value)
        elif isinstance(one, (int, float)) and not isinstance(one, bool):
            found.update({float(one), abs(one) / 1000, one * 100, one / 60, 10.0 - one})

    walk(scheme)
    return {round(value, 6) for value in found}


def numbers_lost(text: str, scheme: Scheme) -> list[str]:
    """Numbers of the line that stand nowhere in the scheme, nor say how many of its sets have the same reps."""
    counts = Counter(tuple(step.reps for step in steps) for steps in expand(scheme))
    there = held(scheme_to_json(scheme)) | {float(many) for many in counts.values()}
    times = [int(m) * 60 + int(s or t) for m, s, t in TIME.findall(text)]
    lost = [str(one) for one in times if one not in there]
    for one in NUMBER.findall(TIME.sub(" ", text)):
        # A comma is a decimal comma or parts a list: '5,3' is five and three where no load takes it as one number.
        whole, parts = round(float(one.replace(",", ".")), 6), [float(part) for part in one.split(",")]
        if whole not in there and not all(part in there for part in parts):
            lost.append(one)
    return lost


@pytest.fixture
def count(request: pytest.FixtureRequest) -> int:
    # A line costs a millisecond: even the smallest run tries a few thousand.
    return max(3000, int(request.config.getoption("--inputs")))


@pytest.fixture
def rng(request: pytest.FixtureRequest) -> Random:
    return Random(request.config.getoption("--seed"))


def test_any_line_gets_an_answer_and_what_is_taken_holds_every_number_of_it(rng, count, record_property):
    taken, wrong = 0, []
    for text in lines(rng, count):
        found = read_written(text, rng.choice(("kg", "lb")))
        assert bool(found.problem) != (found.scheme is not None), text
        if found.scheme is None:
            continue
        taken += 1
        if missing := numbers_lost(text, found.scheme):
            wrong.append((text, missing, found.understood))
    record_property("taken", taken)
    print(f"{count} lines, {taken} taken, {len(wrong)} with a number lost: {wrong[:20]}")
    assert taken > count / 100
    assert wrong == []


def test_any_fields_get_a_scheme_or_words_at_the_field(rng, count, record_property):
    odd, made = (*values([]), *PIECES), 0
    for _ in range(count // 4):
        fields = {name: rng.choice(odd) if rng.random() < 0.4 else "" for name in FIELDS}
        fields["kind"] = rng.choice(("straight", "drop_set", "series", "cluster", "x"))
        try:
            scheme = scheme_from_fields(fields, "kg")
        except (FieldErrors, EngineError):
            continue
        else:
            made += 1
            json.dumps(scheme_to_json(scheme), allow_nan=False)
    record_property("made", made)

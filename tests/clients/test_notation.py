"""Typed lists of loads, plates and bands: what is read, what is refused and in which words."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clients.notation import (
    MOST_LOADS,
    NotationError,
    loads_text,
    parse_bands,
    parse_loads,
    parse_one,
    parse_plates,
    plates_text,
)


@pytest.mark.parametrize(
    ("text", "loads"),
    [
        ("10", [10_000]),
        ("2,5", [2_500]),
        ("2,5; 5; 7,5", [2_500, 5_000, 7_500]),
        ("2,5, 5, 7,5", [2_500, 5_000, 7_500]),
        ("1-3 by 1", [1_000, 2_000, 3_000]),
        ("1 – 3 by 1", [1_000, 2_000, 3_000]),
        ("1,25 to 3,75 by 1,25", [1_250, 2_500, 3_750]),
        ("1-3 by 1; 12.5-15 by 2.5", [1_000, 2_000, 3_000, 12_500, 15_000]),
        ("5\n10\r\n15", [5_000, 10_000, 15_000]),
        ("10; 5; 10", [5_000, 10_000]),
        ("10 kg; 20kg", [10_000, 20_000]),
        ("１０", [10_000]),
    ],
)
def test_loads_are_read_sorted_and_once(text: str, loads: list[int]) -> None:
    assert parse_loads(text, "kg") == tuple(loads)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "No load is given"),
        (" ; , ", "No load is given"),
        ("0", "not a load above 0"),
        ("-5", "-5"),
        ("nan", "nan"),
        ("1e400", "1e400"),
        ("inf", "inf"),
        ("1000000", "1000000"),
        ("10.1234", "10.1234"),
        ("1,2,3", "several commas"),
        ("3-1 by 1", "lighter load first"),
        ("1-10 by 4", "its last load would be 9"),
        ("1-10 by 0", "not a load above 0"),
        ("0-10 by 1", "not a load above 0"),
        ("1-2000 by 0.001", f"more than {MOST_LOADS} loads"),
        ("ten", "ten"),
        ("1" * 5000, "..."),
        ("\x00", "x00"),
    ],
)
def test_a_bad_load_is_refused_with_its_value(text: str, said: str) -> None:
    with pytest.raises(NotationError) as problem:
        parse_loads(text, "kg")
    assert said in str(problem.value)
    assert len(str(problem.value)) < 300


@pytest.mark.parametrize(
    ("text", "plates"),
    [
        ("25x4, 20x4, 2.5x2", [(25_000, 4), (20_000, 4), (2_500, 2)]),
        ("25x4,20x4,2,5x2", [(25_000, 4), (20_000, 4), (2_500, 2)]),
        ("1,25 x 2; 25 × 4", [(25_000, 4), (1_250, 2)]),
        ("20X3\n10*2", [(20_000, 3), (10_000, 2)]),
    ],
)
def test_plates_are_read_heaviest_first(text: str, plates: list[tuple[int, int]]) -> None:
    assert parse_plates(text, "kg") == tuple(plates)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("25", "does not say how many"),
        ("25x4,5", "'5' does not say how many"),
        ("4x25", "25 plates of 4 kg"),
        ("25x0", "0 plates"),
        ("25x-2", "25x-2"),
        ("0x4", "not a load above 0"),
        ("25x2, 25x4", "given twice"),
        ("x4", "x4"),
        ("nanx4", "nan"),
        ("; ".join(f"{n}x2" for n in range(1, 23)), "22 sizes"),
    ],
)
def test_bad_plates_are_refused_with_the_part_that_is_wrong(text: str, said: str) -> None:
    with pytest.raises(NotationError) as problem:
        parse_plates(text, "kg")
    assert said in str(problem.value)


def test_no_plates_at_all_is_a_bar_alone() -> None:
    assert parse_plates("", "kg") == ()


def test_bands_are_read_in_order() -> None:
    assert parse_bands("light, medium;strong\nvery strong") == ("light", "medium", "strong", "very strong")


@pytest.mark.parametrize("text", ["", "light, light", "x" * 41, ", ".join(str(n) for n in range(21))])
def test_bad_bands_are_refused(text: str) -> None:
    with pytest.raises(NotationError):
        parse_bands(text)


def test_zero_is_a_load_only_where_it_may_be() -> None:
    assert parse_one("0", "kg", zero=True) == 0
    with pytest.raises(NotationError):
        parse_one("0", "kg")


@given(st.sets(st.integers(1, 400_000), min_size=1, max_size=60))
def test_loads_written_out_are_read_back_exactly(loads: set[int]) -> None:
    assert parse_loads(loads_text(sorted(loads)), "kg") == tuple(sorted(loads))


@given(st.dictionaries(st.integers(1, 400_000), st.integers(1, 20), min_size=1, max_size=20))
def test_plates_written_out_are_read_back_exactly(plates: dict[int, int]) -> None:
    pairs = tuple(sorted(plates.items(), reverse=True))
    assert parse_plates(plates_text(pairs), "kg") == pairs


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused_in_a_sentence(text: str) -> None:
    for read in (parse_loads, parse_plates):
        said, made = "", ()
        try:
            made = read(text, "kg")
        except NotationError as problem:
            said = str(problem)
        # plates may be left out: a bar alone
        assert made or said.endswith(".") or not any(char.isalnum() for char in text)

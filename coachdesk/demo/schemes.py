"""Short ways to write a demo scheme as the flat fields of the scheme editor, and weeks that change them."""

SchemeFields = tuple[tuple[str, str], ...]


def _fields(**values: str) -> SchemeFields:
    return tuple((name, value) for name, value in values.items() if value != "")


def effort(sets: int, reps: str, rir: float, rest: int) -> SchemeFields:
    """Straight sets of reps ('8-12', '30 s', '40 m') with RIR; the load is what fits; rest in seconds."""
    return _fields(kind="straight", sets=str(sets), load_kind="effort", reps=reps, rir=f"{rir:g}", rest=str(rest))


def percent(sets: int, reps: str, share: float, rest: int, rir: float | None = None) -> SchemeFields:
    """Straight sets at a percentage of 1RM; reps may be 'failure'."""
    planned = "" if rir is None else f"{rir:g}"
    return _fields(
        kind="straight", sets=str(sets), load_kind="percent", load_value=f"{share:g}", reps=reps, rir=planned,
        rest=str(rest),
    )  # fmt: skip


def rep_max(sets: int, reps: str, maximum: int, rest: int) -> SchemeFields:
    """Straight sets at the load of a repetition maximum: 1 is a maximum test."""
    return _fields(
        kind="straight",
        sets=str(sets),
        load_kind="rep_max",
        load_value=str(maximum),
        reps=reps,
        rest=str(rest),
    )


def drop_set(sets: int, reps: str, rir: float, drop: str, rest: int, hold: str = "") -> SchemeFields:
    """Drop sets from a first step by effort: `drop` lists them, '-20% x failure / -20% x failure'.

    `hold`: what stays when fatigue bites, 'rir' for a load that follows the strength left.
    """
    return _fields(
        kind="drop_set",
        sets=str(sets),
        load_kind="effort",
        reps=reps,
        rir=f"{rir:g}",
        ladder=drop,
        rest=str(rest),
        hold=hold,
    )


def pyramid(kind: str, ladder: str, rest: int) -> SchemeFields:
    """An 'ascending_pyramid' or 'descending_pyramid' in percent of 1RM: ladder '65x15; 75x10; 85x6'."""
    return _fields(kind=kind, load_kind="percent", ladder=ladder, rest=str(rest))

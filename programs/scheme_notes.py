"""What the desk says of each kind of scheme: values to start from, the fields it uses, what it is for, cautions."""

from collections.abc import Mapping
from dataclasses import dataclass

from coachdesk import engine

TRADE = "common practice, no source"
FIELD_NAMES = {
    "kind": "Scheme", "sets": "Sets", "load_kind": "Load by", "load_value": "Load", "reps": "Reps", "rir": "RIR",
    "rest": "Rest", "ladder": "List", "side": "Side", "hold": "When fatigue bites, keep",
}  # fmt: skip
LOAD_KINDS = (("percent", "% of 1RM"), ("rep_max", "RM"), ("effort", "reps and RIR"), ("fixed", "load"))
SIDES = (("b", "both"), ("l", "left"), ("r", "right"))
HOLDS = (("load", "the load: the reserve falls"), ("rir", "the reserve: the load falls"), ("range", "the rep range"))
HINTS = {
    "reps": "8, 6-8, failure, 30 s or 20 m", "rest": "90, 2:00 or 2 min",
    "ladder": "Rows, drops, bouts or back-off sets, as the kind writes them; see the examples below.",
}  # fmt: skip
STEP = ("sets", "load_kind", "load_value", "reps", "rir", "rest")
LISTED = ("sets", "load_kind", "load_value", "reps", "rir", "ladder", "rest")
ROWS = ("rir", "ladder", "rest")


@dataclass(frozen=True)
class SchemeNote:
    """`start`: typed fields of a usual example. `uses`: fields that count. `list_name`: what its list holds."""

    start: Mapping[str, str]
    uses: tuple[str, ...]
    list_name: str
    use: str
    cautions: tuple[str, ...] = ()


def _percent(**fields: str) -> dict[str, str]:
    return {"load_kind": "percent", **fields}


NEAR_FAILURE = "Bar over the body near failure: a spotter or safeties."
LAST = "Last in the day, and for a short block."
NOTES: dict[str, SchemeNote] = {
    "straight": SchemeNote(
        _percent(sets="3", load_value="80", reps="failure", rest="3 min"), STEP, "",
        "The bulk of the work. Easy to log, to compare week by week, and to stop short of failure.",
        ("To failure only with a reason: stopping short costs less recovery (Refalo 2023).", NEAR_FAILURE),
    ),
    "ascending_pyramid": SchemeNote(
        _percent(ladder="65x15; 75x10; 85x6", rest="2 min"), ROWS, "Rows, load x reps",
        "Works up to a heavy set through lighter ones, so it warms up as it goes.",
        ("Rows close to their own repetition maximum leave less for the heavy one.",),
    ),
    "descending_pyramid": SchemeNote(
        _percent(ladder="85x6; 75x10; 65x15", rest="2 min"), ROWS, "Rows, load x reps",
        "The heaviest set comes first, while fresh; the lighter ones follow when strength is down.",
        ("Needs a full warm-up before the first row.",),
    ),
    "wave": SchemeNote(
        {"ladder": "80x5, 85x3, 90x2 / 82x5, 87x3, 92x2", "rest": "3 min"}, ROWS, "Waves, load x reps",
        "Strength work with several heavy sets; each wave starts lighter than the last one ended.",
        ("Singles and doubles above 95 % are outside what the model was fitted to.",),
    ),
    "top_back_off": SchemeNote(
        _percent(sets="1", load_value="85", reps="5", rir="1", ladder="3 x 8 @ -15 %", rest="3 min"), LISTED,
        "Back-off sets", "One heavy set as a marker of strength, then volume at a load that still moves well.",
        ("The back-off loads follow the top set: change one and the others move.",),
    ),
    "open_last": SchemeNote(
        _percent(sets="3", load_value="75", reps="8", rir="1", rest="2 min"), STEP, "",
        "Straight sets whose last one shows what the client can do: good evidence for the maximum.",
        ("Say where the last set stops: RIR 1 is usually enough.", NEAR_FAILURE),
    ),
    "quota": SchemeNote(
        _percent(sets="8", load_value="70", reps="8", ladder="4000 kg", rest="90 s"), LISTED, "Load x reps to reach",
        "A fixed amount of work whatever the day is like: a good day needs fewer sets, a bad one more.",
        ("Volume load does not compare across loads, exercises or people.",),
    ),
    "drop_set": SchemeNote(
        _percent(sets="1", load_value="", reps="failure", ladder="80/65/50", rest="3 min"), LISTED, "Loads or drops",
        "Much hard work in little time. In trials one drop set did about as much for size as three straight sets "
        "(Coleman 2022, Sodal 2023); too few to say it does more or less.",
        ("Costs more recovery than its minutes suggest: the trade's experience, here a modelling choice.", LAST,
         NEAR_FAILURE),
    ),
    "light_to_heavy": SchemeNote(
        _percent(sets="1", load_value="", reps="6", ladder="50% x 5 / 65% x 5 / 80% x failure", rest="3 min"), LISTED,
        "Loads or rises", "Leaves the heaviest load to the end of the set, where momentum and joints are warm.",
        ("Light work to failure before much heavier work is outside what the model was fitted to.", LAST),
    ),
    "rest_pause": SchemeNote(
        _percent(sets="1", load_value="80", reps="failure", ladder="+3 x 20 s", rest="3 min"), LISTED,
        "Further bouts x pause",
        "Many reps at one load in little time: 20 squat reps at 80 % took 103 to 140 s instead "
        "of 780 s as straight sets (Marshall 2012).",
        ("The bouts after the first are short; below three reps they add little.", LAST, NEAR_FAILURE),
    ),
    "cluster": SchemeNote(
        _percent(sets="4", load_value="85", ladder="(2+2+1) 15 s", rest="3 min"),
        ("sets", "load_kind", "load_value", "rir", "ladder", "rest"), "Bouts and pause",
        "Keeps speed and form at heavy loads: velocity falls less than in unbroken sets (Tufano 2016, Latella 2019). "
        "No better for strength over weeks (Davies 2021).",
        ("Takes longer than the same reps without pauses.",),
    ),
}  # fmt: skip
_STEADY = SchemeNote(_percent(sets="3", load_value="75", reps="8", rest="2 min"), LISTED, "List", "")
_ADVANCED = SchemeNote(_percent(sets="1", load_value="80", reps="failure", rest="3 min"), LISTED, "List", "", (LAST,))


def note_of(kind: str) -> SchemeNote:
    """What is said of a kind; one that nobody wrote about yet gets what its technique implies."""
    if kind in NOTES:
        return NOTES[kind]
    found = engine.SCHEMES.get(kind)
    return _ADVANCED if found and found.technique == "advanced" else _STEADY


def start_of(kind: str) -> dict[str, str]:
    """Every field a kind starts from, as typed; common practice, no source."""
    return {**dict.fromkeys(engine.FIELDS, ""), **note_of(kind).start, "kind": kind}

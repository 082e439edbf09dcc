"""Who runs the demo practice, and which of its clients belong to the second coach."""

from coachdesk.demo.names import FIRST_NAMES, LAST_NAMES

PRACTICE = "Demo practice (all invented)"
OWNER = ("Demo coach", "demo.coach@desk.example")
SECOND_COACH = ("Selma Oyarzund", "selma.oyarzund@desk.example")
ASSISTANT = ("Pascal Wrenholt", "pascal.wrenholt@desk.example")
# Who train together on Tuesdays and Thursdays, where the first of them trains.
GROUP = ("Tuesday and Thursday, six", ("Henrik Duarte", "Lupe Anand", "Noor Vandesalle"))
OF_SECOND_COACH = ("diego", "kwame", "tuomas")


def more_coaches(count: int) -> list[tuple[str, str]]:
    """(name, address) of so many coaches more, for a practice that is too big for two; none where count is below 1."""
    names = [
        (FIRST_NAMES[-1 - n % len(FIRST_NAMES)], LAST_NAMES[-1 - n * 7 % len(LAST_NAMES)]) for n in range(count)
    ]  # counted from the end: the drawn clients are many, and a coach should not share a name with the first of them
    return [(f"{first} {last}", f"coach.{n}@desk.example") for n, (first, last) in enumerate(names, start=3)]

"""Weeks and blocks copied, moved, put in and deleted: blocks keep their weeks, and one undo takes back each act."""

from collections.abc import Callable
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from coachdesk.practice.models import Act, Membership
from programs import services
from programs.models import Block, PlannedSession, Program
from tests.factories.programs import PlannedSessionFactory, ProgramFactory
from tests.programs.arrange.plan import borders, last_label, made_plan, state, undone_and_redone, week

pytestmark = pytest.mark.django_db
FULL = [(0, 1, "Upper"), (0, 2, "Arms"), (3, 1, "Lower")]
HTMX: Any = {"HTTP_HX_REQUEST": "true"}


@pytest.fixture
def plan(desk: Membership) -> Program:
    return made_plan(desk)


def block(plan: Program, n: int) -> Block:
    return Block.objects.select_related("program__practice").get(program=plan, name=f"Block {n}")


def filled(plan: Program) -> list[int]:
    """The weeks with sessions; every filled week holds the three sessions of the plan."""
    weeks = sorted(set(PlannedSession.objects.filter(block__program=plan).values_list("week_no", flat=True)))
    assert all(week(plan, n) == FULL for n in weeks)
    for row in PlannedSession.objects.filter(block__program=plan).select_related("block"):
        assert row.block.first_week <= row.week_no <= row.block.last_week
    return weeks


Act_ = Callable[[Membership, Program], Any]
# name -> (act, weeks filled after, borders of the blocks after, the act's words); filled before: 1, 2, 4, 6
CASES: dict[str, tuple[Act_, list[int], list[tuple[str, int, int]], str]] = {
    "copy onto": (
        lambda by, p: services.copy_week(by=by, program=p, week_no=1, to_weeks=[3, 4, 5]),
        [1, 2, 3, 4, 5, 6], [("Block 1", 1, 2), ("Block 2", 3, 3), ("Block 3", 6, 1)], "Copy week 1 to weeks 3 to 5",
    ),
    "move onto": (
        lambda by, p: services.put_week(by=by, program=p, week_no=1, to=4),
        [2, 4, 6], [("Block 1", 1, 2), ("Block 2", 3, 3), ("Block 3", 6, 1)], "Move week 1 to week 4",
    ),
    "duplicate the last week of a block": (
        lambda by, p: services.insert_copy(by=by, program=p, week_no=2, to=3),
        [1, 2, 3, 5, 7], [("Block 1", 1, 3), ("Block 2", 4, 3), ("Block 3", 7, 1)], "Insert a copy of week 2 as week 3",
    ),
    "insert a copy before another block's week": (
        lambda by, p: services.insert_copy(by=by, program=p, week_no=1, to=4),
        [1, 2, 4, 5, 7], [("Block 1", 1, 2), ("Block 2", 3, 4), ("Block 3", 7, 1)], "Insert a copy of week 1 as week 4",
    ),
    "insert a copy behind the last week": (
        lambda by, p: services.insert_copy(by=by, program=p, week_no=1, to=7),
        [1, 2, 4, 6, 7], [("Block 1", 1, 2), ("Block 2", 3, 3), ("Block 3", 6, 2)], "Insert a copy of week 1 as week 7",
    ),
    "move forward into another block": (
        lambda by, p: services.insert_move(by=by, program=p, week_no=1, to=4),
        [1, 3, 4, 6], [("Block 1", 1, 1), ("Block 2", 2, 4), ("Block 3", 6, 1)], "Move week 1 to be week 4",
    ),
    "move back; the block left without a week goes": (
        lambda by, p: services.insert_move(by=by, program=p, week_no=6, to=1),
        [1, 2, 3, 5], [("Block 1", 1, 3), ("Block 2", 4, 3)], "Move week 6 to be week 1",
    ),
    "delete a week": (
        lambda by, p: services.delete_week(by=by, program=p, week_no=4),
        [1, 2, 5], [("Block 1", 1, 2), ("Block 2", 3, 2), ("Block 3", 5, 1)], "Delete week 4",
    ),
    "delete a block's only week": (
        lambda by, p: services.delete_week(by=by, program=p, week_no=6),
        [1, 2, 4], [("Block 1", 1, 2), ("Block 2", 3, 3)], "Delete week 6",
    ),
    "empty a week": (
        lambda by, p: services.empty_week(by=by, program=p, week_no=4),
        [1, 2, 6], [("Block 1", 1, 2), ("Block 2", 3, 3), ("Block 3", 6, 1)], "Empty week 4",
    ),
    "add a block at the end": (
        lambda by, p: services.add_block(by=by, program=p, name="Block 4", weeks=4),
        [1, 2, 4, 6], [("Block 1", 1, 2), ("Block 2", 3, 3), ("Block 3", 6, 1), ("Block 4", 7, 4)],
        "Add block: Block 4",
    ),
    "add a block behind the first": (
        lambda by, p: services.add_block(by=by, program=p, name="Block 4", weeks=2, after=block(p, 1)),
        [1, 2, 6, 8], [("Block 1", 1, 2), ("Block 4", 3, 2), ("Block 2", 5, 3), ("Block 3", 8, 1)],
        "Add block: Block 4",
    ),
    "begin a block inside another": (
        lambda by, p: services.split_block(by=by, program=p, week_no=4, name="Block 4"),
        [1, 2, 4, 6], [("Block 1", 1, 2), ("Block 2", 3, 1), ("Block 4", 4, 2), ("Block 3", 6, 1)],
        "Begin block: Block 4 in week 4",
    ),
    "rename a block": (
        lambda by, p: services.edit_block(by=by, block=block(p, 2), name="Volume", weeks=3),
        [1, 2, 4, 6], [("Block 1", 1, 2), ("Volume", 3, 3), ("Block 3", 6, 1)], "Rename block: Block 2 to Volume",
    ),
    "lengthen a block": (
        lambda by, p: services.edit_block(by=by, block=block(p, 1), name="Block 1", weeks=4),
        [1, 2, 6, 8], [("Block 1", 1, 4), ("Block 2", 5, 3), ("Block 3", 8, 1)], "Lengthen block: Block 1 to 4 weeks",
    ),
    "shorten a block by empty weeks": (
        lambda by, p: services.edit_block(by=by, block=block(p, 2), name="Block 2", weeks=2),
        [1, 2, 4, 5], [("Block 1", 1, 2), ("Block 2", 3, 2), ("Block 3", 5, 1)], "Shorten block: Block 2 to 2 weeks",
    ),
    "shorten a block with its sessions": (
        lambda by, p: services.edit_block(by=by, block=block(p, 2), name="Block 2", weeks=1, drop=True),
        [1, 2, 4], [("Block 1", 1, 2), ("Block 2", 3, 1), ("Block 3", 4, 1)], "Shorten block: Block 2 to 1 week",
    ),
    "move a block": (
        lambda by, p: services.move_block(by=by, block=block(p, 3), position=1),
        [1, 2, 3, 5], [("Block 3", 1, 1), ("Block 1", 2, 2), ("Block 2", 4, 3)], "Move block: Block 3 to place 1",
    ),
    "duplicate a block": (
        lambda by, p: services.duplicate_block(by=by, block=block(p, 2)),
        [1, 2, 4, 7, 9], [("Block 1", 1, 2), ("Block 2", 3, 3), ("Block 2, copy", 6, 3), ("Block 3", 9, 1)],
        "Duplicate block: Block 2",
    ),
    "delete a block": (
        lambda by, p: services.delete_block(by=by, block=block(p, 1)),
        [2, 4], [("Block 2", 1, 3), ("Block 3", 4, 1)], "Delete block: Block 1",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_act_on_weeks_does_what_it_says_and_one_undo_takes_it_back(desk, plan, name):
    act, weeks, after, label = CASES[name]
    before = state()
    act(desk, plan)
    assert (filled(plan), borders(plan), last_label()) == (weeks, after, label)
    undone_and_redone(plan, desk, before)


def test_moved_weeks_keep_their_sessions_and_copies_have_new_ones(desk, plan):
    ids = set(PlannedSession.objects.filter(block__program=plan, week_no=1).values_list("pk", "uid"))
    services.insert_move(by=desk, program=plan, week_no=1, to=5)
    moved = set(PlannedSession.objects.filter(block__program=plan, week_no=5).values_list("pk", "uid"))
    assert moved == ids
    services.insert_copy(by=desk, program=plan, week_no=5, to=6)
    copied = set(PlannedSession.objects.filter(block__program=plan, week_no=6).values_list("pk", "uid"))
    assert len(copied) == 3
    assert not {uid for _, uid in copied} & {uid for _, uid in ids}


@pytest.mark.parametrize(
    ("name", "typed", "words"),
    [
        ("week_place", {"week_no": 1, "to": 104, "copy": 1}, "A week is a whole number from 1 to 52."),
        ("week_place", {"week_no": 1, "to": 8, "copy": 1}, "There is no week 8; this programme has 6 weeks."),
        ("week_place", {"week_no": 1, "to": 8, "insert": 1, "copy": 1}, "There is no week 8"),
        ("week_place", {"week_no": 1, "to": 7}, "There is no week 7"),
        ("week_place", {"week_no": 3, "to": 1, "copy": 1}, "Week 3 has no sessions"),
        ("week_place", {"week_no": 1, "to": 2, "to_last": 4}, "Only copies that take the place of weeks"),
        ("week_place", {"week_no": "", "to": ""}, "This field is required."),
        ("week_delete", {"week_no": 9}, "There is no week 9; this programme has 6 weeks."),
        ("block_add", {"name": "Long", "weeks": 47}, "The programme would have 53 weeks; it can have 1 to 52."),
        ("block_add", {"name": "Long", "weeks": 104}, "A week is a whole number from 1 to 52."),
        ("block_add", {"name": " ", "weeks": 4}, "This field is required."),
        ("block_split", {"name": "New", "week_no": 3}, "The block Block 2 begins in week 3 already; rename it."),
        ("block_split", {"name": "New", "week_no": 9}, "There is no week 9"),
    ],
)
@pytest.mark.parametrize("htmx", [True, False])
def test_impossible_weeks_are_refused_with_the_reason_and_nothing_written(as_coach, plan, name, typed, words, htmx):
    before, acts = state(), Act.objects.count()
    answer = as_coach.post(reverse(f"programs:{name}", args=[plan.pk]), typed, **(HTMX if htmx else {}))
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert (state(), Act.objects.count()) == (before, acts)


def test_week_moved_onto_itself_says_so_and_writes_nothing(as_coach, plan):
    before, acts = state(), Act.objects.count()
    for insert in ("", "1"):
        typed = {"week_no": 2, "to": 2, "insert": insert}
        answer = as_coach.post(reverse("programs:week_place", args=[plan.pk]), typed, **HTMX)
        assert "Week 2 stands there already; nothing changed." in answer.content.decode()
    assert (state(), Act.objects.count()) == (before, acts)


def test_week_cannot_be_added_beyond_52(desk):
    program = ProgramFactory(coach=desk, weeks=52)
    PlannedSessionFactory(program=program)
    before = state()
    with pytest.raises(ValidationError, match="would have 53 weeks"):
        services.insert_copy(by=desk, program=program, week_no=1, to=2)
    with pytest.raises(ValidationError, match="would have 104 weeks"):
        services.duplicate_block(by=desk, block=program.blocks.get())
    assert state() == before


def test_only_week_and_only_block_stay(as_coach, desk):
    program = ProgramFactory(coach=desk, weeks=1)
    before = state()
    answer = as_coach.post(reverse("programs:week_delete", args=[program.pk]), {"week_no": 1})
    assert "The programme would have 0 weeks; it can have 1 to 52." in answer.content.decode()
    answer = as_coach.post(reverse("programs:block_delete", args=[program.blocks.get().pk]))
    assert answer.status_code == 422
    assert "Block 1 is the only block; a programme keeps at least one." in answer.content.decode()
    assert state() == before


def test_block_with_sessions_is_shortened_only_when_told(as_coach, plan):
    url, before = reverse("programs:block_edit", args=[block(plan, 2).pk]), state()
    answer = as_coach.post(url, {"name": "Block 2", "weeks": 1})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "Weeks 4 to 5 hold 3 sessions; say that they may go, or keep those weeks." in text
    assert 'name="drop"' in text
    assert state() == before
    assert as_coach.post(url, {"name": "Block 2", "weeks": 1, "drop": 1}).status_code == 302
    assert borders(plan) == [("Block 1", 1, 2), ("Block 2", 3, 1), ("Block 3", 4, 1)]


def test_block_page_lists_blocks_in_a_fixed_number_of_queries(as_coach, desk, plan, django_assert_num_queries):
    url = reverse("programs:block_list", args=[plan.pk])
    with django_assert_num_queries(5):
        text = as_coach.get(url).content.decode()
    assert text.count('<tr id="block-') == 3
    for n in range(4, 9):
        services.add_block(by=desk, program=plan, name=f"Block {n}", weeks=2)
    with django_assert_num_queries(5):
        as_coach.get(url)


def test_block_acts_by_htmx_answer_with_the_editor(as_coach, plan):
    answer = as_coach.post(reverse("programs:block_move", args=[block(plan, 3).pk]), {"position": 1}, **HTMX)
    assert 'id="editor"' in answer.content.decode()
    again = as_coach.post(reverse("programs:block_move", args=[block(plan, 3).pk]), {"position": 1}, **HTMX)
    assert "Block 3 stands there already; nothing changed." in again.content.decode()

"""The blocks of a programme: one page that lists them, and what is done to each."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_GET, require_POST

from clients.forms.fields import put_errors
from coachdesk.htmx import render_page, wants_partial
from coachdesk.practice.doors import writer_of
from programs import selectors, services
from programs.arrange.forms import BlockAddForm, BlockEditForm, BlockMoveForm, BlockSplitForm
from programs.arrange.views.placing import counted, refused
from programs.doors import get_block_or_404, get_program_or_404
from programs.models import Block, Program
from programs.views.editor_page import back_to


def _page(request: HttpRequest, program: Program, status: int = 200, **typed: Any) -> HttpResponse:
    blocks = selectors.block_rows(program)
    context = {
        "program": program, "blocks": blocks, "add": BlockAddForm(blocks=blocks), "split": BlockSplitForm(), **typed,
    }  # fmt: skip
    return render_page(request, "programs/block_list.html", context, status=status)


def _wrong(request: HttpRequest, program: Program, form: Form, name: str, block: Block | None = None) -> HttpResponse:
    if wants_partial(request):
        return refused(request, program, form, f"block_{name}")
    return _page(request, program, 422, **{name: form, "edited": block})


def _done(request: HttpRequest, program: Program, said: str) -> HttpResponse:
    messages.success(request, said)
    if wants_partial(request):
        return back_to(request, program)
    return redirect("programs:block_list", pk=program.pk)


@require_GET
def block_list(request: HttpRequest, pk: int) -> HttpResponse:
    """Every block with its weeks, and what can be done to it."""
    return _page(request, get_program_or_404(request, pk))


@require_POST
def block_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a block of empty weeks."""
    program = get_program_or_404(request, pk)
    form = BlockAddForm(request.POST, blocks=selectors.block_rows(program))
    if form.is_valid():
        try:
            made = services.add_block(by=writer_of(request), program=program, **form.cleaned_data)
            return _done(request, program, f"{made.name} is added with {counted(made.weeks, 'week')}.")
        except ValidationError as wrong:
            put_errors(form, wrong)
    return _wrong(request, program, form, "add")


@require_POST
def block_split(request: HttpRequest, pk: int) -> HttpResponse:
    """Begin a block of its own in a week."""
    program, form = get_program_or_404(request, pk), BlockSplitForm(request.POST)
    if form.is_valid():
        try:
            made = services.split_block(by=writer_of(request), program=program, **form.cleaned_data)
            return _done(request, program, f"{made.name} begins in week {form.cleaned_data['week_no']}.")
        except ValidationError as wrong:
            put_errors(form, wrong)
    return _wrong(request, program, form, "split")


@require_POST
def block_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Rename a block or change its length."""
    block, form = get_block_or_404(request, pk), BlockEditForm(request.POST)
    if form.is_valid():
        try:
            changed = services.edit_block(by=writer_of(request), block=block, **form.cleaned_data)
            name = form.cleaned_data["name"]
            said = f"{name} is changed." if changed else f"{name} is as it was; nothing changed."
            return _done(request, block.program, said)
        except ValidationError as wrong:
            put_errors(form, wrong)
    return _wrong(request, block.program, form, "edit", block)


@require_POST
def block_move(request: HttpRequest, pk: int) -> HttpResponse:
    """Move a block with its weeks to another place among the blocks."""
    block, form = get_block_or_404(request, pk), BlockMoveForm(request.POST)
    if not form.is_valid():
        return _wrong(request, block.program, form, "move", block)
    moved = services.move_block(by=writer_of(request), block=block, **form.cleaned_data)
    said = f"{block.name} is moved." if moved else f"{block.name} stands there already; nothing changed."
    return _done(request, block.program, said)


@require_POST
def block_duplicate(request: HttpRequest, pk: int) -> HttpResponse:
    """Copy a block with its weeks right behind it."""
    block = get_block_or_404(request, pk)
    try:
        made = services.duplicate_block(by=writer_of(request), block=block)
        return _done(request, block.program, f"{made.name} is added with {counted(made.weeks, 'week')}.")
    except ValidationError as wrong:
        return _stopped(request, block.program, wrong)


@require_POST
def block_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a block with its weeks and sessions."""
    block = get_block_or_404(request, pk)
    try:
        gone = services.delete_block(by=writer_of(request), block=block)
        return _done(request, block.program, f"{block.name} is deleted with {counted(gone)}. Undo brings it back.")
    except ValidationError as wrong:
        return _stopped(request, block.program, wrong)


def _stopped(request: HttpRequest, program: Program, wrong: ValidationError) -> HttpResponse:
    form = BlockMoveForm({"position": "1"})
    form.is_valid()
    put_errors(form, wrong)
    return _wrong(request, program, form, "move")

"""Switchboards for versions: the list and saving, comparing, and applying one to a client's copy."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from clients.forms.fields import put_errors
from clients.selectors import today_for
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of, writer_of
from programs.services.versions import CopyMoved, apply_version, restore_version, save_version
from programs.versions.doors import chosen_version, get_copy_or_404, get_template_or_404, versions_of
from programs.versions.forms import VersionForm, choices_of
from programs.versions.pages import apply_page, compare_page, past, versions_page


@require_http_methods(["GET", "POST"])
def template_versions(request: HttpRequest, pk: int) -> HttpResponse:
    """A template's versions; POST saves it as it stands as the next one."""
    template, desk = get_template_or_404(request, pk), desk_of(request)
    form = VersionForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        note = form.cleaned_data["note"]
        try:
            made = save_version(by=writer_of(request), program=template, note=note, now=timezone.now())
        except ValidationError as wrong:
            put_errors(form, wrong)
        else:
            messages.success(request, f"Version {made.number} is saved; it stays as it is now.")
            return redirect("programs:template_versions", pk=pk)
    page = versions_page(template, desk, today_for(desk.practice, timezone.now()))
    context = {"program": template, "page": page, "form": form}
    return render_page(request, "programs/template_versions.html", context, status=422 if form.errors else 200)


@require_GET
def version_compare(request: HttpRequest, pk: int) -> HttpResponse:
    """Two states of a template side by side: `?one=3&other=5`, 'now', or 'copy-12' for a client's copy."""
    template, desk = get_template_or_404(request, pk), desk_of(request)
    wanted = {name: request.GET.get(name, "")[:30] for name in ("one", "other")}
    page = compare_page(template, desk, today_for(desk.practice, timezone.now()), wanted)
    context = {"program": template, "page": page, "wanted": wanted}
    return render_page(request, "programs/version_compare.html", context, partial="comparison")


@require_POST
def version_restore(request: HttpRequest, pk: int, number: int) -> HttpResponse:
    """Make the template as it was in a version."""
    template = get_template_or_404(request, pk)
    version = chosen_version(list(template.versions.select_related("program")), str(number))
    try:
        restore_version(by=writer_of(request), version=version, now=timezone.now())
        messages.success(request, f"The template is as in version {number} again. Undo takes it back.")
    except ValidationError as wrong:
        messages.error(request, " ".join(wrong.messages))
    return redirect("programs:program_detail", pk=pk)


@require_http_methods(["GET", "POST"])
def version_apply(request: HttpRequest, pk: int) -> HttpResponse:
    """What a version would change in a client's copy; POST with do=apply writes it as one act."""
    copy = get_copy_or_404(request, pk)
    desk = writer_of(request)
    versions = versions_of(copy)
    version = chosen_version(versions, (request.POST.get("to") or request.GET.get("to") or "")[:9])
    choices, now, status = choices_of(request.POST), timezone.now(), 200
    today = today_for(copy.client or copy.practice, now)
    if request.POST.get("do") == "apply":
        try:
            apply_version(
                by=desk, program=copy, version=version, choices=choices, seen=request.POST.get("seen", ""),
                frozen=past(copy, today), now=now,
            )  # fmt: skip
        except CopyMoved:
            messages.error(request, "The programme has changed since this preview; nothing was written. Look again.")
            status = 409
        except ValidationError as wrong:
            messages.error(request, " ".join(wrong.messages))
            status = 422
        else:
            messages.success(request, f"The changes of version {version.number} are in. Undo takes them back.")
            return redirect("programs:program_detail", pk=pk)
    page = apply_page(copy, version, versions, today, choices)
    context = {"program": copy, "client": copy.client, "page": page}
    return render_page(request, "programs/version_apply.html", context, partial="preview", status=status)

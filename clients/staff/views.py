"""An owner's acts on those who work in the practice, and giving a client to another coach."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from clients.doors import get_client_or_404
from clients.forms.fields import put_errors
from clients.services.handover import hand_over_client, see_handover
from clients.services.stale import StaleForm
from clients.staff import services
from clients.staff.doors import get_staff_or_404
from clients.staff.forms import HandoverForm, LeaveForm, PersonForm, StaffForm
from clients.staff.selectors import clients_of
from coachdesk.practice.doors import owner_of, writer_of

STALE = "Somebody changed this person's role meanwhile. Below is what stands now; choose again."
PERSON_STALE = "Somebody changed this name or address meanwhile, to what stands above. Save again to put yours instead."


@require_http_methods(["GET", "POST"])
def staff_new(request: HttpRequest) -> HttpResponse:
    """Add a coach, an assistant or another owner."""
    by = owner_of(request)
    form = StaffForm(request.POST if request.method == "POST" else None, desk=by)
    if request.method == "POST" and form.is_valid():
        try:
            made = services.add_staff(by=by, now=timezone.now(), **form.cleaned_data)
        except ValidationError as problem:
            put_errors(form, problem)
        else:
            messages.success(request, f"{made.user.name} is added. Next: a sign-in address for them.")
            return redirect("clients:staff_edit", pk=made.pk)
    return render(request, "clients/staff_new.html", {"form": form}, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
def staff_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a role, or whom an assistant assists."""
    member, by = get_staff_or_404(request, pk), owner_of(request)
    form = StaffForm(request.POST if request.method == "POST" else None, desk=by, member=member)
    if request.method == "POST" and form.is_valid():
        try:
            services.change_staff(by=by, member=member, now=timezone.now(), **form.cleaned_data)
        except ValidationError as problem:
            put_errors(form, problem)
        except StaleForm:
            return _edit(request, member, StaffForm(desk=by, member=get_staff_or_404(request, pk)), 409, stale=STALE)
        else:
            messages.success(request, f"{member.user.name} is saved.")
            return redirect("logs:staff_list")
    return _edit(request, member, form, 422 if form.errors else 200)


def _edit(request: HttpRequest, member: Any, form: StaffForm, status: int, stale: str = "") -> HttpResponse:
    context = {"member": member, "form": form, "stale": stale}
    return render(request, "clients/staff_edit.html", context, status=status)


@require_http_methods(["GET", "POST"])
def staff_person(request: HttpRequest, pk: int) -> HttpResponse:
    """Change somebody's name, and the address they sign in with."""
    member, by = get_staff_or_404(request, pk), owner_of(request)
    form = PersonForm(request.POST if request.method == "POST" else None, user=member.user)
    if request.method == "POST" and form.is_valid():
        try:
            services.change_person(by=by, member=member, now=timezone.now(), **form.cleaned_data)
        except StaleForm as stale:
            member = get_staff_or_404(request, pk)
            return _person(request, member, PersonForm(user=member.user, typed=stale.merged), 409, PERSON_STALE)
        except ValidationError as problem:
            put_errors(form, problem)
        else:
            messages.success(request, f"Saved: {form.cleaned_data['name']}, {form.cleaned_data['email'].lower()}.")
            return redirect("clients:staff_edit", pk=pk)
    return _person(request, member, form, 422 if form.errors else 200)


def _person(request: HttpRequest, member: Any, form: PersonForm, status: int, stale: str = "") -> HttpResponse:
    context = {"member": member, "form": form, "stale": stale}
    return render(request, "clients/staff_person.html", context, status=status)


@require_POST
def staff_address(request: HttpRequest, pk: int) -> HttpResponse:
    """Make an address that signs somebody in, and show it in the answer to the press itself."""
    member = get_staff_or_404(request, pk)
    try:
        token = services.make_staff_address(by=owner_of(request), member=member, now=timezone.now())
    except ValidationError as problem:
        messages.error(request, " ".join(problem.messages))
        return redirect("clients:staff_edit", pk=pk)
    address = request.build_absolute_uri(reverse("practice:sign_in_link", args=[token]))
    answer = render(request, "clients/staff_address.html", {"member": member, "address": address})
    answer["Cache-Control"] = "no-store"
    return answer


@require_http_methods(["GET", "POST"])
def staff_leave(request: HttpRequest, pk: int) -> HttpResponse:
    """Somebody leaves; what they coach goes to somebody else in the same act."""
    member, by = get_staff_or_404(request, pk), owner_of(request)
    form = LeaveForm(request.POST if request.method == "POST" else None, desk=by, member=member)
    if request.method == "POST" and form.is_valid():
        try:
            services.end_staff(by=by, member=member, now=timezone.now(), **form.cleaned_data)
        except ValidationError as problem:
            put_errors(form, problem)
        else:
            messages.success(request, f"{member.user.name} has left and is signed out everywhere.")
            return redirect("logs:staff_list")
    context = {"member": member, "form": form, "count": clients_of(member).count()}
    return render(request, "clients/staff_leave.html", context, status=422 if form.errors else 200)


@require_POST
def staff_return(request: HttpRequest, pk: int) -> HttpResponse:
    """Somebody who left works here again."""
    member = get_staff_or_404(request, pk)
    try:
        services.return_staff(by=owner_of(request), member=member, now=timezone.now())
        messages.success(request, f"{member.user.name} works here again. Next: a sign-in address for them.")
    except ValidationError as problem:
        messages.error(request, " ".join(problem.messages))
    return redirect("clients:staff_edit", pk=pk)


@require_http_methods(["GET", "POST"])
def client_handover(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a client to another coach, with a note to them."""
    by = owner_of(request)
    client = get_client_or_404(request, pk)
    form = HandoverForm(request.POST if request.method == "POST" else None, desk=by, coach=client.coach)
    if request.method == "POST" and form.is_valid():
        try:
            hand_over_client(by=by, client=client, now=timezone.now(), **form.cleaned_data)
        except ValidationError as problem:
            put_errors(form, problem)
        else:
            messages.success(request, f"{client.name} is handed over to {form.cleaned_data['to'].user.name}.")
            return redirect("clients:client_detail", pk=pk)
    context = {"client": client, "form": form}
    return render(request, "clients/client_handover.html", context, status=422 if form.errors else 200)


@require_POST
def handover_seen(request: HttpRequest, pk: int) -> HttpResponse:
    """The new coach has looked at what was handed over."""
    client = get_client_or_404(request, pk)
    try:
        see_handover(by=writer_of(request), client=client, now=timezone.now())
    except ValidationError as problem:
        messages.error(request, " ".join(problem.messages))
    return redirect("clients:client_detail", pk=pk)

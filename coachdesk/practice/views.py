"""Signing in and out, one's password, and the list of what was done."""

from django.contrib import messages
from django.contrib.auth import login, logout, update_session_auth_hash
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from coachdesk.htmx import render_page
from coachdesk.practice import selectors, services
from coachdesk.practice.doors import desk_of, get_or_404, next_path, writer_of
from coachdesk.practice.forms import PasswordForm, SignInForm
from coachdesk.practice.tape import UndoConflict, undo

BACKEND = "coachdesk.practice.doors.DeskBackend"


@login_not_required
@require_http_methods(["GET", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """Sign in by address and password."""
    form = SignInForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            user = services.sign_in(request=request, now=timezone.now(), **form.cleaned_data)
        except services.SignInRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            login(request, user, backend=BACKEND)
            return redirect(next_path(request, "logs:roster"))
    context = {"form": form, "next": request.POST.get("next") or request.GET.get("next") or ""}
    return render(request, "practice/sign_in.html", context, status=422 if form.errors else 200)


@login_not_required
@require_http_methods(["GET", "POST"])
def sign_in_link(request: HttpRequest, token: str) -> HttpResponse:
    """Opening shows a button; pressing it signs in. A preview or a second look burns nothing."""
    if request.method == "GET":
        return render(request, "practice/sign_in_link.html", {"token": token})
    try:
        user = services.use_sign_in_link(token=token, now=timezone.now())
    except services.SignInRefused as refusal:
        return render(request, "practice/sign_in_link.html", {"refusal": str(refusal)}, status=422)
    login(request, user, backend=BACKEND)
    return redirect("logs:roster")


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """Sign out and say so."""
    logout(request)
    messages.success(request, "You are signed out.")
    return redirect("practice:sign_in")


@require_http_methods(["GET", "POST"])
def password_edit(request: HttpRequest) -> HttpResponse:
    """Choose a password; this sign-in stays, all others of the same person end."""
    user = desk_of(request).user
    form = PasswordForm(request.POST if request.method == "POST" else None, user=user)
    if request.method == "POST" and form.is_valid():
        typed = form.cleaned_data
        try:
            services.set_password(user=user, current=typed.get("current", ""), new=typed["new"], now=timezone.now())
        except services.SignInRefused as refusal:
            form.add_error("current", str(refusal))
        except ValidationError as problem:
            form.add_error(None, problem)
        else:
            update_session_auth_hash(request, user)
            messages.success(request, "The password is set. Wherever else you were signed in, you are not any more.")
            return redirect("logs:roster")
    return render(request, "practice/password_edit.html", {"form": form}, status=422 if form.errors else 200)


@require_GET
def act_list(request: HttpRequest) -> HttpResponse:
    """What was done lately, by whom."""
    return render_page(request, "practice/act_list.html", {"acts": selectors.recent_acts(desk_of(request))[:100]})


@require_POST
def act_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take one act back, if nothing built on it since."""
    act = get_or_404(selectors.recent_acts(desk_of(request)), request, pk)
    try:
        messages.success(request, f"{undo(act, by=writer_of(request)).label}.")
    except UndoConflict as conflict:
        messages.error(request, str(conflict))
    return redirect(next_path(request, "practice:act_list"))

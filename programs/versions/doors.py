"""The doors to templates and to clients' copies of them."""

from django.http import Http404, HttpRequest

from coachdesk.practice.doors import desk_of, get_or_404
from programs.models import Program, TemplateVersion
from programs.selectors.versions import visible_copies, visible_templates


def get_template_or_404(request: HttpRequest, pk: int) -> Program:
    """A template of the practice, whoever made it."""
    return get_or_404(visible_templates(desk_of(request)), request, pk)


def get_copy_or_404(request: HttpRequest, pk: int) -> Program:
    """A visible client's programme that was made of a version."""
    return get_or_404(visible_copies(desk_of(request)), request, pk)


def versions_of(copy: Program) -> list[TemplateVersion]:
    """Every version of the template a copy came of, newest first."""
    assert copy.origin_version is not None
    return list(copy.origin_version.program.versions.order_by("-number"))


def chosen_version(versions: list[TemplateVersion], number: str) -> TemplateVersion:
    """The version of that number, the newest when none is asked for; 404 for one there is not."""
    found = next((one for one in versions if not number or str(one.number) == number), None)
    if found is None:
        raise Http404
    return found

"""Where a programme came from, for pages that show it whatever their view fetches."""

from django import template

from programs.models import Program
from programs.selectors.versions import Origin, origin_of

register = template.Library()


@register.simple_tag
def origin(program: Program) -> Origin | None:
    """The template and version a client's programme was made of."""
    return origin_of(program)

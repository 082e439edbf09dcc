"""Keys for forms on the phone: each thing said is sent under one, however often it is sent."""

from uuid import uuid4

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from programs.logs.phone.app import script_address, style_address

register = template.Library()


@register.simple_tag
def entry(kind: str) -> SafeString:
    """The hidden fields of a form that says one thing: its kind and a key of its own."""
    return format_html(
        '<input type="hidden" name="kind" value="{}"><input type="hidden" name="key" value="{}">', kind, uuid4().hex
    )


@register.simple_tag
def app_script() -> str:
    """The address of the page's scripts, another one whenever they change."""
    return script_address()


@register.simple_tag
def app_style() -> str:
    """The address of the page's styles, another one whenever they change."""
    return style_address()


@register.simple_tag
def points() -> range:
    """0 to 10."""
    return range(11)


@register.simple_tag
def reserves() -> range:
    """Reps in reserve that are offered to tap: 0 to 5."""
    return range(6)

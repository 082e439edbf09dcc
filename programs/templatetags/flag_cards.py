"""A flag's card for the editor, drawn once for as long as nothing on it changes: an edit sends all of a week's."""

from secrets import token_hex
from typing import Any

from django import template
from django.template.loader import get_template
from django.utils.safestring import SafeString, mark_safe

from programs.templatetags.evidence import evidence_cards

register = template.Library()
MOST_KEPT = 2048
# Stands for the token against forgery, which is another one in every answer; nobody can type it.
_TOKEN = token_hex(16)
_kept: dict[tuple[Any, ...], str] = {}


@register.simple_tag(takes_context=True)
def flag_card(context: dict[str, Any], flag: Any, apply_url: str, dismiss_url: str) -> SafeString:
    """The same as including components/_flag.html with the editor as the part to draw anew."""
    client = context.get("client")
    cards = evidence_cards(context, flag.code)
    key = (
        flag.id, flag.code, flag.severity, flag.where_words, flag.sentence, flag.source, apply_url, dismiss_url,
        tuple(remedy.label for remedy in flag.remedies), client.pk if client else None,
        tuple((card.pk, card.version, card.title, card.basis, card.training) for card in cards),
    )  # fmt: skip
    drawn = _kept.get(key)
    if drawn is None:
        if len(_kept) >= MOST_KEPT:
            _kept.clear()
        given = {
            "flag": flag,
            "apply_url": apply_url,
            "dismiss_url": dismiss_url,
            "client": client,
            "hx_target": "#editor",
        }
        page: Any = get_template("components/_flag.html")
        with context.push(**given, csrf_token=_TOKEN):  # type: ignore[attr-defined]
            drawn = _kept[key] = page.template.render(context)
    return mark_safe(drawn.replace(_TOKEN, str(context.get("csrf_token") or "")))

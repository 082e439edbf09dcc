"""Text a person types: the one pair of fields that makes it safe to store alike on every database."""

import unicodedata
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MaxLengthValidator
from django.db import models

MOST_MARKS = 8


def clean_text(text: str) -> str:
    """Strip NUL (PostgreSQL refuses it) and lone surrogates, and normalise to NFC."""
    text = text.replace("\x00", "").encode("utf-8", "ignore").decode("utf-8")
    return unicodedata.normalize("NFC", text)


def fold(text: str) -> str:
    """Case and accents folded away, for searching alike on every database."""
    bare = unicodedata.normalize("NFKD", clean_text(text).casefold())
    return "".join(c for c in bare if not unicodedata.combining(c)).strip()


def few_marks(text: str) -> None:
    """Refuse piles of combining marks: they are never writing, and they break a page's lines."""
    run = longest = 0
    for char in text:
        run = run + 1 if unicodedata.combining(char) else 0
        longest = max(longest, run)
    if longest > MOST_MARKS:
        raise ValidationError(
            f"This text piles {longest} combining marks on one letter; at most {MOST_MARKS} can be kept."
        )


class CleanFormField(forms.CharField):
    """Cleans before it validates, so that a stray NUL is dropped instead of losing the typed text."""

    def to_python(self, value: Any) -> Any:
        value = super().to_python(value)
        return clean_text(value) if isinstance(value, str) else value


class CleanCharField(models.CharField):
    """One line of cleaned text."""

    default_validators = [few_marks]

    def to_python(self, value: Any) -> Any:
        value = super().to_python(value)
        return clean_text(value) if isinstance(value, str) else value

    def get_prep_value(self, value: Any) -> Any:
        return super().get_prep_value(self.to_python(value))

    def formfield(self, **kwargs: Any) -> Any:
        return super().formfield(**{"form_class": CleanFormField, **kwargs})


class CleanTextField(models.TextField):
    """Several lines of cleaned text, at most `max_length` characters on every database."""

    default_validators = [few_marks]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 4000)
        super().__init__(*args, **kwargs)
        self.validators.append(MaxLengthValidator(self.max_length or 4000))

    def to_python(self, value: Any) -> Any:
        value = super().to_python(value)
        return clean_text(value) if isinstance(value, str) else value

    def get_prep_value(self, value: Any) -> Any:
        return super().get_prep_value(self.to_python(value))

    def formfield(self, **kwargs: Any) -> Any:
        return super().formfield(**{"form_class": CleanFormField, "widget": forms.Textarea, **kwargs})

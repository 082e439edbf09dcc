"""How a sheet's own values are said on the page, as in the PDF."""

from django import template

from programs import sheet_words

register = template.Library()
register.filter("last_words", sheet_words.last_words)
register.filter("missed_words", sheet_words.missed_words)
register.filter("reps_words", sheet_words.reps_words)
register.filter("rir_words", sheet_words.rir_words)
register.filter("note_words", sheet_words.note_words)

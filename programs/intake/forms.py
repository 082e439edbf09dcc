"""Binding an uploaded file, or the one kept on the preview page."""

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from programs.intake.columns import MOST_BYTES
from programs.intake.reading import NoTableError, decode, pack, unpack

# Django refuses a form of more than 5 MB; what is carried on the page must stay well below.
MOST_PACKED = 4 * 1024 * 1024


class UploadForm(forms.Form):
    """A CSV file from this machine; gives `text` and `encoding`."""

    file = forms.FileField(
        label="CSV file", widget=forms.ClearableFileInput(attrs={"accept": ".csv,.txt,.tsv,text/csv"}),
        help_text="UTF-8, UTF-16 or Windows-1252; commas, semicolons or tabs; at most 5 MB and 20,000 rows.",
        error_messages={
            "required": "No file is chosen; choose a CSV file.",
            "empty": "This file is empty; choose one with rows.",
        },
    )  # fmt: skip

    def clean_file(self) -> UploadedFile:
        file: UploadedFile = self.cleaned_data["file"]
        size = file.size or 0
        if size > MOST_BYTES:
            raise forms.ValidationError(
                f"The file is {size / 1024**2:.1f} MB; at most {MOST_BYTES // 1024**2} MB can be read. "
                "Read it in parts."
            )
        return file

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if "file" in data:
            try:
                data["text"], data["encoding"] = decode(data["file"].read())
            except NoTableError as problem:
                self.add_error("file", str(problem))
                return data
            data["packed"] = pack(data["text"])
            data["source"] = (data["file"].name or "a CSV file")[:80]
            if len(data["packed"]) > MOST_PACKED:
                self.add_error("file", "The file is too large to show before reading it in; read it in parts.")
        return data


class ConfirmForm(forms.Form):
    """The file as the preview page carries it, and the digest of the plan that was shown."""

    packed = forms.CharField(max_length=MOST_PACKED, widget=forms.HiddenInput(), strip=False)
    encoding = forms.CharField(max_length=20, widget=forms.HiddenInput())
    source = forms.CharField(max_length=80, required=False, widget=forms.HiddenInput())
    digest = forms.CharField(max_length=64, widget=forms.HiddenInput())

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if "packed" in data:
            try:
                data["text"] = unpack(data["packed"])
            except NoTableError as problem:
                self.add_error(None, str(problem))
        return data

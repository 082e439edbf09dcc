"""Which proposal and way out an address or a button names."""

from dataclasses import dataclass

from django import forms

MOST_REMEDIES = 99


@dataclass(frozen=True)
class Asked:
    """`flag`: a proposal's id, `remedy`: the number of its way out, `digest`: what was shown of it."""

    flag: str = ""
    remedy: int | None = None
    digest: str = ""


class ProposalForm(forms.Form):
    """Anything that names no proposal is as good as nothing asked."""

    flag = forms.RegexField(r"\A[0-9a-f]{16}\Z", required=False)
    remedy = forms.IntegerField(min_value=0, max_value=MOST_REMEDIES, required=False)
    digest = forms.RegexField(r"\A[0-9a-f]{32}\Z", required=False)

    @property
    def asked(self) -> Asked:
        """What was asked for, empty where it was malformed."""
        told = self.cleaned_data if self.is_valid() else {}
        return Asked(told.get("flag", ""), told.get("remedy"), told.get("digest", ""))

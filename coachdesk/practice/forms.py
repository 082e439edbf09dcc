"""Binding what a person types to sign in."""

from django import forms


class SignInForm(forms.Form):
    """E-mail address and password."""

    email = forms.EmailField(label="E-mail address", max_length=254)
    password = forms.CharField(label="Password", max_length=200, widget=forms.PasswordInput, strip=False)

"""Paths for a client's links; included by clients.urls."""

from django.urls import re_path

from clients.links import views

urlpatterns = [
    # With the slash at its end or without: a redirect to the other would be one more answer that names the token.
    re_path(r"^c/(?P<token>[^/]+)/?$", views.link_open, name="link_open"),
]

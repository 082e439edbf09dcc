"""Paths for a client's links; included by clients.urls."""

from django.urls import path, re_path

from clients.links import views

urlpatterns = [
    path("clients/<int:pk>/links/", views.client_links, name="client_links"),
    path("clients/<int:pk>/links/new/", views.link_new, name="link_new"),
    path("links/<int:pk>/rotate/", views.link_rotate, name="link_rotate"),
    path("links/<int:pk>/revoke/", views.link_revoke, name="link_revoke"),
    # With the slash at its end or without: a redirect to the other would be one more answer that names the token.
    re_path(r"^c/(?P<token>[^/]+)/?$", views.link_open, name="link_open"),
]

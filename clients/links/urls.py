"""Paths for a client's links; included by clients.urls."""

from django.urls import path

from clients.links import views

urlpatterns = [
    path("c/<str:token>/", views.link_open, name="link_open"),
]

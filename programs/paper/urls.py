"""Paths of sheets as PDF; included by programs.urls."""

from django.urls import path

from programs.paper import views

urlpatterns = [
    path("sheets/<int:pk>/pdf/", views.sheet_pdf, name="sheet_pdf"),
]

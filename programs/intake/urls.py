"""Paths of the CSV import; included by programs.urls."""

from django.urls import path

from programs.intake import views

urlpatterns = [
    path("clients/import/", views.client_import, name="client_import"),
    path("clients/import/example.csv", views.client_import_example, name="client_import_example"),
]

"""Paths of the CSV import of sets; included by programs.logs.urls."""

from django.urls import path

from programs.logs.intake import views

urlpatterns = [
    path("sets/import/", views.log_import, name="log_import"),
    path("sets/import/example.csv", views.log_import_example, name="log_import_example"),
    path("sets/imports/<int:pk>/", views.log_import_detail, name="log_import_detail"),
    path("sets/imports/<int:pk>/continue/", views.log_import_continue, name="log_import_continue"),
    path("sets/imports/<int:pk>/undo/", views.log_import_undo, name="log_import_undo"),
]

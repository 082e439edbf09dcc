"""Paths of sheets as PDF; included by programs.urls."""

from django.urls import path

from programs.paper import views

urlpatterns = [
    path("sheets/<int:pk>/pdf/", views.sheet_pdf, name="sheet_pdf"),
    path("groups/<int:pk>/sheets/", views.group_sheets, name="group_sheets"),
    path("sheet-runs/new/", views.sheet_run_new, name="sheet_run_new"),
    path("sheet-runs/<int:pk>/", views.sheet_run_detail, name="sheet_run_detail"),
    path("sheet-runs/<int:pk>/step/", views.sheet_run_step, name="sheet_run_step"),
    path("sheet-runs/<int:pk>/cancel/", views.sheet_run_cancel, name="sheet_run_cancel"),
    path("sheet-runs/<int:pk>/pdf/", views.sheet_run_pdf, name="sheet_run_pdf"),
]

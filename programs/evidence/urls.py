"""Paths for evidence cards."""

from django.urls import path

from programs.evidence import views

urlpatterns = [
    path("evidence/", views.evidence_list, name="evidence_list"),
    path("evidence/new/", views.evidence_new, name="evidence_new"),
    path("evidence/<int:pk>/", views.evidence_detail, name="evidence_detail"),
    path("evidence/<int:pk>/edit/", views.evidence_edit, name="evidence_edit"),
    path("evidence/<int:pk>/delete/", views.evidence_delete, name="evidence_delete"),
]

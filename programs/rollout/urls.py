"""Paths for handing a template to many."""

from django.urls import path

from programs.rollout import views

urlpatterns = [
    path("programs/<int:pk>/assign-many/", views.program_assign_many, name="program_assign_many"),
    path("rollouts/<int:pk>/", views.rollout_detail, name="rollout_detail"),
    path("rollouts/<int:pk>/cancel/", views.rollout_cancel, name="rollout_cancel"),
    path("rollouts/<int:pk>/continue/", views.rollout_continue, name="rollout_continue"),
    path("rollouts/<int:pk>/undo/", views.rollout_undo, name="rollout_undo"),
]

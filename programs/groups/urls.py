"""Paths of groups; included by programs.urls."""

from django.urls import path

from programs.groups import views

urlpatterns = [
    path("groups/", views.group_list, name="group_list"),
    path("groups/new/", views.group_new, name="group_new"),
    path("groups/<int:pk>/", views.group_detail, name="group_detail"),
    path("groups/<int:pk>/edit/", views.group_edit, name="group_edit"),
    path("groups/<int:pk>/delete/", views.group_delete, name="group_delete"),
    path("groups/<int:pk>/order/", views.group_order, name="group_order"),
    path("groups/<int:pk>/undo/", views.group_undo, name="group_undo"),
]

"""Paths for what to change next week."""

from django.urls import path

from programs.logs.review import views

urlpatterns = [
    path("clients/<int:pk>/next-week/", views.client_next_week, name="client_next_week"),
    path("clients/<int:pk>/next-week/apply/", views.next_week_apply, name="next_week_apply"),
    path("clients/<int:pk>/next-week/set-aside/", views.next_week_dismiss, name="next_week_dismiss"),
    path("clients/<int:pk>/next-week/undo/", views.next_week_undo, name="next_week_undo"),
]

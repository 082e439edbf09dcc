"""Paths for several clients beside each other."""

from django.urls import path

from programs.logs.across import views

urlpatterns = [
    path("muscles/", views.muscle_list, name="muscle_list"),
    path("programs/<int:pk>/clients/", views.program_client_list, name="program_client_list"),
    path("clients/<int:pk>/effort/", views.client_effort, name="client_effort"),
]

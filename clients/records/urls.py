"""Paths for a client's data as a whole; included by clients.urls."""

from django.urls import path

from clients.records import views

urlpatterns = [
    path("clients/<int:pk>/erase/", views.client_erase, name="client_erase"),
]

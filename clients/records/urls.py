"""Paths for a client's data as a whole; included by clients.urls."""

from django.urls import path

from clients.records import views
from clients.records.retention_views import client_keep, retention_edit, retention_list

urlpatterns = [
    path("clients/export/", views.practice_export, name="practice_export"),
    path("clients/retention/", retention_list, name="retention_list"),
    path("clients/retention/months/", retention_edit, name="retention_edit"),
    path("clients/<int:pk>/keep/", client_keep, name="client_keep"),
    path("clients/<int:pk>/records/", views.client_records, name="client_records"),
    path("clients/<int:pk>/export/", views.client_export, name="client_export"),
    path("clients/<int:pk>/consent/", views.client_consent, name="client_consent"),
    path("clients/<int:pk>/consent/withdraw/", views.consent_withdraw, name="consent_withdraw"),
    path("clients/<int:pk>/words/erase/", views.words_erase, name="words_erase"),
    path("clients/<int:pk>/erase/", views.client_erase, name="client_erase"),
]

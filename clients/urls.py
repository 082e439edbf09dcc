"""Paths for clients and places."""

from django.urls import path

from clients import views
from clients.links.urls import urlpatterns as links_urlpatterns
from clients.records.urls import urlpatterns as records_urlpatterns
from clients.staff.urls import urlpatterns as staff_urlpatterns

app_name = "clients"
urlpatterns = [
    path("clients/", views.client_list, name="client_list"),
    path("clients/new/", views.client_new, name="client_new"),
    path("clients/<int:pk>/", views.client_detail, name="client_detail"),
    path("clients/<int:pk>/edit/", views.client_edit, name="client_edit"),
    path("clients/<int:pk>/archive/", views.client_archive, name="client_archive"),
    path("clients/<int:pk>/restore/", views.client_restore, name="client_restore"),
    path("clients/<int:pk>/screenings/new/", views.screening_new, name="screening_new"),
    path("clients/<int:pk>/precautions/new/", views.precaution_new, name="precaution_new"),
    path("precautions/<int:pk>/end/", views.precaution_end, name="precaution_end"),
    path("clients/<int:pk>/muscles/edit/", views.muscles_edit, name="muscles_edit"),
    path("places/", views.place_list, name="place_list"),
    path("places/new/", views.place_new, name="place_new"),
    path("places/<int:pk>/", views.place_detail, name="place_detail"),
    path("places/<int:pk>/edit/", views.place_edit, name="place_edit"),
    path("places/<int:pk>/equipment/start/", views.equipment_start, name="equipment_start"),
    path("places/<int:pk>/equipment/<slug:kind>/new/", views.equipment_new, name="equipment_new"),
    path("equipment/<int:pk>/edit/", views.equipment_edit, name="equipment_edit"),
    path("equipment/<int:pk>/remove/", views.equipment_remove, name="equipment_remove"),
    *records_urlpatterns,
    *links_urlpatterns,
    *staff_urlpatterns,
]

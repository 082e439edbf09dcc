"""Paths for those who work in the practice and for handing a client over; included by clients.urls."""

from django.urls import path

from clients.staff import views

urlpatterns = [
    path("staff/new/", views.staff_new, name="staff_new"),
    path("staff/<int:pk>/edit/", views.staff_edit, name="staff_edit"),
    path("staff/<int:pk>/person/", views.staff_person, name="staff_person"),
    path("staff/<int:pk>/address/", views.staff_address, name="staff_address"),
    path("staff/<int:pk>/leave/", views.staff_leave, name="staff_leave"),
    path("staff/<int:pk>/return/", views.staff_return, name="staff_return"),
    path("clients/<int:pk>/handover/", views.client_handover, name="client_handover"),
    path("clients/<int:pk>/handover/seen/", views.handover_seen, name="handover_seen"),
]

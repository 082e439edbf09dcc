"""Paths of a client's calendar; included by programs.urls."""

from django.urls import path

from programs.calendar import views

urlpatterns = [
    path("c/<str:token>/sessions.ics", views.calendar_feed, name="calendar_feed"),
    path("clients/<int:pk>/calendar/", views.client_calendar, name="client_calendar"),
    path("clients/<int:pk>/calendar/undo/", views.calendar_undo, name="calendar_undo"),
    path("clients/<int:pk>/calendar/redo/", views.calendar_redo, name="calendar_redo"),
    path("clients/<int:pk>/calendar/flags/apply/", views.calendar_flag_apply, name="calendar_flag_apply"),
    path("clients/<int:pk>/absences/new/", views.absence_new, name="absence_new"),
    path("absences/<int:pk>/edit/", views.absence_edit, name="absence_edit"),
    path("absences/<int:pk>/delete/", views.absence_delete, name="absence_delete"),
    path("clients/<int:pk>/dates/new/", views.client_date_new, name="client_date_new"),
    path("dates/<int:pk>/", views.client_date_detail, name="client_date_detail"),
    path("dates/<int:pk>/edit/", views.client_date_edit, name="client_date_edit"),
    path("dates/<int:pk>/delete/", views.client_date_delete, name="client_date_delete"),
    path("sessions/<int:pk>/move/", views.session_move, name="session_move"),
    path("sessions/<int:pk>/missed/", views.session_missed, name="session_missed"),
]

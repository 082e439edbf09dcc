"""The site map: which app answers which path."""

from django.urls import include, path

from coachdesk import views

handler400 = "coachdesk.views.bad_request"
handler404 = "coachdesk.views.not_found"
handler500 = "coachdesk.views.failure"
urlpatterns = [
    path("", include("programs.logs.urls")),
    path("my/", include("programs.logs.phone.urls")),
    path("", include("coachdesk.practice.urls")),
    path("", include("clients.urls")),
    path("", include("programs.urls")),
    path("backups/new/", views.backup_new, name="backup_new"),
]

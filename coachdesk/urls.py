"""The site map: which app answers which path."""

from django.urls import include, path

handler400 = "coachdesk.views.bad_request"
handler500 = "coachdesk.views.failure"
urlpatterns = [
    path("", include("programs.logs.urls")),
    path("", include("coachdesk.practice.urls")),
    path("", include("clients.urls")),
    path("", include("programs.urls")),
]

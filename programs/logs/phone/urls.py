"""Paths of the client's own pages, under /my/."""

from django.urls import path

from programs.logs.phone import views

app_name = "phone"
urlpatterns = [
    path("", views.today, name="today"),
    path("app.js", views.script, name="script"),
    path("app.css", views.style, name="style"),
    path("sw.js", views.worker, name="worker"),
    path("queue/", views.queue, name="queue"),
    path("messages/", views.message_new, name="message_new"),
    path("forget/", views.forget, name="forget"),
    path("forgotten/", views.forgotten, name="forgotten"),
    path("sheets/<int:pk>/", views.session, name="session"),
    path("sheets/<int:pk>/entries/", views.entry_new, name="entry_new"),
    path("sheets/<int:pk>/place/", views.place, name="place"),
    path("sheets/<int:pk>/shorter/", views.shorter, name="shorter"),
    path("sheets/<int:pk>/exercises/<int:position>/swap/", views.swap, name="swap"),
]

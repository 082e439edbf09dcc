"""Paths for signing in and for the list of acts."""

from django.urls import path

from coachdesk.practice import views

app_name = "practice"
urlpatterns = [
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-in/<str:token>/", views.sign_in_link, name="sign_in_link"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("password/", views.password_edit, name="password_edit"),
    path("acts/", views.act_list, name="act_list"),
    path("acts/<int:pk>/undo/", views.act_undo, name="act_undo"),
]

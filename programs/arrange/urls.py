"""Paths for arranging a programme, under the programmes' own names."""

from django.urls import path

from programs.arrange import views

urlpatterns = [
    path("planned-exercises/<int:pk>/place/", views.planned_exercise_place, name="planned_exercise_place"),
    path("planned-exercises/<int:pk>/swap/", views.planned_exercise_swap, name="planned_exercise_swap"),
    path(
        "planned-exercises/<int:pk>/substitutes/",
        views.planned_exercise_substitutes,
        name="planned_exercise_substitutes",
    ),
    path("sessions/<int:pk>/place/", views.session_place, name="session_place"),
    path("programs/<int:pk>/weeks/place/", views.week_place, name="week_place"),
    path("programs/<int:pk>/weeks/delete/", views.week_delete, name="week_delete"),
    path("programs/<int:pk>/progression/", views.program_progression, name="program_progression"),
    path("programs/<int:pk>/blocks/", views.block_list, name="block_list"),
    path("programs/<int:pk>/blocks/new/", views.block_add, name="block_add"),
    path("programs/<int:pk>/blocks/split/", views.block_split, name="block_split"),
    path("blocks/<int:pk>/edit/", views.block_edit, name="block_edit"),
    path("blocks/<int:pk>/move/", views.block_move, name="block_move"),
    path("blocks/<int:pk>/duplicate/", views.block_duplicate, name="block_duplicate"),
    path("blocks/<int:pk>/delete/", views.block_delete, name="block_delete"),
]

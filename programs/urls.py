"""Paths for programmes, sessions, exercises, strength and sheets."""

from django.urls import path

from programs import views
from programs.arrange.urls import urlpatterns as arrange_urlpatterns
from programs.calendar.urls import urlpatterns as calendar_urlpatterns
from programs.evidence.urls import urlpatterns as evidence_urlpatterns
from programs.groups.urls import urlpatterns as group_urlpatterns
from programs.intake.urls import urlpatterns as intake_urlpatterns
from programs.paper.urls import urlpatterns as paper_urlpatterns
from programs.rollout.urls import urlpatterns as rollout_urlpatterns
from programs.versions.urls import urlpatterns as versions_urlpatterns

app_name = "programs"
urlpatterns = [
    path("programs/", views.program_list, name="program_list"),
    path("programs/new/", views.program_new, name="program_new"),
    path("programs/<int:pk>/", views.program_detail, name="program_detail"),
    path("programs/<int:pk>/edit/", views.program_edit, name="program_edit"),
    path("programs/<int:pk>/archive/", views.program_archive, name="program_archive"),
    path("programs/<int:pk>/assign/", views.program_assign, name="program_assign"),
    path("programs/<int:pk>/template/", views.program_template, name="program_template"),
    path("programs/<int:pk>/undo/", views.program_undo, name="program_undo"),
    path("programs/<int:pk>/redo/", views.program_redo, name="program_redo"),
    path("programs/<int:pk>/flags/apply/", views.flag_apply, name="flag_apply"),
    path("programs/<int:pk>/flags/dismiss/", views.flag_dismiss, name="flag_dismiss"),
    path("programs/<int:pk>/sessions/new/", views.session_new, name="session_new"),
    path("sessions/<int:pk>/edit/", views.session_edit, name="session_edit"),
    path("sessions/<int:pk>/delete/", views.session_delete, name="session_delete"),
    path("sessions/<int:pk>/exercises/new/", views.exercise_add, name="exercise_add"),
    path("sessions/<int:pk>/sheet/", views.sheet_issue, name="sheet_issue"),
    path("planned-exercises/<int:pk>/edit/", views.planned_exercise_edit, name="planned_exercise_edit"),
    path("planned-exercises/<int:pk>/cue/", views.planned_exercise_cue, name="planned_exercise_cue"),
    path("planned-exercises/<int:pk>/delete/", views.planned_exercise_delete, name="planned_exercise_delete"),
    path("planned-exercises/<int:pk>/scheme/", views.planned_exercise_scheme, name="planned_exercise_scheme"),
    path("sheets/<int:pk>/", views.sheet_detail, name="sheet_detail"),
    path("exercises/", views.exercise_list, name="exercise_list"),
    path("exercises/<int:pk>/", views.exercise_detail, name="exercise_detail"),
    path("schemes/", views.scheme_list, name="scheme_list"),
    path("schemes/new/", views.scheme_new, name="scheme_new"),
    path("schemes/<int:pk>/edit/", views.scheme_edit, name="scheme_edit"),
    path("schemes/<int:pk>/delete/", views.scheme_delete, name="scheme_delete"),
    path("compare/", views.scheme_compare, name="scheme_compare"),
    path("numbers/", views.number_list, name="number_list"),
    path("rules/", views.rule_list, name="rule_list"),
    path("clients/<int:pk>/rules/", views.client_rules, name="client_rules"),
    path("clients/<int:pk>/programs/", views.client_programs, name="client_programs"),
    path("clients/<int:pk>/pain/", views.client_pain, name="client_pain"),
    path("clients/<int:pk>/strength/", views.client_strength, name="client_strength"),
    path("clients/<int:pk>/bests/<int:best_pk>/delete/", views.strength_best_delete, name="strength_best_delete"),
    path("clients/<int:pk>/strength/<int:test_pk>/delete/", views.strength_test_delete, name="strength_test_delete"),
    *arrange_urlpatterns,
    *calendar_urlpatterns,
    *group_urlpatterns,
    *intake_urlpatterns,
    *evidence_urlpatterns,
    *versions_urlpatterns,
    *rollout_urlpatterns,
    *paper_urlpatterns,
]

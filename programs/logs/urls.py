"""Paths for the roster, session logs, set logs and trends."""

from django.urls import path

from programs.logs import views
from programs.logs.across.urls import urlpatterns as across_urlpatterns
from programs.logs.intake.urls import urlpatterns as intake_urlpatterns
from programs.logs.review.urls import urlpatterns as review_urlpatterns

app_name = "logs"
urlpatterns = [
    path("", views.roster, name="roster"),
    path("roster/act/", views.roster_act, name="roster_act"),
    path("roster/acts/<int:pk>/", views.roster_act_detail, name="roster_act_detail"),
    path("roster/views/new/", views.roster_view_new, name="roster_view_new"),
    path("roster/views/<int:pk>/remove/", views.roster_view_remove, name="roster_view_remove"),
    path("rules/roster/", views.rule_order, name="rule_order"),
    path("clients/<int:pk>/rules/roster/", views.client_rule_order, name="client_rule_order"),
    path("staff/", views.staff_list, name="staff_list"),
    path("sheets/<int:pk>/log/", views.session_log, name="session_log"),
    path("sheets/<int:pk>/skip/", views.session_skip, name="session_skip"),
    path("session-logs/<int:pk>/", views.session_log_detail, name="session_log_detail"),
    path("session-logs/<int:pk>/changes/", views.session_log_changes, name="session_log_changes"),
    path("session-logs/<int:pk>/estimates/", views.session_log_estimates, name="session_log_estimates"),
    path("session-logs/<int:pk>/edit/", views.session_log_edit, name="session_log_edit"),
    path("session-logs/<int:pk>/undo/", views.session_log_undo, name="session_log_undo"),
    path("session-logs/<int:pk>/exercises/", views.extra_exercise, name="extra_exercise"),
    path("session-logs/<int:pk>/sets/", views.set_log, name="set_log"),
    path("session-logs/<int:pk>/pain/", views.session_pain, name="session_pain"),
    path("plan-gaps/<int:pk>/seen/", views.plan_gap_seen, name="plan_gap_seen"),
    path("set-logs/<int:pk>/", views.set_edit, name="set_edit"),
    path("programs/<int:pk>/report/", views.program_report, name="program_report"),
    path("blocks/<int:pk>/report/", views.block_report, name="block_report"),
    path("blocks/<int:pk>/report/pdf/", views.block_report_pdf, name="block_report_pdf"),
    path("blocks/<int:pk>/report/edit/", views.block_report_edit, name="block_report_edit"),
    path("clients/<int:pk>/sessions/", views.client_sessions, name="client_sessions"),
    path("clients/<int:pk>/sessions/unplanned/", views.unplanned_session, name="unplanned_session"),
    path("clients/<int:pk>/messages/", views.client_messages, name="client_messages"),
    path("messages/<int:pk>/answer/", views.message_answer, name="message_answer"),
    path("clients/<int:pk>/blocks/", views.client_blocks, name="client_blocks"),
    path("clients/<int:pk>/trends/", views.client_trends, name="client_trends"),
    *across_urlpatterns,
    *review_urlpatterns,
    *intake_urlpatterns,
]

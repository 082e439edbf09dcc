"""What is said of a client outside their own rows, and goes with them: lists of ids in rollouts, plans in memory."""

from clients.models import Client
from clients.records.services import with_erasure
from clients.services.consent import with_health_erasure
from coachdesk.practice.models import Change
from programs.mapping import forget_plans
from programs.models import IssuedSheet, PainReport, Rollout, SheetRun


def leave_lists(client: Client) -> None:
    """Take the client out of rollouts, where who could not get a copy stands with the reason, and of runs of sheets."""
    for row in Rollout.objects.select_for_update().filter(practice=client.practice_id).order_by("id"):
        waiting = [pk for pk in row.waiting if pk != client.pk]
        failed = [pair for pair in row.failed if pair[0] != client.pk]
        if (waiting, failed) != (row.waiting, row.failed):
            row.waiting, row.failed = waiting, failed
            row.save(update_fields=["waiting", "failed"])
    for run in SheetRun.objects.filter(rows__client=client).distinct().order_by("id"):
        if not run.rows.exclude(client=client).exists():
            run.delete()
        elif client.name in run.title:
            run.title = run.title.replace(client.name, "an erased client")[:200]
            run.save(update_fields=["title"])
    forget_plans()


with_erasure(leave_lists)


def erase_pain_notes(client: Client) -> None:
    """Take the words out of pain reports and the cautions out of issued sheets; pain in points stays for its rule."""
    reports = PainReport.objects.filter(client=client)
    notes = Change.objects.filter(model=PainReport._meta.label_lower, row__in=reports.values("pk"))
    notes.update(before=None, after=None)
    reports.update(note="")
    for sheet in IssuedSheet.objects.filter(client=client).order_by("id").iterator():
        if sheet.body.get("cautions"):
            sheet.body["cautions"] = []
            sheet.save(update_fields=["body"])


with_health_erasure(erase_pain_notes)

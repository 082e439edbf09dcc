"""On which day something was said. A phone's clock may be years wrong: only how long ago it was is believed."""

from datetime import date, datetime, timedelta

from clients.models import Client
from clients.selectors import today_for
from programs.models import IssuedSheet

# What waited longer on a phone is not believed about its day.
LONGEST_WAIT = timedelta(days=180)


def day_said(client: Client, sheet: IssuedSheet | None, now: datetime, ago_s: float) -> date:
    """The civil day, where the client is, `ago_s` seconds before `now`.

    `ago_s` is the phone's time of sending less its time of saying: a clock that is merely wrong falls out of it. A
    difference that cannot be (below 0, too long, before the sheet was issued) gives the sheet's day, or today.
    """
    today = today_for(client, now)
    ago = timedelta(seconds=ago_s) if 0 <= ago_s <= LONGEST_WAIT.total_seconds() else None
    if ago is not None and (sheet is None or now - ago >= sheet.issued_at or ago < timedelta(minutes=5)):
        return today_for(client, now - ago)
    return min(sheet.for_on, today) if sheet else today

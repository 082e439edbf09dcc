"""Every chart of the trends page, in the order in which they are looked at."""

from collections.abc import Iterator

from programs.logs.trends.drawing import Chart
from programs.logs.trends.muscle_charts import sets_chart, volume_chart
from programs.logs.trends.other_charts import fatigue_chart, symmetry_chart
from programs.logs.trends.page import TrendsPage
from programs.logs.trends.session_charts import attendance_chart, load_chart, minutes_chart
from programs.logs.trends.strength_chart import strength_chart


def charts_of(page: TrendsPage) -> list[Chart]:
    """What can be drawn; nothing on a page without anything to draw."""
    return [] if page.is_empty else list(_charts(page))


def _charts(page: TrendsPage) -> Iterator[Chart]:
    got, window, unit = page.got, page.window, page.client.unit
    if page.muscle:
        yield sets_chart(page.muscle, got, window)
    if page.strength:
        yield strength_chart(page.strength, got, window, unit)
    if page.muscle:
        yield volume_chart(page.muscle, got, window, unit)
    if page.fatigue:
        yield fatigue_chart(page.fatigue)
    yield load_chart(page.weeks, got, window, page.rules)
    yield attendance_chart(page.weeks, got, window)
    yield minutes_chart(page.weeks, got, window)
    if page.sides:
        yield symmetry_chart(page.sides, 100 * page.rules.symmetry_below, unit)

"""How often somebody asks: one count a minute, kept where all web processes see it."""

from datetime import datetime, timedelta

from django.db import connection

from accounts.models import Cached, Rate

KEPT = timedelta(minutes=10)


def count(*, who: str, now: datetime) -> int:
    """This will count one more request of `who` in the minute of `now`; how many there were."""
    minute = now.replace(second=0, microsecond=0)
    table = connection.ops.quote_name(Rate._meta.db_table)
    with connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO {table} (who, minute, count) VALUES (%s, %s, 1)"  # noqa: S608
            " ON CONFLICT (who, minute) DO UPDATE SET count = "
            f"{table}.count + 1 RETURNING count",
            [who, connection.ops.adapt_datetimefield_value(minute)],
        )
        return cursor.fetchone()[0]


def forget(*, now: datetime) -> int:
    """This will delete the counts of minutes that are over, and those of signing in; how many."""
    minutes, _ = Rate.objects.filter(minute__lt=now - KEPT).delete()
    kept, _ = Cached.objects.filter(expires__lte=now).delete()
    return minutes + kept

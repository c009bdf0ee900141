"""Reads the words of what changed since the last search."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from django.db import OperationalError, connection, transaction

from wps.find.texts import READERS, Text
from wps.find.words import words_of
from wps.models import SearchDue, SearchEntry, SearchPlace, SearchWord

_PLACE = f'INSERT INTO {SearchPlace._meta.db_table} (word, "rank", entry_id) VALUES (%s, %s, %s)'
_WORD = f"INSERT INTO {SearchWord._meta.db_table} (word) VALUES (%s) ON CONFLICT DO NOTHING"

AT_ONCE = 500
"""Rows read in one transaction, so that nobody who writes waits long."""
TASK = "find"
IN_THE_NAME = 2


def bring_up_to_date(most: int | None = None) -> int:
    """Read every row that is due again, or about `most` of them; how many were read. Where somebody else
    writes for long, the rest waits for the next search."""
    done = 0
    try:
        while (most is None or done < most) and SearchDue.objects.exists() and (read := _some()):
            done += read
    except OperationalError:
        return done
    return done


def is_much_due() -> bool:
    """True while more waits than one search should read by itself, as after an import."""
    return SearchDue.objects.order_by("id")[AT_ONCE : AT_ONCE + 1].exists()


def read_in_background(subject_id: int, progress: Callable[[int, int], None]) -> None:
    """What the queue calls for a task of the kind `find`."""
    done, total = 0, SearchDue.objects.count()
    while read := bring_up_to_date(AT_ONCE):
        done += read
        progress(min(done, total), total)


@transaction.atomic
def _some() -> int:
    # What another process reads just now is left to it.
    free = SearchDue.objects.select_for_update(skip_locked=True)
    due = list(free.order_by("table", "id")[:AT_ONCE])
    by_table: dict[str, list[int]] = {}
    for each in due:
        by_table.setdefault(each.table, []).append(each.row)
    SearchDue.objects.filter(pk__in=[each.pk for each in due]).delete()
    for table, ids in by_table.items():
        if table in READERS:
            _read(table, ids)
    return len(due)


def _read(table: str, ids: Sequence[int]) -> None:
    reader = READERS[table]
    before = {each.row: each for each in SearchEntry.objects.filter(table=table, row__in=ids)}
    texts: dict[int, Text] = {}
    for row in reader.rows().filter(pk__in=ids):
        if (text := reader.text(row)) is not None:
            texts[row.pk] = text
    renamed = [row for row, was in before.items() if row in texts and was.title != _title(texts[row])]
    SearchEntry.objects.filter(pk__in=[each.pk for each in before.values()]).delete()
    made = SearchEntry.objects.bulk_create(
        [
            SearchEntry(
                table=table,
                row=row,
                kind=text.kind,
                title=_title(text),
                detail=text.detail[:200],
                url=text.url,
                said=text.said,
                weight=text.weight,
            )
            for row, text in texts.items()
        ],
        batch_size=100,
    )
    words: set[str] = set()
    places = []
    for entry in made:
        text = texts[entry.row]
        ranks = dict.fromkeys(words_of(" ".join(said for _, said in text.said)), text.weight)
        ranks |= dict.fromkeys(words_of(" ".join(text.names)), text.weight + IN_THE_NAME)
        words |= ranks.keys()
        places += [(word, rank, entry.pk) for word, rank in ranks.items()]
    # Plain statements: a model for each of sixty words of a record would take most of the time.
    with connection.cursor() as cursor:
        cursor.executemany(_PLACE, places)
        cursor.executemany(_WORD, [(word,) for word in sorted(words)])
    for other, rows in reader.follows(renamed) if renamed else ():
        SearchDue.objects.bulk_create(
            [SearchDue(table=other, row=row) for row in rows], batch_size=300, ignore_conflicts=True
        )


def _title(text: Text) -> str:
    return " ".join(name for name in text.names if name)[:300]

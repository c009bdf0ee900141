"""The words by which records are found, worked out of the records themselves."""

from __future__ import annotations

from django.db import models


class SearchEntry(models.Model):
    """One thing that can be found, as a list of hits shows it."""

    table = models.CharField(max_length=60)
    row = models.PositiveBigIntegerField()
    kind = models.CharField(max_length=40)
    """What people call it, such as `Procedure test`."""
    title = models.CharField(max_length=300)
    detail = models.CharField(max_length=200, blank=True)
    """Its state, or the job it belongs to."""
    url = models.CharField(max_length=200)
    said = models.JSONField(default=list)
    """`[label, text]` for each thing it says, so that a hit can show where the word stands."""
    weight = models.SmallIntegerField(default=0)
    """What is in force comes before what was superseded."""

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["table", "row"], name="search_entry_once")]

    def __str__(self) -> str:
        return f"{self.kind} {self.title}"


class SearchWord(models.Model):
    """Every word that stands anywhere; close spellings are looked for among them."""

    word = models.CharField(max_length=60, primary_key=True)

    def __str__(self) -> str:
        return self.word


class SearchPlace(models.Model):
    """One word in one entry."""

    word = models.CharField(max_length=60)
    entry = models.ForeignKey(SearchEntry, models.CASCADE, related_name="places", db_index=False)
    rank = models.SmallIntegerField(default=0)
    """Higher where it stands in the name of the entry."""

    class Meta:
        ordering = ["id"]
        indexes = [
            models.Index(fields=["word", "rank", "entry"], name="search_place_by_word"),
            models.Index(fields=["entry", "word"], name="search_place_by_entry"),
        ]

    def __str__(self) -> str:
        return f"{self.word} in {self.entry_id}"


class SearchDue(models.Model):
    """A row that changed and whose words are to be read again. Triggers of the database alone write it
    (`wps/find/triggers.py`), so that no change goes unseen, whoever makes it."""

    table = models.CharField(max_length=60)
    row = models.PositiveBigIntegerField()

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["table", "row"], name="search_due_once")]

    def __str__(self) -> str:
        return f"{self.table} {self.row}"

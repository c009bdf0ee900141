"""A record's audit trail as sentences, for the history on its page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from qualification.models.audit import AuditEntry
from qualification.models.record import Record
from qualification.records.audit import events_of

VERBS = {
    "create": "started it",
    "change": "changed it",
    "results": "entered test results",
    "submit": "submitted it for review",
    "take_back": "recalled it to draft",
    "return": "returned it to the author",
    "approve": "approved it",
    "withdraw": "withdrew it",
    "set_aside": "set it aside",
    "supersede": "approved a later revision, which supersedes it",
    "revise": "started this revision",
    "move_to_edition": "put it under another edition",
    "move_records": "moved records to another edition",
    "issue": "had its document made",
    "sign": "signed its document",
    "issue_packet": "issued it",
    "hand_over": "handed it over",
    "recall": "told a recipient that it is no longer current",
    "question": "questioned the ability it shows",
    "unquestion": "took the question back",
    "choose_way": "stated its revalidation method",
    "confirm_validity": "recorded a confirmation of it",
    "prolong": "recorded a prolongation of it",
    "state_conditions": "stated the conditions of its way",
    "strike_act": "struck an entry of its validity",
    "use": "recorded a use",
    "strike": "struck a use from the log",
    "log": "logged",
    "strike_log": "struck a line of its log",
    "import": "imported a list into it",
    "confirm_row": "confirmed it",
    "correct_row": "corrected it",
    "take_back_check": "took the check back",
    "limit": "added it",
    "end_limit": "ended it",
    "begin_edition": "began it",
    "see_parent": "looked at what the edition it began from changed, and kept its rows",
    "change_edition": "changed its tables",
    "change_cases": "changed its cases",
    "publish_edition": "published it",
    "withdraw_edition": "withdrew it",
    "discard_edition": "discarded the draft",
    "receive_edition": "imported it from another shop",
    "export_edition": "exported it",
    "decide": "decided it by the code",
    "withdraw_decision": "withdrew it",
    "accepted": "accepted it",
    "rejected": "marked it as not accepted",
    "reopen": "took its verdict back",
    "photo": "took a photo of it",
    "place": "placed it on a drawing",
    "unplace": "took it off a drawing",
    "remove_photo": "removed a photo of it",
    "remove": "removed it",
    "archive": "put it into the archive",
    "unarchive": "took it out of the archive",
    "waveform": "uploaded a waveform file of it",
    "remove_waveform": "removed a waveform file of it",
    "sign_in": "signed in",
    "sign_in_failed": "failed to sign in",
    "passphrase_failed": "entered a wrong passphrase for a signature",
    "set_password": "gave it a new password",
    "change_password": "changed the own password",
    "second_step": "set up the second step of signing in",
    "second_step_off": "took off the second step of signing in",
    "certify": "put it on file",
    "revoke": "revoked it",
    "backup": "backed up the shop",
    "clear_left_over": "removed files of papers that belong to no record",
    "restore": "restored the shop from a backup",
    "download": "opened its file",
    "take_back_link": "took the link back",
    "remove_personal": "removed name and private data",
    "personal_file": "took out all that is held about the person",
    "review_trail": "reviewed the audit trail",
    "open_link": "opened it",
    "deactivate": "marked as no longer active",
    "activate": "marked as active again",
    "attach": "attached it",
    "leave aside": "left it aside",
    "take back": "pointed it out again",
    "accept_certificate": "accepted it",
    "judge_again": "judged the records again",
    "see": "saw what it changes",
}
"""What a person did, by the verb the audit trail keeps. A verb without words is shown as it is."""


@dataclass(frozen=True)
class Event:
    """One line of a history."""

    at: datetime
    who: str
    did: str
    to: str
    """The revision or person it was done to, as it was named then."""
    detail: str
    """The reason given, or what else has to be known; empty when nothing."""


def event_of(entry: AuditEntry) -> Event:
    """The entry as a sentence: who, did what, to which, and why."""
    detail = next((str(entry.data[key]) for key in ("reason", "change", "detail") if entry.data.get(key)), "")
    return Event(
        entry.at,
        entry.actor_name,
        VERBS.get(entry.verb, entry.verb.replace("_", " ")),
        entry.record_name,
        detail,
    )


def history_of(record: Record) -> list[Event]:
    """The history of all revisions of the record's number, newest first."""
    return [event_of(entry) for entry in events_of(record)]


def history_about(kind: str, record_id: int) -> list[Event]:
    """The history of something that has no revisions, such as a welder, newest first."""
    found = AuditEntry.objects.filter(record_kind=kind, record_id=record_id).order_by("-id")
    return [event_of(entry) for entry in found]

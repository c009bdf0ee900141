"""What the upper app shows in the lower one, and on its own Today: registered once, at the start."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate

import wps.procedures.approval  # noqa: F401  registers what approval asks and freezes
from qualification.links import (
    EDITION_SOURCES,
    PICTURES,
    SCANS,
    SOURCES,
    TEST_ACTIONS,
    TRIAL_ACTIONS,
    TRIAL_SOURCES,
    WELDER_PAGES,
    WINDOW_ACTIONS,
)
from qualification.models.record import UNSIGNED_AMONG
from qualification.records import change_marks
from qualification.records.workflow import AFTER_APPROVAL
from qualification.waveforms.task_queue import QUEUES
from wps import (
    checks,  # noqa: F401  registers the system checks
    trial_links,
)
from wps.background import tasks
from wps.documents.attached import pictures_of, scans_of
from wps.documents.attachments import attachments_of_test
from wps.documents.issuing import begin_issue
from wps.documents.record_links import document_of_test
from wps.documents.unsigned import unsigned_among
from wps.find import triggers
from wps.links import jobs_under, lapse_page, procedure_of, procedures_on, procedures_under
from wps.today import (
    assignments,
    attention,
    backups,
    limits,
    machine,
    papers,
    personal,
    trail,
    upgrades,
)

IDLE_TABLES = (
    "qualification_quietcheck",
    "wps_attachment",
    "wps_backgroundtask",
    "wps_backupplan",
    "wps_calendarfeed",
    "wps_couponcosts",
    "wps_detail",
    "wps_filecheck",
    "wps_importcolumns",
    "wps_job",
    "wps_joblink",
    "wps_keptanswer",
    "wps_listimport",
    "wps_lot",
    "wps_mapmark",
    "wps_packet",
    "wps_packetitem",
    "wps_part",
    "wps_searchword",
    "wps_transmittal",
    "wps_weldevent",
    "wps_weldevent_lots",
    "wps_weldevent_uses",
    "wps_weldimport",
)
"""What a job, a paper beside a record, a packet or a task says decides nothing about what is qualified."""
FOR_THE_SEARCH = ("wps_searchdue", "wps_searchentry", "wps_searchplace")
"""Worked out of all others, thousands of rows at once."""


def register(app: AppConfig) -> None:
    SOURCES.append(procedures_on)
    EDITION_SOURCES.extend((procedures_under, jobs_under))
    UNSIGNED_AMONG.append(unsigned_among)
    TEST_ACTIONS.append(procedure_of)
    AFTER_APPROVAL.append(begin_issue)
    SOURCES.append(document_of_test)
    PICTURES.append(pictures_of)
    SCANS.append(scans_of)
    SOURCES.append(attachments_of_test)
    TRIAL_ACTIONS.append(trial_links.preliminary_procedure)
    WINDOW_ACTIONS.append(trial_links.procedure_of_window)
    TRIAL_SOURCES.append(trial_links.procedures_from)
    TRIAL_SOURCES.append(trial_links.report_of_trial)
    TRIAL_SOURCES.append(trial_links.cost_of_trial)
    QUEUES.append(tasks.queue)
    WELDER_PAGES.append(lapse_page)
    attention.SOURCES[:0] = assignments.SOURCES  # work that may not go on comes first
    for each in (papers, limits, trail, upgrades, backups, machine, personal):
        attention.SOURCES.extend(each.SOURCES)
    change_marks.IDLE.update(IDLE_TABLES)
    change_marks.UNWATCHED.update(FOR_THE_SEARCH)
    post_migrate.connect(change_marks.after_migrations, sender=app)
    post_migrate.connect(triggers.after_migrations, sender=app)

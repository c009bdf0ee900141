"""Models of the upper app, one file per noun."""

from wps.models.backup_plan import BackupPlan
from wps.models.calendar_feed import CalendarFeed
from wps.models.checks import FileCheck
from wps.models.coupon_costs import CouponCosts
from wps.models.documents import Attachment, AttachmentKind, IssuedDocument, Stage
from wps.models.job import Job, Part
from wps.models.job_link import JobLink
from wps.models.kept_answer import KeptAnswer
from wps.models.list_import import ListImport, ListScan
from wps.models.packets import Packet, PacketItem, PacketState, Transmittal
from wps.models.rejudging import Rejudging
from wps.models.search import SearchDue, SearchEntry, SearchPlace, SearchWord
from wps.models.signing import PersonalCertificate, SignatureTaken
from wps.models.spec import Spec
from wps.models.task import BackgroundTask, TaskState
from wps.models.weld_list import Detail, ImportColumns, WeldImport
from wps.models.weld_log import Lot, LotKind, Result, Step, WeldEvent
from wps.models.weld_map import MapMark

__all__ = [
    "MapMark",
    "Attachment",
    "AttachmentKind",
    "BackgroundTask",
    "BackupPlan",
    "CalendarFeed",
    "CouponCosts",
    "Detail",
    "FileCheck",
    "ImportColumns",
    "IssuedDocument",
    "Job",
    "JobLink",
    "KeptAnswer",
    "ListImport",
    "ListScan",
    "Lot",
    "LotKind",
    "Packet",
    "PacketItem",
    "PacketState",
    "Part",
    "PersonalCertificate",
    "Rejudging",
    "Result",
    "SearchDue",
    "SearchEntry",
    "SearchPlace",
    "SearchWord",
    "SignatureTaken",
    "Spec",
    "Stage",
    "Step",
    "TaskState",
    "Transmittal",
    "WeldEvent",
    "WeldImport",
]

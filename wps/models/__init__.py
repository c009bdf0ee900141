"""Models of the upper app, one file per noun."""

from wps.models.checks import FileCheck
from wps.models.documents import Attachment, AttachmentKind, IssuedDocument, Stage
from wps.models.job import Job, Part
from wps.models.packets import Packet, PacketItem, PacketState, Transmittal
from wps.models.rejudging import Rejudging
from wps.models.signing import PersonalCertificate, SignatureTaken
from wps.models.spec import Spec
from wps.models.task import BackgroundTask, TaskState

__all__ = [
    "Attachment",
    "AttachmentKind",
    "BackgroundTask",
    "FileCheck",
    "IssuedDocument",
    "Job",
    "Packet",
    "PacketItem",
    "PacketState",
    "Part",
    "PersonalCertificate",
    "Rejudging",
    "SignatureTaken",
    "Spec",
    "Stage",
    "TaskState",
    "Transmittal",
]

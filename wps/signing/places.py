"""The places on a document that take a signature: the field of each, its words, and the role it takes."""

from __future__ import annotations

from qualification.roles import APPROVER, AUTHOR, READER
from wps.models import Stage

FIELDS = {
    Stage.AUTHOR: "SignatureAuthor",
    Stage.APPROVER: "SignatureApprover",
    Stage.WITNESS: "SignatureWitness",
}
LABELS = {
    Stage.AUTHOR: "Signature of the author",
    Stage.APPROVER: "Signature of the approver",
    Stage.WITNESS: "Signature of the witness",
}
ROLE_OF = {Stage.AUTHOR: AUTHOR, Stage.APPROVER: APPROVER, Stage.WITNESS: READER}
"""The role that signing in each place takes; whoever writes or approves also reads."""
ISSUERS = (AUTHOR, APPROVER)
"""Roles of which a packet's issuer holds one."""

"""What people do while the server is killed: each act goes by pages, and may end anywhere."""

from __future__ import annotations

from collections.abc import Callable
from itertools import count
from random import Random

from tests.served import Answer, Visitor
from wps.demo.people import PASSWORD

PASSPHRASE = "crossing the harbour by night"
ROWS = 7
"""Welders of one imported list: all of them are there afterwards, or none."""
STAMP = "KX"
"""Begins the stamps of imported welders; then the list's number, a hyphen and the row."""


class NotDone(Exception):
    """The program refused, or failed, where it should not have."""


class Acts:
    """An author, an approver and a shop administrator at work."""

    def __init__(self, address: str, random: Random) -> None:
        self.random, self.lists = random, count(1)
        self.author, self.approver, self.administrator = (
            Visitor(address).sign_in(name, PASSWORD) for name in ("maren", "tobias", "hedda")
        )

    def make_certificates(self) -> None:
        """What the two need for signing."""
        for visitor in (self.author, self.approver):
            _done(
                visitor.post("/certificate/make/", {"make-passphrase": PASSPHRASE, "make-again": PASSPHRASE})
            )

    def all(self) -> list[Callable[[], None]]:
        """The acts, in the order of a working day."""
        return [self.approve, self.sign, self.put_together, self.bring_in, self.back_up]

    def approve(self) -> None:
        """Take one procedure all the way from its newest revision to the approval of the next."""
        from qualification.models import State
        from wps.models import Spec

        newest: dict[str, Spec] = {}
        for spec in Spec.objects.exclude(state__in=[State.WITHDRAWN, State.SUPERSEDED]).order_by("pk"):
            newest[spec.number] = spec
        spec = self.random.choice(list(newest.values()))
        if spec.state == State.APPROVED:
            came = _sent(self.author, f"/procedures/{spec.pk}/revise/", {"change_note": "Wording"})
            spec = Spec.objects.filter(number=spec.number).order_by("-pk")[0]
            if "/edit/" not in came.address:
                return
        _sent(self.author, f"/procedures/{spec.pk}/step/", {"action": "submit"})
        approval = {"action": "approve", "own_password": PASSWORD}
        _sent(self.approver, f"/procedures/{spec.pk}/step/", approval)

    def sign(self) -> None:
        """Sign all that waits."""
        for visitor in (self.author, self.approver):
            _sent(visitor, "/to-sign/", {"all": "1", "passphrase": PASSPHRASE})

    def put_together(self) -> None:
        """Assemble a packet of a job, or sign one that is assembled."""
        from wps.models import Job, Packet, PacketState

        ready = Packet.objects.filter(state=PacketState.READY).first()
        if ready is not None:
            _sent(self.author, f"/packets/{ready.pk}/sign/", {"passphrase": PASSPHRASE, "way": "by hand"})
            ready.refresh_from_db()
            if ready.state != PacketState.READY:
                return  # else a document in it was signed meanwhile, and it is assembled again
        packet = ready or Packet.objects.filter(state=PacketState.DRAFT).first()
        if packet is None:
            job = self.random.choice(list(Job.objects.all()))
            address = f"/packets/new/?job={job.pk}"
            entries = self.author.get(address).form(address)
            _done(self.author.post(address, entries), allowed=500)
            packet = Packet.objects.filter(state=PacketState.DRAFT).first()
            if packet is None:
                return  # a procedure it offered was revised meanwhile
        _sent(self.author, f"/packets/{packet.pk}/assemble/", {"statement": "Issued as agreed."})

    def bring_in(self) -> None:
        """Import a list of welders."""
        number = next(self.lists)
        rows = [f"Imported Person{number}x{row}\t{STAMP}{number}-{row}" for row in range(ROWS)]
        pasted = "\n".join(["Name\tStamp", *rows])
        address = "/import/?target=welders"
        entries = self.author.get(address).form(address) | {"pasted": [pasted]}
        listed = _done(self.author.post(address, entries))
        path = listed.address.removeprefix(self.author.address)
        _sent(self.author, path, {"do": "import", "token": listed.form(path)["token"][0]})

    def back_up(self) -> None:
        """Ask for a backup."""
        _sent(self.administrator, "/shop/backups/now/", {})


def _sent(visitor: Visitor, path: str, entries: dict[str, str]) -> Answer:
    """The program may refuse it, and may not fail. The page it leads to is left unread."""
    return _done(visitor.post(path, entries, follow=False), allowed=500)


def _done(answer: Answer, allowed: int = 400) -> Answer:
    if answer.status >= allowed:
        raise NotDone(f"{answer.address} answered {answer.status}")
    return answer

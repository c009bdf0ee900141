"""`python -m tests.second_shop FILE`: a shop with a database of its own takes in the exported edition in that
file and publishes it. Prints as JSON what it then holds."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from cryptography.hazmat.primitives import hashes

from tests.own_shop import own_shop

SHOP = "Harrow Lane Fabrication"


def taken_in(archive: bytes) -> dict[str, Any]:
    """The edition as this shop has it, received as a draft and then published."""
    from qualification.codes import own_editions
    from qualification.codes.editions import available_editions
    from qualification.models import OwnEdition, Shop
    from tests import cast
    from wps.outside.edition_archive import read_archive, take_in
    from wps.signing.people import shop_authority

    cast.shop()
    Shop.objects.update(name=SHOP)
    person = cast.approver()
    held_before = OwnEdition.objects.count()
    own = take_in(read_archive(archive), person)
    was_draft, was_offered = own.is_draft, own.key in dict(available_editions())
    own_editions.DOCUMENTS = 1
    own_editions.publish(own, person)
    own.refresh_from_db()
    return {
        "shop": Shop.current().name,
        "held_before": held_before,
        "authority": shop_authority().certificate.fingerprint(hashes.SHA256()).hex(),
        "key": own.key,
        "name": own.name,
        "fingerprint": own.fingerprint,
        "received": own.received,
        "was_draft": was_draft,
        "was_offered": was_offered,
        "is_offered": own.key in dict(available_editions()),
        "proof": own.proof,
    }


if __name__ == "__main__":
    with own_shop(has_demo=False):
        print(json.dumps(taken_in(Path(sys.argv[1]).read_bytes())))

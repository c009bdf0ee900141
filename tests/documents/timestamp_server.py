"""A tiny timestamp server on this machine, with throw-away keys: what a real RFC 3161 server answers."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from http.server import BaseHTTPRequestHandler, HTTPServer
from threading import Thread

from asn1crypto import keys, tsp
from asn1crypto import x509 as asn1
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import rsa
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID
from pyhanko.sign.timestamps import DummyTimeStamper


@contextmanager
def timestamp_server() -> Iterator[str]:
    """The address of a server that answers until the block ends."""
    stamper = _stamper()

    class Answer(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            asked = tsp.TimeStampReq.load(self.rfile.read(int(self.headers["Content-Length"])))
            answer = stamper.request_tsa_response(asked).dump()
            self.send_response(200)
            self.send_header("Content-Type", "application/timestamp-reply")
            self.end_headers()
            self.wfile.write(answer)

        def log_message(self, *words: object) -> None:
            return

    server = HTTPServer(("127.0.0.1", 0), Answer)
    thread = Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/tsr"
    finally:
        server.shutdown()
        server.server_close()


def _stamper() -> DummyTimeStamper:
    key = rsa.generate_private_key(65537, 2048)
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Throw-away timestamps")])
    now = datetime.now(UTC)
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(1)
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=1))
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.TIME_STAMPING]), critical=True)
        .sign(key, hashes.SHA256())
    )
    return DummyTimeStamper(
        asn1.Certificate.load(certificate.public_bytes(Encoding.DER)),
        keys.PrivateKeyInfo.load(key.private_bytes(Encoding.DER, PrivateFormat.PKCS8, NoEncryption())),
    )

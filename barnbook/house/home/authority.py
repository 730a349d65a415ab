"""The house's own certificate authority, made once, and the certificate that it gives this house for its addresses.

A phone that trusts the authority trusts it for names and addresses of a home network alone (its name constraints), so
that a stolen key fakes no bank. Lifetimes: a certificate lasts 397 days, less than the 825 that Apple allows
(support.apple.com/en-us/103769), and is renewed by itself when 97 are left.
"""

from __future__ import annotations

import ipaddress
import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

Address = ipaddress.IPv4Address | ipaddress.IPv6Address

AUTHORITY_LASTS = timedelta(days=3650)
LASTS = timedelta(days=397)
RENEWED_WITH_LEFT = timedelta(days=97)
BEFORE = timedelta(days=1)  # a phone's clock may be behind
NAMES = ("local", "localhost", "home.arpa")
NETWORKS = (
    *("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8"),
    *("fc00::/7", "fe80::/10", "::1/128"),
)


@dataclass(frozen=True, slots=True)
class Papers:
    """Files of the house's own: what the server shows, and the authority's certificate, which phones are to trust."""

    certificate: Path
    key: Path
    authority: Path


def papers(folder: Path, *, names: Sequence[str], addresses: Sequence[Address], now: datetime) -> Papers:
    """The house's papers in that folder, for these names and addresses: made, renewed or left as they are."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    held = Papers(folder / "house.pem", folder / "house.key", folder / "authority.pem")
    key_file = folder / "authority.key"
    if not key_file.exists() or not held.authority.exists():
        _make_authority(key_file, held.authority, now)
    if not _still_good(held, names, addresses, now):
        _make_certificate(held, key_file, names, addresses, now)
    return held


def days_left(certificate: Path, now: datetime) -> int:
    """Whole days until that certificate ends; below 0 once it has."""
    return (x509.load_pem_x509_certificate(certificate.read_bytes()).not_valid_after_utc - now).days


def fingerprint(authority: Path) -> str:
    """The authority's SHA-256 in pairs, to be compared by eye."""
    return x509.load_pem_x509_certificate(authority.read_bytes()).fingerprint(hashes.SHA256()).hex(":").upper()


def as_der(authority: Path) -> bytes:
    """The authority's certificate as phones take it."""
    return x509.load_pem_x509_certificate(authority.read_bytes()).public_bytes(serialization.Encoding.DER)


def _still_good(held: Papers, names: Iterable[str], addresses: Iterable[Address], now: datetime) -> bool:
    try:
        certificate = x509.load_pem_x509_certificate(held.certificate.read_bytes())
        authority = x509.load_pem_x509_certificate(held.authority.read_bytes())
        certificate.verify_directly_issued_by(authority)
        shown = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
        serialization.load_pem_private_key(held.key.read_bytes(), None)
    except Exception:  # lacking, cut short, of another authority: made anew
        return False
    covered = set(shown.get_values_for_type(x509.DNSName)), set(shown.get_values_for_type(x509.IPAddress))
    if not (set(names) <= covered[0] and set(addresses) <= covered[1]):
        return False
    return certificate.not_valid_before_utc <= now < certificate.not_valid_after_utc - RENEWED_WITH_LEFT


def _make_authority(key_file: Path, certificate_file: Path, now: datetime) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"Barnbook of this house, {now:%Y-%m-%d}")])
    networks = [x509.IPAddress(ipaddress.ip_network(each)) for each in NETWORKS]
    usage = x509.KeyUsage(
        digital_signature=False,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=True,
        crl_sign=True,
        encipher_only=False,
        decipher_only=False,
    )
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - BEFORE)
        .not_valid_after(now + AUTHORITY_LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(
            x509.NameConstraints([*(x509.DNSName(each) for each in NAMES), *networks], excluded_subtrees=None),
            critical=True,
        )
        .sign(key, hashes.SHA256())
    )
    _write(key_file, _pem(key))
    _write(certificate_file, made.public_bytes(serialization.Encoding.PEM))


def _make_certificate(
    held: Papers, authority_key: Path, names: Sequence[str], addresses: Sequence[Address], now: datetime
) -> None:
    authority = x509.load_pem_x509_certificate(held.authority.read_bytes())
    signing = serialization.load_pem_private_key(authority_key.read_bytes(), None)
    assert isinstance(signing, ec.EllipticCurvePrivateKey)
    key = ec.generate_private_key(ec.SECP256R1())
    shown = [*(x509.DNSName(each) for each in names), *(x509.IPAddress(each) for each in addresses)]
    usage = x509.KeyUsage(
        digital_signature=True,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=False,
        crl_sign=False,
        encipher_only=False,
        decipher_only=False,
    )
    made = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, names[0])]))
        .issuer_name(authority.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - BEFORE)
        .not_valid_after(min(now + LASTS, authority.not_valid_after_utc))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(shown), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(authority.public_key()),  # type: ignore[arg-type]
            critical=False,
        )
        .sign(signing, hashes.SHA256())
    )
    _write(held.key, _pem(key))
    _write(held.certificate, made.public_bytes(serialization.Encoding.PEM))


def _pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )


def _write(path: Path, content: bytes) -> None:
    """Whole or not at all, and readable by the owner alone."""
    new = path.with_suffix(f".{os.getpid()}")
    as_it_is = getattr(os, "O_BINARY", 0)  # else Windows writes its own line ends
    with os.fdopen(os.open(new, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | as_it_is, 0o600), "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    os.replace(new, path)

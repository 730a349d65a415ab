"""The certificates' fields, which a browser does not hold against them, and when they are made anew."""

from __future__ import annotations

import ipaddress
import ssl
import stat
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from cryptography import x509
from cryptography.x509 import verification

from barnbook.house.home.authority import AUTHORITY_LASTS, days_left, fingerprint, papers

NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)
NAMES = ("barnbook.local", "localhost")
ADDRESSES = (ipaddress.ip_address("192.168.4.17"), ipaddress.ip_address("127.0.0.1"))


def made(folder: Path, *, now: datetime = NOW, addresses: Any = ADDRESSES) -> bytes:
    return papers(folder, names=NAMES, addresses=addresses, now=now).certificate.read_bytes()


def test_its_fields(tmp_path: Path) -> None:
    held = papers(tmp_path / "home", names=NAMES, addresses=ADDRESSES, now=NOW)
    house = x509.load_pem_x509_certificate(held.certificate.read_bytes())
    authority = x509.load_pem_x509_certificate(held.authority.read_bytes())
    # Apple: at most 825 days, serverAuth, names in SubjectAlternativeName (support.apple.com/en-us/103769).
    assert house.not_valid_after_utc - house.not_valid_before_utc <= timedelta(days=398)
    usage = house.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    assert [each.dotted_string for each in usage] == ["1.3.6.1.5.5.7.3.1"]
    shown = house.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert tuple(shown.get_values_for_type(x509.DNSName)) == NAMES
    assert tuple(shown.get_values_for_type(x509.IPAddress)) == ADDRESSES
    for each in (x509.BasicConstraints, x509.KeyUsage, x509.NameConstraints):
        assert authority.extensions.get_extension_for_class(each).critical
    constraints = authority.extensions.get_extension_for_class(x509.NameConstraints).value
    assert x509.DNSName("local") in (constraints.permitted_subtrees or [])
    assert len(fingerprint(held.authority)) == 32 * 3 - 1
    for path in (tmp_path / "home").iterdir():
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE((tmp_path / "home").stat().st_mode) == 0o700
    ssl.create_default_context(cafile=str(held.authority))


@pytest.mark.parametrize(("host", "good"), [("barnbook.local", True), ("192.168.4.17", True), ("192.168.4.18", False)])
def test_it_is_verified_for_its_own_names(tmp_path: Path, host: str, good: bool) -> None:
    held = papers(tmp_path, names=NAMES, addresses=ADDRESSES, now=NOW)
    store = verification.Store([x509.load_pem_x509_certificate(held.authority.read_bytes())])
    name: Any = x509.IPAddress(ipaddress.ip_address(host)) if host[0].isdigit() else x509.DNSName(host)
    verifier = verification.PolicyBuilder().store(store).time(NOW).build_server_verifier(name)
    house = x509.load_pem_x509_certificate(held.certificate.read_bytes())
    if good:
        verifier.verify(house, [])
    else:
        with pytest.raises(verification.VerificationError):
            verifier.verify(house, [])


def test_it_cannot_stand_for_a_bank(tmp_path: Path) -> None:
    held = papers(tmp_path, names=("bank.example",), addresses=(), now=NOW)
    store = verification.Store([x509.load_pem_x509_certificate(held.authority.read_bytes())])
    verifier = verification.PolicyBuilder().store(store).time(NOW).build_server_verifier(x509.DNSName("bank.example"))
    with pytest.raises(verification.VerificationError, match=r"constraint|permitted"):
        verifier.verify(x509.load_pem_x509_certificate(held.certificate.read_bytes()), [])


def test_when_it_is_made_anew(tmp_path: Path) -> None:
    first = made(tmp_path)
    authority = (tmp_path / "authority.pem").read_bytes()
    assert made(tmp_path, now=NOW + timedelta(days=299)) == first
    assert made(tmp_path, addresses=ADDRESSES[1:]) == first, "an address less is no reason"
    renewed = made(tmp_path, now=NOW + timedelta(days=301))
    assert renewed != first
    assert days_left(tmp_path / "house.pem", NOW + timedelta(days=301)) == 397
    assert made(tmp_path, addresses=[*ADDRESSES, ipaddress.ip_address("192.168.4.99")]) != renewed
    (tmp_path / "house.key").write_text("cut sh")
    assert made(tmp_path) != renewed
    assert (tmp_path / "authority.pem").read_bytes() == authority, "phones need trust it once"


def test_the_last_certificate_ends_with_its_authority(tmp_path: Path) -> None:
    made(tmp_path)
    late = NOW + AUTHORITY_LASTS - timedelta(days=200)
    made(tmp_path, now=late)
    assert days_left(tmp_path / "house.pem", late) == 200

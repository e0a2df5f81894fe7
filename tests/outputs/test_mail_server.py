"""A letter arrives whole, at a real mail server; what a server refuses is told in one sentence."""

import os
import socket
import ssl
from dataclasses import replace
from email import message_from_bytes, policy

import keyring
import pytest
import trustme
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import AuthResult, LoginPassword
from keyring.backend import KeyringBackend
from keyring.backends.fail import Keyring as Nothing

from mockup.errors import DesignError, OutputError
from mockup.outputs.mail import compose
from mockup.outputs.mail_server import PASSWORD as PASSWORD_SETTING
from mockup.outputs.mail_server import MailServer, read_mail_server, send
from tests.outputs.test_mail import FILES, LETTER

# A server of this machine alone may ask for a login in plain sight.
pytestmark = pytest.mark.filterwarnings("ignore:Requiring AUTH while not requiring TLS")

PASSWORD = "deep water 9"


class Post:
    """What the server takes: the letters, and who is refused."""

    def __init__(self):
        self.letters = []

    async def handle_RCPT(self, server, session, envelope, address, options):  # noqa: N802
        """Nobody lives at nobody@."""
        if address.startswith("nobody"):
            return "550 there is nobody of that name"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server, session, envelope):  # noqa: N802
        """Keep the letter as it came."""
        if b"forbidden" in envelope.content:
            return "554 no such words here"
        self.letters.append((envelope.mail_from, envelope.rcpt_tos, envelope.content))
        return "250 OK"


def _login(server, session, envelope, mechanism, given):
    known = isinstance(given, LoginPassword) and given == LoginPassword(
        b"studio", PASSWORD.encode()
    )
    return AuthResult(success=known, handled=False)


OFFERS = {  # by what the server offers: how it is set up
    "starttls": {"require_starttls": True, "auth_required": True},
    "tls": {"auth_required": True, "auth_require_tls": False},
    "no login": {},
    "plain login": {"auth_required": True, "auth_require_tls": False},
}


@pytest.fixture(scope="module")
def certified():
    """A certificate of this machine, and the authority that gave it."""
    authority = trustme.CA()
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    authority.issue_cert("localhost").configure_cert(context)
    return authority, context


@pytest.fixture
def start(certified, monkeypatch, tmp_path):
    """Starts a server on this machine, and gives how it is reached and what it took."""
    authority, context = certified
    authority.cert_pem.write_to_path(str(tmp_path / "trust.pem"))
    monkeypatch.setenv("SSL_CERT_FILE", str(tmp_path / "trust.pem"))
    monkeypatch.setenv(PASSWORD_SETTING, PASSWORD)
    running = []

    def started(offers="starttls"):
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = free.getsockname()[1]
        secured = {"starttls": {"tls_context": context}, "tls": {"ssl_context": context}}
        post = Post()
        controller = Controller(
            post, hostname="127.0.0.1", port=port, server_hostname="localhost",
            ready_timeout=60, authenticator=_login, **OFFERS[offers], **secured.get(offers, {}),
        )  # fmt: skip
        controller.start()
        running.append(controller)
        security = offers if offers in secured else "none"
        user = None if offers == "no login" else "studio"
        return MailServer(
            format=1, sender="studio@example.org", host="localhost", port=port,
            security=security, user=user,
        ), post  # fmt: skip

    yield started
    for controller in running:
        controller.stop()


@pytest.mark.parametrize("offers", OFFERS)
def test_a_letter_arrives_whole_with_its_attachments_byte_for_byte(start, offers):
    server, post = start(offers)

    send(compose(LETTER), server)

    ((mail_from, recipients, content),) = post.letters
    assert (mail_from, recipients) == ("studio@example.org", ["wen@example.org"])
    came = message_from_bytes(content, policy=policy.default)
    assert came["Subject"] == LETTER.subject
    assert came["To"].addresses[0].display_name == "Wen Hårbour"
    assert came["From"].addresses[0].addr_spec == "studio@example.org"
    assert came["Date"].datetime.tzinfo is not None
    assert came["Message-ID"].endswith("@example.org>")
    body, *attached = came.iter_parts()
    assert body.get_content().replace("\r\n", "\n") == LETTER.text + "\n"
    assert [part.get_payload(decode=True) for part in attached] == [f.data for f in FILES]
    assert [part.get_filename() for part in attached] == [
        "proof.pdf", "page.html", "Riemen & Ruder-№ 4.unknown", "empty.txt",
    ]  # fmt: skip
    assert [part.get_content_type() for part in attached] == [
        "application/pdf", "text/html", "application/octet-stream", "text/plain",
    ]  # fmt: skip


def fault_of(letter, server):
    with pytest.raises(OutputError) as told:
        send(compose(letter), server)
    sentence = str(told.value)
    assert "\n" not in sentence
    assert PASSWORD not in sentence
    return sentence


def to(address, **changes):
    return replace(LETTER, to=address, **changes)


def test_a_wrong_password_is_told(start, monkeypatch):
    server, post = start()
    monkeypatch.setenv(PASSWORD_SETTING, "shallow water")

    assert "the server refuses this name or password" in fault_of(LETTER, server)
    assert post.letters == []


def test_a_refused_recipient_is_told_with_the_servers_words(start):
    server, post = start()

    assert "refuses the recipient nobody@example.org (550 there is nobody of that name)" in (
        fault_of(to("nobody@example.org"), server)
    )
    assert post.letters == []


def test_a_refused_letter_is_told(start):
    server, _ = start()

    told = fault_of(replace(LETTER, text="forbidden", attachments=()), server)

    assert "refuses the letter (554 no such words here)" in told


def test_no_server_is_told(start):
    server, _ = start()
    nobody = server.model_copy(update={"port": 1})

    assert "localhost:1: no mail server answers there (Connection refused)" in (
        fault_of(LETTER, nobody)
    )


def test_a_host_that_is_not_there_is_told(start):
    server, _ = start()

    assert "no mail server answers there" in (
        fault_of(LETTER, server.model_copy(update={"host": "mail.invalid"}))
    )


def test_a_server_that_speaks_otherwise_is_told(start):
    server, _ = start("no login")

    asked = server.model_copy(update={"security": "starttls"})
    assert "does not offer what is asked of it (STARTTLS" in fault_of(LETTER, asked)
    assert "no mail server answers" in (
        fault_of(LETTER, server.model_copy(update={"security": "tls"}))
    )


@pytest.mark.parametrize("offers", ["starttls", "tls"])
def test_a_server_that_nobody_vouches_for_gets_neither_password_nor_letter(
    start, offers, monkeypatch
):
    server, post = start(offers)
    monkeypatch.delenv("SSL_CERT_FILE")

    assert "the server cannot be trusted" in fault_of(LETTER, server)
    assert post.letters == []


def test_a_password_never_goes_in_plain_sight_over_a_network():
    server = MailServer(
        format=1, sender="a@example.org", host="mail.example.org", security="none", user="studio"
    )

    assert "would go over the network in plain sight" in fault_of(LETTER, server)


class Ring(KeyringBackend):
    """The system's keyring, with one password in it."""

    priority = 1

    def get_password(self, service, name):
        """Ours, or none."""
        return PASSWORD if (service, name) == ("tumbler-mockup", "studio@localhost") else None

    def set_password(self, service, name, password):
        """Nobody asked for it."""
        raise AssertionError("a password was to be kept")

    def delete_password(self, service, name):
        """Nobody asked for it."""
        raise AssertionError("a password was to be taken out")


@pytest.fixture
def ring(monkeypatch):
    before = keyring.get_keyring()
    monkeypatch.delenv(PASSWORD_SETTING, raising=False)
    yield keyring.set_keyring
    keyring.set_keyring(before)


def test_the_password_comes_from_the_keyring(start, ring):
    server, post = start()
    ring(Ring())
    os.environ.pop(PASSWORD_SETTING, None)

    send(compose(LETTER), server)

    assert len(post.letters) == 1


def test_without_a_password_it_says_where_to_put_one(start, ring):
    server, _ = start()
    os.environ.pop(PASSWORD_SETTING, None)
    ring(Nothing())

    told = fault_of(LETTER, server)

    assert "there is no password" in told
    assert "`keyring set tumbler-mockup studio@localhost`" in told


def test_settings_stand_in_a_file_and_the_environment_wins(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    with pytest.raises(OutputError, match="no mail server is told of"):
        read_mail_server()

    monkeypatch.setenv("TUMBLER_MOCKUP_MAIL_HOST", "other.example.org")
    monkeypatch.setenv("TUMBLER_MOCKUP_MAIL_SENDER", "other@example.org")
    assert read_mail_server().at == "other.example.org:587"

    (tmp_path / "tumbler-mockup").mkdir()
    file = tmp_path / "tumbler-mockup" / "mail.toml"
    file.write_text(
        'format = 1\nsender = "studio@example.org"\nhost = "mail.example.org"\nport = 25\n'
    )
    monkeypatch.setenv("TUMBLER_MOCKUP_MAIL_PORT", "2525")
    assert read_mail_server().at == "other.example.org:2525"
    for name in ("HOST", "SENDER", "PORT"):
        monkeypatch.delenv(f"TUMBLER_MOCKUP_MAIL_{name}")
    assert read_mail_server().at == "mail.example.org:25"

    file.write_text(file.read_text() + 'password = "x"\n')
    with pytest.raises(DesignError, match="password"):
        read_mail_server()

"""Sends letters through the maker's own mail server (SMTP, RFC 5321; STARTTLS, RFC 3207).

How it is reached stands in ``mail.toml`` in the user's configuration folder or in the environment.
The password is asked of the environment or of the system's keyring each time, and kept nowhere.
"""

import os
import smtplib
import ssl
from collections.abc import Iterator
from contextlib import contextmanager
from email.message import EmailMessage
from pathlib import Path
from typing import Literal

from platformdirs import user_config_path
from pydantic import Field

from mockup.design.fields import Name, Part
from mockup.design.strict import read_document, validate
from mockup.errors import OutputError

__all__ = ["PASSWORD", "MailServer", "mail_path", "read_mail_server", "send"]

PASSWORD = "TUMBLER_MOCKUP_MAIL_PASSWORD"
KEYRING = "tumbler-mockup"  # the service under which the system's keyring holds the password
TIMEOUT_S = 30.0
_SETTING = "TUMBLER_MOCKUP_MAIL_"
_HERE = ("localhost", "127.0.0.1", "::1")


class MailServer(Part):
    """What ``mail.toml`` holds."""

    format: Literal[1]
    sender: Name = Field(description="Your address, such as Studio <studio@example.org>.")
    host: Name
    port: int | None = Field(None, ge=1, le=65535, description="Else 587, or 465 with tls.")
    security: Literal["starttls", "tls", "none"] = "starttls"
    user: Name | None = Field(None, description="None sends without logging in.")

    @property
    def at(self) -> str:
        """Host and port."""
        return f"{self.host}:{self.port or (465 if self.security == 'tls' else 587)}"


def mail_path() -> Path:
    """Where the maker's own mail.toml is looked for: the user's configuration folder."""
    return user_config_path("tumbler-mockup", appauthor=False) / "mail.toml"


def read_mail_server() -> MailServer:
    """How the maker's mail server is reached; what the environment says wins over the file.

    Raises
    ------
    OutputError
        Nothing says so.
    DesignError
        A key or value is wrong.
    """
    path = mail_path()
    said = {
        name: value
        for name in MailServer.model_fields
        if (value := os.environ.get(_SETTING + name.upper())) and name != "format"
    }
    if path.exists():
        server = read_document(MailServer, path, what="mail")
        told = server.model_dump(exclude_unset=True) | _numbers(said)
    elif "host" in said:
        told = {"format": 1, **_numbers(said)}
    else:
        raise OutputError(
            "no mail server is told of",
            where=str(path),
            remedy="Write the file with format = 1, sender and host, or send the draft by hand",
        )
    return validate(MailServer, told, where="mail settings" if said else path.name)


def send(message: EmailMessage, server: MailServer) -> None:
    """Send a letter; when this returns, the server has taken it for everybody.

    Raises
    ------
    OutputError
        The server is not there, cannot be trusted, or refuses the login, the sender, the recipient
        or the letter; or there is no password.
    """
    password = _password(server)
    with _told(server), _connected(server) as connection:
        if server.user is not None:
            connection.login(server.user, password)
        sender, *people = (
            address.addr_spec for name in ("From", "To") for address in message[name].addresses
        )  # smtplib's send_message would write >From where a line of the text begins with From
        refused = connection.sendmail(sender, people, message.as_bytes())
    if refused:
        names = " and ".join(sorted(refused))
        raise OutputError(
            f"it was sent, but not to {names}", where=server.at, remedy="See to that address"
        )


@contextmanager
def _connected(server: MailServer) -> Iterator[smtplib.SMTP]:
    host, _, port = server.at.rpartition(":")
    if server.security == "tls":
        trust = ssl.create_default_context()
        with smtplib.SMTP_SSL(host, int(port), timeout=TIMEOUT_S, context=trust) as connection:
            yield connection
        return
    with smtplib.SMTP(host, int(port), timeout=TIMEOUT_S) as connection:
        if server.security == "starttls":
            connection.starttls(context=ssl.create_default_context())
        yield connection


@contextmanager
def _told(server: MailServer) -> Iterator[None]:
    """Whatever smtplib and the network raise, as one sentence."""
    try:
        yield
    except smtplib.SMTPAuthenticationError as error:
        problem, remedy = "the server refuses this name or password", "See to both, then try again"
        raise OutputError(problem, where=server.at, remedy=remedy) from error
    except smtplib.SMTPRecipientsRefused as error:
        told = "; ".join(f"{name} ({_said(*why)})" for name, why in error.recipients.items())
        raise OutputError(
            f"the server refuses the recipient {told}", where=server.at, remedy="See to the address"
        ) from error
    except smtplib.SMTPNotSupportedError as error:
        raise OutputError(
            f"the server does not offer what is asked of it ({_line(str(error))})",
            where=server.at,
            remedy="Set security to tls, or ask the provider which it is",
        ) from error
    except smtplib.SMTPResponseException as error:
        raise OutputError(
            f"the server refuses the letter ({_said(error.smtp_code, error.smtp_error)})",
            where=server.at,
            remedy="See to the sender's address and the letter's size",
        ) from error
    except ssl.SSLCertVerificationError as error:
        raise OutputError(
            f"the server cannot be trusted ({error.verify_message})",
            where=server.at,
            remedy="See that host is spelled as the provider does",
        ) from error
    except (OSError, smtplib.SMTPException) as error:
        reason = getattr(error, "strerror", None) or str(error) or "no answer"
        raise OutputError(
            f"no mail server answers there ({_line(reason)})",
            where=server.at,
            remedy="See to host, port and security, and to the network",
        ) from error


def _password(server: MailServer) -> str:
    if server.user is None:
        return ""
    if server.security == "none" and server.host not in _HERE:
        raise OutputError(
            "a password would go over the network in plain sight",
            where=server.at,
            remedy="Set security to starttls or tls",
        )
    name = f"{server.user}@{server.host}"
    found = os.environ.get(PASSWORD) or _from_keyring(name)
    if not found:
        raise OutputError(
            "there is no password",
            where=server.at,
            remedy=f"Keep it by `keyring set {KEYRING} {name}`, or set {PASSWORD}",
        )
    return found


def _from_keyring(name: str) -> str | None:
    import keyring
    from keyring.errors import KeyringError

    try:
        return keyring.get_password(KEYRING, name)
    except KeyringError:  # locked, or the system has none
        return None


def _numbers(said: dict[str, str]) -> dict[str, object]:
    return {name: int(v) if name == "port" and v.isdecimal() else v for name, v in said.items()}


def _said(code: int, words: bytes | str) -> str:
    text = words.decode("utf-8", "replace") if isinstance(words, bytes) else words
    return f"{code} {_line(text)}"


def _line(text: str) -> str:
    return " ".join(text.split())[:200].rstrip(".")

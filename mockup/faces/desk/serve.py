"""Starts the desk's server on this machine alone."""

import socket
import threading
import time
import urllib.request
import webbrowser
from pathlib import Path

import streamlit as st

from mockup.errors import OutputError
from mockup.faces.desk.tray import tray_routes

__all__ = ["HOST", "desk_app", "serve"]

HOST = "127.0.0.1"
_SETTINGS = {
    "server.address": HOST,
    "server.headless": True,
    "server.showEmailPrompt": False,
    "server.fileWatcherType": "none",
    "server.allowedHosts": [HOST, "localhost"],
    "server.maxUploadSize": 64,  # MB, as a design's assets
    "browser.gatherUsageStats": False,
    "browser.serverAddress": HOST,
    "client.toolbarMode": "viewer",
    "client.showErrorDetails": "none",
    "client.showErrorLinks": False,
    "client.showSidebarNavigation": False,
    "logger.hideWelcomeMessage": True,
    "theme.base": "light",
    "theme.primaryColor": "#17506a",
    "theme.backgroundColor": "#f3f3f3",
    "theme.secondaryBackgroundColor": "#ffffff",
    "theme.textColor": "#1f2225",
    "theme.borderColor": "#c9cbcd",
    "theme.showWidgetBorder": True,
    "theme.baseRadius": "4px",
    "theme.baseFontSize": 15,
}


def desk_app() -> st.App:
    """The app with the routes that its pictures come by."""
    return st.App(Path(__file__).with_name("app.py"), routes=tray_routes())


def serve(port: int, *, open_browser: bool) -> None:
    """Serve the desk until it is stopped.

    Raises
    ------
    OutputError
        Something else listens on the port.
    """
    _refuse_taken(port)
    if open_browser:
        threading.Thread(target=_open_when_up, args=(port,), daemon=True).start()
    desk_app().run(config={**_SETTINGS, "server.port": port})


def _refuse_taken(port: int) -> None:
    with socket.socket() as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind((HOST, port))
        except OSError as error:
            raise OutputError(
                f"port {port} cannot be used ({error.strerror})",
                where="--port",
                remedy="Close the desk that is open already, or name another port",
            ) from error


def _open_when_up(port: int) -> None:
    """Open the browser as soon as the server answers."""
    for _ in range(200):
        try:
            with urllib.request.urlopen(f"http://{HOST}:{port}/_stcore/health", timeout=1):
                webbrowser.open(f"http://{HOST}:{port}")
                return
        except OSError:
            time.sleep(0.1)

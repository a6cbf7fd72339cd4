"""`lotwire serve`: everything embedded, on loopback, the browser opened on it."""

from __future__ import annotations

import ipaddress
import logging
import socket
import threading
import webbrowser
from pathlib import Path

from ..errors import FaultList
from .settings import ServiceSettings
from .store import Store
from .users import read_tokens


def home_folder(given: Path | None) -> Path:
    """Where a service keeps things: as given, else the user's data folder."""
    from platformdirs import user_data_path

    return (given or user_data_path("lotwire")).absolute()


def settings_for(*, home: Path | None, store: str | None, host: str, port: int, tokens: Path | None, at_once: int, cores: int, cluster: str | None = None) -> ServiceSettings:
    """Checked settings. Raises InputError with every fault; beyond loopback there is no service without tokens."""
    faults = FaultList("serve")
    known = read_tokens(tokens)
    loopback = is_loopback(host)
    if not loopback and not known:
        faults.add("--host", host, "a loopback address such as 127.0.0.1, or tokens for the users", "lotwire token NAME makes one")
    folder = home_folder(home)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        faults.add("--home", str(folder), "a folder that can be written", str(error))
    if port and not _free(host, port):
        faults.add("--port", port, "a port that nothing else uses", "0 takes any")
    faults.raise_if_any()
    settings = ServiceSettings(
        home=folder, store=store, tokens=known, loopback=loopback, at_once=at_once, cores=cores, cluster=cluster,
        compiles_ahead=cluster is None,
    )  # fmt: skip
    kept = Store(settings.store_url)
    kept.check()
    kept.close()
    return settings


def is_loopback(host: str) -> bool:
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return host == "localhost"


def serve(settings: ServiceSettings, host: str, port: int, *, browser: bool) -> None:
    """Serve until stopped."""
    import uvicorn

    from .app import create_app

    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(name)s %(message)s")
    listening = socket.create_server((host, port), family=socket.AF_INET6 if ":" in host else socket.AF_INET, backlog=256)
    address = f"http://{'[' + host + ']' if ':' in host else host}:{listening.getsockname()[1]}/"
    print(f"lotwire serves {address} (Ctrl-C ends it); it keeps things in {settings.home}", flush=True)
    if browser:
        threading.Timer(1.0, webbrowser.open, [address]).start()
    config = uvicorn.Config(create_app(settings), log_level="warning", access_log=False, server_header=False, timeout_graceful_shutdown=3, limit_concurrency=500)
    uvicorn.Server(config).run(sockets=[listening])


def _free(host: str, port: int) -> bool:
    try:
        with socket.create_server((host, port), family=socket.AF_INET6 if ":" in host else socket.AF_INET):
            return True
    except OSError:
        return False

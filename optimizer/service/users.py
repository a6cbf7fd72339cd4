"""Who asks. On loopback without tokens: one local user. Otherwise a bearer token, known here only by its SHA-256.

A token is 32 random bytes, so a fast hash gives nothing away. A tokens file has one `NAME HASH` a line (# begins a comment); the
environment variable LOTWIRE_TOKENS holds the same, separated by commas. A page keeps its token in a cookie that scripts cannot read.
"""

from __future__ import annotations

import hashlib
import os
import re
import secrets
from http.cookies import CookieError, SimpleCookie
from pathlib import Path

from ..errors import FaultList

LOCAL = "local"
COOKIE = "lotwire_token"
VARIABLE = "LOTWIRE_TOKENS"


def new_token() -> str:
    return secrets.token_urlsafe(32)


def hash_of(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "surrogateescape")).hexdigest()


def read_tokens(file: Path | None) -> dict[str, str]:
    """Hash → user, from the file and the environment. Raises InputError with every fault."""
    faults = FaultList("tokens")
    lines = [(VARIABLE, part) for part in os.environ.get(VARIABLE, "").split(",")]
    if file is not None:
        try:
            lines += [(f"{file}:{i}", line) for i, line in enumerate(file.read_text(encoding="utf-8").splitlines(), 1)]
        except (OSError, ValueError) as error:
            faults.add("--tokens", str(file), "a file that can be read", str(error))
    found: dict[str, str] = {}
    for where, line in lines:
        words = line.split("#")[0].split()
        if not words:
            continue
        if len(words) != 2 or not re.fullmatch(r"[\w.-]{1,64}", words[0]) or not re.fullmatch(r"[0-9a-f]{64}", words[1]):
            faults.add(where, f"{len(words)} words", "a name and the 64 hexadecimal digits that `lotwire token NAME` prints")
        elif words[1] in found:
            faults.add(where, words[0], "a token of its own for every user")
        else:
            found[words[1]] = words[0]
    faults.raise_if_any()
    return found


def user_of(tokens: dict[str, str], headers: dict[bytes, bytes]) -> str | None:
    """The user of a request, None where it brings no token that is known."""
    if not tokens:
        return LOCAL
    token = token_in(headers)
    return None if token is None else tokens.get(hash_of(token))


def token_in(headers: dict[bytes, bytes]) -> str | None:
    scheme, _, token = headers.get(b"authorization", b"").decode("latin-1").partition(" ")
    if scheme.lower() == "bearer" and token.strip():
        return token.strip()
    try:
        cookie = SimpleCookie(headers.get(b"cookie", b"").decode("latin-1")).get(COOKIE)
    except CookieError:
        return None
    return cookie.value if cookie else None

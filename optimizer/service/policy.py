"""Content-Security-Policy: the page's own, and one for a document that brings its style inside, each piece of it named by its hash."""

from __future__ import annotations

import base64
import hashlib
import re
from html import unescape

PAGE = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; font-src 'self'; "
    "frame-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'self'"
)
_BLOCK = re.compile(r"<style[^>]*>(.*?)</style>", re.DOTALL)
_ATTRIBUTE = re.compile(r'\sstyle="([^"]*)"')


def for_document(text: str) -> str:
    """Nothing but the styles that stand in `text` (HTML or SVG written here), and images inside it."""
    pieces = dict.fromkeys([*_BLOCK.findall(text), *(unescape(a) for a in _ATTRIBUTE.findall(text))])
    hashes = " ".join(f"'sha256-{_hash(piece)}'" for piece in pieces)
    return f"default-src 'none'; style-src 'unsafe-hashes' {hashes}; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'self'"


def _hash(piece: str) -> str:
    return base64.b64encode(hashlib.sha256(piece.encode()).digest()).decode()

"""The interface for reading: one plain page written from the OpenAPI description, without a script."""

from __future__ import annotations

import json
from html import escape

METHODS = ("get", "post", "put", "delete")


def reading_page(api: dict) -> str:
    """HTML of the description, one section a tag."""
    calls = [(path, method, call) for path, item in api["paths"].items() for method, call in item.items() if method in METHODS]
    tags = list(dict.fromkeys((c.get("tags") or ["service"])[0] for *_, c in calls))
    parts = [_section(tag, [c for c in calls if (c[2].get("tags") or ["service"])[0] == tag], api) for tag in tags]
    title = f"{escape(api['info']['title'])}: interface"
    head = f'<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>{title}</title><link rel="stylesheet" href="/static/api.css">'
    about = f'<h1>{title}</h1><p>{escape(api["info"].get("description", ""))}</p><p>Version {escape(api["info"]["version"])}. The same for programs: <a href="/api/openapi.json">openapi.json</a>.</p>'
    return f"{head}<body>{about}{''.join(parts)}{_errors(api)}</body></html>"


def _section(tag: str, calls, api: dict) -> str:
    return f"<h2>{escape(tag)}</h2>" + "".join(_call(*c, api) for c in calls)


def _call(path: str, method: str, call: dict, api: dict) -> str:
    rows = [(p["name"], p["in"], p.get("schema", {}), p.get("description", "")) for p in call.get("parameters", []) if p["in"] != "path"]
    body = call.get("requestBody", {}).get("content", {}).get("application/json", {}).get("schema")
    parts = [f"<h3><b>{method.upper()}</b> {escape(path)}</h3><p>{escape(call.get('description', ''))}</p>"]
    if rows or body:
        fields = _members(_open(body, api), api) if body else []
        parts.append(_table([(n, w, _type(s, api), d) for n, w, s, d in rows] + [(n, "body", t, d) for n, t, d in fields]))
    return "".join(parts)


def _members(schema: dict, api: dict) -> list[tuple[str, str, str]]:
    needed = schema.get("required", [])
    return [
        (name + ("" if name in needed else " (optional)"), _type(s, api), _open(s, api).get("description", ""))
        for name, s in schema.get("properties", {}).items()
    ]


def _type(schema: dict, api: dict) -> str:
    schema = _open(schema, api)
    for key in ("anyOf", "oneOf"):
        if key in schema:
            return " or ".join(_type(s, api) for s in schema[key] if s.get("type") != "null")
    if "enum" in schema or "const" in schema:
        return ", ".join(map(str, schema.get("enum", [schema.get("const")])))
    low = schema.get("minimum", schema.get("exclusiveMinimum"))
    high = schema.get("maximum", schema.get("exclusiveMaximum"))
    bounds = f" {low if low is not None else '…'} to {high if high is not None else '…'}" if low is not None or high is not None else ""
    inner = "; ".join(f"{n}: {t}" for n, t, _ in _members(schema, api))
    return f"{schema.get('type', 'any')}{bounds}" + (f" {{{inner}}}" if inner else "")


def _open(schema: dict, api: dict) -> dict:
    """A schema behind its reference."""
    if "$ref" in schema:
        return api["components"]["schemas"][schema["$ref"].rsplit("/", 1)[1]]
    return schema


def _table(rows) -> str:
    body = "".join(f"<tr><td><code>{escape(n)}</code><td>{escape(w)}<td>{escape(t)}<td>{escape(d)}</tr>" for n, w, t, d in rows)
    return f"<table><tr><th>name<th>where<th>what<th></tr>{body}</table>"


def _errors(api: dict) -> str:
    form = {"error": {"kind": "bad_input", "message": "…", "faults": [{"field": "…", "value": "…", "allowed": "…", "hint": "…"}]}}
    kinds = api["components"]["schemas"]["ErrorOut"]["properties"]["kind"]["enum"]
    return f"<h2>errors</h2><p>One form everywhere; kinds: {escape(', '.join(kinds))}.</p><pre>{escape(json.dumps(form, indent=1, ensure_ascii=False))}</pre>"

// The service, as functions. Addresses are built from this page's own; an error is one `ApiError` with its faults.

const ROOT = new URL("../api/", import.meta.url);

export class ApiError extends Error {
  constructor(status, { kind = "our_fault", message = "The service gave no answer.", faults = [] } = {}) {
    super(message);
    Object.assign(this, { status, kind, faults });
  }
}

export const address = (path) => new URL(path, ROOT).href;

/** A request; the answer as JSON. */
export async function call(method, path, body, { signal, key } = {}) {
  let answer;
  try {
    answer = await fetch(address(path), {
      method,
      signal,
      headers: { ...(body === undefined ? {} : { "Content-Type": "application/json" }), ...(key ? { "Idempotency-Key": key } : {}) },
      body: body === undefined ? undefined : JSON.stringify(body),
    });
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw new ApiError(0, { kind: "busy", message: "The service does not answer. Is it still running?" });
  }
  if (!answer.ok) throw new ApiError(answer.status, (await answer.json().catch(() => ({}))).error);
  return answer.status === 204 ? null : answer.json();
}

const newKey = () => Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, "0")).join("");
const get = (path, more) => call("GET", path, undefined, more);
const make = (path, body) => call("POST", path, body, { key: newKey() });

export const bands = (region, country) => get(`bands?itu_region=${region}${country ? `&country=${encodeURIComponent(country)}` : ""}`);
export const checkSite = (form, content, more) => call("POST", "sites/check", { form, content }, more);
export const sites = () => get("sites?limit=50");
export const site = (id) => get(`sites/${id}`);
export const keepSite = (name, { form, content }) => make("sites", { name, form, content });
export const changeSite = (id, name, { form, content }) => call("PUT", `sites/${id}`, { name, form, content });
export const dropSite = (id) => call("DELETE", `sites/${id}`);
export const runs = () => get("runs?limit=30");
export const run = (id) => get(`runs/${id}`);
export const startRun = (order) => make("runs", order);
export const cancelRun = (id) => call("POST", `runs/${id}/cancel`, {});
export const dropRun = (id) => call("DELETE", `runs/${id}`);
export const table = (id) => get(`runs/${id}/table`);
export const rerank = (id, weights, more) => call("POST", `runs/${id}/rerank`, { weights }, more);
export const rerun = (id, changes) => make(`runs/${id}/rerun`, changes);
/** How long a run searched, for one that goes on from it. */
export const effortOf = (run) => (run.trials ? { trials: run.trials } : run.seconds ? { seconds: run.seconds } : {});
export const moved = (id) => get(`runs/${id}/moved`);
export const design = (id, rank, part = "") => get(`runs/${id}/designs/${rank}${part ? `/${part}` : ""}`);
export const addReading = (id, rank, reading) => call("POST", `runs/${id}/designs/${rank}/readings`, reading);
export const verify = (id, rank, measured) => call("POST", `runs/${id}/designs/${rank}/verify`, measured);
export const takeBack = (id, rank) => call("DELETE", `runs/${id}/designs/${rank}/readings`);
export const plan = (asked, more) => call("POST", "plan", asked, more);

/** A token once given lives in a cookie that scripts cannot read, so that drawings and sheets are plain links. */
export const signIn = (token) => call("POST", "session", { token });

export const faultWords = (fault) =>
  `${fault.field ? `${fault.field.replace(/^site\./, "").replaceAll("_", " ")}: ` : ""}needs ${fault.allowed}${fault.value ? `, not ${fault.value}` : ""}${fault.hint ? ` (${fault.hint})` : ""}.`;

/** What went wrong, in lines. */
export const errorWords = (error) => (error.faults?.length ? error.faults.map(faultWords) : [error.message]);

/** Follows the events of a run until `signal` says stop; goes on after a break from the last event seen. */
export async function follow(id, onEvent, signal) {
  let last = null,
    pause = 500;
  while (!signal.aborted) {
    try {
      const answer = await fetch(address(`runs/${id}/events`), {
        signal,
        headers: { Accept: "text/event-stream", ...(last ? { "Last-Event-ID": last } : {}) },
      });
      if (answer.status === 204) return;
      if (answer.status === 404 || answer.status === 401) throw new ApiError(answer.status, (await answer.json().catch(() => ({}))).error);
      if (answer.ok)
        for await (const event of eventsOf(answer.body)) {
          last = event.id ?? last;
          pause = 500;
          if (onEvent(event.type, JSON.parse(event.data)) === "done") return;
        }
    } catch (error) {
      if (signal.aborted) return;
      if (error instanceof ApiError) throw error;
    }
    await new Promise((go) => setTimeout(go, pause));
    pause = Math.min(8000, pause * 2);
  }
}

/** Server-sent events of a body: lines `id:`, `event:`, `data:`, an empty line ends each. */
async function* eventsOf(body) {
  const reader = body.pipeThrough(new TextDecoderStream()).getReader();
  let rest = "",
    event = { type: "message", data: "" };
  for (;;) {
    const { value, done } = await reader.read();
    if (done) return;
    const lines = (rest + value).split(/\r\n|\n|\r/);
    rest = lines.pop();
    for (const line of lines) {
      if (line === "") {
        if (event.data) yield event;
        event = { type: "message", data: "" };
      } else {
        const [, name, text] = /^(\w*):? ?(.*)$/s.exec(line) ?? [];
        if (name === "data") event.data += (event.data ? "\n" : "") + text;
        else if (name === "event") event.type = text;
        else if (name === "id") event.id = text;
      }
    }
  }
}

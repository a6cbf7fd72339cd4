// One search: live while it works, then its ranked table; or why nothing fits and what would help.

import { button, clear, h, link, say } from "../dom.js";
import * as api from "../api.js";
import { money, secondsWords, stageWords, stateWords } from "../words.js";
import { bestSoFar, leaders } from "./live.js";
import { movedList } from "./moved.js";
import { nothingFits } from "./nothing.js";
import { rankedTable } from "./table.js";
import { wishWords } from "./wish_words.js";

const SOON = 100; // placements ruled out: it is well under way, though nothing was computed
const READY = "getting ready; the very first search on a machine compiles, half a minute or, where it is busy, two: its time has not begun";
const OVER = ["done", "stopped", "failed", "nothing_fits"];

export async function show(main, { run: id }, { signal }) {
  let run = await api.run(id);
  const site = await api.site(run.site).catch(() => null);
  const status = h("section", { class: "status", "aria-label": "Progress" }),
    body = h("div"),
    back = h("p", { class: "quiet" });
  clear(main, h("h1", { tabindex: "-1" }, run.site_name), back, status, body);
  clear(
    back,
    wishWords(run.wish, run.change),
    " ",
    link(`#/wish/${run.site}/as/${id}`, "Change wishes"),
    run.parent ? [" · ", link(`#/run/${run.parent}`, "the search before")] : null,
  );
  if (["done", "failed", "nothing_fits"].includes(run.state)) await ended();
  else live();

  function live() {
    const bar = h("progress", { max: 1, value: 0, "aria-label": "share done" }),
      words = h("p", { class: "stage" }, READY),
      rows = h("div");
    const stop = button("Stop here", cancel);
    clear(status, bar, h("p", { class: "row-of" }, words, stop));
    clear(body, rows);
    let heard = 0;
    const showProgress = (p) => {
      if (!p) return;
      bar.value = p.share;
      if (!p.tried && p.stage === "searching" && p.ruled_out < SOON) return (words.textContent = READY);
      const best = p.best_score === null ? "nothing fits yet" : `best so far ${p.best_score.toFixed(1)}`;
      const text = `${stageWords(p.stage)}: ${p.tried} designs computed, ${p.ruled_out ?? 0} ruled out by the lot, ${best}`;
      words.textContent = `${text}${p.seconds_left === null ? "" : `, ${secondsWords(p.seconds_left)} left`}`;
      if (Date.now() - heard > 10_000) {
        heard = Date.now();
        say(text);
      }
    };
    const showState = (state) => {
      Object.assign(run, state);
      if (run.state === "waiting") words.textContent = run.place ? `waiting its turn: number ${run.place} in the queue` : "waiting its turn";
      if (run.state === "stopped") words.textContent = "stopping, writing up what there is …";
    };
    showState(run);
    showProgress(run.progress);
    const take = (type, data) => {
      if (type === "progress") showProgress(data);
      if (type === "table" && data) clear(rows, bestSoFar(data, site));
      if (type === "state") showState(data);
      return OVER.includes(run.state) && run.state !== "stopped" ? "done" : undefined;
    };
    api.follow(id, take, signal).then(
      () => signal.aborted || ended(),
      (error) => clear(status, h("p", { class: "fault" }, `! ${error.message}`)),
    );
  }

  async function cancel(e) {
    e.target.disabled = true;
    await api.cancelRun(id).catch((error) => e.target.after(h("span", { class: "fault" }, ` ! ${error.message}`)));
  }

  async function ended() {
    run = await api.run(id);
    clear(status);
    if (run.state === "failed") {
      const { message, faults = [] } = run.result ?? {};
      return clear(
        body,
        h("p", { class: "fault" }, `! ${message ?? "The search failed."}`),
        faults.map((f) => h("p", { class: "fault" }, api.faultWords(f))),
      );
    }
    if (run.state === "nothing_fits") {
      say("Nothing fits. Reasons and changes that would help follow.");
      return clear(body, nothingFits(run, site));
    }
    const table = run.has_table ? await api.table(id) : null;
    if (!table?.rows?.length) return clear(body, h("p", {}, run.state === "stopped" ? "Stopped before anything was found." : "No design was kept."));
    if (signal.aborted) return;
    const seen = run.progress?.tried ? `, ${run.progress.tried} designs computed` : "";
    clear(
      status,
      h(
        "p",
        { class: "stage" },
        `${stateWords(run.state)}${seen}. Best: ${table.rows[0].design}, score ${table.rows[0].score.toFixed(1)}, ${money(table.rows[0].cost, table.currency)}.`,
      ),
    );
    say(`The search is ${stateWords(run.state)}. ${table.rows.length} designs follow.`);
    clear(body, run.parent && run.state === "done" ? await movedList(id) : null, leaders(run, table, site), rankedTable(run, table));
  }
}

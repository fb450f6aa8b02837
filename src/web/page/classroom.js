// A class: the roster, all its pictures, one sheet. A picture at a time, so that a phone's memory does.
import { ask } from "./ask.js";
import { button, fileButton, make, putReport, saveFile, takeDrops, textField, trouble } from "./dom.js";
import { failureOf } from "./answer.js";
import { currentSled, sleds } from "./store.js";
import { words } from "./words.js";

const w = words.class;
const bytesOf = (base64) => Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));

export function classView() {
  let roster, stopped = false;
  const pictures = [];
  const rosterName = make("p", { role: "status" }, w.rosterNone);
  const count = make("p", { role: "status" });
  const result = make("div");
  const go = button(w.measure, run, "main-button");
  const group = textField("group", w.name);
  const drop = make("div", { class: "drop" },
    make("div", { class: "row" }, fileButton(w.roster, { accept: ".csv,text/csv" }, add), rosterName),
    make("p", { class: "note" }, w.rosterNote),
    make("div", { class: "row" }, fileButton(w.pictures, { accept: "image/*,.heic,.tif,.tiff", multiple: true }, add), count,
      button(w.clear, () => {
        pictures.length = 0;
        showCount();
      })),
    make("p", { class: "note" }, w.drop));
  const element = make("div", { class: "view" }, make("h1", { class: "page-only" }, w.heading),
    make("section", { class: "page-only" }, make("p", {}, w.lead), drop, group, make("div", { class: "row" }, go)), result);
  takeDrops(drop, add);

  function add(files) {
    for (const file of files)
      if (/\.csv$/i.test(file.name)) roster = file;
      else pictures.push(file);
    if (roster) rosterName.textContent = w.rosterIs(roster.name);
    showCount();
  }

  function showCount() {
    count.textContent = w.count(pictures.length);
    go.disabled = !roster || pictures.length === 0;
  }

  // The sled that is chosen says how the class is judged; what the roster says of a bench stands above it.
  async function asked() {
    const sled = { ...(sleds()[currentSled()] ?? {}) };
    for (const own of ["pivot", "pivot-distance", "adjust", "feelers", "thread", "shims", "indicator"]) delete sled[own];
    return { sled, roster: await roster.text(), group: group.querySelector("input").value.trim() };
  }

  function showProgress() {
    const said = make("p", { role: "status" }), bar = make("progress", { max: pictures.length, value: 0, "aria-label": w.heading });
    const log = make("ul", { class: "plain" });
    result.replaceChildren(make("section", { class: "working page-only" }, said, bar,
      button(w.stop, () => (stopped = true)), log));
    return (done, sentences) => {
      said.textContent = w.working(Math.min(done + 1, pictures.length), pictures.length);
      bar.value = done;
      log.append(...sentences.map((sentence) => make("li", {}, sentence)));
    };
  }

  function showSheet(sheet) {
    const report = make("div");
    putReport(report, sheet.page);
    result.replaceChildren(make("p", { role: "status", class: "page-only" }, w.done),
      make("div", { class: "row page-only" },
        button(w.page, () => saveFile("class.html", sheet.page, "text/html")),
        button(w.slips, () => saveFile("slips.html", sheet.slips, "text/html")),
        button(w.csv, () => saveFile("results.csv", sheet.csv, "text/csv")),
        button(w.print, () => print())),
      report);
  }

  async function run() {
    stopped = false;
    go.disabled = true;
    const all = [...pictures], lines = [], thumbnails = [];
    const progress = showProgress(), said = await asked();
    let done = 0;
    for (const file of all) {
      if (stopped) break;
      progress(done, []);
      const answer = await ask({ do: "class-picture", class: said, picture: { name: file.name, file } });
      if (answer.status !== "done") {
        result.replaceChildren(trouble(failureOf(answer)));
        return showCount();
      }
      lines.push(...answer.lines);
      thumbnails.push(...answer.thumbnails.map(({ jpeg, ...each }) => ({ ...each, bytes: bytesOf(jpeg) })));
      progress(++done, answer.done);
    }
    const sheet = await ask({ do: "class-sheet", class: said, pictures: done, lines, thumbnails });
    if (sheet.status === "done") showSheet(sheet);
    else result.replaceChildren(trouble(failureOf(sheet)));
    showCount();
  }
  showCount();
  return { element };
}

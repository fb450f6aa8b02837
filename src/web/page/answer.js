// The answer: the report page as the program makes it, what can be done with it, and the sled's record.
import { ask, now } from "./ask.js";
import { button, make, putReport, saveFile, trouble } from "./dom.js";
import { addLine, recordOf, sleds } from "./store.js";
import { words } from "./words.js";

const w = words.answer;
const element = make("div", { class: "view" });
let told = false;

export function answerView() {
  if (!told) showNothing();
  return { element };
}

function showNothing() {
  element.replaceChildren(make("h1", {}, w.heading),
    make("section", {}, make("p", {}, w.none), make("a", { class: "button", href: "#picture" }, w.toPicture)));
}

export function showWorking(sentence) {
  told = true;
  element.replaceChildren(make("h1", {}, w.heading), make("section", { class: "working", role: "status" },
    make("p", {}, sentence), make("progress", { "aria-label": sentence })));
}

export function failureOf(answer) {
  return answer.code === "worker-lost" ? words.lost : answer;
}

async function share(page, title, name) {
  const file = new File([page], name, { type: "text/html" });
  try {
    await navigator.share({ title, text: title, files: [file] });
  } catch (error) {
    if (error.name !== "AbortError") saveFile(name, page, "text/html");
  }
}

function canShare() {
  return Boolean(navigator.canShare?.({ files: [new File([""], "a.html", { type: "text/html" })] }));
}

function actions(answer, name) {
  const stem = name.replace(/\.[^.]*$/, "");
  return make("div", { class: "row page-only" },
    canShare() ? button(w.share, () => share(answer.page, answer.title, `${stem}.html`), "main-button") : null,
    button(w.page, () => saveFile(`${stem}.html`, answer.page, "text/html")),
    button(w.result, () => saveFile(`${stem}.json`, answer.result, "application/json")),
    button(w.print, () => print()),
    make("a", { class: "button", href: "#picture" }, w.again));
}

async function showHistory(place, sled) {
  const answer = await ask({ do: "record", name: sled, sled: sleds()[sled], lines: recordOf(sled) });
  if (answer.status !== "done") return place.replaceChildren(trouble(failureOf(answer)));
  const plot = make("img", { class: "plot", alt: w.plotAlt, src: `data:image/svg+xml,${encodeURIComponent(answer.plot)}` });
  place.replaceChildren(plot, make("pre", { class: "says", tabindex: "0" }, answer.says));
}

// What the sled's record says, and the way to tell it of the move.
function history(answer, sled) {
  const place = make("div"), said = make("p", { role: "status" }, answer.line ? w.kept : "");
  const result = JSON.parse(answer.result);
  const moved = button(w.moved, async () => {
    const move = await ask({ do: "moved", result: answer.result, when: now() });
    if (move.status !== "done") return said.replaceChildren(trouble(failureOf(move)));
    addLine(sled, move.line);
    moved.remove();
    said.replaceChildren(w.movedDone);
    showHistory(place, sled);
  });
  if (answer.line) addLine(sled, answer.line);
  showHistory(place, sled);
  return make("section", { class: "page-only" }, make("h2", {}, w.history), said,
    result.adjustment ? make("div", { class: "row" }, moved) : null, place);
}

export function showAnswer(answer, { sled, recorded, name }) {
  told = true;
  if (answer.status === "failed") {
    element.replaceChildren(make("h1", {}, w.heading), make("section", {}, trouble(failureOf(answer)),
      make("a", { class: "button", href: "#picture" }, w.again)));
    return;
  }
  const report = make("div");
  putReport(report, answer.page);
  const parts = [actions(answer, name), report];
  if (answer.status === "rejected") parts.splice(1, 0, make("div", { class: "page-only" }, trouble(answer)));
  if (recorded && answer.status === "measured") parts.push(history(answer, sled));
  element.replaceChildren(...parts);
}

// The sled: four questions, a drawing that follows them, and its files.
import { ask } from "./ask.js";
import { button, fileButton, make, putDrawing, question, saveFile, selectField, textField, trouble } from "./dom.js";
import { chooseSled, currentSled, dropSled, keepRecord, keepSled, recordOf, sleds } from "./store.js";
import { words } from "./words.js";

const w = words.sled;
const kUsual = { units: "in", fence: "near", "strip-falls": "right", pivot: "left", turns: "4", adjust: "feelers" };
// Which field goes with which way of moving the fence.
const kOfAdjuster = { feelers: "feelers", screw: "thread", shims: "shims", indicator: "indicator" };
// Stands in for a distance that is not typed yet, so that the drawing follows the answers from the beginning.
const kSomeDistance = "1000mm";

function fields(name, said) {
  const adjusters = [["feelers", w.feelers, w.feelersNote], ["thread", w.thread, w.threadNote],
    ["shims", w.shims, w.shimsNote], ["indicator", w.indicator, w.indicatorNote]];
  return make("form", { novalidate: true },
    textField("name", w.name, name, w.nameNote),
    selectField("units", w.units, w.unitChoices, said.units),
    question("fence", w.fence, w.fenceChoices, said.fence),
    question("strip-falls", w.falls, w.fallsChoices, said["strip-falls"]),
    question("pivot", w.pivot, w.pivotChoices, said.pivot),
    textField("pivot-distance", w.distance, said["pivot-distance"], w.distanceNote),
    make("details", {}, make("summary", {}, w.more),
      selectField("turns", w.turns, w.turnChoices, said.turns),
      textField("cut-length", w.cut, said["cut-length"], w.cutNote),
      textField("tolerance", w.tolerance, said.tolerance, w.toleranceNote),
      selectField("adjust", w.adjust, w.adjustChoices, said.adjust),
      adjusters.map(([each, label, note]) => textField(each, label, said[each], note))),
    make("div", { class: "row" }, make("button", { class: "main-button" }, w.keep)));
}

function wordsIn(form) {
  const { name, ...said } = Object.fromEntries(new FormData(form));
  const kept = {};
  for (const [each, value] of Object.entries(said)) {
    const otherAdjuster = Object.values(kOfAdjuster).includes(each) && kOfAdjuster[said.adjust] !== each;
    if (value.trim() !== "" && !otherAdjuster) kept[each] = value.trim();
  }
  if (!kept["pivot-distance"]) delete kept.pivot, delete kept.adjust;
  return { name: name.trim(), kept };
}

// Shows only the adjuster's own field.
function showAdjuster(form) {
  for (const [by, field] of Object.entries(kOfAdjuster))
    form.elements[field].closest(".field").hidden = form.elements.adjust.value !== by;
}

export function sledView() {
  const place = make("div");
  const said = make("div", { role: "status" });
  const element = make("div", { class: "view" }, make("h1", {}, w.heading), place);

  async function draw(form, drawing) {
    const { name, kept } = wordsIn(form);
    const tried = { pivot: form.elements.pivot.value, ...kept };
    tried["pivot-distance"] ??= kSomeDistance;
    for (const each of ["tolerance", "cut-length", "thread", "feelers", "shims", "indicator", "adjust"]) delete tried[each];
    let answer = await ask({ do: "sled", name: name || "sled", words: tried });
    if (answer.status !== "done") // half typed: what the other answers say
      answer = await ask({ do: "sled", name: "sled", words: { ...tried, "pivot-distance": kSomeDistance } });
    if (answer.status === "done") putDrawing(drawing, answer.drawing);
  }

  async function keep(form, trouble_) {
    const { name, kept } = wordsIn(form);
    const answer = await ask({ do: "sled", name, words: kept });
    if (answer.status !== "done") return trouble_.replaceChildren(trouble(answer));
    keepSled(name, answer.words);
    show(w.kept);
  }

  async function openSled([file]) {
    const name = file.name.replace(/\.toml$/i, "").replace(/\.sled$/i, "");
    const answer = await ask({ do: "sled", name, file: await file.text() });
    if (answer.status !== "done") return said.replaceChildren(trouble(answer));
    keepSled(name, answer.words);
    show(w.opened);
  }

  async function openRecord(name, [file]) {
    const lines = await file.text();
    const answer = await ask({ do: "record", name, sled: sleds()[name], lines });
    if (answer.status !== "done") return said.replaceChildren(trouble(answer));
    keepRecord(name, lines);
    show(w.opened);
  }

  function files(name) {
    let sure = false;
    const remove = button(w.remove, () => {
      if (!sure) {
        sure = true;
        remove.textContent = w.removeAsk;
        return;
      }
      dropSled(name);
      show(w.removed);
    });
    const save = async (what) => {
      const answer = await ask({ do: "sled", name, words: sleds()[name] });
      if (what === "sled") saveFile(answer.file_name, answer.file, "application/toml");
      else saveFile(answer.record_name, recordOf(name), "application/x-ndjson");
    };
    return make("div", {},
      name ? make("div", { class: "row" }, button(w.exportSled, () => save("sled")),
        button(w.exportRecord, () => save("record")),
        fileButton(w.importRecord, { accept: ".jsonl" }, (opened) => openRecord(name, opened)), remove) : null,
      make("div", { class: "row" }, fileButton(w.importSled, { accept: ".toml" }, openSled)),
      make("p", { class: "note" }, w.programs));
  }

  let chosen; // elsewhere another one may be chosen
  function show(told = "", fresh = false) {
    chosen = currentSled();
    const names = Object.keys(sleds());
    const name = fresh ? "" : currentSled() ?? "";
    const form = fields(name, { ...kUsual, ...(sleds()[name] ?? {}) });
    const drawing = make("figure", {}), failed = make("div");
    const choose = selectField("", w.choose, names.map((each) => [each, each]), name);
    choose.addEventListener("change", (event) => {
      chooseSled(event.target.value);
      show();
    });
    form.addEventListener("input", () => {
      showAdjuster(form);
      draw(form, drawing);
    });
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      keep(form, failed);
    });
    showAdjuster(form);
    said.replaceChildren(told);
    place.replaceChildren(
      names.length > 0 ? make("section", {}, choose, button(w.fresh, () => show("", true))) : "",
      said,
      make("section", {}, make("p", {}, w.lead), form, failed),
      make("section", {}, make("p", {}, w.drawn), drawing),
      make("section", {}, make("h2", {}, w.files), files(name)));
    draw(form, drawing);
  }
  show();
  return { element, onshow: () => currentSled() !== chosen && show() };
}

// The sheets to print, ready made.
import { make } from "./dom.js";
import { words } from "./words.js";

const link = (file, label) => make("a", { class: "button", href: `sheets/${file}.pdf`, target: "_blank" }, label);

export function sheetView() {
  const w = words.sheet;
  const element = make("div", { class: "view" }, make("h1", {}, w.heading),
    make("section", {}, make("p", {}, w.lead),
      make("div", { class: "row" }, w.papers.map(([paper, label]) => link(`sheet-${paper}`, label))),
      make("p", { class: "note" }, w.dark)),
    make("section", {}, make("h2", {}, w.how), make("ol", { class: "steps" }, w.steps.map((s) => make("li", {}, s)))),
    make("section", {}, make("h2", {}, w.lay), make("ul", { class: "plain" }, w.laying.map((s) => make("li", {}, s)))),
    make("section", {}, make("h2", {}, w.classes),
      make("div", { class: "row" }, w.classSheets.map(([file, label]) => link(file, label)))));
  return { element };
}

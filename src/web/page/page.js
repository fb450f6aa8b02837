// The page: one view at a time, named in the address behind the #.
import { make } from "./dom.js";
import { words } from "./words.js";
import { sheetView } from "./sheet.js";
import { sledView } from "./sled.js";
import { pictureView } from "./picture.js";
import { answerView } from "./answer.js";
import { classView } from "./classroom.js";

const views = { sheet: sheetView, sled: sledView, picture: pictureView, answer: answerView, class: classView };
const main = document.getElementById("page-main");

const links = Object.entries(words.views).map(([name, label]) => make("a", { href: `#${name}` }, label));
document.getElementById("page-top").append(
  make("div", {},
    make("p", { class: "page-name" }, make("img", { src: "icon.svg", alt: "", width: 26, height: 26 }), words.title),
    make("nav", { "aria-label": words.title }, make("ul", {}, links.map((link) => make("li", {}, link))))));
document.body.append(make("footer", { class: "page-foot" }, make("p", {}, words.foot)));

// Elements of a view stay while the page is open: going back finds what one left.
const shown = new Map();
function show(focus) {
  const name = location.hash.slice(1) in views ? location.hash.slice(1) : "picture";
  if (!shown.has(name)) shown.set(name, views[name]());
  const view = shown.get(name);
  main.replaceChildren(view.element);
  view.onshow?.();
  for (const link of links)
    if (link.hash === `#${name}`) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  document.title = `${words.views[name]} – ${words.title}`;
  if (focus) {
    main.focus();
    scrollTo(0, 0);
  }
}
addEventListener("hashchange", () => show(true));
show(false);

if ("serviceWorker" in navigator) navigator.serviceWorker.register("service-worker.js").catch(() => {});

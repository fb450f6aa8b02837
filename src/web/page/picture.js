// The picture: taken, chosen, dropped or pasted; and what is said of it.
import { ask, now } from "./ask.js";
import { button, fileButton, make, selectField, takeDrops, textField, tick } from "./dom.js";
import { hasCamera, liveView } from "./live.js";
import { chooseSled, currentSled, recordOf, sleds } from "./store.js";
import { showAnswer, showWorking } from "./answer.js";
import { words } from "./words.js";

const w = words.picture;
const kPictures = "image/*,.heic,.tif,.tiff,.pgm,.bmp";

function moreFields() {
  return make("details", {}, make("summary", {}, w.more),
    selectField("kind", w.kind, w.kinds),
    selectField("wider", w.wider, w.widerChoices),
    textField("thickness", w.thickness, "", w.thicknessNote),
    textField("take", w.take, "", w.takeNote),
    textField("bar-x", w.barX, "", w.barNote),
    textField("bar-y", w.barY, "", w.barNote));
}

export function pictureView() {
  const pictures = []; // {file, reversed, live}
  const list = make("ul", { class: "pictures" });
  const sledPlace = make("div");
  const record = make("div", {}, tick("record", w.record, true), textField("note", w.note, "", w.noteNote));
  const go = make("button", { class: "main-button", disabled: true }, w.measure);
  const form = make("form", { novalidate: true }, sledPlace, record, moreFields(), make("div", { class: "row" }, go));
  const livePlace = make("div");
  const live = hasCamera() ? [make("div", { class: "row" }, button(w.live, () =>
    liveView(livePlace, (file) => take([{ file, live: true }])))), make("p", { class: "note" }, w.liveHint), livePlace] : [];
  const drop = make("div", { class: "drop" },
    make("div", { class: "row" },
      fileButton(w.camera, { accept: "image/*", capture: "environment" }, add, "main-button"),
      fileButton(w.files, { accept: kPictures, multiple: true }, add)),
    live, make("p", { class: "note" }, w.drop), list, make("p", { class: "note" }, w.several));
  const element = make("div", { class: "view" }, make("h1", {}, w.heading),
    make("section", {}, make("p", {}, w.lead), drop), make("section", {}, form));
  takeDrops(drop, add);

  function take(taken) {
    pictures.push(...taken.map((picture) => ({ reversed: false, ...picture })));
    showList();
  }

  function add(files) {
    take(files.map((file) => ({ file })));
  }

  function showList() {
    list.replaceChildren(...pictures.map((picture, at) => {
      const turned = tick("", w.reversed, picture.reversed);
      turned.addEventListener("change", (event) => (picture.reversed = event.target.checked));
      return make("li", {}, make("span", { class: "name" }, picture.file.name), at > 0 ? turned : null,
        button(w.remove, () => {
          pictures.splice(at, 1);
          showList();
        }));
    }));
    if (pictures.length === 0) list.append(make("li", {}, w.none));
    go.disabled = pictures.length === 0;
  }

  function showSled() {
    const names = Object.keys(sleds());
    record.hidden = names.length === 0;
    if (names.length === 0)
      return sledPlace.replaceChildren(make("p", {}, w.noSled), make("div", { class: "row" },
        make("a", { class: "button", href: "#sled" }, w.toSled)));
    const choose = selectField("", words.sled.choose, names.map((name) => [name, name]), currentSled());
    choose.addEventListener("change", (event) => chooseSled(event.target.value));
    sledPlace.replaceChildren(choose);
  }

  function requestOf(sled) {
    const said = Object.fromEntries(new FormData(form));
    const { record: kept, note, ...picture } = said;
    if (pictures.every(({ live }) => live)) picture.kind ||= "photo"; // a frame has no notes that say so
    const request = {
      do: "measure", sled: sled ? sleds()[sled] : {}, picture,
      pictures: pictures.map(({ file, reversed }, at) => ({ name: file.name, file, reversed: at > 0 && reversed })),
    };
    if (sled && kept) request.record = { sled, lines: recordOf(sled), when: now(), note: note.trim() };
    return request;
  }

  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const sled = currentSled();
    const request = requestOf(sled);
    showWorking(w.working);
    location.hash = "answer";
    showAnswer(await ask(request), { sled, recorded: Boolean(request.record), name: pictures[0].file.name });
    pictures.length = 0;
    form.elements.take.value = form.elements.note.value = "";
    showList();
  });
  showList();
  return { element, onshow: showSled };
}

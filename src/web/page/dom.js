// Elements out of parts. Words only ever become text, never markup.

// make("p", {class: "note"}, "words", another)
export function make(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === undefined || value === false || value === null) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children.flat().filter((child) => child !== undefined && child !== null));
  return element;
}

// The <main> of a page that the program made, put into `place`. Scripts in it do not run, its style sheet is the page's
// own already, and a style that stands with an element is set by hand: the page's Content-Security-Policy takes none from
// markup. (In the program's markup quotation marks within text are escaped, so ` style="` is an attribute.)
export function putReport(place, html) {
  const plain = html.replace(/<style>[^]*?<\/style>/, "").replaceAll(' style="', ' data-style="');
  const made = new DOMParser().parseFromString(plain, "text/html");
  const report = make("div", { class: `report ${made.body.className}` });
  report.append(...document.importNode(made.querySelector("main"), true).childNodes);
  for (const styled of report.querySelectorAll("[data-style]")) {
    const [name, value] = styled.dataset.style.split(":");
    styled.style.setProperty(name.trim(), value.trim());
  }
  place.replaceChildren(report);
}

// A drawing that the program made.
export function putDrawing(place, svg) {
  const made = new DOMParser().parseFromString(svg, "text/html");
  place.replaceChildren(document.importNode(made.body.firstElementChild, true));
}

let ids = 0;
// A labelled text field, with a note under it; `name` is the sled file's own name for it.
export function textField(name, label, value = "", note = "") {
  const id = `field-${++ids}`;
  const input = make("input", {
    type: "text", id, name, value, autocomplete: "off", autocapitalize: "off", spellcheck: "false",
    "aria-describedby": note ? `${id}-note` : undefined,
  });
  return make("div", { class: "field" }, make("label", { for: id }, label), input,
    note ? make("p", { class: "note", id: `${id}-note` }, note) : null);
}

// A labelled choice of a few: [[value, words], ...].
export function selectField(name, label, options, value = "") {
  const id = `field-${++ids}`;
  const select = make("select", { id, name }, options.map(([each, words]) =>
    make("option", { value: each, selected: each === value }, words)));
  return make("div", { class: "field" }, make("label", { for: id }, label), select);
}

// One question with two answers.
export function question(name, words, options, value) {
  return make("fieldset", {}, make("legend", {}, words), options.map(([each, answer]) =>
    make("label", { class: "choice" },
      make("input", { type: "radio", name, value: each, checked: each === value }), answer)));
}

export function tick(name, label, checked = false) {
  return make("label", { class: "choice" }, make("input", { type: "checkbox", name, checked }), label);
}

export function button(words, onclick, look = "") {
  return make("button", { type: "button", class: look, onclick }, words);
}

// A button that opens files.
export function fileButton(words, attributes, onfiles, look = "") {
  const input = make("input", { type: "file", ...attributes });
  input.addEventListener("change", () => {
    const files = [...input.files];
    input.value = "";
    if (files.length > 0) onfiles(files);
  });
  return make("label", { class: `file-button ${look}` }, words, input);
}

export function trouble(failure) {
  return make("div", { class: "trouble", role: "alert" }, make("p", {}, failure.text), make("p", {}, failure.remedy));
}

export function saveFile(name, text, type) {
  const url = URL.createObjectURL(new Blob([text], { type }));
  make("a", { href: url, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(url), 60000);
}

// Files dropped on `place` or pasted while it is shown.
export function takeDrops(place, onfiles) {
  for (const kind of ["dragover", "dragleave", "drop"])
    place.addEventListener(kind, (event) => {
      event.preventDefault();
      place.classList.toggle("over", kind === "dragover");
      if (kind === "drop" && event.dataTransfer.files.length > 0) onfiles([...event.dataTransfer.files]);
    });
  const paste = (event) => {
    if (!place.isConnected) return document.removeEventListener("paste", paste);
    if (event.clipboardData.files.length > 0) onfiles([...event.clipboardData.files]);
  };
  document.addEventListener("paste", paste);
}

// Asks the measuring code, which runs in a worker, so that the page never stands still.
let worker, count = 0;
const waiting = new Map();

function start() {
  worker = new Worker("worker.js");
  worker.addEventListener("message", ({ data }) => {
    waiting.get(data.id)?.(data.answer);
    waiting.delete(data.id);
  });
  worker.addEventListener("error", (event) => {
    event.preventDefault();
    failAll();
  });
}

// A worker that broke down has lost its memory: the next request gets a new one.
function failAll() {
  worker?.terminate();
  worker = undefined;
  for (const answer of waiting.values())
    answer({ status: "failed", code: "worker-lost", text: "", remedy: "" });
  waiting.clear();
}

// request: as src/web/request.h says; its pictures are {name, file, reversed}: the worker reads the files.
export function ask(request) {
  if (!worker) start();
  const id = ++count;
  return new Promise((resolve) => {
    waiting.set(id, resolve);
    worker.postMessage({ id, request });
  });
}

// UTC to the second, as the record has it.
export function now() {
  return new Date().toISOString().replace(/\.\d+Z$/, "Z");
}

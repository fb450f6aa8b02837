// The measuring code, off the page's own thread. A request's pictures are files: their bytes go to the code beside the
// request. What it does not read itself, the browser may: HEIC on a phone that makes it, WebP.
"use strict";
importScripts("measuring.js");

const ready = measuringCode();

function fill(code, place, bytes) {
  code.HEAPU8.set(bytes, place);
}

function answerOf(code, request, blobs) {
  const session = code._session_open();
  try {
    for (const bytes of blobs) fill(code, code._session_blob(session, bytes.length), bytes);
    const text = new TextEncoder().encode(JSON.stringify(request));
    fill(code, code._session_request(session, text.length), text);
    return JSON.parse(code.UTF8ToString(code._session_answer(session)));
  } finally {
    code._session_close(session);
  }
}

async function pixelsOf(file) {
  const picture = await createImageBitmap(file);
  const canvas = new OffscreenCanvas(picture.width, picture.height);
  const context = canvas.getContext("2d", { willReadFrequently: true });
  context.drawImage(picture, 0, 0);
  picture.close();
  const { width, height, data } = context.getImageData(0, 0, canvas.width, canvas.height);
  return { width, height, bytes: new Uint8Array(data.buffer) };
}

// The request with its pictures' bytes as blobs; `decoded`: by the browser.
async function withBlobs(request, decoded) {
  const blobs = [];
  const ofPicture = async ({ file, ...picture }) => {
    const { width, height, bytes } = decoded ? await pixelsOf(file) : { bytes: new Uint8Array(await file.arrayBuffer()) };
    blobs.push(bytes);
    return { ...picture, blob: blobs.length - 1, ...(width ? { width, height } : {}) };
  };
  const filled = { ...request };
  if (Array.isArray(request.pictures)) {
    filled.pictures = [];
    for (const picture of request.pictures) filled.pictures.push(await ofPicture(picture));
  }
  if (request.picture?.file) filled.picture = await ofPicture(request.picture);
  if (request.thumbnails)
    filled.thumbnails = request.thumbnails.map(({ bytes, ...each }) => ({ ...each, blob: blobs.push(bytes) - 1 }));
  return { filled, blobs };
}

const isUnread = (answer) => ["picture-not-supported", "not-a-picture"].includes(answer.code) ||
  (answer.lines ?? []).some((line) => ["picture-not-supported", "not-a-picture"].includes(JSON.parse(line).reason?.code));

async function answer(request) {
  const code = await ready;
  const { filled, blobs } = await withBlobs(request, false);
  const first = answerOf(code, filled, blobs);
  if (!isUnread(first)) return first;
  try {
    const { filled: again, blobs: pixels } = await withBlobs(request, true);
    return answerOf(code, again, pixels);
  } catch {
    return first; // the browser does not read it either
  }
}

// One after the other: a phone has memory for one picture.
let last = Promise.resolve();
self.addEventListener("message", ({ data }) => {
  last = last.then(async () => {
    const given = await answer(data.request);
    self.postMessage({ id: data.id, answer: given });
  });
  last.catch((error) => setTimeout(() => { throw error; }));
});

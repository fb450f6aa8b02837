// The camera live: the code judges the frames, a sentence says what to change, and the sharpest of some good frames in a
// row is taken.
import { ask } from "./ask.js";
import { button, make } from "./dom.js";
import { words } from "./words.js";

const w = words.picture;
const kGoodFrames = 4; // in a row, of which the sharpest is kept
const kPauseMs = 60;   // between frames, so that the phone stays cool

export const hasCamera = () => Boolean(isSecureContext && navigator.mediaDevices?.getUserMedia);

async function frameOf(video) {
  const canvas = make("canvas", { width: video.videoWidth, height: video.videoHeight });
  canvas.getContext("2d").drawImage(video, 0, 0);
  return new Promise((resolve) => canvas.toBlob(resolve, "image/png"));
}

function pause(ms) {
  return new Promise((resolve) => setTimeout(resolve, ms));
}

// Judges frame after frame until enough of them were good, or it was stopped: null then.
async function sharpest(video, isOn, say) {
  let good = [];
  while (isOn() && good.length < kGoodFrames) {
    const file = await frameOf(video);
    const advice = await ask({ do: "frame", picture: { name: "frame.png", file } });
    if (!isOn()) return null;
    say(advice.says ?? words.lost.text);
    good = advice.ready ? [...good, { file, sharpness: advice.sharpness }] : [];
    await pause(kPauseMs);
  }
  if (!isOn()) return null;
  return good.reduce((best, each) => (each.sharpness > best.sharpness ? each : best)).file;
}

// A live view in `place`; `ontaken(file)` gets the picture.
export async function liveView(place, ontaken) {
  const says = make("p", { class: "says-now", role: "status" }, w.liveStart);
  const video = make("video", { playsinline: true, muted: true, "aria-label": w.liveView });
  video.muted = true;
  let stream, on = true;
  const stop = () => {
    on = false;
    for (const track of stream?.getTracks() ?? []) track.stop();
    video.remove();
    halt.remove();
  };
  const halt = button(w.liveStop, () => {
    stop();
    place.replaceChildren();
  });
  place.replaceChildren(make("div", { class: "live" }, says, video, halt));
  try {
    stream = await navigator.mediaDevices.getUserMedia({
      audio: false, video: { facingMode: "environment", width: { ideal: 4096 }, height: { ideal: 3072 } } });
  } catch {
    stop();
    says.textContent = w.liveDenied;
    return;
  }
  video.srcObject = stream;
  await video.play();
  addEventListener("hashchange", stop, { once: true });
  const file = await sharpest(video, () => on && video.isConnected, (sentence) => (says.textContent = sentence));
  stop();
  if (!file) return;
  says.textContent = w.liveTaken;
  ontaken(new File([file], `camera-${Date.now()}.png`, { type: "image/png" }));
}

// What the phone keeps: sleds as the words of their files, records as the lines of theirs. Nothing of a picture.
const kSleds = "tapersight.sleds", kCurrent = "tapersight.sled", kRecord = "tapersight.record.";

export function sleds() {
  try {
    return JSON.parse(localStorage.getItem(kSleds)) ?? {};
  } catch {
    return {};
  }
}

export function keepSled(name, words) {
  localStorage.setItem(kSleds, JSON.stringify({ ...sleds(), [name]: words }));
  localStorage.setItem(kCurrent, name);
}

export function dropSled(name) {
  const { [name]: dropped, ...others } = sleds();
  localStorage.setItem(kSleds, JSON.stringify(others));
  localStorage.removeItem(kRecord + name);
}

export function currentSled() {
  const names = Object.keys(sleds());
  const current = localStorage.getItem(kCurrent);
  return names.includes(current) ? current : names[0];
}

export function chooseSled(name) {
  localStorage.setItem(kCurrent, name);
}

export function recordOf(name) {
  return localStorage.getItem(kRecord + name) ?? "";
}

export function keepRecord(name, lines) {
  localStorage.setItem(kRecord + name, lines);
}

export function addLine(name, line) {
  const before = recordOf(name);
  keepRecord(name, before + (before && !before.endsWith("\n") ? "\n" : "") + line + "\n");
}

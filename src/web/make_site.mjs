// Puts the site together: the page's own files, the compiled code, the pages' style as the code has it, the sheets to
// print; and a service worker that knows all of them by a version made from their content.
//   node make_site.mjs PAGE SHEETS CODE SITE
import { createHash } from "node:crypto";
import { cpSync, mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { basename, join, resolve } from "node:path";

const [page, sheets, code, site] = process.argv.slice(2).map((path) => resolve(path));

async function styleOf(codeFile) {
  const measuring = await createRequire(import.meta.url)(codeFile)();
  const session = measuring._session_open();
  const request = new TextEncoder().encode('{"do":"style"}');
  measuring.HEAPU8.set(request, measuring._session_request(session, request.length));
  const { style } = JSON.parse(measuring.UTF8ToString(measuring._session_answer(session)));
  measuring._session_close(session);
  return style;
}

const filesIn = (folder) => readdirSync(folder, { withFileTypes: true }).flatMap((entry) =>
  entry.isDirectory() ? filesIn(join(folder, entry.name)) : [join(folder, entry.name)]);

rmSync(site, { recursive: true, force: true });
mkdirSync(join(site, "sheets"), { recursive: true });
cpSync(page, site, { recursive: true });
for (const name of ["measuring.js", "measuring.wasm"]) cpSync(join(code, name), join(site, name));
for (const name of readdirSync(sheets).filter((each) => each.endsWith(".pdf")))
  cpSync(join(sheets, name), join(site, "sheets", name));
writeFileSync(join(site, "style.css"), await styleOf(join(code, "measuring.js")));

const worker = join(site, "service-worker.js");
const files = filesIn(site).filter((file) => file !== worker).sort();
const hash = createHash("sha256");
for (const file of files) hash.update(basename(file)).update(readFileSync(file));
const names = ["./", ...files.map((file) => file.slice(site.length + 1))];
writeFileSync(worker, readFileSync(worker, "utf8").replace("@VERSION@", hash.digest("hex").slice(0, 16))
  .replace('"@FILES@"', names.map((name) => JSON.stringify(name)).join(",\n  ")));

// The compiled code against the program, for every picture of testimages: the same result, number by number, and the
// same refusals. BUILD is the program's build folder, SITE the page's.
import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { extname, join, resolve } from 'node:path';
import { after, before, test } from 'node:test';
import { ask, loadCode } from './code.mjs';

const ROOT = resolve(import.meta.dirname, '../..');
const PROGRAM = join(process.env.BUILD ?? join(ROOT, 'build/release'), 'bin/tapersight');
const SITE = process.env.SITE ?? join(ROOT, 'build/web/site');
const SLED = { units: 'in', fence: 'near', 'strip-falls': 'right', pivot: 'left', 'pivot-distance': '45in' };
const CLOSE = 1e-6;

const filesIn = (folder) => readdirSync(folder, { withFileTypes: true }).flatMap((entry) =>
  entry.isDirectory() ? filesIn(join(folder, entry.name)) : [join(folder, entry.name)]);
// What the browser's build reads by itself.
const READ = new Set(['.jpg', '.jpeg', '.png', '.tif', '.tiff', '.bmp', '.pgm', '.ppm']);
const PICTURES = filesIn(join(ROOT, 'testimages')).filter((file) => READ.has(extname(file)))
  .map((file) => file.slice(ROOT.length + 1)).sort();

let code, scratch;
before(async () => {
  code = await loadCode(SITE);
  scratch = mkdtempSync(join(tmpdir(), 'tapersight-web-'));
});
after(() => rmSync(scratch, { recursive: true, force: true }));

function byProgram(picture, words) {
  const out = join(scratch, 'result.json');
  rmSync(out, { force: true });
  const options = Object.entries(words).flatMap(([name, value]) => [`--${name}`, value]);
  const run = spawnSync(PROGRAM, ['measure', picture, ...options, '--json', out], { cwd: ROOT, encoding: 'utf8' });
  assert.ok([0, 3].includes(run.status), run.stderr);
  return JSON.parse(readFileSync(out, 'utf8'));
}

function byCode(picture, words) {
  const request = { do: 'measure', sled: words, pictures: [{ name: picture, blob: 0 }] };
  return ask(code, request, [readFileSync(join(ROOT, picture))]);
}

// Where the two differ, as paths; numbers by more than a millionth of themselves, a row of the budget by more than two
// millionths of what all rows make together: a row as small as a thousandth of that ends with the last step of a fit.
function differences(a, b, path = '', sum = 0) {
  if (typeof a === 'number' && typeof b === 'number') {
    const size = Math.max(Math.abs(a), Math.abs(b), /\.budget\.\d+\.u$/.test(path) ? 2 * sum : 0);
    return Math.abs(a - b) <= CLOSE * size ? [] : [`${path}: ${a} ${b}`];
  }
  if (a === null || b === null || typeof a !== 'object' || typeof b !== 'object')
    return a === b ? [] : [`${path}: ${JSON.stringify(a)} ${JSON.stringify(b)}`];
  return [...new Set([...Object.keys(a), ...Object.keys(b)])]
    .flatMap((key) => differences(a[key] ?? null, b[key] ?? null, `${path}.${key}`, a.taper_u ?? sum));
}

test('there are pictures to compare', () => assert.ok(PICTURES.length >= 20, `${PICTURES.length} pictures`));

for (const picture of PICTURES)
  test(`${picture}: the same result`, () => {
    const expected = byProgram(picture, SLED);
    const answer = byCode(picture, SLED);
    assert.equal(answer.status, expected.status, answer.text);
    const found = JSON.parse(answer.result);
    if (expected.status === 'rejected') assert.equal(answer.code, expected.reason.code);
    assert.deepEqual(differences(expected, found), []);
    assert.ok(answer.page.startsWith('<!DOCTYPE html>'));
    // Nothing in the page's sentences is to be typed on a command line, but the command that does the same there.
    const sentences = answer.page.replace(/<style>.*?<\/style>|<code.*?<\/code>/gs, '');
    assert.equal(/>[^<]*\s\(?--[a-z][^<]*</.exec(sentences)?.[0], undefined);
  });

test('wrong words are refused as the program refuses them', () => {
  const answer = ask(code, { do: 'sled', name: 'bench 7', words: { pivot: 'left' } });
  assert.equal(answer.status, 'failed');
  assert.equal(answer.code, 'pivot-without-distance');
  assert.doesNotMatch(answer.remedy, /--/);
});

test('what is no request is answered all the same', () => {
  for (const request of [{}, { do: 'dance' }, { do: 'measure' }, { do: 'measure', pictures: [{ name: 'a', blob: 4 }] },
    { do: 'class-sheet', lines: ['{'] }, { do: 'measure', sled: { wheels: '4' }, pictures: [] }])
    assert.equal(ask(code, request).status, 'failed', JSON.stringify(request));
});

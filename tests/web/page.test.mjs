// The page in Chromium, as people use it: a sled, a picture, an answer, a record, a class, without a network.
import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { basename, join, resolve } from 'node:path';
import { after, before, test } from 'node:test';
import { chromium } from 'playwright-core';
import { serve } from './server.mjs';

const ROOT = resolve(import.meta.dirname, '../..');
const PROGRAM = join(process.env.BUILD ?? join(ROOT, 'build/release'), 'bin/tapersight');
const SITE = process.env.SITE ?? join(ROOT, 'build/web/site');
const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const image = (name) => join(ROOT, 'testimages', name);
const SCAN = image('scans/bench-07-letter-300dpi.jpg'), PHOTO = image('photos/bench-09-a4-dark-channel.jpg');
const LOOKS = [
  { name: 'phone', viewport: { width: 390, height: 844 }, colorScheme: 'light', hasTouch: true },
  { name: 'narrow phone, dark', viewport: { width: 320, height: 640 }, colorScheme: 'dark', hasTouch: true },
  { name: 'desk', viewport: { width: 1280, height: 900 }, colorScheme: 'light' },
];
const VIEWS = ['sheet', 'sled', 'picture', 'answer', 'class'];

let host, scratch;
before(async () => {
  host = await serve(SITE);
  scratch = mkdtempSync(join(tmpdir(), 'tapersight-web-'));
});
after(async () => {
  await host.close();
  rmSync(scratch, { recursive: true, force: true });
});

// Opens the page in a profile of its own, waits until all of it is kept, and sees that nothing was complained of.
async function withPage(look, work, flags = []) {
  const profile = mkdtempSync(join(tmpdir(), 'tapersight-profile-'));
  const { name, ...options } = look;
  const context = await chromium.launchPersistentContext(profile, {
    executablePath: process.env.CHROMIUM || '/usr/bin/chromium', headless: true, acceptDownloads: true,
    args: ['--headless', '--no-sandbox', '--disable-gpu', '--no-first-run', '--disable-background-networking',
      '--disable-component-update', '--disable-sync', ...flags], ...options });
  const complaints = [];
  try {
    const page = context.pages()[0] ?? await context.newPage();
    page.on('console', (message) => ['error', 'warning'].includes(message.type()) && complaints.push(message.text()));
    page.on('pageerror', (error) => complaints.push(String(error)));
    page.setDefaultTimeout(120000);
    await page.goto(host.address);
    await page.evaluate(() => navigator.serviceWorker.ready);
    await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
    await work(page, context);
    assert.deepEqual(complaints, []);
  } finally {
    await context.close();
    rmSync(profile, { recursive: true, force: true });
  }
}

const go = async (page, view) => {
  await page.locator(`nav a[href="#${view}"]`).click();
  await page.waitForFunction((name) => location.hash === `#${name}`, view);
};

async function keepSled(page, name = 'bench 7', distance = '45 in') {
  await go(page, 'sled');
  await page.getByLabel('Name of the sled').fill(name);
  await page.getByLabel('4. How far').fill(distance);
  await page.getByRole('button', { name: 'Keep this sled' }).click();
  await page.getByRole('status').filter({ hasText: 'Kept on this device.' }).waitFor();
}

async function measure(page, ...files) {
  await go(page, 'picture');
  await page.locator('input[type=file]:not([capture])').setInputFiles(files);
  await page.getByRole('button', { name: 'Measure', exact: true }).click();
  await page.locator('.report').waitFor();
}

async function saved(page, label) {
  const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: label }).click()]);
  const file = join(scratch, download.suggestedFilename());
  await download.saveAs(file);
  return file;
}

function program(...options) {
  const run = spawnSync(PROGRAM, options, { cwd: scratch, encoding: 'utf8' });
  return { status: run.status, out: run.stdout, complaint: run.stderr };
}

async function fits(page, view) {
  const { wide, room } = await page.evaluate(() => ({ wide: document.documentElement.scrollWidth, room: innerWidth }));
  assert.ok(wide <= room, `${view} is ${wide} px wide in a window of ${room}`);
}

async function isAccessible(page, view) {
  await page.evaluate(AXE); // by the debugger's door: the page's own policy lets no script in
  const { violations } = await page.evaluate(() => axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa'] }));
  assert.deepEqual(violations.map(({ id, nodes }) => `${view}: ${id} ${nodes[0].html}`), []);
}

// What a thumb has to hit, the report's own words left out.
async function isLargeEnough(page, view) {
  const small = await page.evaluate(() => [...document.querySelectorAll('a, button, select, summary, input[type=text], .choice, .file-button')]
    .filter((each) => each.checkVisibility() && !each.closest('.report'))
    .filter((each) => each.getBoundingClientRect().height < 43.5)
    .map((each) => each.outerHTML.slice(0, 120)));
  assert.deepEqual(small, [], view);
}

for (const look of LOOKS)
  test(`${look.name}: every view fits, can be hit by a thumb and read by everybody, empty and filled`, () =>
    withPage(look, async (page) => {
      const lookOver = async (view) => {
        await fits(page, view);
        await isLargeEnough(page, view);
        await isAccessible(page, view);
      };
      for (const view of VIEWS) {
        await go(page, view);
        for (const summary of await page.locator('main summary').all()) await summary.click();
        await lookOver(view);
      }
      await keepSled(page);
      await page.locator('figure svg').waitFor();
      await lookOver('sled, kept');
      await measure(page, SCAN);
      await page.locator('.says').waitFor();
      await lookOver('answer, measured');
      await measure(page, image('rejects/no-strip.jpg'));
      await page.getByRole('alert').waitFor();
      await lookOver('answer, refused');
    }));

test('a sled is kept, refused in words, drawn, saved for the program and opened again', () =>
  withPage(LOOKS[0], async (page) => {
    await go(page, 'sled');
    await page.getByLabel('Name of the sled').fill('bench 7');
    await page.getByLabel('4. How far').fill('45 parsecs');
    await page.getByRole('button', { name: 'Keep this sled' }).click();
    const alert = await page.getByRole('alert').innerText();
    assert.match(alert, /parsecs/);
    assert.doesNotMatch(alert, /--/);
    const near = await page.locator('figure svg').innerHTML();
    await page.getByRole('radio', { name: 'On the far side' }).check();
    await page.waitForFunction((before) => document.querySelector('figure svg').innerHTML !== before, near);
    await keepSled(page);
    const file = await saved(page, "Save the sled's file");
    assert.match(readFileSync(file, 'utf8'), /^fence = "far"$/m);
    assert.equal(program('measure', SCAN, '--config', file, '--json', 'by-file.json').status, 0);
    await page.getByRole('button', { name: 'Remove this sled' }).click();
    await page.getByRole('button', { name: 'Press again' }).click();
    await page.getByRole('status').filter({ hasText: 'Removed.' }).waitFor();
    await page.locator('input[accept=".toml"]').setInputFiles(file);
    await page.getByRole('status').filter({ hasText: 'Opened and kept.' }).waitFor();
    assert.ok(await page.getByRole('radio', { name: 'On the far side' }).isChecked());
  }));

for (const [kind, picture] of [['scan', SCAN], ['photo', PHOTO]])
  test(`a ${kind}'s answer says what the program's report says`, () =>
    withPage(LOOKS[2], async (page) => {
      await keepSled(page);
      const config = await saved(page, "Save the sled's file");
      await measure(page, picture);
      const heading = await page.locator('.report h1').innerText();
      const report = join(scratch, `${kind}.html`);
      assert.equal(program('measure', picture, '--config', config, '--report', report).status, 0);
      const [, expected] = /<h1>(.*?)<\/h1>/.exec(readFileSync(report, 'utf8'));
      assert.equal(heading.trim(), expected);
      assert.match(await page.locator('.report').innerText(), /Unplug the saw|Your saw's manual|two strips/i);
      const figures = JSON.parse(readFileSync(await saved(page, 'Save the figures'), 'utf8'));
      assert.equal(figures.status, 'measured');
      const kept = readFileSync(await saved(page, 'Save the page'), 'utf8');
      assert.match(kept, /^<!DOCTYPE html>/);
    }));

test('the record grows, takes the move, and is the program\'s own', () =>
  withPage(LOOKS[0], async (page) => {
    await keepSled(page);
    await measure(page, SCAN);
    await page.getByRole('status').filter({ hasText: 'in the record' }).waitFor();
    const moved = page.getByRole('button', { name: 'I moved it as told' });
    if (await moved.count() > 0) {
      await moved.click();
      await page.getByRole('status').filter({ hasText: 'The move is in the record' }).waitFor();
    }
    await go(page, 'sled');
    const record = await saved(page, 'Save its record');
    assert.equal(basename(record), 'bench-7.sled.jsonl');
    const lines = readFileSync(record, 'utf8').trim().split('\n').map((line) => JSON.parse(line));
    assert.ok(lines.length >= 1);
    const shown = program('record', 'show', 'bench 7', '--record-folder', scratch, '--pivot', 'left', '--pivot-distance', '45in');
    assert.equal(shown.status, 0, shown.complaint);
    assert.match(shown.out, /bench-07-letter-300dpi\.jpg/);
    await measure(page, SCAN); // the same picture counts once
    await go(page, 'sled');
    assert.equal(readFileSync(await saved(page, 'Save its record'), 'utf8').trim().split('\n').length, lines.length);
  }));

test('a picture that is refused says why and what to do, and shows it', () =>
  withPage(LOOKS[0], async (page) => {
    for (const name of ['no-strip', 'two-strips', 'blank', 'no-target', '75-dpi', 'broken-strip']) {
      await measure(page, image(`rejects/${name}.jpg`));
      const alert = await page.getByRole('alert').innerText();
      assert.ok(alert.trim().split('\n').length >= 2, `${name}: ${alert}`);
      assert.doesNotMatch(alert, /--/);
      await page.locator('.report svg.seen').waitFor();
    }
    const file = join(scratch, 'letter.jpg');
    writeFileSync(file, 'This is a letter and no picture.');
    await go(page, 'picture');
    await page.locator('input[type=file]:not([capture])').setInputFiles(file);
    await page.getByRole('button', { name: 'Measure', exact: true }).click();
    assert.match(await page.getByRole('alert').innerText(), /letter\.jpg/);
  }));

test('a format that only the browser reads is measured as well', () =>
  withPage(LOOKS[2], async (page) => {
    const jpeg = readFileSync(SCAN).toString('base64');
    const webp = await page.evaluate(async (base64) => {
      const bytes = Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
      const picture = await createImageBitmap(new Blob([bytes], { type: 'image/jpeg' }));
      const canvas = new OffscreenCanvas(picture.width, picture.height);
      canvas.getContext('2d').drawImage(picture, 0, 0);
      const made = new Uint8Array(await (await canvas.convertToBlob({ type: 'image/webp', quality: 0.98 })).arrayBuffer());
      let text = '';
      for (let at = 0; at < made.length; at += 4096) text += String.fromCharCode(...made.subarray(at, at + 4096));
      return btoa(text);
    }, jpeg);
    await go(page, 'picture');
    await page.locator('input[type=file]:not([capture])').setInputFiles([{ name: 'scan.webp', mimeType: 'image/webp', buffer: Buffer.from(webp, 'base64') }]);
    await page.getByRole('button', { name: 'Measure', exact: true }).click();
    await page.locator('.report').waitFor();
    const { strip } = JSON.parse(readFileSync(await saved(page, 'Save the figures'), 'utf8'));
    assert.ok(Math.abs(strip.taper + 0.000409) < 0.00003, `taper ${strip.taper}`);
  }));

// A film for the fake camera: the photo, drawn anew with a filter, a few times the same picture.
async function filmOf(filter) {
  let film;
  await withPage(LOOKS[2], async (page) => {
    film = await page.evaluate(async ([base64, how]) => {
      const bytes = Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
      const picture = await createImageBitmap(new Blob([bytes], { type: 'image/jpeg' }));
      const canvas = new OffscreenCanvas(1920, Math.round(1920 * picture.height / picture.width));
      const context = canvas.getContext('2d');
      context.filter = how;
      context.drawImage(picture, 0, 0, canvas.width, canvas.height);
      const made = new Uint8Array(await (await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.92 })).arrayBuffer());
      let text = '';
      for (let at = 0; at < made.length; at += 4096) text += String.fromCharCode(...made.subarray(at, at + 4096));
      return btoa(text);
    }, [readFileSync(PHOTO).toString('base64'), filter]);
  });
  const file = join(scratch, `${filter.replace(/\W/g, '')}.mjpeg`);
  const frame = Buffer.from(film, 'base64');
  writeFileSync(file, Buffer.concat([frame, frame, frame]));
  return ['--use-fake-device-for-media-stream', '--use-fake-ui-for-media-stream', `--use-file-for-fake-video-capture=${file}`];
}

test('the live view takes a good picture by itself, and it is measured', async () => {
  const flags = await filmOf('none');
  await withPage(LOOKS[0], async (page) => {
    await go(page, 'picture');
    await page.getByRole('button', { name: 'Use the camera live' }).click();
    await page.getByRole('status').filter({ hasText: 'Taken. Measure it now.' }).waitFor();
    await page.getByText(/^camera-\d+\.png$/).waitFor();
    await page.getByRole('button', { name: 'Measure', exact: true }).click();
    await page.locator('.report').waitFor();
    const { measurement } = JSON.parse(readFileSync(await saved(page, 'Save the figures'), 'utf8'));
    assert.equal(measurement?.kind ?? 'photo', 'photo');
  }, flags);
});

for (const [filter, says] of [['blur(7px)', 'Hold still.'], ['brightness(0.12)', 'Too dark. Make more light.']])
  test(`the live view with ${filter}: ${says}`, async () => {
    const flags = await filmOf(filter);
    await withPage(LOOKS[0], async (page) => {
      await go(page, 'picture');
      await page.getByRole('button', { name: 'Use the camera live' }).click();
      await page.getByRole('status').filter({ hasText: says }).waitFor();
      await page.getByRole('button', { name: 'Stop the camera' }).click();
      assert.equal(await page.locator('video').count(), 0);
    }, flags);
  });

test('a class: roster and pictures in, sheet and table out', () =>
  withPage(LOOKS[2], async (page) => {
    await go(page, 'class');
    const roster = join(scratch, 'roster.csv');
    writeFileSync(roster, 'bench,student,pivot,pivot distance\n3,Ida,left,45 in\n7,Noor,left,45 in\n11,,,\n12,Per,left,45 in\n');
    await page.locator('input[accept=".csv,text/csv"]').setInputFiles(roster);
    await page.locator('input[multiple]').setInputFiles([SCAN, image('scans/bench-03-a4-300dpi.jpg'), image('rejects/no-strip.jpg')]);
    await page.getByLabel('Name of the class').fill('Period 3');
    await page.getByRole('button', { name: 'Measure the class' }).click();
    await page.getByText('The class sheet is ready.').waitFor();
    await fits(page, 'class sheet');
    await isAccessible(page, 'class sheet');
    const text = await page.locator('.report').innerText();
    assert.match(text, /Noor/);
    assert.match(text, /Period 3/);
    const csv = readFileSync(await saved(page, 'Save the table'), 'utf8');
    assert.match(csv, /Ida/);
    assert.match(csv, /Per/); // no picture shows that bench, and the table says so
    assert.match(readFileSync(await saved(page, 'Save a slip'), 'utf8'), /Noor/);
  }));

test('after the first visit nothing is asked of the network, and without one all of it works', () =>
  withPage(LOOKS[0], async (page, context) => {
    const before = host.asked.length;
    await keepSled(page);
    await measure(page, SCAN);
    // What is left is the browser's own: it looks whether there is a newer service worker.
    assert.deepEqual(host.asked.slice(before).filter((path) => path !== '/shop/service-worker.js'), []);
    await context.setOffline(true);
    await page.reload();
    await measure(page, PHOTO);
    assert.match(await page.locator('.report h1').innerText(), /fence|square/i);
    const sheet = await page.evaluate(async () => (await fetch('sheets/sheet-a4.pdf')).headers.get('content-type'));
    assert.equal(sheet, 'application/pdf');
    await context.setOffline(false);
  }));

test('forth and back: what was typed and found is still there; the keyboard reaches all of it', () =>
  withPage(LOOKS[2], async (page) => {
    await measure(page, SCAN);
    const heading = await page.locator('.report h1').innerText();
    await go(page, 'class');
    await page.goBack();
    assert.equal(await page.locator('.report h1').innerText(), heading);
    await page.goBack();
    await page.getByRole('heading', { name: 'The picture' }).waitFor();
    await page.reload(); // the keyboard begins at the top
    await page.getByRole('heading', { name: 'The picture' }).waitFor();
    await page.keyboard.press('Tab');
    await page.keyboard.press('Enter'); // the first link of the page
    await page.getByRole('heading', { name: 'Print the sheet' }).waitFor();
    const outline = await page.evaluate(() => {
      document.querySelector('nav a').focus();
      return getComputedStyle(document.querySelector('nav a')).outlineStyle;
    });
    assert.notEqual(outline, 'none');
  }));

test('twenty pictures in a row take no more memory than the first ones', () =>
  withPage(LOOKS[0], async (page) => {
    const pictures = [PHOTO, SCAN, image('photos/bench-05-letter-dark-wood.jpg'), image('rejects/no-strip.jpg')];
    const sizes = [];
    for (let i = 0; i < 20; ++i) {
      await measure(page, pictures[i % pictures.length]);
      sizes.push(await page.workers()[0].evaluate(() => ready.then((code) => code.HEAPU8.length)));
    }
    console.log(`# memory of the code after 4 and 20 pictures: ${sizes[3] >> 20} and ${sizes[19] >> 20} MB`);
    assert.equal(sizes[19], sizes[3]);
    assert.ok(sizes[19] < 400 << 20);
  }));

// Figures, and bounds wide enough for a busy machine; DEVELOPERS.md has what a quiet one showed.
test('how long it takes', () =>
  withPage(LOOKS[2], async (page) => {
    await page.reload();
    const start = await page.evaluate(async () => {
      const { ask } = await import('./ask.js');
      await ask({ do: 'style' });
      return performance.now();
    });
    const took = {};
    for (const [name, file] of [['12-megapixel photo', PHOTO], ['300 dpi scan', SCAN]]) {
      const bytes = readFileSync(file).toString('base64');
      took[name] = await page.evaluate(async ([base64, called]) => {
        const { ask } = await import('./ask.js');
        const file = new File([Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0))], called);
        const times = [];
        for (let i = 0; i < 4; ++i) {
          const from = performance.now();
          await ask({ do: 'measure', sled: {}, picture: {}, pictures: [{ name: called, file }] });
          times.push(performance.now() - from);
        }
        return Math.min(...times.slice(1));
      }, [bytes, basename(file)]);
    }
    const native = (file) => Math.min(...[1, 2, 3].map(() => {
      const from = performance.now();
      spawnSync('taskset', ['-c', '0', PROGRAM, 'measure', file, '--json', join(scratch, 't.json'), '--report', join(scratch, 't.html')]);
      return performance.now() - from;
    }));
    console.log(`# start to ready from cache ${Math.round(start)} ms`);
    console.log(`# photo ${Math.round(took['12-megapixel photo'])} ms (program, one core, start included: ${Math.round(native(PHOTO))})`);
    console.log(`# scan ${Math.round(took['300 dpi scan'])} ms (program: ${Math.round(native(SCAN))})`);
    assert.ok(start < 15000);
  }));

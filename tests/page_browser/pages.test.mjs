// What a real browser makes of the pages. Started by ./run.
import assert from 'node:assert/strict';
import { mkdtempSync, readFileSync, rmSync, statSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { pathToFileURL } from 'node:url';
import { HtmlValidate } from 'html-validate';
import { LOOKS, withBrowser } from './browser.mjs';
import { makePages } from './made_pages.mjs';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const AXE_TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'best-practice'];

let folder;
let measurements;
before(() => {
  folder = mkdtempSync(join(tmpdir(), 'tapersight-pages-'));
  measurements = makePages(folder);
});
after(() => rmSync(folder, { recursive: true, force: true }));

const allPages = () => [...measurements, 'class'];
const fileOf = (name) => join(folder, `${name}.html`);
const urlOf = (name) => pathToFileURL(fileOf(name)).href;

// Opens a page and keeps what it complained of and asked for.
async function open(context, name) {
  const page = await context.newPage();
  const complaints = [];
  const requests = [];
  page.on('console', (message) => complaints.push(message.text()));
  page.on('pageerror', (error) => complaints.push(String(error)));
  page.on('dialog', (dialog) => { complaints.push(`dialog: ${dialog.message()}`); dialog.dismiss(); });
  page.on('request', (request) => requests.push(request.url()));
  await page.goto(urlOf(name));
  return { page, complaints, outside: () => requests.filter((url) => url !== urlOf(name) && !url.startsWith('data:')) };
}

for (const { name: look, ...options } of LOOKS) {
  test(`${look}: no complaint, no request, no sideways scrolling, readable by everybody`, async (t) => {
    await withBrowser(options, async (context) => {
      for (const name of allPages()) {
        const { page, complaints, outside } = await open(context, name);
        const [width, room] = await page.evaluate(() => [document.documentElement.scrollWidth, window.innerWidth]);
        assert.ok(width <= room, `${name}: ${width} px wide in ${room}`);
        await page.evaluate(AXE);
        const found = await page.evaluate((tags) => window.axe.run(document, { runOnly: { type: 'tag', values: tags } }), AXE_TAGS);
        assert.ok(found.passes.some((rule) => rule.id === 'color-contrast'), `${name}: contrast was not looked at`);
        const faults = found.violations.map((rule) => `${rule.id}: ${rule.nodes.map((node) => node.html.slice(0, 120)).join(' | ')}`);
        assert.deepEqual(faults, [], name);
        assert.deepEqual(complaints, [], name);
        assert.deepEqual(outside(), [], name);
        await page.close();
      }
      t.diagnostic(`${allPages().length} pages`);
    });
  });
}

test('a measurement prints on one sheet of A4 and of Letter', async () => {
  await withBrowser(LOOKS[2], async (context) => {
    for (const name of measurements) {
      const { page } = await open(context, name);
      for (const format of ['A4', 'Letter']) {
        const pdf = (await page.pdf({ format, preferCSSPageSize: true })).toString('latin1');
        assert.equal(pdf.match(/\/Type\s*\/Page\b(?!s)/g).length, 1, `${name} on ${format}`);
      }
      await page.close();
    }
  });
});

test('print is never smaller than 5.8 pt', async () => {
  await withBrowser(LOOKS[2], async (context) => {
    for (const name of measurements) {
      const { page } = await open(context, name);
      await page.emulateMedia({ media: 'print' });
      const smallest = await page.evaluate(() => {
        const zoom = Number(getComputedStyle(document.body).zoom || 1);
        const sizes = Array.from(document.querySelectorAll('p,li,td,th,dd,figcaption,caption,code,.share'))
          .map((element) => parseFloat(getComputedStyle(element).fontSize));
        return Math.min(...sizes) * zoom * 0.75;
      });
      assert.ok(smallest >= 5.8, `${name}: ${smallest} pt`);
      await page.close();
    }
  });
});

test('the decision is the first thing in the page', async () => {
  await withBrowser(LOOKS[0], async (context) => {
    for (const name of allPages()) {
      const { page } = await open(context, name);
      const first = await page.evaluate(() => {
        const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
        let node = walker.nextNode();
        while (node && node.textContent.trim() === '') node = walker.nextNode();
        return [node.parentElement.tagName, document.querySelectorAll('h1').length, document.querySelectorAll('main').length];
      });
      assert.deepEqual(first, ['H1', 1, 1], name);
      await page.close();
    }
  });
});

test('every page is valid HTML and small', async () => {
  const validator = new HtmlValidate({
    extends: ['html-validate:standard'],
    rules: { 'no-inline-style': 'off', 'long-title': 'off', 'no-raw-characters': ['error', { relaxed: true }] },
  });
  for (const name of allPages()) {
    const report = await validator.validateString(readFileSync(fileOf(name), 'utf8'));
    const faults = report.results.flatMap((result) => result.messages.map((m) => `${m.ruleId} ${m.line}:${m.column} ${m.message}`));
    assert.deepEqual(faults, [], name);
    assert.ok(statSync(fileOf(name)).size < 1.5e6, name);
  }
});

test('whatever a roster holds is shown as text', async () => {
  await withBrowser(LOOKS[0], async (context) => {
    const { page, complaints } = await open(context, 'class');
    const names = await page.$$eval('#benches tbody th p bdi', (all) => all.map((bdi) => bdi.textContent));
    assert.deepEqual(names, ["<script>document.title='broken'</script>", '"Quick" & \'Sharp\' <b>', '\u05d3\u05d5\u05d2\u05de\u05d4 (1)',
      '\u202egnp.7-hcneb', '\u{1f6e0}\ufe0f \u{1f9d1}\u200d\u{1f527}']);
    assert.match(await page.title(), /1\u00a0square, 2\u00a0to adjust, 1\u00a0too close to call, 1\u00a0to cut or scan again/);
    assert.equal(await page.locator('script').count(), 1);
    const hebrew = page.locator('#benches tbody th p bdi').nth(2);
    assert.ok(await hebrew.evaluate((bdi) => bdi.matches(':dir(rtl)') && bdi.parentElement.matches(':dir(ltr)')));
    const isolated = await page.$$eval('bdi', (all) => all.every((bdi) => getComputedStyle(bdi).unicodeBidi === 'isolate'));
    assert.ok(isolated);
    const links = await page.$$eval('a', (all) => all.map((a) => a.href));
    assert.ok(links.length > 0 && links.every((href) => href.startsWith(pathToFileURL(folder).href)), links.join(' '));
    assert.deepEqual(complaints, []);
  });
});

const benches = (page) => page.$$eval('#benches tbody th b', (all) => all.map((b) => b.textContent));
const BENCH_ORDER = ['1', '2', 'bench 3', 'javascript:alert(4)', '5'];

test('the class sheet sorts by a press of its headings, also from the keyboard', async () => {
  await withBrowser(LOOKS[2], async (context) => {
    const { page, complaints } = await open(context, 'class');
    assert.deepEqual(await benches(page), BENCH_ORDER);
    await page.getByRole('button', { name: /Error/ }).click();
    assert.deepEqual(await benches(page), ['javascript:alert(4)', '5', '2', 'bench 3', '1']);
    await page.getByRole('button', { name: /What to do/ }).focus();
    await page.keyboard.press('Enter');
    assert.deepEqual(await benches(page), ['javascript:alert(4)', '2', '5', 'bench 3', '1']);
    assert.equal(await page.locator('th[aria-sort=descending]').count(), 1);
    await page.keyboard.press('Enter');
    assert.deepEqual(await benches(page), ['1', 'bench 3', '2', '5', 'javascript:alert(4)']);
    await page.getByRole('button', { name: /Bench/ }).click();
    assert.deepEqual(await benches(page), BENCH_ORDER);
    assert.deepEqual(complaints, []);
  });
});

test('without scripts the class sheet is in bench order', async () => {
  await withBrowser({ ...LOOKS[0], javaScriptEnabled: false }, async (context) => {
    const page = await context.newPage();
    await page.goto(urlOf('class'));
    assert.deepEqual(await page.locator('#benches tbody th b').allTextContents(), BENCH_ORDER);
    assert.equal(await page.locator('button').count(), 0);
  });
});

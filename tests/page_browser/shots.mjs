// Pictures of pages for the eye: node shots.mjs FOLDER PAGE.html...
import { mkdirSync } from 'node:fs';
import { basename, join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { LOOKS, withBrowser } from './browser.mjs';

const [folder, ...pages] = process.argv.slice(2);
mkdirSync(folder, { recursive: true });
for (const { name, ...look } of LOOKS)
  await withBrowser(look, async (context) => {
    const page = await context.newPage();
    for (const file of pages) {
      await page.goto(pathToFileURL(resolve(file)).href);
      await page.screenshot({ path: join(folder, `${basename(file, '.html')}-${name}.png`), fullPage: true });
      if (name !== 'desk-light') continue;
      for (const format of ['A4', 'Letter'])
        await page.pdf({ path: join(folder, `${basename(file, '.html')}-${format}.pdf`), format, preferCSSPageSize: true });
    }
  });

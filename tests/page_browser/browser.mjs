// The browser under test: Debian's Chromium, with nothing of its own that would go to the network.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';

const FLAGS = ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
  '--disable-background-networking', '--disable-component-update', '--disable-sync'];

// Runs `work(context)` with a context of its own profile, and cleans up.
export async function withBrowser(options, work) {
  const profile = mkdtempSync(join(tmpdir(), 'tapersight-browser-'));
  const context = await chromium.launchPersistentContext(profile, {
    executablePath: process.env.CHROMIUM || '/usr/bin/chromium', args: FLAGS, headless: true, ...options });
  try {
    return await work(context);
  } finally {
    await context.close();
    rmSync(profile, { recursive: true, force: true });
  }
}

export const LOOKS = [
  { name: 'phone-light', viewport: { width: 390, height: 844 }, colorScheme: 'light', deviceScaleFactor: 2 },
  { name: 'phone-dark', viewport: { width: 390, height: 844 }, colorScheme: 'dark', deviceScaleFactor: 2 },
  { name: 'desk-light', viewport: { width: 1280, height: 900 }, colorScheme: 'light' },
  { name: 'desk-dark', viewport: { width: 1280, height: 900 }, colorScheme: 'dark' },
];

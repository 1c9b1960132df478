// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// The page as one file that needs no server: it tells of its requests where another tells of its network.
import {execFileSync} from 'node:child_process';
import {mkdirSync} from 'node:fs';
import {resolve} from 'node:path';
import {pathToFileURL} from 'node:url';
import {waitUntil} from './hands.js';

function watchRequests() {
  Object.assign(window, {lives: 0, open_requests: 0, quiet: 0, longest: 0});
  addEventListener('asked', () => { window.open_requests++; });
  addEventListener('answered', ({detail}) => {
    window.open_requests--;
    window.quiet = performance.now();
    if (detail !== 'live') return;
    window.lives++;
    window.firstMap = window.firstMap ?? performance.now();
  });
  new PerformanceObserver((list) => {
    for (const {duration} of list.getEntries()) window.longest = Math.max(window.longest, duration);
  }).observe({type: 'longtask', buffered: true});
}

export async function openFile(browser, file, options) {
  const page = await browser.newPage(options);
  page.faults = [];
  page.on('pageerror', (error) => page.faults.push(error.message));
  page.on('console', (message) => { if (message.type() === 'error') page.faults.push(message.text()); });
  await page.addInitScript(watchRequests);
  page.waitForResponse = async () => {
    const before = await page.evaluate(() => window.lives);
    await waitUntil(page, `window.lives > ${before}`);
  };
  page.waitForLoadState = () => waitUntil(page, 'window.open_requests === 0 && performance.now() - window.quiet > 500');
  await page.goto(pathToFileURL(resolve(file)).href);
  return page;
}

export async function begin(page, button) {
  await page.click(button);
  await page.waitForSelector('#panel h2');
  await waitUntil(page, 'window.lives > 0');
}

// What is saved as .zip, unpacked into a new folder.
export async function savedJob(page, job) {
  const waiting = page.waitForEvent('download');
  await page.click('#save-zip');
  await (await waiting).saveAs(`${job}.zip`);
  mkdirSync(job);
  execFileSync('python3', ['-m', 'zipfile', '-e', `${job}.zip`, job]);
}

// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// The page as one file that needs no server: it tells of its requests where another tells of its network.
import {execFileSync} from 'node:child_process';
import {mkdirSync, readdirSync, renameSync, statSync} from 'node:fs';
import {join, resolve} from 'node:path';
import {pathToFileURL} from 'node:url';
import {waitUntil, watchFaults} from './hands.js';
import {downloadsPath, isFirefox} from './served.js';

function watchRequests() {
  Object.assign(window, {lives: 0, open_requests: 0, quiet: 0, longest: 0});
  addEventListener('asked', () => { window.open_requests++; });
  addEventListener('answered', ({detail}) => {
    window.open_requests--;
    window.quiet = performance.now();
    if (detail !== 'live') return;
    window.lives++;
    // when it is on the screen
    setTimeout(() => requestAnimationFrame(() => setTimeout(() => { window.firstMap ??= performance.now(); })));
  });
  new PerformanceObserver((list) => {
    for (const {duration} of list.getEntries()) window.longest = Math.max(window.longest, duration);
  }).observe({type: 'longtask', buffered: true});
}

export async function openFile(browser, file, options) {
  const page = await browser.newPage(options);
  watchFaults(page);
  await page.addInitScript(watchRequests);
  page.waitForResponse = async () => {
    const before = await page.evaluate(() => window.lives);
    await waitUntil(page, `window.lives > ${before}`);
  };
  page.waitForLoadState = () => waitUntil(page, 'window.open_requests === 0 && performance.now() - window.quiet > 500');
  await page.goto(pathToFileURL(resolve(file)).href);
  await page.bringToFront(); // Firefox gives the focus to no other
  return page;
}

export async function begin(page, button) {
  await page.click(button);
  await page.waitForSelector('#panel h2');
  await waitUntil(page, 'window.lives > 0');
}

// Over BiDi nothing is told of a file that a page has made itself: it comes into the folder.
async function savedByFirefox(page) {
  await page.click('#save-zip');
  for (let i = 0; i < 100; i++) {
    const [name, ...others] = readdirSync(downloadsPath);
    if (name && !others.length && statSync(join(downloadsPath, name)).size) return join(downloadsPath, name);
    await page.waitForTimeout(100);
  }
  throw new Error(`no .zip came: ${readdirSync(downloadsPath)}`);
}

// What is saved as .zip, unpacked into a new folder.
export async function savedJob(page, job) {
  if (isFirefox) renameSync(await savedByFirefox(page), `${job}.zip`);
  else {
    const waiting = page.waitForEvent('download');
    await page.click('#save-zip');
    await (await waiting).saveAs(`${job}.zip`);
  }
  mkdirSync(job);
  execFileSync('python3', ['-m', 'zipfile', '-e', `${job}.zip`, job]);
}

// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// What every run in a browser begins with: the browser, and a page that is served.
import {spawn} from 'node:child_process';
import {mkdirSync, mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import {chromium, firefox} from 'playwright-core';
import {launchByHand} from './real_hands.js';

// Debian's Chromium, or with BROWSER=firefox its Firefox, which is asked by WebDriver BiDi and used
// by hand. CHROMIUM or FIREFOX names the program where it is another.
export const isFirefox = process.env.BROWSER === 'firefox';
const own = mkdtempSync(join(tmpdir(), 'spotfield-browser-'));
process.on('exit', () => rmSync(own, {recursive: true, force: true, maxRetries: 5}));
export const downloadsPath = join(own, 'downloads');
mkdirSync(downloadsPath);

// One tab may be killed: playwright's word that the others go with it is taken back.
function firefoxOptions() {
  const executablePath = join(own, 'firefox');
  writeFileSync(executablePath, `#!/bin/sh\nunset MOZ_CRASHREPORTER_SHUTDOWN\nexec ${process.env.FIREFOX ?? '/usr/bin/firefox-esr'} "$@"\n`, {mode: 0o755});
  // drawn by the processor alone: twenty pictures a second are enough; its question whether to keep data would lie over the page
  const firefoxUserPrefs = {'layout.frame_rate': 20, 'dom.storageManager.prompt.testing': true, 'dom.storageManager.prompt.testing.allow': true};
  return {channel: 'moz-firefox', downloadsPath, executablePath, firefoxUserPrefs};
}
const [kind, options] = isFirefox ? [firefox, firefoxOptions()]
  : [chromium, {executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: ['--no-sandbox']}];

// With `forFinger` Firefox takes its mouse for a finger; Chromium is told so by each page.
export function launch({forFinger = false} = {}) {
  if (!isFirefox) return kind.launch(options);
  const pointer = forFinger ? {'ui.primaryPointerCapabilities': 1, 'ui.allPointerCapabilities': 1} : {};
  return launchByHand(kind, {...options, firefoxUserPrefs: {...options.firefoxUserPrefs, ...pointer}});
}

// With a profile in a folder; Firefox takes one of its own, which goes with it.
export async function launchIn(folder) {
  if (!isFirefox) return kind.launchPersistentContext(folder, {...options, acceptDownloads: true});
  const browser = await launch(), context = await browser.newContext();
  context.on('close', () => browser.close());
  return context;
}

// The process that serves a job, and the address it told.
export function startPage(program, job) {
  const child = spawn(program, ['page', job], {stdio: ['ignore', 'pipe', 'inherit']});
  return new Promise((done, failed) => {
    let said = '';
    child.stdout.on('data', (bytes) => {
      said += bytes;
      const address = /http:\S+/.exec(said)?.[0];
      if (address) done({child, address});
    });
    child.on('exit', () => failed(new Error(`the page ended: ${said}`)));
  });
}

// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// What every run in a browser begins with: the browser, and a page that is served.
import {spawn} from 'node:child_process';

// CHROMIUM names the browser where it is not /usr/bin/chromium.
export const executablePath = process.env.CHROMIUM ?? '/usr/bin/chromium';

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

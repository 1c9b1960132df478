// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Opens a report in Chromium and fails on any violation: of WCAG 2.2 A and AA, as axe-core reads
// them, in light, dark, on a phone and in print; of what keyboard, pointer and filter must do; and
// of the width of a phone and of an A4 page, and how many pages the parts take.
// Usage: node check.js REPORT.html...
import { createRequire } from 'node:module';
import { resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';
import * as behaviour from './behaviour.js';

const axeScript = createRequire(import.meta.url).resolve('axe-core/axe.min.js');
const standards = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];
const desk = { width: 1280, height: 900 };
const views = [
  { name: 'light', viewport: desk, colorScheme: 'light' },
  { name: 'dark', viewport: desk, colorScheme: 'dark' },
  { name: 'phone', viewport: { width: 390, height: 844 }, colorScheme: 'light', hasTouch: true },
  { name: 'dark phone', viewport: { width: 390, height: 844 }, colorScheme: 'dark', hasTouch: true },
  { name: 'print', viewport: { width: 703, height: 1032 }, media: 'print' }, // A4 less its margins
];

let checks = 0;
const faults = [];

function expect(view, held, what) {
  checks++;
  if (!held) faults.push(`${view}: ${what}`);
}

async function open(browser, view, address) {
  const { viewport, colorScheme, hasTouch } = view;
  // the page's own policy forbids the checker's script, so it is let in from outside
  const context = await browser.newContext({ viewport, colorScheme, hasTouch, bypassCSP: true });
  const page = await context.newPage();
  page.on('pageerror', (error) => expect(view.name, false, `script: ${error.message}`));
  await page.emulateMedia({ media: view.media || 'screen', colorScheme });
  await page.goto(address);
  return page;
}

async function checkAccess(page, view, media) {
  await page.addScriptTag({ path: axeScript });
  const found = await page.evaluate(([tags, touched]) => axe.run(document, {
    runOnly: { type: 'tag', values: tags }, resultTypes: ['violations'],
    rules: { 'target-size': { enabled: touched } }, // paper is not touched
  }), [standards, media !== 'print']);
  expect(view, found.passes.length > 20, 'the checker ran hardly any rule');
  expect(view, found.violations.length === 0, found.violations.map((violation) =>
    `${violation.id}: ${violation.help}; ${violation.nodes.length} such as ` +
    violation.nodes[0].html.slice(0, 160)).join('\n    '));
}

async function checkWidth(page, view) {
  const { scroll, inner } = await page.evaluate(() => (
    { scroll: document.documentElement.scrollWidth, inner: window.innerWidth }));
  expect(view, scroll <= inner, `the page is ${scroll} px wide in a window of ${inner}`);
}

// Long tables are read without scrolling sideways: as cards on a phone, as rows on a desk.
const longTables = ['part-list', 'kit-list', 'zone-list', 'reading-list', 'source-list', 'field-list', 'policy-list', 'history-list'];

async function checkTables(browser, address) {
  for (const width of [1280, 400]) {
    const view = { name: `${width} px`, viewport: { width, height: 900 }, colorScheme: 'light' };
    const page = await open(browser, view, address);
    await checkWidth(page, view.name);
    const wide = await page.evaluate((names) => [...document.querySelectorAll('.scroll')]
      .filter((room) => names.includes(room.firstElementChild.className) && room.scrollWidth > room.clientWidth + 1)
      .map((room) => room.firstElementChild.className), longTables);
    expect(view.name, wide.length === 0, `${wide.join(', ')} must be scrolled sideways`);
    await page.context().close();
  }
}

// Ninety parts are on eight printed pages at most, with all that is told of the board; the parts of a smaller
// board on their share of them.
async function checkPages(browser, address) {
  const page = await open(browser, views.at(-1), address);
  const parts = await page.evaluate(() => {
    const count = document.querySelectorAll('.part-list tbody tr').length;
    for (const other of document.querySelectorAll('header, footer, section:not(#parts)'))
      other.style.display = count < 90 ? 'none' : '';
    return count;
  });
  const printed = (await page.pdf({ preferCSSPageSize: true })).toString('latin1').match(/\/Type\s*\/Page\b/g).length;
  expect('print', printed <= Math.max(1, Math.ceil(8 * parts / 90)), `${parts} parts take ${printed} pages`);
  await page.context().close();
}

async function checkBehaviour(browser, address) {
  for (const [name, check] of Object.entries(behaviour)) {
    const page = await open(browser, views[0], address);
    try {
      await check(page, (held, what) => expect(name, held, what));
    } catch (error) {
      expect(name, false, error.message);
    }
    await page.context().close();
  }
}

const files = process.argv.slice(2);
if (files.length === 0) {
  console.error('Usage: node check.js REPORT.html...');
  process.exit(64);
}
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM || '/usr/bin/chromium', args: ['--no-sandbox'],
});
for (const file of files) {
  const address = pathToFileURL(resolve(file)).href;
  const before = faults.length;
  for (const view of views) {
    const page = await open(browser, view, address);
    await checkAccess(page, view.name, view.media);
    await checkWidth(page, view.name);
    await page.context().close();
  }
  await checkTables(browser, address);
  await checkPages(browser, address);
  await checkBehaviour(browser, address);
  console.log(`${file}: ${faults.length - before} faults`);
}
await browser.close();
faults.forEach((fault) => console.log(`  ${fault}`));
console.log(`${checks - faults.length} passed, ${faults.length} failed`);
process.exit(faults.length ? 1 : 0);

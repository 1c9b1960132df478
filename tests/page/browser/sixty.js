// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Sixty parts walking over the board, kinds mixed, each with its printed number, counted: clicks, keys,
// fields looked for. The time is that of a person: 1.2 s a click, 4 characters a second, 1 s to find a
// field that was not in hand (a model of our own, no source). The photo is draw_photo's: cans lean.
//   npm install && node sixty.js [PROGRAM] [FOLDER FOR PICTURES]
import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {mkdirSync, mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {dirname, join, resolve} from 'node:path';
import {boardToScreen, onJob, shot, waitUntil} from './hands.js';
import {launch} from './served.js';
import {namedRowsOf} from './tables.js';

const program = resolve(process.argv[2] ?? '../../../build/src/cli/spotfield');
const drawPhoto = join(dirname(program), '../../tests/page/draw_photo');
const [WIDE, HIGH] = [220, 160];

const count = {clicks: 0, keys: 0, fields: 0};
const secondsOf = ({clicks, keys, fields}) => 1.2 * clicks + keys / 4 + fields;

// --- the board ---

function makeJob(folder) {
  mkdirSync(folder, {recursive: true});
  const lines = execFileSync(drawPhoto, [folder], {encoding: 'utf8'}).trim().split('\n').map((line) => line.split(',').map(Number));
  const corners = [[0, 0], [WIDE, 0], [WIDE, HIGH], [0, HIGH]].map(([x, y], at) => [at + 1, ...lines[at], x, y].join());
  writeFileSync(join(folder, 'photo-marks.csv'), `mark,column_px,row_px,x_mm,y_mm\n${corners.join('\n')}\n`);
  writeFileSync(join(folder, 'board.csv'), `key,value,unit\nname,invented board,\nwidth,${WIDE},mm\nheight,${HIGH},mm\nambient,24,C\n`);
  writeFileSync(join(folder, 'keepout.csv'), 'ring,x_mm,y_mm,reason\n');
  return lines.slice(4).map(([x, y, wide, high]) => ({x, y, wide, high}));
}

// Row by row, there and back; printed numbers run on as layouts do, by columns.
function walkOver(cans) {
  const numbers = [...cans].sort((one, other) => one.x - other.x);
  numbers.forEach((can, at) => { can.ref = `C${at + 1}`; });
  const row = (can) => Math.floor(can.y / 20);
  return [...cans].sort((one, other) => row(one) - row(other) || (row(one) % 2 ? other.x - one.x : one.x - other.x));
}

const kinds = {25: '10000/63/85 25x40 2000h', 22: '4700/63/85 22x35 2000h', 18: '2200/63/105 18x28 3000h', 16: '1000/63/85 16x25 2000h', 12.5: '470/50/105 12.5x20 3000h',
  10: '220/50/85 10x16 2000h', 8: '100/35/105 8x12 2000h', 6.3: '47/50/85 6.3x11 1000h', 5: '10/63/85 5x8 1000h'};
const wantedOf = (can) => { const [, uf, volts, grade, high, hours] = /^(\d+)\/(\d+)\/(\d+) [\d.]+x(\d+) (\d+)h/.exec(kinds[can.wide]); return {uf, volts, grade, high, hours}; };

// --- the hand ---

async function click(page, selector) {
  count.clicks++;
  await page.locator(selector).scrollIntoViewIfNeeded();
  await page.click(selector);
}

async function type(page, words) {
  count.keys += words.length;
  await page.keyboard.type(words);
}

// The kind by its button, once it stands on the board; else by its line.
async function takeKind(page, can, known) {
  const {uf, volts} = wantedOf(can);
  if (!known.has(can.wide)) {
    count.fields++;
    await click(page, '[name="marking"]');
    await page.locator('[name="marking"]').selectText();
    await type(page, kinds[can.wide]);
    assert.match(await page.textContent('#marking-echo'), /^Understood/);
    known.add(can.wide);
    return;
  }
  const button = `#kinds button:has-text("${uf} \u00b5F ${volts} V")`;
  if (await page.getAttribute(button, 'aria-pressed') !== 'true') await click(page, button);
}

// Near its middle, as a hand clicks: a sixth of its width off.
async function place(page, toScreen, eye, can, at) {
  const stretch = eye.above / (eye.above - can.high);
  const top = {x: eye.x + stretch * (can.x - eye.x), y: eye.y + stretch * (can.y - eye.y)};
  const kept = page.waitForResponse((response) => response.url().endsWith('/edit'));
  count.clicks++;
  await page.mouse.click(...toScreen(top.x + can.wide / 6 * Math.cos(at), top.y + can.wide / 6 * Math.sin(at)));
  await kept;
  await waitUntil(page, () => document.activeElement?.name === 'printed');
  await type(page, can.ref.slice(1));
}

async function lookForMissed(page) {
  let seen = 0;
  await click(page, '#next-circle');
  await shot(page, 'sixty-missed');
  while (await page.locator('#no-can').count()) {
    seen++;
    await click(page, '#no-can');
    await page.waitForTimeout(20);
  }
  return seen;
}

let cans = null;

async function sixtyParts({page, job}) {
  await page.click('#tab-place');
  await page.click('#tool-part');
  await waitUntil(page, () => document.querySelector('#circles-told'));
  const toScreen = await boardToScreen(page);
  const eye = {x: WIDE / 2, y: HIGH / 2, above: 450}, known = new Set();
  count.fields++;
  await click(page, '[name="camera_above"]');
  await type(page, '450');
  await shot(page, 'sixty-begin');
  const began = Date.now();
  for (const [at, can] of cans.entries()) {
    await takeKind(page, can, known);
    await place(page, toScreen, eye, can, at);
    if (at === 30) await shot(page, 'sixty-halfway');
  }
  await page.keyboard.press('Enter');
  await waitUntil(page, () => !document.querySelector('[name="printed"]')?.value || true);
  await page.waitForTimeout(500);
  await shot(page, 'sixty-end');
  const others = await lookForMissed(page);
  const parts = namedRowsOf(join(job, 'parts.csv')), off = [];
  assert.equal(parts.length, cans.length);
  for (const can of cans) {
    const row = parts.find(({ref}) => ref === can.ref) ?? assert.fail(`${can.ref} is not there`), wanted = wantedOf(can);
    assert.deepEqual([row.capacitance_uf, row.rated_v, row.rated_c, row.diameter_mm, row.height_mm, row.endurance_h],
      [wanted.uf, wanted.volts, wanted.grade, String(can.wide), wanted.high, wanted.hours], can.ref);
    off.push(Math.hypot(row.x_mm - can.x, row.y_mm - can.y));
  }
  off.sort((one, other) => one - other);
  console.log(`  ${parts.length} parts: ${count.clicks} clicks, ${count.keys} keys, ${count.fields} fields looked for, ${others} circles that were no cans; ` +
    `${Math.round(secondsOf(count))} s of a person's time, ${Math.round((Date.now() - began) / 1000)} s in this run; a place is off by ${off[30].toFixed(1)} mm at the median, ${off.at(-1).toFixed(1)} at most`);
  assert.ok(secondsOf(count) < 360, `${secondsOf(count)} s`);
  assert.ok(off[30] < 0.5 && off.at(-1) < 5, `${off}`);
}

// The search for circles ends by Escape, by its button, and by another tool; it can be begun again.
async function searchEnds({page}) {
  let asked = 0, left = 0;
  page.on('request', (request) => { asked += request.url().endsWith('/circles'); left += request.url().endsWith('/leave-circles'); });
  await page.route('**/circles', async (route) => { await new Promise((done) => setTimeout(done, 2500)); await route.continue().catch(() => {}); });
  await page.click('#tab-place');
  await page.click('#tool-part');
  await page.waitForSelector('#look-for-cans:has-text("Stop looking")');
  await page.focus('#board');
  await page.keyboard.press('Escape');
  await page.waitForSelector('#look-for-cans:has-text("Look again")');
  assert.equal(await page.isChecked('#tool-part'), true, 'the first Escape ends the search alone');
  await shot(page, 'sixty-search-ended');
  await page.click('#look-for-cans');
  await page.click('#look-for-cans:has-text("Stop looking")');
  await page.click('#look-for-cans:has-text("Look again")');
  await page.click('#tool-source');
  await page.waitForTimeout(3000);
  assert.deepEqual([asked, left], [3, 3]);
  assert.equal(await page.locator('#circles-told').count(), 0);
  await page.unroute('**/circles');
  await page.click('#tool-part');
  await waitUntil(page, () => document.querySelector('#circles-told'));
  assert.equal(asked, 4);
}

const browser = await launch();
const given = join(mkdtempSync(join(tmpdir(), 'spotfield-sixty-')), 'job');
cans = walkOver(makeJob(given));
try {
  for (const work of [searchEnds, sixtyParts]) await onJob(browser, program, given, {viewport: {width: 1500, height: 950}}, work);
} finally {
  await browser.close();
  rmSync(given, {recursive: true, force: true});
}

// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Twelve readings on a phone beside the board, counted: taps, keys, scrolls, and how often the place
// was out of sight. The time is that of a person: 1.2 s a tap, 4 characters a second, 1 s to find a
// field that was not in hand (a model of our own, no source).
//   npm install && node twelve.js [PROGRAM] [FOLDER FOR PICTURES]
import assert from 'node:assert/strict';
import {cpSync, mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join, resolve} from 'node:path';
import {walk} from '../../../src/page/assets/walk.js';
import {onJob, shot, waitUntil} from './hands.js';
import {launch} from './served.js';
import {namedRowsOf} from './tables.js';

const program = resolve(process.argv[2] ?? '../../../build/src/cli/spotfield');
const READINGS = 12;

// --- the order of the places ---

function theShortestWalk() {
  const at = (x_mm, y_mm = 0) => ({x_mm, y_mm});
  const plan = [at(50), at(10), at(40), at(20), at(30), at(999)];
  assert.deepEqual(walk(plan, at(0)).map(({x_mm}) => x_mm), [10, 20, 30, 40, 50, 999]);
  // nobody has read yet: the most telling place stays the first
  assert.deepEqual(walk(plan, null).map(({x_mm}) => x_mm), [50, 40, 30, 20, 10, 999]);
  assert.deepEqual(walk([], at(0)), []);
  assert.deepEqual(walk([at(3)], null), [at(3)]);
  console.log('passed: theShortestWalk');
}

// --- the hand ---

const count = {taps: 0, keys: 0, fields: 0, scrolls: 0, unseen: 0, steps: 0};

async function inSight(page, selector) {
  const box = await page.locator(selector).boundingBox(), {height} = page.viewportSize();
  return Boolean(box) && box.y > -0.5 && box.y + box.height < height + 0.5; // pixels have fractions
}

async function tap(page, selector) {
  count.taps++;
  if (!await inSight(page, selector)) count.scrolls++;
  await page.tap(selector);
}

// A key of ours is a character; the Enter key is a tap.
async function typeNumber(page, words) {
  assert.ok(await inSight(page, '.keypad'), 'the keys are out of sight');
  for (const sign of words) {
    count.keys++;
    await page.tap(`[id="key-${sign}"]`);
  }
}

// A warm board, by the place that is asked for: 32 C and a hump.
const valueAt = (x, y) => (32 + 24 * Math.exp(-Math.hypot(x - 120, y - 110) / 60)).toFixed(1);

async function nextPlace(page, before) {
  await waitUntil(page, () => document.querySelector('[data-key="where"]') || /No further reading/.test(document.querySelector('[data-key="none"]')?.textContent ?? ''));
  const words = await page.textContent('[data-key="place"]');
  const [, x, y] = /x ([\d.]+) mm, y ([\d.]+) mm/.exec(words) ?? assert.fail(words);
  assert.notEqual(`${x} ${y}`, before && `${before.x} ${before.y}`);
  return {x: Number(x), y: Number(y)};
}

async function oneReading(page, job, at, before) {
  const place = await nextPlace(page, before), value = valueAt(place.x, place.y);
  await page.waitForTimeout(150);
  if (!await inSight(page, '#beat') || !await inSight(page, '[data-key="where"]')) count.unseen++;
  assert.equal(await page.evaluate(() => document.activeElement.name), 'reading', 'the field is not in hand');
  assert.equal(await page.getAttribute('[name="reading"]', 'inputmode'), 'none');
  await typeNumber(page, value);
  if (at === 2) await shot(page, 'twelve-typed', {fullPage: false});
  assert.equal(await page.inputValue('[name="reading"]'), value);
  if (!await inSight(page, '#beat') || !await inSight(page, '[name="reading"]')) count.unseen++;
  const kept = page.waitForResponse((response) => response.url().endsWith('/edit'));
  await tap(page, '#key-enter');
  await waitUntil(page, () => document.querySelector('[name="reading"]').value === '');
  await kept;
  const row = namedRowsOf(join(job, 'readings.csv')).at(-1);
  assert.equal(row.value, value);
  assert.ok(Math.hypot(row.x_mm - place.x, row.y_mm - place.y) < 0.06);
  count.steps += before ? Math.hypot(place.x - before.x, place.y - before.y) : 0;
  return place;
}

async function twelveReadings({page, job}) {
  await page.tap('#tab-probe');
  await page.waitForSelector('#accept');
  await tap(page, '#accept');
  const began = Date.now();
  let before = null;
  for (let at = 0; at < READINGS; at++) {
    before = await oneReading(page, job, at, before);
    if (at === 0) await shot(page, 'twelve-after-first', {fullPage: false});
  }
  await shot(page, 'twelve-end', {fullPage: false});
  const seconds = 1.2 * (count.taps + count.scrolls) + count.keys / 4 + count.fields;
  console.log(`  ${READINGS} readings: ${count.taps} taps, ${count.keys} keys, ${count.scrolls} scrolls, place out of sight ${count.unseen} times; ` +
    `${seconds.toFixed(0)} s of a person's time, ${((Date.now() - began) / 1000).toFixed(0)} s in this run, ${count.steps.toFixed(0)} mm of way`);
  assert.equal(namedRowsOf(join(job, 'readings.csv')).length, READINGS);
  assert.ok(count.unseen === 0 && count.scrolls <= 1, JSON.stringify(count));
  assert.ok(seconds < 180, `${seconds} s`);
}

// Minus, point and backspace; what is rare is folded, and opened where it must be answered.
async function theKeysAndTheFold({page}) {
  await page.tap('#tab-probe');
  await page.tap('#accept');
  await nextPlace(page, null);
  for (const [keys, shown] of [[['-', '4', '.', '5'], '-4.5'], [['back', 'back'], '-4'], [['back', 'back', 'back'], '']]) {
    for (const key of keys) await page.tap(`[id="key-${key}"]`);
    assert.equal(await page.inputValue('[name="reading"]'), shown);
  }
  assert.equal(await page.locator('[name="method"]').isVisible(), false);
  await page.tap('[data-key="instrument"] summary');
  await page.selectOption('[name="method"]', 'infrared');
  await page.tap('[name="minute"]');
  await page.tap('[id="key-7"]');
  assert.equal(await page.inputValue('[name="minute"]'), '7');
  assert.match(await page.textContent('[data-key="instrument"] summary'), /^infrared/);
}

theShortestWalk();
const browser = await launch({forFinger: true});
const given = join(mkdtempSync(join(tmpdir(), 'spotfield-twelve-')), 'job');
cpSync(resolve('../../../demo/desk-supply'), given, {recursive: true});
writeFileSync(join(given, 'readings.csv'), 'id,x_mm,y_mm,value,unit,method\n');
try {
  const phone = {viewport: {width: 390, height: 780}, hasTouch: true, isMobile: true};
  for (const work of [theKeysAndTheFold, twelveReadings]) await onJob(browser, program, given, phone, work);
} finally {
  await browser.close();
  rmSync(given, {recursive: true, force: true});
}

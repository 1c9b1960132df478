// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// The whole job in a real browser, from an empty folder to the report: by mouse, by keyboard alone,
// and at tablet size. Ends with status 0 when `spotfield map` gives the same parts.csv as each export.
//   npm install && node whole_job.js [PROGRAM] [FOLDER FOR PICTURES] [SPOTFIELD.HTML]
// With spotfield.html the page runs in that file alone, and the job it saves goes to `spotfield map`.
import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {mkdtempSync, readFileSync, rmSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join, resolve} from 'node:path';
import {assertTidy, boardToScreen, changed, fill, makePhoto, openPage, photoToScreen, settled, shot, waitUntil} from './hands.js';
import {launch, startPage} from './served.js';
import {begin, openFile, savedJob} from './without_server.js';

const program = resolve(process.argv[2] ?? '../../../build/src/cli/spotfield');

// An invented board: it is warm about (40, 50) and falls off with distance.
const temperature = (x, y) => (25 + 32 * Math.exp(-Math.hypot(x - 40, y - 50) / 25)).toFixed(1);

async function describeBoard(page) {
  for (const [name, value] of [['name', 'Invented test board'], ['width', '100'], ['height', '80'], ['ambient', '22'], ['service_ambient', '30'], ['run_hours', '52000'], ['made', '1999'], ['surveyed', '2025-06-01'], ['hours_per_year', '2000']])
    await fill(page, name, value);
}

async function markCorners(page, photo) {
  await changed(page, () => page.setInputFiles('[name="photo"]', photo));
  await page.click('#mark-corners');
  const at = await photoToScreen(page);
  await page.waitForTimeout(400);
  for (const [column, row] of [[150, 800], [1080, 760], [980, 140], [230, 120]])
    await page.mouse.click(...at(column, row));
  await changed(page, () => page.click('#keep-marks'));
  await page.waitForTimeout(700);
  assert.match(await page.textContent('#panel'), /perspective corrected/);
}

const capacitors = [[30, 40, '470'], [52, 58, '100'], [80, 20, '10'], [44, 30, '220']];

async function placeByMouse(page) {
  await page.click('#tab-place');
  // asked anew each time: on a small screen a field or tool may have scrolled the page
  const at = async (x, y) => (await boardToScreen(page))(x, y);
  await page.check('#tool-part');
  for (const [x, y, value] of capacitors) {
    await page.fill('[name="marking"]', `${value} uF 35 V 105`);
    await changed(page, async () => page.mouse.click(...await at(x, y)));
  }
  await page.check('#tool-source');
  await changed(page, async () => page.mouse.click(...await at(40, 50)));
  await page.check('#tool-keepout');
  for (const [x, y] of [[2, 2], [20, 2], [20, 22], [2, 22]]) await page.mouse.click(...await at(x, y));
  await changed(page, () => page.click('#finish'));
  await changed(page, () => page.click('.rings button'));
  await changed(page, () => page.click('#undo'));
  await page.check('#tool-select');
  await page.mouse.move(...await at(80, 20));
  await page.mouse.down();
  await page.mouse.move(...await at(84, 24), {steps: 5});
  await changed(page, () => page.mouse.up());
  await changed(page, () => page.click('#undo'));
  await changed(page, () => page.click('#redo'));
}

async function planned(page) {
  await waitUntil(page, () => document.querySelector('.where') !== null);
  const [, x, y] = /x ([\d.]+) mm, y ([\d.]+) mm/.exec(await page.textContent('.where'));
  return [Number(x), Number(y)];
}

const planMade = (page) => waitUntil(page, () =>
  document.querySelector('.where') !== null || /No further reading/.test(document.querySelector('#panel').textContent));

async function probe(page, count) {
  for (let i = 0; i < count; i++) {
    await planMade(page);
    if (!await page.$('.where')) return;
    const [x, y] = await planned(page);
    await page.fill('[name="reading"]', temperature(x, y));
    await changed(page, () => page.press('[name="reading"]', 'Enter'));
    await settled(page);
  }
}

// A place of one's own choice is read where it is clicked; the reading before may have scrolled the page.
async function readAt(page, [x, y], value) {
  const at = await boardToScreen(page);
  await page.mouse.click(...at(x, y));
  await page.fill('[name="reading"]', value);
  await changed(page, () => page.press('[name="reading"]', 'Enter'));
  await settled(page);
}

async function challengeAndUndo(page) {
  await page.click('#zoom-fit');
  for (const place of [[15, 65], [70, 62], [62, 35], [90, 70], [10, 40], [60, 10]])
    await readAt(page, place, temperature(...place));
  await readAt(page, [66, 48], '140');
  await page.waitForSelector('.challenge', {timeout: 20000});
  await shot(page, 'challenge');
  await changed(page, () => page.click('.challenge button'));
  await waitUntil(page, () => !/140\.0/.test(document.getElementById('panel').textContent));
}

async function decide(page, name) {
  await page.click('#tab-decide');
  await page.locator('[name="air_k"]').focus();
  for (let i = 0; i < 8; i++) await page.keyboard.press('ArrowRight');
  await waitUntil(page, () => /warmer/.test(document.getElementById('what-words').textContent));
  await page.waitForTimeout(300);
  await shot(page, `${name}-what-if`);
  for (let i = 0; i < 8; i++) await page.keyboard.press('ArrowLeft');
  await page.click('.part');
  await page.waitForSelector('.why');
  await page.click('#export');
  await page.waitForSelector('.results', {timeout: 60000});
  await shot(page, `${name}-decide`);
}

function compareWithMap(job) {
  const results = mkdtempSync(join(tmpdir(), 'spotfield-map-'));
  execFileSync(program, ['map', job, '--quiet', '--out', results]);
  for (const file of ['parts.csv', 'kit.csv', 'zones.csv', 'readings.csv'])
    assert.ok(readFileSync(join(results, file)).equals(readFileSync(join(job, 'out', file))), `${file} differs from that of spotfield map`);
  rmSync(results, {recursive: true});
}

// --- the three runs ---

async function byMouse(page, photo, name) {
  await describeBoard(page);
  await markCorners(page, photo);
  await shot(page, `${name}-board`);
  await placeByMouse(page);
  await shot(page, `${name}-place`);
  await page.click('#tab-probe');
  await shot(page, `${name}-cautions`);
  await page.click('#accept');
  await planned(page);
  await shot(page, `${name}-first-point`);
  await probe(page, 6);
  await challengeAndUndo(page);
  await shot(page, `${name}-probe`);
  await decide(page, name);
}

// Which way it is by Tab. Behind its end a page loses the focus to the browser, which a script cannot leave.
const stepTo = (page, selector) => page.evaluate((wanted) => {
  const from = document.activeElement, to = document.querySelector(wanted);
  if (from === document.body) return document.getElementById('bar') ? 'Shift+Tab' : 'Tab'; // after the first choice, at the end
  return to && from.compareDocumentPosition(to) & Node.DOCUMENT_POSITION_PRECEDING ? 'Shift+Tab' : 'Tab';
}, selector);

// Tab until the element has the focus, which must then be seen.
async function tabTo(page, selector) {
  for (let i = 0; i < 120; i++) {
    if (await page.evaluate((wanted) => document.activeElement?.matches(wanted), selector)) {
      assert.notEqual(await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle), 'none', `${selector}: focus is not seen`);
      return;
    }
    await page.keyboard.press(await stepTo(page, selector));
  }
  assert.fail(`${selector} cannot be reached by Tab`);
}

async function pressAt(page, from, to) {
  const keys = [[to[0] - from[0], 'ArrowRight', 'ArrowLeft'], [to[1] - from[1], 'ArrowUp', 'ArrowDown']];
  for (const [distance, ahead, back] of keys) {
    const key = distance > 0 ? ahead : back;
    for (let i = 0; i < Math.floor(Math.abs(distance) / 10); i++) await page.keyboard.press(`Shift+${key}`);
    for (let i = 0; i < Math.abs(distance) % 10; i++) await page.keyboard.press(key);
  }
}

async function placeByKeys(page) {
  let cross = [0, 0];
  await tabTo(page, '#tab-board');
  await page.keyboard.press('ArrowRight');
  await tabTo(page, '[name="tool"]');
  await page.keyboard.press('ArrowDown');
  for (const [x, y, value] of capacitors) {
    await tabTo(page, '[name="draft_uf"]');
    await page.keyboard.press('Control+A');
    await page.keyboard.type(value);
    await tabTo(page, '[name="draft_c"]');
    await page.keyboard.type('105');
    await tabTo(page, '#board');
    await pressAt(page, cross, [x, y]);
    cross = [x, y];
    await changed(page, () => page.keyboard.press('Enter'));
  }
  await tabTo(page, '#tool-part');
  await page.keyboard.press('ArrowDown');
  await tabTo(page, '#board');
  await pressAt(page, cross, [40, 50]);
  await changed(page, () => page.keyboard.press('Enter'));
}

async function byKeyboard(page, photo, name) {
  for (const [key, value] of [['width', '100'], ['height', '80'], ['ambient', '22'], ['run_hours', '52000'], ['made', '1999'], ['surveyed', '2025-06-01']]) {
    await tabTo(page, `[name="${key}"]`);
    await page.keyboard.type(value);
    await changed(page, () => page.keyboard.press('Enter'));
  }
  await placeByKeys(page);
  await shot(page, `${name}-place`);
  await tabTo(page, '#tab-place');
  await page.keyboard.press('ArrowRight');
  await tabTo(page, '#none-here');
  await changed(page, () => page.keyboard.press('Enter'));
  await tabTo(page, '#accept');
  await page.keyboard.press('Enter');
  for (let i = 0; i < 5; i++) {
    await planMade(page);
    if (!await page.$('.where')) break;
    const [x, y] = await planned(page);
    await tabTo(page, '[name="reading"]');
    await page.keyboard.type(temperature(x, y));
    await changed(page, () => page.keyboard.press('Enter'));
    await settled(page);
  }
  await tabTo(page, '#tab-probe');
  await page.keyboard.press('ArrowRight');
  await tabTo(page, '.part');
  await page.keyboard.press('Enter');
  await tabTo(page, '#export');
  await page.keyboard.press('Enter');
  await page.waitForSelector('.results', {timeout: 60000});
  await shot(page, `${name}-decide`);
}

async function run(browser, name, work, options, photo) {
  const job = join(mkdtempSync(join(tmpdir(), 'spotfield-page-')), 'job');
  const {child, address} = await startPage(program, job);
  child.removeAllListeners('exit');
  try {
    const page = await openPage(browser, address, options);
    await work(page, photo, name);
    await assertTidy(page);
    compareWithMap(job);
    await page.close();
    console.log(`passed: ${name}`);
  } finally {
    child.kill();
    rmSync(job, {recursive: true, force: true});
  }
}

async function runInFile(browser, name, work, options, photo) {
  const folder = mkdtempSync(join(tmpdir(), 'spotfield-page-')), job = join(folder, 'job');
  const page = await openFile(browser, process.argv[4], options);
  try {
    await begin(page, '#begin-empty');
    await work(page, photo, `file-${name}`);
    await assertTidy(page);
    await savedJob(page, job);
    compareWithMap(job);
    console.log(`passed: ${name}, in the file alone`);
  } finally {
    await page.close();
    rmSync(folder, {recursive: true, force: true});
  }
}

const browser = await launch();
try {
  const photo = await makePhoto(browser), runJob = process.argv[4] ? runInFile : run;
  await runJob(browser, 'mouse', byMouse, {viewport: {width: 1400, height: 900}}, photo);
  await runJob(browser, 'keyboard', byKeyboard, {viewport: {width: 1280, height: 800}, colorScheme: 'dark'}, photo);
  await runJob(browser, 'tablet', byMouse, {viewport: {width: 820, height: 1180}, hasTouch: true, deviceScaleFactor: 2}, photo);
} finally {
  await browser.close();
}

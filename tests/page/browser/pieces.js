// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Pieces of the page that the whole job passes by, in a real browser: more marks than four, marks that
// are no marks, warm-up series, and undo after the page was started anew.
//   npm install && node pieces.js [PROGRAM] [FOLDER FOR PICTURES]
import assert from 'node:assert/strict';
import {mkdtempSync, readFileSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join, resolve} from 'node:path';
import {assertTidy, boardToScreen, changed, fill, makePhoto, openPage, photoToScreen, shot, waitUntil} from './hands.js';
import {launch, startPage} from './served.js';
import {rowsOf} from './tables.js';

const program = resolve(process.argv[2] ?? '../../../build/src/cli/spotfield');
const marksOf = (job) => rowsOf(join(job, 'photo-marks.csv'));

// Corners of the invented photo, then two holes where a perspective through the corners puts them, to
// half a pixel; the place of the last is mistyped.
const corners = [[150, 800], [1080, 760], [980, 140], [230, 120]];
const holes = [[632, 418, '50.5', '40.2'], [413, 589, '25.4', '30.6']];

async function typeMark(page, at, [column, row, x, y], number) {
  await page.mouse.click(...at(column, row));
  await page.waitForSelector(`[name="mark_x_${number}"]:focus`);
  await page.keyboard.type(x);
  await page.keyboard.press('Tab');
  await page.keyboard.type(y);
  await page.keyboard.press('Enter');
}

const missesOf = (page) => page.$$eval('.miss', (all) => all.map((one) => Number(/by ([\d.]+) mm/.exec(one.textContent)?.[1] ?? NaN)));

async function markMany({page, job, photo}) {
  for (const [name, value] of [['width', '100'], ['height', '80'], ['ambient', '22']]) await fill(page, name, value);
  await changed(page, () => page.setInputFiles('[name="photo"]', photo));
  await page.click('#tab-place');
  await page.click('#mark-corners');
  await page.waitForTimeout(400);
  const at = await photoToScreen(page);
  for (const [column, row] of corners) await page.mouse.click(...at(column, row));
  await waitUntil(page, () => /always fit/.test(document.getElementById('marks-fit').textContent));
  for (const [i, hole] of holes.entries()) await typeMark(page, at, hole, 4 + i);
  await waitUntil(page, () => /Root mean square of 6/.test(document.getElementById('marks-fit').textContent));
  const wrong = await missesOf(page);
  assert.equal(wrong.indexOf(Math.max(...wrong)), 5, 'the mistyped mark misses most');
  await shot(page, 'marks-mistyped');
  await page.fill('[name="mark_y_5"]', '20.6');
  await page.press('[name="mark_y_5"]', 'Enter');
  await waitUntil(page, () => !/by [1-9]\./.test(document.querySelector('.marks').textContent));
  // dragged away it misses, dragged back it fits again
  await page.mouse.move(...at(632, 418));
  await page.mouse.down();
  await page.mouse.move(...at(706, 418), {steps: 6});
  await page.mouse.up();
  await waitUntil(page, () => /by [1-9]\./.test(document.querySelectorAll('.miss')[4].textContent));
  await page.click('[data-key="mark-4"]');
  await page.mouse.click(...at(632, 418));
  await waitUntil(page, () => !/by [1-9]\./.test(document.querySelector('.marks').textContent));
  await shot(page, 'marks-six');
  await changed(page, () => page.click('#keep-marks'));
  assert.equal(marksOf(job).length, 6);
  await page.waitForTimeout(700);
  await shot(page, 'marks-kept');
  await page.click('#mark-all');
  await page.click('[data-key="unmark-5"]');
  await waitUntil(page, () => /Root mean square of 5/.test(document.getElementById('marks-fit').textContent));
  await changed(page, () => page.click('#keep-marks'));
  assert.deepEqual(marksOf(job).map(([mark]) => mark), ['1', '2', '3', '4', '5']);
  await changed(page, () => page.click('#undo'));
  assert.equal(marksOf(job).length, 6);
}

const readingsOf = (job) => rowsOf(join(job, 'readings.csv'));

async function readMinute(page, minute, value) {
  await page.fill('[name="reading"]', value);
  await page.fill('[name="minute"]', minute);
  await changed(page, () => page.press('[name="minute"]', 'Enter'));
}

// 61.5 C from 30 K below it, with 9 min: what is typed is rounded to a tenth.
const warming = (minute) => (61.5 - 30 * Math.exp(-minute / 9)).toFixed(1);

async function warmUp({page, job}) {
  for (const [name, value] of [['width', '100'], ['height', '80'], ['ambient', '22'], ['run_hours', '52000']]) await fill(page, name, value);
  await page.click('#tab-place');
  await page.check('#tool-part');
  const at = await boardToScreen(page);
  await changed(page, () => page.mouse.click(...at(30, 40)));
  await page.click('#tab-probe');
  await changed(page, () => page.click('#none-here'));
  await page.click('#accept');
  await page.mouse.click(...at(60, 50));
  await readMinute(page, '3', warming(3));
  assert.match(await page.textContent('.series-outcome'), /two more readings/);
  await readMinute(page, '10', warming(10));
  assert.match(await page.textContent('.series-outcome'), /one more reading/);
  await page.fill('[name="reading"]', '50');
  await page.fill('[name="minute"]', '10');
  await page.press('[name="minute"]', 'Enter');
  assert.match(await page.textContent('#notice'), /already has a reading at 10 min/);
  for (const minute of ['17', '24', '31']) await readMinute(page, minute, warming(Number(minute)));
  await waitUntil(page, () => /Steady at/.test(document.querySelector('.series-outcome').textContent));
  const [, steady, error] = /Steady at ([\d.]+) .C, standard error ([\d.]+) K, from 5/.exec(await page.textContent('.series-outcome'));
  // a slower body behind the board may still add to it
  assert.ok(steady > 61 && Math.abs(steady - 61.5) < 2 * error, `${steady} ${error}`);
  assert.equal(new Set(readingsOf(job).map(([id]) => id)).size, 1);
  await page.click('.chosen summary');
  await shot(page, 'series');
  // one place: all rows are dragged together
  await page.click('#end-series');
  await page.click('#tab-place');
  await page.check('#tool-select');
  await page.mouse.move(...at(60, 50));
  await page.mouse.down();
  await page.mouse.move(...at(64, 46), {steps: 5});
  await changed(page, () => page.mouse.up());
  assert.equal(new Set(readingsOf(job).map(([, x, y]) => `${x} ${y}`)).size, 1);
  await page.click('#tab-probe');
  await changed(page, () => page.click('[data-key="out-p1"]'));
  assert.equal(readingsOf(job).length, 0);
  await changed(page, () => page.click('#undo'));
  assert.equal(readingsOf(job).length, 5);
}

// A whole series that the others do not expect goes with all its rows.
async function challengeSeries({page, job}) {
  for (const [name, value] of [['width', '100'], ['height', '80'], ['ambient', '22'], ['run_hours', '52000']]) await fill(page, name, value);
  await page.click('#tab-probe');
  await changed(page, () => page.click('#none-here'));
  await page.click('#accept');
  const at = await boardToScreen(page);
  for (const [i, [x, y]] of [[15, 65], [70, 62], [62, 35], [90, 70], [10, 40], [60, 10], [30, 20], [85, 30]].entries()) {
    await page.mouse.click(...at(x, y));
    await page.fill('[name="reading"]', String(36 + i % 3));
    await changed(page, () => page.press('[name="reading"]', 'Enter'));
  }
  await page.mouse.click(...at(45, 50));
  for (const minute of [3, 10, 17, 24, 31, 60]) await readMinute(page, String(minute), (140 - 60 * Math.exp(-minute / 9)).toFixed(1));
  await page.waitForSelector('.challenge', {timeout: 20000});
  assert.equal(readingsOf(job).length, 14);
  await shot(page, 'series-challenge');
  await changed(page, () => page.click('.challenge button'));
  assert.equal(readingsOf(job).length, 8);
}

// A file of another table in place of the marks: told at once, never marked over, free again when mended.
async function foreignMarks({page, job, photo}) {
  const file = join(job, 'photo-marks.csv'), shelf = 'shelf;box\nleft;7\n';
  for (const [name, value] of [['width', '100'], ['height', '80'], ['ambient', '22']]) await fill(page, name, value);
  await changed(page, () => page.setInputFiles('[name="photo"]', photo));
  assert.equal(await page.locator('#mark-corners').count(), 1);
  writeFileSync(file, shelf);
  await waitUntil(page, () => /photo-marks\.csv:1: the first line names no known column/.test(document.getElementById('faults').textContent));
  assert.equal(await page.locator('#mark-corners').count(), 0);
  assert.match(await page.textContent('#panel'), /is left as it is/);
  await shot(page, 'marks-foreign');
  assert.equal(readFileSync(file, 'utf8'), shelf);
  writeFileSync(file, 'mark,column_px,row_px,x_mm,y_mm\n1,150,800,0,0\n2,1080,here,100,0\n');
  await waitUntil(page, () => /photo-marks\.csv:3: row_px: "here" is not a number/.test(document.getElementById('faults').textContent));
  await shot(page, 'marks-faulty');
  await page.click('#mark-corners');
  await page.waitForTimeout(400);
  const at = await photoToScreen(page);
  for (const [column, row] of corners) await page.mouse.click(...at(column, row));
  await waitUntil(page, () => /always fit/.test(document.getElementById('marks-fit').textContent));
  await changed(page, () => page.click('#keep-marks'));
  assert.equal(marksOf(job).length, 4);
  await waitUntil(page, () => !/photo-marks/.test(document.getElementById('faults').textContent));
}

async function undoAfterRestart({page, job, restart}) {
  for (const [name, value] of [['width', '100'], ['height', '80']]) await fill(page, name, value);
  const next = await restart();
  assert.equal(await next.getAttribute('#undo', 'title'), 'Undo: height of the board');
  await changed(next, () => next.click('#undo'));
  await changed(next, () => next.click('#undo'));
  assert.equal(readFileSync(join(job, 'board.csv'), 'utf8'), 'key,value,unit\n');
  await changed(next, () => next.click('#redo'));
  assert.match(readFileSync(join(job, 'board.csv'), 'utf8'), /width,100,mm/);
  await assertTidy(next);
}

async function run(browser, name, work, photo) {
  const job = join(mkdtempSync(join(tmpdir(), 'spotfield-pieces-')), 'job');
  let served = await startPage(program, job);
  served.child.removeAllListeners('exit');
  const restart = async () => {
    served.child.kill();
    served = await startPage(program, job);
    served.child.removeAllListeners('exit');
    return openPage(browser, served.address, {viewport: {width: 1280, height: 850}});
  };
  try {
    const page = await openPage(browser, served.address, {viewport: {width: 1400, height: 900}});
    await work({page, job, photo, restart});
    if (name !== 'undo after a restart') await assertTidy(page);
    await page.close();
    console.log(`passed: ${name}`);
  } finally {
    served.child.kill();
    rmSync(job, {recursive: true, force: true});
  }
}

const browser = await launch();
try {
  const photo = await makePhoto(browser);
  await run(browser, 'marks', markMany, photo);
  await run(browser, 'marks that are another table', foreignMarks, photo);
  await run(browser, 'warm-up series', warmUp);
  await run(browser, 'a series that does not fit', challengeSeries);
  await run(browser, 'undo after a restart', undoAfterRestart, photo);
} finally {
  await browser.close();
}

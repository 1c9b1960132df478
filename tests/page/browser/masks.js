// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Masks of a thermogram, in a real browser: cold metal that the page proposes, taken by one click;
// rings drawn, changed by a dragged corner, taken out and brought back, as no-touch areas are.
//   npm install && node masks.js [PROGRAM] [FOLDER FOR PICTURES]
import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {cpSync, mkdtempSync, rmSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join, resolve} from 'node:path';
import {boardToScreen, changed, onJob, shot, waitUntil} from './hands.js';
import {launch} from './served.js';
import {namedRowsOf} from './tables.js';

const program = resolve(process.argv[2] ?? '../../../build/src/cli/spotfield');
const sample = resolve('../../../samples/thermogram');

// The sample with a lid of bare metal laid on it: the pixels there mirror the room.
const lid = `
import sys
path = sys.argv[1]
lines = open(path, encoding="utf-8").read().split("\\n")
numbers = [at for at, line in enumerate(lines) if line and not line.startswith("#")]
for row in range(48, 60):
    cells = lines[numbers[row]].split(",")
    for column in range(96, 110):
        cells[column] = "22.0"
    lines[numbers[row]] = ",".join(cells)
open(path, "w", encoding="utf-8").write("\\n".join(lines))
`;

function laidOn() {
  const folder = join(mkdtempSync(join(tmpdir(), 'spotfield-lid-')), 'job');
  cpSync(sample, folder, {recursive: true});
  execFileSync('python3', ['-c', lid, join(folder, 'thermogram.csv')]);
  return folder;
}

const corners = (job, file) => namedRowsOf(join(job, file)).map(({ring, x_mm, y_mm}) => [ring, Number(x_mm), Number(y_mm)]);
const live = (page) => page.evaluate(async () => (await (await fetch('live')).json()).outcome.cold_patches);

async function coldMetalByOneClick({page, job}) {
  await page.click('#tab-place');
  await waitUntil(page, () => Boolean(document.querySelector('#tool-mask')));
  const [patch, ...others] = await live(page);
  assert.ok(patch, 'the lid is not found');
  await page.check('#tool-mask');
  assert.equal(await page.locator('[data-key="cold-patches"] button').count(), 1 + others.length);
  await shot(page, 'masks-proposed');
  await changed(page, () => page.click('[data-key="take-cold-0"]'));
  const kept = corners(job, 'mask.csv');
  assert.deepEqual(kept.map(([ring]) => ring), ['1', '1', '1', '1']);
  kept.forEach(([, x_mm, y_mm], at) => assert.ok(Math.hypot(x_mm - patch.corners[at].x_mm, y_mm - patch.corners[at].y_mm) < 0.1));
  await waitUntil(page, async () => (await (await fetch('live')).json()).outcome.cold_patches.length === 0);
  await waitUntil(page, () => !document.querySelector('[data-key="cold-patches"]'));
  await shot(page, 'masks-taken');
  await changed(page, () => page.click('#undo'));
  assert.equal((await live(page)).length, 1 + others.length);
  // the same from what to look at first
  await waitUntil(page, () => /[1-9]/.test(document.getElementById('first').textContent));
  await page.click('#first');
  await changed(page, () => page.click('.first [data-key="take-cold-0"]'));
  assert.equal(corners(job, 'mask.csv').length, 4);
}

// Both files of rings by the same hands.
async function drawnChangedAndTakenOut({page, job}) {
  await page.click('#tab-place');
  await waitUntil(page, () => Boolean(document.querySelector('#tool-mask')));
  for (const [tool, file, reason] of [['mask', 'mask.csv', 'shield'], ['keepout', 'keepout.csv', 'mains']]) {
    await page.check(`#tool-${tool}`);
    const at = await boardToScreen(page);
    for (const [x, y] of [[50, 60], [66, 60], [66, 72], [50, 72]]) await page.mouse.click(...at(x, y));
    await page.fill('[name="reason"]', reason);
    await changed(page, () => page.click('#finish'));
    assert.equal(namedRowsOf(join(job, file))[0].reason, reason);
    // a corner dragged
    await page.mouse.move(...at(66, 72));
    await page.mouse.down();
    await page.mouse.move(...at(69, 73), {steps: 4});
    await page.mouse.move(...at(72, 74), {steps: 4});
    await changed(page, () => page.mouse.up());
    const [, x_mm, y_mm] = corners(job, file)[2];
    assert.ok(Math.hypot(x_mm - 72, y_mm - 74) < 0.7, `${file}: ${x_mm}, ${y_mm}`);
    await shot(page, `masks-${tool}`);
    await changed(page, () => page.click('#undo'));
    assert.ok(Math.hypot(corners(job, file)[2][1] - 66, corners(job, file)[2][2] - 72) < 0.5);
    await changed(page, () => page.click('[data-key="ring-1"]'));
    assert.deepEqual(corners(job, file), []);
    await changed(page, () => page.click('#undo'));
    assert.equal(corners(job, file).length, 4);
  }
}

// Without a thermogram there is nothing to mask.
async function noThermogramNoMask({page}) {
  await page.click('#tab-place');
  await waitUntil(page, () => Boolean(document.querySelector('#tool-keepout')));
  await page.waitForTimeout(500);
  assert.equal(await page.locator('#tool-mask').count(), 0);
}

const browser = await launch();
const given = laidOn();
try {
  const wide = {viewport: {width: 1400, height: 900}};
  for (const work of [coldMetalByOneClick, drawnChangedAndTakenOut])
    await onJob(browser, program, given, wide, work);
  await onJob(browser, program, '../../../demo/desk-supply', wide, noThermogramNoMask);
} finally {
  await browser.close();
  rmSync(given, {recursive: true, force: true});
}

// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Both sides of a board: from the solder side the picture is mirrored, letters stay upright, and a click
// lands where it is seen; parts and readings that are entered there say so in the files.
//   npm install && node sides.js [PROGRAM] [FOLDER FOR PICTURES]
import assert from 'node:assert/strict';
import {readFileSync, writeFileSync} from 'node:fs';
import {join, resolve} from 'node:path';
import {boardToScreen, changed, onJob, shot, waitUntil} from './hands.js';
import {launch} from './served.js';
import {namedRowsOf} from './tables.js';

const program = resolve(process.argv[2] ?? '../../../build/src/cli/spotfield');

// The readout names the place under the mouse.
async function readAt(page, column, row) {
  await page.mouse.move(column, row);
  const [, x, y] = /x (-?[\d.]+) mm, y (-?[\d.]+) mm/.exec(await page.textContent('#readout'));
  return {x: Number(x), y: Number(y)};
}

async function bothSides({page, job}) {
  await page.click('#tab-place');
  const toScreen = await boardToScreen(page);
  const [left, row] = toScreen(20, 60), [right] = toScreen(200, 60);
  await shot(page, 'sides-component');
  await page.selectOption('#side', 'solder');
  await waitUntil(page, () => true);
  // the board is 220 mm wide: what is seen 20 mm from its left edge lies 20 mm from its right one
  const seen = await readAt(page, left, row), other = await readAt(page, right, row);
  assert.ok(Math.abs(seen.x - 200) < 0.6 && Math.abs(seen.y - 60) < 0.6, JSON.stringify(seen));
  assert.ok(Math.abs(other.x - 20) < 0.6, JSON.stringify(other));
  await page.mouse.move(left, row);
  await page.mouse.wheel(0, -400);
  const zoomed = await readAt(page, left, row);
  assert.ok(Math.abs(zoomed.x - 200) < 0.6, `the place under the mouse stays: ${JSON.stringify(zoomed)}`);
  await page.click('#zoom-fit');
  await page.click('#tool-part');
  await page.fill('[name="draft_ref"]', 'C300');
  await changed(page, () => page.mouse.click(left, row));
  const placed = namedRowsOf(join(job, 'parts.csv')).find(({ref}) => ref === 'C300');
  assert.equal(placed.side, 'solder');
  assert.ok(Math.abs(placed.x_mm - 200) < 0.6 && Math.abs(placed.y_mm - 60) < 0.6, JSON.stringify(placed));
  await shot(page, 'sides-solder');
  // dragged to the left on the screen it goes to the right on the board
  await page.click('#tool-select');
  await page.mouse.move(left, row);
  await page.mouse.down();
  await page.mouse.move(left - 20, row, {steps: 4});
  await changed(page, () => page.mouse.up());
  assert.ok(namedRowsOf(join(job, 'parts.csv')).find(({ref}) => ref === 'C300').x_mm > placed.x_mm);
  await page.click('#tool-source');
  await changed(page, () => page.mouse.click(left, row - 200));
  const source = namedRowsOf(join(job, 'sources.csv')).at(-1);
  assert.equal(source.side, 'solder');
  assert.ok(Math.abs(source.x_mm - 200) < 0.6, JSON.stringify(source));
  await shot(page, 'sides-source');
  await page.focus('#board');
  await page.selectOption('#side', 'component');
  await page.click('#tool-part');
  const [column, line] = toScreen(60, 10);
  await changed(page, () => page.mouse.click(column, line));
  assert.equal(namedRowsOf(join(job, 'parts.csv')).at(-1).side ?? '', '');
}

// What is chosen at once are parts of the side that is looked at: around, all of them, all of a kind.
async function manyOfOneSide({page, job}) {
  const parts = () => namedRowsOf(join(job, 'parts.csv')), alike = parts().find(({ref}) => ref === 'C90');
  const bytes = readFileSync(join(job, 'parts.csv'), 'utf8');
  const names = bytes.split('\n').find((line) => line.startsWith('ref,')), line = bytes.split('\n').find((one) => one.startsWith('C90,'));
  assert.ok(!names.split(',').includes('side'));
  // its twin stands on the other side, at another place
  writeFileSync(join(job, 'parts.csv'), bytes.replace(names, `${names},side`).replace(`${line}\n`, `${line}\n${line.replace('C90,190,7.5,', 'C990,110,60,')},solder\n`));
  await page.click('#tab-place');
  await page.waitForSelector(`.soft:has-text("Parts: ${parts().length}.")`);
  await page.check('#tool-many');
  const told = async () => page.textContent('#many-told'), count = async () => Number(/^\d+/.exec(await told())?.[0] ?? 0);
  const kind = () => page.click(`#kinds button:has-text("${alike.capacitance_uf} \u00b5F ${alike.rated_v} V ${alike.rated_c} \u00b0C ${alike.diameter_mm}\u00d7${alike.height_mm}")`);
  await page.click('#many-all');
  assert.equal(await count(), parts().length - 1, await told());
  assert.equal(await page.isDisabled('#many-all'), true);
  await page.click('#many-none');
  await kind();
  assert.doesNotMatch(await told(), /C990/);
  assert.match(await told(), /C90/);
  await page.click('#many-none');
  await page.selectOption('#side', 'solder');
  await page.click('#many-all');
  assert.match(await told(), /^1 of \d+ parts is selected: C990\.$/);
  await shot(page, 'sides-many');
  await page.click('#many-none');
  await kind();
  assert.match(await told(), /: C990\.$/);
  assert.equal(await page.locator('#kinds button').count(), 1);
  await page.click('#many-none');
  const at = await boardToScreen(page);
  await page.mouse.move(...at(130, 30));
  await page.mouse.down();
  for (const corner of [[60, 30], [60, 90], [170, 90], [170, 30], [130, 30]]) await page.mouse.move(...at(...corner), {steps: 5});
  await page.mouse.up();
  assert.match(await told(), /: C990\.$/);
}

// Under a can there is the board: a click there from the solder side is no reading of the can.
async function underACan({page, job}) {
  const can = namedRowsOf(join(job, 'parts.csv')).find(({ref}) => ref === 'C66');
  await page.click('#tab-probe');
  await page.click('#accept');
  const toScreen = await boardToScreen(page);
  await page.mouse.click(...toScreen(Number(can.x_mm), Number(can.y_mm)));
  assert.equal(await page.inputValue('[name="spot"]'), 'part');
  await page.selectOption('#side', 'solder');
  await page.mouse.click(...toScreen(220 - can.x_mm, Number(can.y_mm)));
  await waitUntil(page, () => document.querySelector('[name="spot"]').value === 'board');
  await shot(page, 'sides-under-a-can');
  await page.fill('[name="reading"]', '40.5');
  await changed(page, () => page.press('[name="reading"]', 'Enter'));
  const read = namedRowsOf(join(job, 'readings.csv')).at(-1);
  assert.deepEqual([read.side, read.spot, read.value], ['solder', 'board', '40.5']);
  assert.ok(Math.hypot(read.x_mm - can.x_mm, read.y_mm - can.y_mm) < 0.6, JSON.stringify(read));
}

const browser = await launch();
try {
  for (const work of [bothSides, manyOfOneSide, underACan])
    await onJob(browser, program, resolve('../../../demo/desk-supply'), {viewport: {width: 1500, height: 950}}, work);
} finally {
  await browser.close();
}

// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Many parts at once: a drag by mouse or finger, a box by keyboard, a kind; one field or one line set for all of
// them, and taken back as one step. Pasted rows without a place wait, and each click places the next one.
//   npm install && node around.js [PROGRAM] [FOLDER FOR PICTURES]
import assert from 'node:assert/strict';
import {readFileSync} from 'node:fs';
import {join, resolve} from 'node:path';
import {boardToScreen, changed, onJob, shot, waitUntil} from './hands.js';
import {isFirefox, launch} from './served.js';
import {namedRowsOf} from './tables.js';

const program = resolve(process.argv[2] ?? '../../../build/src/cli/spotfield');
const partsOf = (job) => namedRowsOf(join(job, 'parts.csv'));
const bytesOf = (job) => readFileSync(join(job, 'parts.csv'), 'utf8');

// The parts in a rectangle of the board, and its corners as a hand draws them.
const box = {left: 100, right: 150, low: 20, high: 90};
const inBox = (part, {left, right, low, high} = box) => part.x_mm > left && part.x_mm < right && part.y_mm > low && part.y_mm < high;
const corners = [[box.left, box.low], [box.right, box.low], [box.right, box.high], [box.left, box.high]];

async function begin(page) {
  await page.click('#tab-place');
  await page.check('#tool-many');
  return boardToScreen(page);
}

const countTold = async (page) => Number(/^\d+/.exec(await page.textContent('#many-told'))?.[0] ?? 0);

async function assertChosen(page, wanted) {
  const said = await page.textContent('#many-told');
  assert.equal(await countTold(page), wanted.length, said);
  for (const {ref} of wanted.slice(0, 12)) assert.match(said, new RegExp(`\\b${ref}\\b`));
}

// Sets a field: all of those have it, all others are as they were; one undo gives the bytes back.
async function assertSet(page, job, wanted, act, cells) {
  const before = partsOf(job), bytes = bytesOf(job);
  await changed(page, act);
  for (const [at, row] of partsOf(job).entries()) {
    const isIn = wanted.some(({ref}) => ref === row.ref);
    for (const [column, cell] of Object.entries(row)) assert.equal(cell ?? '', (isIn && cells[column]) || (before[at][column] ?? ''), `${column} of ${row.ref}`);
  }
  await changed(page, () => page.click('#undo'));
  assert.equal(bytesOf(job), bytes);
}

const type = (page, name, words) => async () => { await page.fill(`[name="${name}"]`, words); await page.press(`[name="${name}"]`, 'Enter'); };

async function byMouse({page, job}) {
  const at = await begin(page), wanted = partsOf(job).filter((part) => inBox(part));
  assert.ok(wanted.length > 5 && wanted.length < 60, `${wanted.length}`);
  const bytes = bytesOf(job);
  await page.mouse.move(...at(...corners[0]));
  await page.mouse.down();
  for (const corner of [...corners.slice(1), corners[0]]) await page.mouse.move(...at(...corner), {steps: 8});
  await shot(page, 'around-drag');
  await page.mouse.up();
  await assertChosen(page, wanted);
  assert.equal(bytesOf(job), bytes);
  await shot(page, 'around-chosen');
  await assertSet(page, job, wanted, type(page, 'many_endurance_h', '3000'), {endurance_h: '3000'});
  await assertSet(page, job, wanted, type(page, 'many_height_mm', '14,5'), {height_mm: '14.5'});
  await assertSet(page, job, wanted, () => page.selectOption('[name="many_critical"]', 'yes'), {critical: 'yes'});
  await assertSet(page, job, wanted, () => page.selectOption('[name="many_type"]', 'polymer'), {type: 'polymer'});
  await assertSet(page, job, wanted, type(page, 'many_marking', '470/35/105 10x16 2000h'),
    {capacitance_uf: '470', rated_v: '35', rated_c: '105', diameter_mm: '10', height_mm: '16', endurance_h: '2000'});
  // a click takes one out; what is not understood sets nothing
  const [out, ...others] = wanted;
  await page.mouse.click(...at(Number(out.x_mm), Number(out.y_mm)));
  await assertChosen(page, others);
  await assertSet(page, job, others, type(page, 'many_endurance_h', '5000'), {endurance_h: '5000'});
  await type(page, 'many_marking', '470/35/105/9')();
  await waitUntil(page, () => /not understood/.test(document.getElementById('notice').textContent));
  assert.equal(bytesOf(job), bytes);
  await page.click('#notice-close');
  await page.click('#many-none');
  assert.equal(await page.locator('[name="many_type"]').count(), 0);
}

// A kind is all that are alike, and goes again.
async function byKind({page, job}) {
  await begin(page);
  const [button] = await page.locator('#kinds button').all(), words = await button.textContent();
  const [, uf, volts] = /^([\d.]+) \u00b5F ([\d.]+) V/.exec(words);
  await button.click();
  const count = await countTold(page);
  assert.ok(count > 0);
  await changed(page, type(page, 'many_year', '2009'));
  const set = partsOf(job).filter(({year}) => year === '2009');
  assert.equal(set.length, count);
  assert.ok(set.every((row) => row.capacitance_uf === uf && row.rated_v === volts));
  await button.click();
  assert.equal(await countTold(page), 0);
  await page.click('#many-all');
  assert.equal(await countTold(page), partsOf(job).length);
}

// Keys alone: the tool by its radio, a box by two corners, one part by Enter, the field by Tab.
async function byKeyboard({page, job}) {
  await page.click('#tab-place');
  await page.focus('#tool-source');
  await page.keyboard.press('ArrowDown');
  assert.equal(await page.isChecked('#tool-many'), true);
  await page.focus('#board');
  const there = async () => (/x (-?[\d.]+) mm, y (-?[\d.]+) mm/.exec(await page.textContent('#readout')) ?? []).slice(1).map(Number);
  const go = async (x, y) => {
    await page.keyboard.press('ArrowRight');
    for (const [axis, more, less, wanted] of [[0, 'ArrowRight', 'ArrowLeft', x], [1, 'ArrowUp', 'ArrowDown', y]])
      for (let left = wanted - (await there())[axis]; Math.abs(left) > 0.05; left = wanted - (await there())[axis]) {
        const big = Math.abs(left) >= 10 ? 'Shift+' : Math.abs(left) < 1 ? 'Alt+' : '';
        await page.keyboard.press(big + (left > 0 ? more : less));
      }
  };
  await go(box.left, box.low);
  await page.keyboard.press('Shift+Enter');
  await go(box.right, box.high);
  await shot(page, 'around-box');
  await page.keyboard.press('Shift+Enter');
  const wanted = partsOf(job).filter((part) => inBox(part)), other = partsOf(job).find((part) => !inBox(part));
  await assertChosen(page, wanted);
  await go(Number(other.x_mm), Number(other.y_mm));
  await page.keyboard.press('Enter');
  await assertChosen(page, partsOf(job).filter((part) => inBox(part) || part.ref === other.ref));
  for (let i = 0; i < 200 && !await page.evaluate(() => document.activeElement?.name === 'many_endurance_h'); i++) await page.keyboard.press('Tab');
  await assertSet(page, job, [other, ...wanted], async () => { await page.keyboard.type('4000'); await page.keyboard.press('Enter'); }, {endurance_h: '4000'});
  await page.focus('#board');
  await page.keyboard.press('Escape');
  assert.equal(await countTold(page), 0);
  assert.equal(await page.isChecked('#tool-many'), true);
  await page.keyboard.press('Escape');
  assert.equal(await page.isChecked('#tool-select'), true);
}

// One finger goes around; two fingers zoom, and choose nothing.
async function byFinger({page, job}) {
  const at = await begin(page), hand = await page.context().newCDPSession(page);
  const touch = (kind, ...points) => hand.send('Input.dispatchTouchEvent', {type: kind, touchPoints: points.map(([x, y], id) => ({x, y, id}))});
  const wanted = partsOf(job).filter((part) => inBox(part));
  const scale = async () => { const to = await boardToScreen(page); return to(100, 0)[0] - to(0, 0)[0]; };
  const before = await scale();
  await touch('touchStart', at(100, 40), at(120, 40));
  for (const wide of [25, 30, 35]) await touch('touchMove', at(110 - wide, 40), at(110 + wide, 40));
  await touch('touchEnd');
  assert.equal(await countTold(page), 0);
  assert.ok(await scale() > 1.5 * before, 'two fingers zoom');
  await page.click('#zoom-fit');
  const again = await boardToScreen(page);
  await touch('touchStart', again(...corners[0]));
  for (const corner of [...corners.slice(1), corners[0]]) await touch('touchMove', again(...corner));
  await touch('touchEnd');
  await assertChosen(page, wanted);
  await page.locator('[name="many_critical"]').scrollIntoViewIfNeeded();
  await shot(page, 'around-phone');
  await assertSet(page, job, wanted, () => page.selectOption('[name="many_critical"]', 'yes'), {critical: 'yes'});
}

// --- rows without a place ---

async function paste(page, words, into = 'parts.csv') {
  if (!await page.locator('[name="pasted"]').isVisible()) await page.click('summary:has-text("Paste rows")');
  await page.selectOption('[name="paste_into"]', into);
  await page.fill('[name="pasted"]', words);
  await page.click('text="Add the rows"');
}

const list = 'RefDes\tValue\tdiameter_mm\tcritical\nC301\t47 uF 35V\t6,3\tyes\nC302\t470/25/105\t10\t\nC303\t2200/16\t12.5\t\n';

async function rowsThatWait({page, job}) {
  await page.click('#tab-place');
  const bytes = bytesOf(job);
  await paste(page, list);
  await page.waitForSelector('#waiting');
  assert.equal(bytesOf(job), bytes);
  assert.match(await page.textContent('#waiting'), /3 still to place/);
  assert.equal(await page.textContent('#waiting-next'), 'Click where C301, 47 \u00b5F 35 V 6.3 critical is.');
  const at = await boardToScreen(page);
  await shot(page, `around-waiting-${page.viewportSize().width}`);
  await changed(page, () => page.mouse.click(...at(20, 95)));
  await page.click('#waiting button:text-is("C303")');
  await changed(page, () => page.mouse.click(...at(40, 95)));
  const row = (ref) => partsOf(job).find((part) => part.ref === ref);
  const first = row('C301');
  assert.deepEqual([first.capacitance_uf, first.rated_v, first.diameter_mm, first.critical], ['47', '35', '6.3', 'yes']);
  assert.ok(Math.abs(first.x_mm - 20) < 0.6 && Math.abs(first.y_mm - 95) < 0.6, JSON.stringify(first));
  assert.deepEqual([row('C303').capacitance_uf, row('C302')], ['2200', undefined]);
  // what is taken back waits again, and so it does after the page was loaded anew
  await changed(page, () => page.click('#undo'));
  assert.match(await page.textContent('#waiting'), /2 still to place/);
  await page.reload();
  await page.click('#tab-place');
  await page.check('#tool-part');
  assert.match(await page.textContent('#waiting'), /2 still to place/);
  // two clicks in one breath place two
  await page.selectOption('#side', 'solder');
  const mirrored = await boardToScreen(page), edits = [];
  page.on('response', (response) => { if (response.url().endsWith('/edit')) edits.push(response.status()); });
  await page.mouse.click(...mirrored(60, 95));
  await page.mouse.click(...mirrored(80, 95));
  while (edits.length < 2) await page.waitForTimeout(50);
  await waitUntil(page, () => !document.querySelector('#waiting'));
  assert.deepEqual(edits, [200, 200]);
  assert.deepEqual(['C302', 'C303'].map((ref) => row(ref).side), ['solder', 'solder']);
  assert.ok(Math.abs(row('C302').x_mm - row('C303').x_mm) > 15);
}

// Pasting twice adds nothing twice; what cannot be read is told and adds nothing; a list can be dropped.
async function pastedTwice({page, job}) {
  await page.click('#tab-place');
  const bytes = bytesOf(job);
  await paste(page, list);
  await paste(page, list);
  await waitUntil(page, () => /C301, C302, C303/.test(document.getElementById('notice').textContent));
  assert.match(await page.textContent('#waiting'), /3 still to place/);
  await page.click('#notice-close');
  await paste(page, 'ref\tvalue\nC304\t470/35/9\n');
  await waitUntil(page, () => /Nothing was added/.test(document.getElementById('notice').textContent));
  await page.click('#notice-close');
  await page.click('#waiting-drop');
  assert.match(await page.textContent('#waiting'), /2 still to place/);
  await page.click('#waiting-drop-all');
  assert.equal(await page.locator('#waiting').count(), 0);
  assert.equal(bytesOf(job), bytes);
  await changed(page, () => paste(page, 'ref\tx_mm\ty_mm\tdiameter_mm\nC305\t20\t95\t8\nC306\t40\t95\t8\n'));
  assert.equal(partsOf(job).length, 92);
  await paste(page, 'ref\tx_mm\ty_mm\tdiameter_mm\nC305\t20\t95\t8\nC306\t40\t95\t8\n');
  await waitUntil(page, () => /C305, C306/.test(document.getElementById('notice').textContent));
  assert.equal(partsOf(job).length, 92);
  // what a paste goes into stays chosen while the panel changes; sources wait as well
  await page.selectOption('[name="paste_into"]', 'sources.csv');
  for (const side of ['solder', 'component']) await page.selectOption('#side', side);
  assert.equal(await page.inputValue('[name="paste_into"]'), 'sources.csv');
  await paste(page, 'ref\twidth_mm\theight_mm\nR90\t6\t4\n', 'sources.csv');
  const at = await boardToScreen(page);
  await page.waitForSelector('#waiting-next:has-text("R90")');
  await page.mouse.click(...at(30, 100));
  await waitUntil(page, () => !document.querySelector('#waiting'));
  await page.waitForSelector('.soft:has-text("Sources: 9.")');
  assert.equal(namedRowsOf(join(job, 'sources.csv')).at(-1).ref, 'R90');
}

// Of rows parted by commas too, each bad cell is told by line and column with what is expected, all at once.
async function pastedWrong({page, job}) {
  await page.click('#tab-place');
  const bytes = bytesOf(job);
  const told = async () => (await page.locator('#pasted-faults li').allTextContents()).join('\n');
  await paste(page, 'ref,x_mm,y_mm,diameter_mm,rated_v,critical\nC401,20,95,8,25,no\nC402,wide,95,900,25,no\n\nC403,,,8,"1,000",no\nC404,30,95,8,17.8119.83,perhaps,7\n');
  await page.waitForSelector('#pasted-faults');
  assert.equal(await told(), [
    'line 3, x_mm: "wide" is not a number, expected a number from -2 to 2002 mm',
    'line 3, diameter_mm: "900" is out of range, expected a number from 1 to 200 mm',
    'line 5, rated_v: \u201c1,000\u201d: is that comma a thousands separator or a decimal mark? Write 1000 or 1.000',
    'line 6, 7 cells, expected 6 as in the line of column names',
    'line 6, rated_v: "17.8119.83" is not a number, expected a number from 1 to 1000 V',
    'line 6, critical: "perhaps" is neither yes nor no, expected yes or no'].join('\n'));
  assert.match(await page.textContent('#notice'), /Nothing was added: 6 problems in the pasted rows/);
  await shot(page, 'around-pasted-wrong');
  assert.equal(bytesOf(job), bytes);
  page.faults = page.faults.filter((words) => !/409/.test(words));
  // mended, they are added; those without a place wait
  await changed(page, () => paste(page, 'ref,x_mm,y_mm,diameter_mm,rated_v,critical\nC401,20,95,8,25,no\nC403,,,8,100,no\n'));
  await page.waitForSelector('#waiting-next:has-text("C403")');
  assert.equal(await page.locator('#pasted-faults').count(), 0);
  assert.equal(partsOf(job).at(-1).ref, 'C401');
}

const desk = {viewport: {width: 1500, height: 950}}, phone = {viewport: {width: 400, height: 860}, hasTouch: true, isMobile: true};
const browser = await launch();
try {
  const works = [[byMouse, desk], [byKind, desk], [byKeyboard, desk], ...(isFirefox ? [] : [[byFinger, phone]]), [rowsThatWait, desk], [pastedTwice, desk], [pastedWrong, desk], ...(isFirefox ? [] : [[rowsThatWait, phone]])];
  for (const [work, options] of works) await onJob(browser, program, resolve('../../../demo/desk-supply'), options, work);
} finally {
  await browser.close();
}

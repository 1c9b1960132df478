// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// What is typed as people write it, in a real browser: a new folder that says how to begin, decimal
// commas, "4u7" and "470/35", dates as they are written here, and on a phone the board in sight
// meanwhile; what if; and the photo, at once and grey under the map.
//   npm install && node entries.js [PROGRAM] [FOLDER FOR PICTURES]
import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {join, resolve} from 'node:path';
import {boardToScreen, changed, fill, makePhoto, onJob, shot, waitUntil} from './hands.js';
import {launch} from './served.js';
import {namedRowsOf} from './tables.js';

const program = resolve(process.argv[2] ?? '../../../build/src/cli/spotfield');
const demo = '../../../demo/desk-supply';
const rowOf = (job, file, key, name) => namedRowsOf(join(job, file)).find((row) => row[key] === name);

// Nothing is a fault in a folder that holds nothing; the first words say how to begin.
async function aNewFolder({page, job}) {
  assert.match(await page.textContent('.greeting'), /New job in .*width and height/s);
  assert.match(await page.textContent('#sentence'), /begin with the size of the board/);
  assert.equal((await page.textContent('#faults')).trim(), '');
  await shot(page, 'entries-new');
  await fill(page, 'width', '100');
  assert.equal(await page.locator('.greeting').count(), 0);
  await waitUntil(page, () => /ambient/.test(document.getElementById('faults').textContent));
  assert.equal(rowOf(job, 'board.csv', 'key', 'width').value, '100');
}

async function numbersAsWritten({page, job}) {
  await fill(page, 'width', '101,5');
  assert.equal(rowOf(job, 'board.csv', 'key', 'width').value, '101.5');
  await page.fill('[name="height"]', '1,250');
  await page.press('[name="height"]', 'Tab');
  await waitUntil(page, () => /thousands separator or a decimal mark/.test(document.getElementById('notice').textContent));
  assert.equal(rowOf(job, 'board.csv', 'key', 'height'), undefined);
  await fill(page, 'height', '80');
  await fill(page, 'ambient', '22');
  await page.click('#tab-place');
  await page.check('#tool-part');
  const at = await boardToScreen(page), draft = (name) => page.inputValue(`[name="draft_${name}"]`);
  const type = async (name, words) => { await page.fill(`[name="draft_${name}"]`, words); await page.press(`[name="draft_${name}"]`, 'Tab'); };
  await type('uf', '470/35');
  assert.deepEqual([await draft('uf'), await draft('v')], ['470', '35']);
  await type('uf', '4u7');
  assert.deepEqual([await draft('uf'), await draft('v')], ['4.7', '35']);
  await type('d', '6,3');
  await type('height', '11');
  await type('endurance', '3000');
  await type('esr', '0,35');
  await page.selectOption('[name="draft_critical"]', 'yes');
  await type('pitch', '2,5');
  assert.equal(await page.locator('.mounts svg').count(), 4);
  await page.check('#draft_mount-snap-in', {force: true});
  await shot(page, 'entries-part');
  await changed(page, () => page.mouse.click(...at(30, 40)));
  const {capacitance_uf, rated_v, diameter_mm, height_mm, endurance_h, esr_limit_ohm, critical} = rowOf(job, 'parts.csv', 'ref', 'C1');
  assert.deepEqual([capacitance_uf, rated_v, diameter_mm, height_mm, endurance_h, esr_limit_ohm, critical], ['4.7', '35', '6.3', '11', '3000', '0.35', 'yes']);
  const {mount, lead_pitch_mm} = rowOf(job, 'parts.csv', 'ref', 'C1');
  assert.deepEqual([mount, lead_pitch_mm], ['snap-in', '2.5']);
  assert.equal(await draft('esr'), '', 'the limit of one part is not that of the next');
  // and so in the fields of a part that stands
  await page.check('#tool-select');
  await page.mouse.click(...at(30, 40));
  await fill(page, 'chosen_capacitance_uf', '2200\u00b5/63');
  await fill(page, 'chosen_measured_esr_ohm', '0,12');
  await changed(page, () => page.check('#chosen_mount-axial', {force: true}));
  assert.equal(rowOf(job, 'parts.csv', 'ref', 'C1').mount, 'axial');
  const now = rowOf(job, 'parts.csv', 'ref', 'C1');
  assert.deepEqual([now.capacitance_uf, now.rated_v, now.measured_esr_ohm], ['2200', '63', '0.12']);
}

const datesAsWritten = (typed, said) => async function dates({page, job}) {
  await fill(page, 'surveyed', typed);
  assert.equal(rowOf(job, 'board.csv', 'key', 'surveyed').value, '2026-03-14');
  assert.match(await page.textContent('[data-key="field-surveyed"]'), said);
  await fill(page, 'surveyed', '2019');
  assert.equal(rowOf(job, 'board.csv', 'key', 'surveyed').value, '2019');
};

// What is typed and the board are both in sight, wherever the panel is scrolled to.
async function phone({page}) {
  await page.click('#tab-place');
  await page.check('#tool-part');
  for (const name of ['draft_ref', 'draft_endurance', 'draft_critical']) {
    await page.focus(`[name="${name}"]`);
    await page.waitForTimeout(150);
    const board = await page.locator('.frame').boundingBox(), field = await page.locator(`[name="${name}"]`).boundingBox();
    const height = await page.evaluate(() => innerHeight);
    assert.ok(board.y >= -1 && board.y + board.height < height && board.height > 140, `${name}: board at ${JSON.stringify(board)}`);
    assert.ok(field.y >= board.y + board.height - 1 && field.y + field.height <= height + 1, `${name}: ${JSON.stringify(field)} beside ${JSON.stringify(board)}`);
  }
  await shot(page, 'entries-phone', {fullPage: false});
}

// Told as `spotfield map` tells it.
async function whatIf({page, job}) {
  await page.click('#tab-decide');
  await page.check('[name="fan"]');
  await page.selectOption('[name="grade_c"]', '105');
  await page.locator('[name="air_k"]').focus();
  for (let i = 0; i < 3; i++) await page.keyboard.press('ArrowRight');
  const answer = page.waitForResponse((response) => response.url().endsWith('/what-if'));
  await page.locator('[name="hours"]').focus();
  await page.keyboard.press('ArrowRight');
  await answer;
  await waitUntil(page, () => /3 K warmer.*fan.*105.*500 more h/.test(document.getElementById('what-words').textContent));
  await page.waitForTimeout(1500);
  await shot(page, 'entries-what-if');
  const told = JSON.parse(execFileSync(program, ['map', job, '--json', '--out', join(job, 'asked'), '--if-air', '3', '--if-fan', '--if-grade', '105', '--if-hours', '500'], {encoding: 'utf8', maxBuffer: 1 << 26, stdio: ['ignore', 'pipe', 'ignore']}));
  const all = told.what_ifs.at(-1);
  for (const verdict of ['replace', 'check', 'leave'])
    assert.match(await page.textContent(`[data-key="only-${verdict}"]`), new RegExp(` ${all[verdict]}$`), `${verdict}: ${JSON.stringify(all)}`);
}

// Pixels of the frame with the colour of the photo, which is drawn green on grey.
const colour = (page) => page.evaluate(() => {
  const canvas = document.getElementById('board'), all = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height).data;
  let green = 0;
  for (let at = 0; at < all.length; at += 4) green += all[at + 1] > all[at] + 25 && all[at + 1] > all[at + 2] + 15;
  return green;
});

// Before anything else is known of the board.
async function photoFirst({page}, photo) {
  await changed(page, () => page.setInputFiles('[name="photo"]', photo));
  await page.waitForTimeout(800);
  assert.ok(await colour(page) > 20000);
}

// In a job with a map, without it and under it.
async function photoAtOnce({page}, photo) {
  const colourful = () => colour(page);
  await page.click('#tab-board');
  await page.selectOption('#layer', 'none');
  const before = await colourful();
  await page.setInputFiles('[name="photo"]', photo);
  await waitUntil(page, () => /not yet tied to the board/.test(document.getElementById('panel').textContent));
  await page.waitForTimeout(600);
  await shot(page, 'entries-photo');
  const shown = await colourful();
  assert.ok(shown > before + 20000, `${shown} green pixels, ${before} before`);
  await page.selectOption('#layer', 'temp');
  await page.fill('#opacity', '10');
  await page.waitForTimeout(300);
  const under = await colourful();
  await shot(page, 'entries-grey');
  assert.ok(under < shown / 20, `${under} green pixels under the map, ${shown} without`);
}

// The scale lies under the board, its flags above its colours, and nothing is to be scrolled sideways.
async function scaleUnderBoard({page}) {
  await page.waitForSelector('#legend .flag');
  // at one look: the scale is drawn anew with each map
  const [board, strip, ...flags] = await page.evaluate(() => ['canvas#board', '#legend canvas', '.flag']
    .flatMap((which) => [...document.querySelectorAll(which)].map((node) => node.getBoundingClientRect().toJSON())));
  assert.ok(strip.y > board.bottom && strip.width > 0.9 * board.width && flags.length === 2);
  for (const flag of flags) assert.ok(flag.bottom <= strip.y && flag.left >= strip.left && flag.right <= strip.right + 1);
  assert.match(await page.textContent('#legend'), /\d+\u00a0\u00b0C: rated life used up/);
  await page.evaluate(() => { document.getElementById('sentence').textContent = `Replace ${'C1'.repeat(90)} first.`; });
  for (const which of ['html', '#sentence'])
    assert.ok(await page.locator(which).evaluate((node) => node.scrollWidth <= node.clientWidth), `${which} scrolls sideways`);
  await shot(page, 'entries-scale');
}

const browser = await launch();
try {
  const wide = {viewport: {width: 1400, height: 900}}, small = {viewport: {width: 390, height: 844}, hasTouch: true};
  const photo = await makePhoto(browser);
  const withPhoto = (of) => photoAtOnce(of, photo), withPhotoFirst = (of) => photoFirst(of, photo);
  for (const [work, given, options] of [
    [aNewFolder, null, wide], [numbersAsWritten, null, wide], [datesAsWritten('14.3.2026', /14\. M\u00e4rz 2026/), null, {...wide, locale: 'de-DE'}],
    [datesAsWritten('3/14/2026', /March 14, 2026/), null, {...wide, locale: 'en-US'}], [phone, demo, small], [scaleUnderBoard, demo, small], [scaleUnderBoard, demo, wide],
    [whatIf, demo, wide], [withPhoto, demo, wide], [withPhotoFirst, null, wide],
  ])
    if (work.name.includes(process.argv[4] ?? '')) await onJob(browser, program, given, options, work);
} finally {
  await browser.close();
}

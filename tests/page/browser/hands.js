// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// What a person does on the page, for every run in a browser.
import assert from 'node:assert/strict';
import {createHash} from 'node:crypto';
import {cpSync, mkdirSync, mkdtempSync, rmSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join, resolve} from 'node:path';
import {startPage} from './served.js';

const pictures = resolve(process.argv[3] ?? 'out');
mkdirSync(pictures, {recursive: true});

// For each picture the driver of Firefox puts this style into the page, whose policy refuses it: no fault of the page.
const styleOfDriver = `sha256-${createHash('sha256').update('body {}').digest('base64')}`;

export function watchFaults(page) {
  page.faults = [];
  const take = (words) => { if (!words.includes(styleOfDriver)) page.faults.push(words); };
  page.on('pageerror', (error) => take(error.message));
  page.on('console', (message) => {
    if (message.type() === 'error' && !message.location().url.endsWith('/favicon.ico')) take(message.text());
  });
}

export async function openPage(browser, address, options) {
  const page = await browser.newPage(options);
  watchFaults(page);
  const map = page.waitForResponse((response) => response.url().endsWith('/live'));
  await page.goto(address);
  await page.waitForSelector('#panel h2');
  await map;
  return page;
}

// Works on a copy of a job, or on a new one where none is given.
export async function onJob(browser, program, given, options, work) {
  const job = join(mkdtempSync(join(tmpdir(), 'spotfield-page-')), 'job');
  if (given) cpSync(resolve(given), job, {recursive: true});
  const {child, address} = await startPage(program, job);
  child.removeAllListeners('exit');
  try {
    const page = await openPage(browser, address, options);
    await work({page, job, address});
    await assertTidy(page);
    await page.close();
  } finally {
    child.kill();
    rmSync(job, {recursive: true, force: true});
  }
  console.log(`passed: ${work.name}`);
}

// A board photographed askew, drawn by the browser itself.
export async function makePhoto(browser) {
  const page = await browser.newPage();
  const address = await page.evaluate(() => {
    const canvas = document.createElement('canvas');
    canvas.width = 1200;
    canvas.height = 900;
    const pencil = canvas.getContext('2d');
    pencil.fillStyle = '#8a8378';
    pencil.fillRect(0, 0, 1200, 900);
    pencil.fillStyle = '#2f5d43';
    pencil.beginPath();
    [[150, 800], [1080, 760], [980, 140], [230, 120]].forEach(([x, y]) => pencil.lineTo(x, y));
    pencil.fill();
    return canvas.toDataURL('image/jpeg', 0.9);
  });
  await page.close();
  return {name: 'board.jpg', mimeType: 'image/jpeg', buffer: Buffer.from(address.split(',')[1], 'base64')};
}

export const settled = (page) => page.waitForLoadState('networkidle');

export const shot = (page, name, {fullPage = true} = {}) => page.screenshot({path: join(pictures, `${name}.png`), fullPage});

export async function fill(page, name, value) {
  const answer = page.waitForResponse((response) => response.url().endsWith('/live'));
  await page.fill(`[name="${name}"]`, value);
  await page.press(`[name="${name}"]`, 'Tab');
  await answer;
}

// Where a place on the board is on the screen, by the page's own readout: two probes give the scale.
export async function boardToScreen(page) {
  await page.locator('#board').scrollIntoViewIfNeeded();
  const box = await page.locator('#board').boundingBox();
  const read = async (x, y) => {
    await page.mouse.move(x, y);
    const words = await page.textContent('#readout');
    const found = /x (-?[\d.]+) mm, y (-?[\d.]+) mm/.exec(words);
    return {x: Number(found[1]), y: Number(found[2])};
  };
  const left = box.x + 10, top = box.y + 10, right = box.x + box.width - 10, bottom = box.y + box.height - 10;
  const one = await read(left, top), other = await read(right, bottom);
  return (x, y) => [left + (x - one.x) / (other.x - one.x) * (right - left), top + (y - one.y) / (other.y - one.y) * (bottom - top)];
}

// Asks again and again: the page's policy lets no other code wait inside it.
export async function waitUntil(page, condition) {
  for (let i = 0; i < 900; i++) {
    if (await page.evaluate(condition)) return;
    await page.waitForTimeout(100);
  }
  assert.fail(`never came true: ${condition}\n${await page.textContent('#notice')}\n${await page.textContent('#panel')}\n${await page.textContent('#faults')}`);
}

export async function changed(page, act) {
  const answer = page.waitForResponse((response) => response.url().endsWith('/live'));
  await act();
  await answer;
  await page.waitForTimeout(30);
}

// Places of the photo on the screen, while all of it is shown.
export async function photoToScreen(page) {
  const box = await page.locator('#board').boundingBox();
  const scale = Math.min((box.width - 48) / 1200, (box.height - 48) / 900);
  const left = box.x + (box.width - 1200 * scale) / 2, top = box.y + (box.height - 900 * scale) / 2;
  return (column, row) => [left + column * scale, top + row * scale];
}

export async function assertTidy(page) {
  assert.equal(await page.evaluate(() => document.documentElement.scrollWidth > innerWidth), false, 'the page scrolls sideways');
  assert.deepEqual(page.faults, []);
}

// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// How long a person waits: from Enter behind a reading to the frame that shows the new map, in a
// real browser, on a copy of a job. Prints the median and the 95th percentile, what of it the
// server took, and beside it `spotfield map` on the same machine at the same time: milliseconds
// are the machine's, the ratio is the page's.
//   npm install && node picture_time.js [PROGRAM] [JOB] [READINGS CHANGED]
import {execFileSync} from 'node:child_process';
import {cpSync, mkdtempSync, rmSync} from 'node:fs';
import {loadavg, tmpdir} from 'node:os';
import {join, resolve} from 'node:path';
import {launch, startPage} from './served.js';

const program = resolve(process.argv[2] ?? '../../../build/src/cli/spotfield');
const given = resolve(process.argv[3] ?? '../../../demo/desk-supply');
const changes = Number(process.argv[4] ?? 60);

// Runs in the page before its own code. The map is put into a canvas of one pixel a cell: the first
// one that differs from the last is the new map, and it is on the screen when the frame after it has
// been handed over, which a message posted from that frame's callback waits for.
function watchMap() {
  window.wait = {began: 0, map: '', waiting: false, waited: null};
  const put = CanvasRenderingContext2D.prototype.putImageData;
  CanvasRenderingContext2D.prototype.putImageData = function (pixels, ...rest) {
    put.call(this, pixels, ...rest);
    const map = pixels.data.join();
    const isNew = map !== wait.map;
    wait.map = map;
    if (!isNew || !wait.waiting) return;
    wait.waiting = false;
    requestAnimationFrame(() => {
      const channel = new MessageChannel();
      channel.port1.onmessage = () => { wait.waited = performance.now() - wait.began; };
      channel.port2.postMessage('');
    });
  };
  // the event's own time is when the key came, before anything ran for it
  addEventListener('keydown', (event) => {
    if (event.key !== 'Enter') return;
    Object.assign(wait, {began: event.timeStamp, waiting: true, waited: null});
    performance.clearResourceTimings();
  }, true);
}

// Asks from outside, seldom enough to disturb nothing that is measured.
async function until(page, condition) {
  for (let i = 0; i < 600; i++) {
    const found = await page.evaluate(condition);
    if (found) return found;
    await page.waitForTimeout(50);
  }
  throw new Error(`never came true: ${condition}`);
}

// What the requests took in the browser's account; the plan that follows the map is left out.
const requests = () => Object.fromEntries(performance.getEntriesByType('resource')
  .map((entry) => [entry.name.split('/').at(-1), entry.duration])
  .filter(([name]) => name === 'edit' || name === 'live'));

async function settle(page) {
  await until(page, async () => {
    const plan = await (await fetch('plan')).json();
    return !plan.thinking;
  });
  await page.waitForTimeout(300);
}

async function changeReading(page, value) {
  await page.fill('[name="chosen_value"]', value);
  await page.press('[name="chosen_value"]', 'Enter');
  const waited = await until(page, () => wait.waited);
  return {waited, ...await page.evaluate(requests)};
}

// The reading is chosen by its cross, as a person would; then it is typed warmer and colder in turn.
async function chooseReading(page) {
  await page.click('#tab-probe');
  await page.click('#accept');
  const box = await page.locator('#board').boundingBox();
  for (let row = 30; row < box.height; row += 12)
    for (let column = 30; column < box.width; column += 12) {
      await page.mouse.click(box.x + column, box.y + row);
      if (await page.$('[name="chosen_value"]')) return Number(await page.inputValue('[name="chosen_value"]'));
    }
  throw new Error('no reading was found on the board');
}

function mapTime(job) {
  const began = performance.now();
  execFileSync(program, ['map', job, '--quiet', '--out', join(job, 'mapped')]);
  return performance.now() - began;
}

const quantile = (values, share) => {
  const sorted = [...values].sort((one, other) => one - other);
  return sorted[Math.min(Math.ceil(share * sorted.length), sorted.length) - 1];
};
const tell = (name, values) =>
  console.log(`${name}: median ${quantile(values, 0.5).toFixed(0)} ms, 95 % within ${quantile(values, 0.95).toFixed(0)} ms`);

async function measure(page, job) {
  const value = await chooseReading(page), times = [], maps = [];
  for (let i = -3; i < changes; i++) {
    await settle(page);
    const time = await changeReading(page, (value + (i % 2 ? 6 : 0) + (i + 3) / 20).toFixed(2));
    if (i < 0) continue; // the browser's first rounds compile its code
    times.push(time);
    if (i % 4 === 0) maps.push(mapTime(job));
  }
  console.log(`${times.length} readings changed, load ${loadavg()[0].toFixed(1)} on this machine`);
  tell('from Enter to the new map', times.map((time) => time.waited));
  tell('of it, keeping the change', times.map((time) => time.edit));
  tell('of it, field and verdicts', times.map((time) => time.live));
  tell('spotfield map meanwhile', maps);
  console.log(`95 % over the median of spotfield map: ${(quantile(times.map((time) => time.waited), 0.95) / quantile(maps, 0.5)).toFixed(2)}`);
}

const job = join(mkdtempSync(join(tmpdir(), 'spotfield-time-')), 'job');
cpSync(given, job, {recursive: true});
const {child, address} = await startPage(program, job);
child.removeAllListeners('exit');
const browser = await launch();
try {
  const page = await browser.newPage({viewport: {width: 1400, height: 900}});
  await page.addInitScript(watchMap);
  await page.goto(address);
  await page.waitForSelector('#panel h2');
  await measure(page, job);
} finally {
  await browser.close();
  child.kill();
  rmSync(job, {recursive: true, force: true});
}

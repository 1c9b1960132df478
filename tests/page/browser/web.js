// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// The page without a server, spotfield.html opened from a disk: the demo, an own job, what a reload and
// a killed tab leave, hostile files, and whether the program gives the same results byte by byte.
//   npm install && node web.js PROGRAM FOLDER FOR PICTURES SPOTFIELD.HTML
import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync} from 'node:fs';
import {createServer} from 'node:http';
import {loadavg, tmpdir} from 'node:os';
import {join, resolve} from 'node:path';
import {gzipSync} from 'node:zlib';
import {assertTidy, fill, shot, waitUntil} from './hands.js';
import {isFirefox, launchIn} from './served.js';
import {begin, openFile, savedJob} from './without_server.js';

const program = resolve(process.argv[2]);
const folder = mkdtempSync(join(tmpdir(), 'spotfield-web-'));
const openWeb = (browser, options) => openFile(browser, process.argv[4], options);

function assertSameResults(job) {
  const native = join(folder, 'native');
  rmSync(native, {recursive: true, force: true});
  execFileSync(program, ['map', '--quiet', '--out', native, job]);
  const names = readdirSync(native);
  assert.ok(names.length >= 9, `${names}`);
  // `map` alone marks what it wrote, on the last line
  const unmarked = (bytes) => Buffer.from(bytes.toString('latin1').replace(/<!-- made from .{16}, results .{16} -->\n$/, ''), 'latin1');
  for (const name of names)
    assert.ok(unmarked(readFileSync(join(native, name))).equals(readFileSync(join(job, 'out', name))), `${name} is not what spotfield map writes`);
}

async function exportAll(page) {
  await page.click('#tab-decide');
  await page.click('#export');
  await page.waitForSelector('.results a', {timeout: 120000});
}

// What is written while the board is drawn anew, with where it begins and ends.
const written = (page) => page.evaluate(() => new Promise((done) => {
  const pencil = CanvasRenderingContext2D.prototype, real = pencil.fillText, seen = [];
  pencil.fillText = function (text, x, y) {
    const {width} = this.measureText(text), left = {left: x, center: x - width / 2, right: x - width}[this.textAlign];
    seen.push({text, left, right: left + width, y});
    real.call(this, text, x, y);
  };
  document.getElementById('zoom-fit').click();
  requestAnimationFrame(() => setTimeout(() => { pencil.fillText = real; done(seen); }));
}));

// Each part to replace is named, and no name lies over a letter.
async function assertLettersSeen(page) {
  await page.click('#tab-decide');
  const replaced = await page.$$eval('.part.replace b', (refs) => refs.map((ref) => ref.textContent));
  const all = await written(page), letters = all.filter(({text}) => /^[ACHM]$/.test(text)), names = all.filter(({text}) => /^C\d/.test(text));
  const [, count] = /^Replace (\d+) of/.exec(await page.textContent('#sentence'));
  assert.equal(replaced.length, Number(count));
  assert.ok(letters.length >= 6, JSON.stringify(letters));
  for (const ref of replaced) assert.ok(names.some(({text}) => text.split(' ')[0] === ref), `${ref} is not named`);
  for (const letter of letters) {
    const over = names.find(({left, right, y}) => left < letter.right && letter.left < right && Math.abs(y - letter.y) < 9);
    assert.equal(over, undefined, `${over?.text} lies over ${letter.text}`);
  }
}

async function demo(browser) {
  const page = await openWeb(browser, {viewport: {width: 1280, height: 900}});
  await page.waitForSelector('#start[open]');
  await shot(page, 'web-start');
  const from = Date.now();
  await begin(page, '#begin-demo');
  console.log(`demo board to its map: ${Date.now() - from} ms`);
  for (let step = 1; step < 5; step++) await page.click('#tour-next');
  assert.match(await page.textContent('#tour-title'), /5 of 5/);
  await page.click('#tour-next');
  await assertLettersSeen(page);
  await exportAll(page);
  await shot(page, 'web-demo');
  const shown = page.context().waitForEvent('page');
  await page.click('.results a[href="out/report.html"]');
  const report = await shown;
  await report.waitForSelector('h1');
  report.on('console', (message) => assert.notEqual(message.type(), 'error', message.text()));
  assert.notEqual(await report.evaluate(() => getComputedStyle(document.body).fontFamily), '', 'the report has its style');
  await report.close();
  await savedJob(page, join(folder, 'demo'));
  assertSameResults(join(folder, 'demo'));
  await assertTidy(page);
  await page.close();
}

const reading = (page) => page.inputValue('[name="name"]');

// Firefox is told by none of its own words: the process of the tab is killed.
async function killTab(context, page) {
  if (!isFirefox) {
    const cdp = await context.newCDPSession(page);
    await Promise.race([cdp.send('Page.crash').catch(() => {}), page.waitForEvent('crash')]);
    return;
  }
  const children = (pid, words) => execFileSync('pgrep', ['-P', String(pid), '-f', words], {encoding: 'utf8'}).trim().split('\n').map(Number);
  const [main] = children(process.pid, 'firefox'), [forks] = children(main, ' forkserver$');
  const own = children(forks, ' tab$');
  for (const pid of own) process.kill(pid, 'SIGKILL');
}

async function reloadAndKilledTab(context) {
  const page = await openWeb(context);
  await begin(page, '#begin-empty');
  await fill(page, 'name', 'Kept board');
  await fill(page, 'width', '90');
  await page.reload();
  await page.waitForSelector('#panel h2');
  await page.click('#tab-board');
  assert.equal(await reading(page), 'Kept board');
  await fill(page, 'height', '70');
  await page.fill('[name="ambient"]', '21'); // typed, not entered: this may be lost
  await killTab(context, page);
  const next = await openWeb(context);
  await next.click('text=Continue');
  await next.waitForSelector('#panel h2');
  await next.click('#tab-board');
  assert.equal(await reading(next), 'Kept board');
  assert.equal(await next.inputValue('[name="height"]'), '70');
  await next.click('#undo');
  await waitUntil(next, "document.querySelector('[name=height]').value === ''");
  await assertTidy(next);
  await next.close();
}

// A folder: headless Chromium shows no picker, so that the page is given the browser's private one, which
// has the same functions. That needs an address: the file is served, as a static host would.
async function inAFolder(context) {
  const server = createServer((_, answer) => { answer.setHeader('Content-Type', 'text/html'); answer.end(readFileSync(process.argv[4])); });
  await new Promise((done) => server.listen(0, '127.0.0.1', done));
  const page = await context.newPage();
  await page.addInitScript(() => { window.showDirectoryPicker = () => navigator.storage.getDirectory(); });
  await page.goto(`http://127.0.0.1:${server.address().port}/`);
  const write = (name, words) => page.evaluate(async ([into, all]) => {
    const stream = await (await (await navigator.storage.getDirectory()).getFileHandle(into, {create: true})).createWritable();
    await stream.write(all);
    await stream.close();
  }, [name, words]);
  const read = (name) => page.evaluate(async (from) =>
    (await (await (await navigator.storage.getDirectory()).getFileHandle(from)).getFile()).text(), name);
  await write('board.csv', 'key,value,unit\nwidth,90,mm\n');
  await write('notes.txt', 'not of the job');
  await page.click('#begin-folder');
  await page.waitForSelector('#panel h2');
  await page.click('#tab-board');
  await page.waitForSelector('[name="height"]');
  await page.fill('[name="height"]', '70');
  await page.press('[name="height"]', 'Tab');
  for (let i = 0; i < 100 && !/70/.test(await read('board.csv')); i++) await page.waitForTimeout(100);
  assert.equal(await read('board.csv'), 'key,value,unit\nwidth,90,mm\nheight,70,mm\n');
  // what another program writes there shows up
  await write('board.csv', 'key,value,unit\nwidth,95,mm\nheight,70,mm\n');
  await waitUntil(page, "document.querySelector('[name=width]').value === '95'");
  assert.match(await page.textContent('#kept'), /in the folder/);
  assert.equal(await read('notes.txt'), 'not of the job');
  await page.close();
  server.close();
}

// --- how long it takes ---

// 300 parts, 60 readings and 20 sources on a board of 200 mm by 150 mm, spread evenly.
function largeJob() {
  const at = (i, count, length) => ((i * 0.618034 + 0.31) % 1 * (length - 20) + 10).toFixed(1);
  const along = (i, count, length) => ((i + 0.5) / count * (length - 20) + 10).toFixed(1);
  const rows = (count, row) => Array.from({length: count}, (_, i) => row(i)).join('\\n');
  const texts = {
    'board.csv': 'key,value,unit\\nname,Large invented board,\\nwidth,200,mm\\nheight,150,mm\\nambient,22,C\\nrun_hours,40000,h',
    'parts.csv': `ref,x_mm,y_mm,rated_c,endurance_h\\n${rows(300, (i) => `C${i + 1},${at(i, 300, 200)},${along(i, 300, 150)},105,2000`)}`,
    'sources.csv': `ref,x_mm,y_mm,width_mm,height_mm,angle_deg,power_w,power_u_w\\n${rows(20, (i) => `R${i + 1},${at(i, 20, 200)},${along(i, 20, 150)},8,6,0,0.6,0.2`)}`,
    'readings.csv': `id,x_mm,y_mm,value,unit,method\\n${rows(60, (i) => `r${i + 1},${at(i + 7, 60, 200)},${along(i, 60, 150)},${(38 + 6 * Math.sin(i)).toFixed(1)},C,infrared`)}`,
    'keepout.csv': 'ring,x_mm,y_mm,reason',
  };
  return makeZip('large.zip', Object.entries(texts).map(([name, words]) => `z.writestr('${name}','${words}\\n')`).join('\n'));
}

const longestTask = (page) => page.evaluate(() => window.longest);

// The longest task of the page's own thread in processor time, which other programs do not lengthen; told by
// Chromium alone.
async function longestOwnTask(page, work) {
  if (isFirefox) { await work(); return NaN; }
  const cdp = await page.context().newCDPSession(page), events = [];
  cdp.on('Tracing.dataCollected', ({value}) => events.push(...value));
  await cdp.send('Tracing.start', {transferMode: 'ReportEvents', traceConfig: {includedCategories: ['toplevel', 'devtools.timeline']}});
  await work();
  const told = new Promise((done) => cdp.once('Tracing.tracingComplete', done));
  await cdp.send('Tracing.end');
  await told;
  const main = new Set(events.filter(({name, args}) => name === 'thread_name' && args.name === 'CrRendererMain').map(({pid, tid}) => `${pid} ${tid}`));
  const tasks = events.filter(({name, ph, pid, tid}) => ph === 'X' && /RunTask$/.test(name) && main.has(`${pid} ${tid}`));
  assert.ok(tasks.length > 10, 'no task was traced');
  return Math.round(Math.max(...tasks.map(({tdur}) => tdur ?? 0)) / 1000);
}

// From Enter behind an entry to the new map, which the page draws in the same turn.
async function timeEntry(page, value) {
  await page.evaluate(() => {
    document.addEventListener('keydown', (event) => { if (event.key === 'Enter') window.entered = performance.now(); }, true);
    addEventListener('answered', ({detail}) => { if (detail === 'live') window.took = performance.now() - window.entered; });
  });
  const map = page.waitForResponse();
  await page.fill('[name="ambient"]', value);
  await page.press('[name="ambient"]', 'Enter');
  await map;
  return page.evaluate(() => window.took);
}

const median = (values) => values.toSorted((one, other) => one - other)[Math.floor(values.length / 2)];

async function speed(browser) {
  const firstMaps = [];
  for (let i = 0; i < 5; i++) {
    const page = await openWeb(browser);
    await begin(page, '#begin-demo');
    await waitUntil(page, 'window.firstMap > 0');
    firstMaps.push(Math.round(await page.evaluate(() => window.firstMap)));
    await page.close();
  }
  console.log(`demo: map on the screen ${firstMaps.join(', ')} ms after opening, median ${median(firstMaps)}, the click of this script included; load ${loadavg()[0].toFixed(1)}`);
  let page = await openWeb(browser);
  await begin(page, '#begin-demo');
  await page.click('#tab-board');
  const took = [];
  for (const value of ['22.1', '22.2', '22.3', '22.4', '22.5']) {
    took.push(Math.round(await timeEntry(page, value)));
    await page.waitForLoadState();
  }
  console.log(`demo: entry to new map ${took.join(', ')} ms`);
  await page.close();
  page = await openWeb(browser);
  const stall = await longestOwnTask(page, async () => {
    await page.setInputFiles('#begin-zip', largeJob());
    await page.waitForSelector('#panel h2');
    await waitUntil(page, 'window.lives > 0');
    await page.waitForLoadState();
    for (const mode of ['place', 'probe', 'decide', 'board']) {
      await page.click(`#tab-${mode}`);
      await page.waitForTimeout(200);
    }
  });
  if (!isFirefox) {
    console.log(`large board, opened and looked through: longest task of the page ${stall} ms of processor time, ${await longestTask(page)} ms by the clock`);
    assert.ok(stall <= 100, 'the page stalls');
  }
  await page.evaluate(() => { window.longest = 0; });
  const large = [];
  for (const value of ['22.1', '22.2', '22.3']) {
    large.push(Math.round(await timeEntry(page, value)));
    await page.waitForLoadState();
  }
  console.log(`large board: entry to new map ${large.join(', ')} ms, longest stall of the page ${await longestTask(page)} ms`);
  await assertTidy(page);
  await page.close();
}

// Megabytes of the file, as it is and as a server packs it.
async function size() {
  const bytes = readFileSync(process.argv[4]), packed = gzipSync(bytes, {level: 9});
  console.log(`size: ${bytes.length} bytes, ${packed.length} packed`);
  assert.ok(bytes.length <= 2.5e6 && packed.length <= 1e6);
}

// --- hostile files ---

const makeZip = (name, code) => {
  const path = join(folder, name);
  execFileSync('python3', ['-c', `import zipfile,sys\nz=zipfile.ZipFile(sys.argv[1],'w',zipfile.ZIP_DEFLATED)\n${code}\nz.close()`, path]);
  return path;
};

async function hostile(browser) {
  const board = "z.writestr('board.csv','key,value,unit\\nwidth,90,mm\\nheight,70,mm\\nambient,21,C\\n')";
  const cases = [
    ['bomb', `${board}\nz.writestr('photo.png',b'\\0'*(200<<20))`, /more than 64 MiB/],
    ['up', `${board}\nz.writestr('../parts.csv','ref\\n')`, /outside/],
    ['root', `${board}\nz.writestr('/parts.csv','ref\\n')`, /outside/],
    ['drive', `${board}\nz.writestr('C:\\\\\\\\parts.csv','ref\\n')`, /outside/],
    ['twice', `${board}\n${board}`, /twice/],
    ['two-jobs', `${board}\nz.writestr('b/parts.csv','ref\\n')`, /more than one job/],
    ['many', `${board}\nfor i in range(300): z.writestr('n%d.txt'%i,'')`, /more than 200/],
    ['no-job', "z.writestr('words.txt','no job')", /no board.csv/],
  ];
  const page = await openWeb(browser);
  for (const [name, code, refused] of cases) {
    await page.setInputFiles('#begin-zip', makeZip(`${name}.zip`, code));
    await waitUntil(page, "document.getElementById('start-words').textContent !== ''");
    assert.match(await page.textContent('#start-words'), refused, name);
    await page.evaluate(() => { document.getElementById('start-words').textContent = ''; });
  }
  const damaged = join(folder, 'damaged.zip'), bytes = readFileSync(makeZip('sound.zip', board));
  bytes[50] ^= 0xff;
  writeFileSync(damaged, bytes);
  await page.setInputFiles('#begin-zip', damaged);
  await waitUntil(page, "document.getElementById('start-words').textContent !== ''");
  assert.match(await page.textContent('#start-words'), /damaged/);
  // a sound one, with a CSV that is none and a photo that is none
  await page.setInputFiles('#begin-zip', makeZip('odd.zip', `${board}\nz.writestr('parts.csv',b'\\xff\\xfe\\0<script>'*999)\nz.writestr('photo.png',b'\\x89PNG\\r\\n\\x1a\\n\\0\\0\\0\\rIHDR\\xff\\xff\\xff\\xff\\xff\\xff\\xff\\xff')\nz.writestr('words.txt','left out')`));
  await page.waitForSelector('#faults li', {state: 'attached'});
  assert.match(await page.textContent('#notice'), /words.txt/);
  await page.close();
}

const only = process.argv.slice(5);
try {
  for (const work of [size, demo, reloadAndKilledTab, inAFolder, hostile, speed]) {
    if (only.length && !only.includes(work.name)) continue;
    const browser = await launchIn(join(folder, work.name + '-profile'));
    await work(browser);
    console.log(`passed: ${work.name}`);
    await browser.close();
  }
} finally {
  rmSync(folder, {recursive: true, force: true, maxRetries: 5});
}

// The page without a server, spotfield.html opened from a disk: the demo, an own job, what a reload and
// a killed tab leave, hostile files, and whether the program gives the same results byte by byte.
//   npm install && node web.js PROGRAM FOLDER FOR PICTURES SPOTFIELD.HTML
// CHROMIUM names the browser where it is not /usr/bin/chromium.
import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join, resolve} from 'node:path';
import {chromium} from 'playwright-core';
import {assertTidy, fill, shot, waitUntil} from './hands.js';
import {executablePath} from './served.js';
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
  for (const name of names)
    assert.ok(readFileSync(join(native, name)).equals(readFileSync(join(job, 'out', name))), `${name} is not what spotfield map writes`);
}

async function exportAll(page) {
  await page.click('#tab-decide');
  await page.click('#export');
  await page.waitForSelector('.results a', {timeout: 120000});
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

const reading = (page) => page.evaluate(() => document.querySelector('[name="name"]').value);

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
  const cdp = await context.newCDPSession(page);
  await Promise.race([cdp.send('Page.crash').catch(() => {}), page.waitForEvent('crash')]);
  const next = await openWeb(context);
  await next.click('text=Go on with');
  await next.waitForSelector('#panel h2');
  await next.click('#tab-board');
  assert.equal(await reading(next), 'Kept board');
  assert.equal(await next.inputValue('[name="height"]'), '70');
  await next.click('#undo');
  await waitUntil(next, "document.querySelector('[name=height]').value === ''");
  await assertTidy(next);
  await next.close();
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

const args = ['--no-sandbox'];
const only = process.argv.slice(5);
try {
  for (const work of [demo, reloadAndKilledTab, hostile]) {
    if (only.length && !only.includes(work.name)) continue;
    const browser = await chromium.launchPersistentContext(join(folder, work.name + '-profile'), {executablePath, args, acceptDownloads: true});
    await work(browser);
    console.log(`passed: ${work.name}`);
    await browser.close();
  }
} finally {
  rmSync(folder, {recursive: true, force: true, maxRetries: 5});
}

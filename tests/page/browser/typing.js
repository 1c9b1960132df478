// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// What is typed is what is saved: numbers typed over others by every way into a field and at 60 to 200
// ms a key, readings with their instrument, markings of cans, no-touch areas; and the picture stays
// where it is meanwhile. Prints counts; ends with status 0 where nothing was garbled, lost or moved.
//   npm install && node typing.js [PROGRAM] [FOLDER FOR PICTURES]
import assert from 'node:assert/strict';
import {appendFileSync, cpSync, mkdtempSync, readFileSync, rmSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join, resolve} from 'node:path';
import {boardToScreen, changed, fill, openPage, settled, shot, waitUntil} from './hands.js';
import {launch, startPage} from './served.js';
import {namedRowsOf} from './tables.js';

const program = resolve(process.argv[2] ?? '../../../build/src/cli/spotfield');
const demo = resolve('../../../demo/desk-supply');
const faults = [];
const fault = (words) => { faults.push(words); console.log(`  WRONG: ${words}`); };

const rowsOf = (job, file) => namedRowsOf(join(job, file));

// Changes go to the server one after another: the last one is kept once none has been under way for a while.
function watchChanges(page) {
  const isOne = (request) => /\/(edit|job|stamp)$/.test(request.url());
  page.open = 0;
  page.on('request', (request) => { page.open += isOne(request); });
  for (const end of ['requestfinished', 'requestfailed']) page.on(end, (request) => { page.open -= isOne(request); });
}

async function quiet(page) {
  for (let rests = 0; rests < 5; rests = page.open ? 0 : rests + 1) await page.waitForTimeout(60);
  await settled(page);
}

async function choosePart(page, {x_mm, y_mm}) {
  await page.click('#tab-place');
  await page.check('#tool-select');
  await page.click('#zoom-fit');
  const at = await boardToScreen(page);
  await page.mouse.click(...at(Number(x_mm), Number(y_mm)));
  await page.waitForSelector('[name="chosen_height_mm"]');
}

// --- numbers over numbers ---

const columns = ['diameter_mm', 'height_mm', 'capacitance_uf', 'rated_v', 'endurance_h', 'working_v'];
const ways = {
  'triple click': (page, field) => page.click(field, {clickCount: 3}),
  'one click': (page, field) => page.click(field),
  'Tab': async (page, field) => {
    for (let i = 0; i < 200 && !await page.evaluate((wanted) => document.activeElement?.matches(wanted), field); i++) await page.keyboard.press('Tab');
  },
  'touch': (page, field) => page.tap(field),
};

// Each field is entered while the page still takes in what was typed into the one before. Every
// second run ends a field by Enter.
async function typeOver(page, job, ref, way, delay, run) {
  const typed = {};
  for (const [at, column] of columns.entries()) {
    const field = `[name="chosen_${column}"]`;
    // digits and a fraction that no other field has, in the range of all of them
    typed[column] = `${column === 'endurance_h' ? 4 : ''}${10 + run}.${3 + at}${1 + run % 7}`;
    await ways[way](page, field);
    await page.keyboard.type(typed[column], {delay});
    if (run % 2) await page.keyboard.press('Enter');
  }
  await page.keyboard.press('Tab');
  await quiet(page);
  const row = rowsOf(job, 'parts.csv').find((part) => part.ref === ref);
  const wrong = columns.filter((column) => row[column] !== typed[column]);
  for (const column of wrong) fault(`${way}, ${delay} ms a key: ${column} typed ${typed[column]}, saved ${row[column]}`);
  return wrong.length;
}

async function numbers({page, job}) {
  const part = rowsOf(job, 'parts.csv').find(({ref}) => ref === 'C24');
  await choosePart(page, part);
  let run = 0;
  for (const way of Object.keys(ways)) {
    let wrong = 0, count = 0;
    for (const delay of [60, 100, 150, 200]) {
      wrong += await typeOver(page, job, part.ref, way, delay, run++);
      count += columns.length;
    }
    console.log(`  ${way}: ${count} numbers typed over others, ${wrong} garbled`);
  }
}

// Typed behind the old value it is no number: it is refused where it stands, and the file keeps the old.
async function behind({page, job}) {
  const part = rowsOf(job, 'parts.csv').find(({ref}) => ref === 'C24');
  await choosePart(page, part);
  await page.click('[name="chosen_working_v"]');
  await page.keyboard.type('17.81', {delay: 60});
  await page.keyboard.press('Enter');
  await page.keyboard.press('End');
  await page.keyboard.type('19.83', {delay: 60});
  await page.keyboard.press('Tab');
  await quiet(page);
  const saved = rowsOf(job, 'parts.csv').find(({ref}) => ref === part.ref).working_v;
  if (saved !== '17.81') fault(`behind the old: saved ${saved}`);
  const told = await page.evaluate(() => document.querySelector('[name="chosen_working_v"]').parentNode.dataset.why);
  if (!/^"17\.8119\.83" is not a number, expected a number from/.test(told)) fault(`behind the old: told ${told}`);
  console.log('  one number typed behind the old, refused');
}

// A new reference, and the next cells typed while it is on its way.
async function renames({page, job}) {
  const part = rowsOf(job, 'parts.csv').find(({ref}) => ref === 'C63');
  await choosePart(page, part);
  await page.click('[name="chosen_ref"]');
  await page.keyboard.type('C963', {delay: 60});
  await ways.Tab(page, '[name="chosen_diameter_mm"]');
  await page.keyboard.type('21.5', {delay: 60});
  await page.keyboard.press('Tab');
  await page.keyboard.type('41.5', {delay: 60});
  await page.keyboard.press('Tab');
  await quiet(page);
  const row = rowsOf(job, 'parts.csv').find(({ref}) => ref === 'C963');
  if (row?.diameter_mm !== '21.5' || row?.height_mm !== '41.5') fault(`renamed: ${JSON.stringify(row)}`);
  console.log('  renamed, and two numbers typed meanwhile');
}

// Another program writes while a number is typed: the number stays whole, and what the other wrote.
async function besideAnother({page, job}) {
  const part = rowsOf(job, 'parts.csv').find(({ref}) => ref === 'C31');
  await choosePart(page, part);
  await page.click('[name="chosen_height_mm"]');
  await page.keyboard.type('27', {delay: 60});
  appendFileSync(join(job, 'parts.csv'), 'C999,150,90,8,12,100,20,25,105,2000,,,15,1,no,1998,,,,,sound,\n');
  await waitUntil(page, () => /Another program/.test(document.getElementById('notice').textContent));
  await page.keyboard.type('.75', {delay: 60});
  await page.keyboard.press('Tab');
  await quiet(page);
  const rows = rowsOf(job, 'parts.csv'), saved = rows.find(({ref}) => ref === part.ref).height_mm;
  if (saved !== '27.75') fault(`beside another program: 27.75 was saved as ${saved}`);
  if (!rows.some(({ref}) => ref === 'C999')) fault('the row of another program is lost');
  console.log('  one number typed while another program wrote');
}

// --- readings ---

// The plan is made beside all else, at the lowest priority: on a busy machine it takes its time.
const planMade = (page) => waitUntil(page, () =>
  document.querySelector('.where') !== null || /No further reading/.test(document.querySelector('#panel').textContent));

// Places of the bare board, outside its no-touch area.
function freePlaces(job, count) {
  const things = [['parts.csv', 14], ['sources.csv', 18], ['readings.csv', 7]]
    .flatMap(([file, away]) => rowsOf(job, file).map((row) => ({x: Number(row.x_mm), y: Number(row.y_mm), away})));
  const places = [];
  for (let y = 12; y < 130 && places.length < count; y += 9)
    for (let x = 80; x < 205 && places.length < count; x += 11)
      if (things.every((thing) => Math.hypot(thing.x - x, thing.y - y) > thing.away)) places.push([x, y]);
  return places;
}

// Unit, instrument and spot are chosen once; each reading is typed as soon as its place is shown.
async function readings({page, job}) {
  const before = rowsOf(job, 'readings.csv').length, typed = [];
  await page.click('#tab-probe');
  await page.click('#accept');
  const at = await boardToScreen(page);
  const free = freePlaces(job, 6);
  assert.equal(free.length, 6);
  await page.mouse.click(...at(...free[0]));
  await page.selectOption('[name="unit"]', 'F');
  await page.selectOption('[name="method"]', 'infrared');
  await page.selectOption('[name="spot"]', 'source');
  await page.fill('[name="emissivity"]', '0.93');
  for (const [i, place] of free.entries()) {
    await page.mouse.click(...at(...place));
    typed.push(`${118 + 3 * i}.${i + 1}`);
    await page.keyboard.type(typed.at(-1), {delay: 60 + 28 * i});
    await changed(page, () => page.keyboard.press('Enter'));
    if (i === 2) { await page.click('#tab-place'); await page.click('#tab-probe'); }
  }
  await quiet(page);
  const rows = rowsOf(job, 'readings.csv').slice(before);
  if (rows.length !== typed.length) fault(`${typed.length} readings typed, ${rows.length} saved`);
  rows.forEach((row, i) => {
    const saved = `${row.value} ${row.unit} ${row.method} ${row.spot} ${row.emissivity}`, wanted = `${typed[i]} F infrared source 0.93`;
    if (saved !== wanted) fault(`typed ${wanted}, saved ${saved}`);
  });
  await shot(page, 'typing-readings');
  console.log(`  ${rows.length} readings typed in F, by infrared, emissivity 0.93, on sources`);
}

// A number that is begun before the place is known stays whole, and is kept only once it was asked about.
async function early({page, job}) {
  await planMade(page);
  const before = rowsOf(job, 'readings.csv').length;
  await page.fill('[name="reading"]', '51.5');
  await page.keyboard.press('Enter');
  await page.keyboard.type('61.25', {delay: 60});
  await planMade(page);
  assert.equal(await page.inputValue('[name="reading"]'), '61.25');
  await page.keyboard.press('Enter');
  await quiet(page);
  const values = rowsOf(job, 'readings.csv').slice(before).map(({value}) => value);
  if (values.join() !== '51.5') fault(`typed ahead of its place: ${values}`);
  await waitUntil(page, () => /Press Enter again|press Enter again/.test(document.getElementById('notice').textContent));
  await changed(page, () => page.keyboard.press('Enter'));
  if (rowsOf(job, 'readings.csv').at(-1).value !== '61.25') fault('the second Enter did not keep the reading');
  console.log('  one reading typed ahead of its place, asked about, kept');
}

// --- markings ---

const markings = [
  ['35V 470uF 105C', '470', '35', '105'], ['4n7 63', '0.0047', '63', '105'], ['4u7 50V 85', '4.7', '50', '85'],
  ['470/35', '470', '35', '85'], ['470u 35V 105', '470', '35', '105'], ['2200\u00b5/63', '2200', '63', '105'], ['6V3 1000', '1000', '6.3', '105'],
];
const refused = ['470 KME 35', '470 105', '4m7', '1,000u 35', '470uF35V', '20%'];

async function markingLine({page, job}) {
  for (const [name, value] of [['width', '100'], ['height', '80'], ['ambient', '22']]) await fill(page, name, value);
  await page.click('#tab-place');
  await page.check('#tool-part');
  const at = await boardToScreen(page);
  for (const [i, [words]] of markings.entries()) {
    await page.click('[name="marking"]', {clickCount: 3});
    await page.keyboard.type(words, {delay: 20});
    await changed(page, () => page.mouse.click(...at(10 + 12 * i, 20)));
  }
  await shot(page, 'typing-marking');
  for (const words of refused) {
    await page.click('[name="marking"]', {clickCount: 3});
    await page.keyboard.type(words, {delay: 20});
    if (!/Not understood/.test(await page.textContent('#panel'))) fault(`${words} is not refused in words`);
    await page.mouse.click(...at(50, 60));
    await page.waitForTimeout(150);
  }
  await quiet(page);
  const rows = rowsOf(job, 'parts.csv');
  if (rows.length !== markings.length) fault(`${markings.length} markings placed, ${rows.length} rows`);
  markings.forEach(([words, uf, v, c], i) => {
    const row = rows[i] ?? {}, saved = `${row.capacitance_uf} ${row.rated_v} ${row.rated_c}`;
    if (saved !== `${uf} ${v} ${c}`) fault(`${words} was saved as ${saved}`);
  });
  console.log(`  ${markings.length} markings read, ${refused.length} refused`);
}

// --- no-touch areas ---

async function noTouch({page, job, address}) {
  for (const [name, value] of [['width', '100'], ['height', '80'], ['ambient', '22'], ['run_hours', '52000']]) await fill(page, name, value);
  await page.click('#tab-probe');
  await page.waitForSelector('#keepout-question, [data-key="keepout-question"]');
  await shot(page, 'typing-question');
  await page.click('#draw-area');
  const at = await boardToScreen(page);
  const draw = async () => {
    for (const [x, y] of [[10, 10], [40, 10], [40, 50], [10, 50]]) await page.mouse.click(...at(x, y));
    await changed(page, () => page.click('#finish'));
  };
  await draw();
  assert.equal(await page.locator('#none-here').count(), 0);
  await changed(page, () => page.click('#undo'));
  assert.equal(await page.locator('#none-here').count(), 1, 'an area that was taken back is no answer');
  await draw();
  await page.click('#tab-probe');
  await page.click('#accept');
  await page.mouse.click(...at(25, 30));
  assert.equal(await page.inputValue('[name="method"]'), 'infrared');
  assert.match(await page.textContent('#danger'), /no-touch area 1 \(mains\): voltage there can kill/);
  await page.selectOption('[name="method"]', 'thermocouple-K');
  await page.fill('[name="reading"]', '41.5');
  await page.press('[name="reading"]', 'Enter');
  await page.waitForTimeout(300);
  assert.equal(rowsOf(job, 'readings.csv').length, 0, 'contact without a reason is kept');
  assert.match(await page.textContent('#notice'), /say why contact is safe there/);
  await shot(page, 'typing-no-touch');
  await page.fill('[name="contact_reason"]', 'bead taped on dead, 0 V measured');
  await changed(page, () => page.press('[name="contact_reason"]', 'Enter'));
  const [row] = rowsOf(job, 'readings.csv');
  assert.equal(`${row.method}: ${row.note}`, 'thermocouple-K: no-touch: bead taped on dead, 0 V measured');
  // the next place there is read by infrared again, and a client that forgets it is refused
  await page.mouse.click(...at(30, 40));
  assert.equal(await page.inputValue('[name="method"]'), 'infrared');
  await page.mouse.click(...at(80, 60));
  assert.equal(await page.inputValue('[name="method"]'), 'thermocouple-K');
  const forgets = await page.request.post(new URL('edit', address).href, {headers: {Origin: new URL(address).origin},
    data: JSON.stringify({label: 'x', ops: [{file: 'readings.csv', op: 'insert', set: {id: 'q', x_mm: '20', y_mm: '20', value: '50', unit: 'C', method: 'thermocouple-K'}}]})});
  assert.equal(forgets.status(), 409, await forgets.text());
  assert.match(await forgets.text(), /no-touch area 1/);
  assert.equal(rowsOf(job, 'readings.csv').length, 1);
  console.log('  contact in an area: warned of, refused, kept with its reason, refused by the server');
}

async function noneHere({page, job}) {
  for (const [name, value] of [['width', '100'], ['height', '80']]) await fill(page, name, value);
  await page.click('#tab-place');
  await changed(page, () => page.click('#none-here'));
  assert.equal(await page.locator('#none-here').count(), 0);
  assert.equal(readFileSync(join(job, 'keepout.csv'), 'utf8'), 'ring,x_mm,y_mm,reason\n');
  console.log('  no areas here: asked once, kept in keepout.csv');
}

// --- the picture ---

// Three places of the frame, told in millimetres of the board, with the frame itself.
async function looks(page, spots) {
  const box = await page.locator('#board').boundingBox(), told = [];
  for (const [across, down] of spots) {
    await page.mouse.move(box.x + across * box.width + 1, box.y + down * box.height);
    await page.mouse.move(box.x + across * box.width, box.y + down * box.height);
    told.push(/x (-?[\d.]+) mm, y (-?[\d.]+) mm/.exec(await page.textContent('#readout')).slice(1).map(Number));
  }
  return {box, told};
}

async function picture({page, job}, name) {
  const spots = [[0.2, 0.3], [0.5, 0.5], [0.8, 0.7]];
  const part = rowsOf(job, 'parts.csv').find(({ref}) => ref === 'C24');
  await choosePart(page, part);
  for (let i = 0; i < 4; i++) await page.click('#zoom-in');
  await quiet(page);
  const before = await looks(page, spots);
  let mostMm = 0, mostPx = 0;
  const hold = async (what) => {
    const now = await looks(page, spots);
    const mm = Math.max(...now.told.map(([x, y], i) => Math.hypot(x - before.told[i][0], y - before.told[i][1])));
    const px = Math.max(...['x', 'y', 'width', 'height'].map((key) => Math.abs(now.box[key] - before.box[key])));
    [mostMm, mostPx] = [Math.max(mostMm, mm), Math.max(mostPx, px)];
    if (mm > 0 || px > 0) fault(`${name}: after ${what} the board moved by ${mm.toFixed(1)} mm, its frame by ${px.toFixed(1)} pixels`);
  };
  const set = async (column, value) => { await fill(page, `chosen_${column}`, value); await quiet(page); };
  const home = () => page.evaluate(() => scrollTo(0, 0));
  for (const [what, act] of [
    ['a save', () => set('height_mm', '44')],
    ['a warning', () => set('rated_v', '36')],
    ['a fault', () => set('diameter_mm', 'wide')],
    ['its mending', () => set('diameter_mm', '24')],
    ['a notice', async () => { await page.fill('[name="chosen_ref"]', 'C1'); await page.press('[name="chosen_ref"]', 'Enter'); await page.waitForTimeout(100); }],
    ['another panel', async () => { await page.click('#tab-decide'); await quiet(page); }],
    ['the cautions', async () => { await page.click('#tab-probe'); await page.click('#accept'); await planMade(page); }],
    ['a new map', async () => {
      await page.fill('[name="reading"]', '55.5');
      await changed(page, () => page.press('[name="reading"]', 'Enter'));
      await planMade(page);
      await page.click('#tab-place');
    }],
  ]) {
    await act();
    await home();
    await hold(what);
  }
  await shot(page, `typing-picture-${name}`);
  console.log(`  ${name}: the board moved by at most ${mostMm.toFixed(1)} mm, its frame by ${mostPx.toFixed(1)} pixels`);
}

// --- the runs ---

async function run(browser, name, job, works, options) {
  const served = await startPage(program, job);
  served.child.removeAllListeners('exit');
  console.log(name);
  try {
    const page = await openPage(browser, served.address, options);
    watchChanges(page);
    for (const work of works) {
      await work({page, job, address: served.address}, name)
        .catch((error) => fault(`${work.name}: ${error.message.split('\n')[0]}`));
    }
    if (page.faults.some((words) => !/409/.test(words))) fault(page.faults.join('; '));
    await page.close();
  } finally {
    served.child.kill();
    rmSync(job, {recursive: true, force: true});
  }
}

const freshJob = () => join(mkdtempSync(join(tmpdir(), 'spotfield-typing-')), 'job');
function demoJob() {
  const job = freshJob();
  cpSync(demo, job, {recursive: true});
  return job;
}

const only = process.argv[4] ?? '';
const browser = await launch();
try {
  const wide = {viewport: {width: 1280, height: 800}, hasTouch: true}, tablet = {viewport: {width: 820, height: 1180}, hasTouch: true};
  for (const [name, job, works, options] of [
    ['numbers', demoJob, [numbers, behind, renames, besideAnother], wide], ['readings', demoJob, [readings, early], wide],
    ['marking', freshJob, [markingLine], wide], ['no-touch', freshJob, [noTouch], wide], ['none', freshJob, [noneHere], wide],
    ['1280x800', demoJob, [picture], wide], ['820x1180', demoJob, [picture], tablet],
  ])
    if (name.includes(only)) await run(browser, name, job(), works, options);
} finally {
  await browser.close();
}
console.log(faults.length ? `${faults.length} wrong` : 'nothing garbled, lost or moved');
process.exitCode = faults.length ? 1 : 0;

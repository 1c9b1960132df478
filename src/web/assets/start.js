// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Starts the page without a server: unpacks the program, asks which job it is to be, and hands over to
// the page itself.
import {carryBy} from '../../page/assets/transport.js';
import {onChange, state, tell} from '../../page/assets/store.js';
import {Carrier} from './carry.js';
import {Desk} from './desk.js';
import {BrowserKeep, BYTES_MOST, FolderKeep, listJobs, openStorage, PageKeep, removeJob} from './keep.js';
import {beginTour} from './tour.js';

const byId = (id) => document.getElementById(id);
const textOf = (id) => byId(id).textContent.trim();

function element(name, attributes, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes))
    if (key.startsWith('on')) made.addEventListener(key.slice(2), value);
    else made.setAttribute(key, value);
  made.append(...children);
  return made;
}

// --- the program ---

// The browser shows the first choice, and begins the first worker, while it still reads the program,
// which is at the end of this file.
const parsed = new Promise((done) => document.addEventListener('DOMContentLoaded', done, {once: true}));
const worker = new Blob([textOf('worker')], {type: 'text/javascript'});
const program = {address: URL.createObjectURL(worker), given: null};
const first = new Desk(program);
first.hire();

async function loadProgram() {
  await parsed;
  program.given = {texts: {code: textOf('code'), font: textOf('font')}};
  program.given = await first.begin();
  return program;
}
const loaded = loadProgram();

// --- the demo board ---

const inText = new TextEncoder();
const demoFiles = new Map(Object.entries(JSON.parse(textOf('demo'))).map(([name, words]) => [name, inText.encode(words)]));

// While a person looks at the first choice, page and field are made of the demo board: whatever is
// chosen, the browser then has the code for it ready.
let warm = {desk: first, files: null, asked: new Map()};
async function warmUp() {
  await loaded;
  const asked = new Map(['job', 'live'].map((path) => [path, first.call('ask', demoFiles, {method: 'GET', path, body: new Uint8Array()})]));
  for (const answer of asked.values()) answer.catch(() => {});
  warm = {desk: first, files: demoFiles, asked};
}
// a page that is loaded anew goes on where it was
const last = sessionStorage.getItem('job');
if (!last) warmUp().catch(() => {});

// --- what is kept ---

let carrier = null, storage = null;
const keepOf = (name, files) => (storage ? BrowserKeep.make(storage, name, files) : new PageKeep(name));
const timeOf = (moment) => new Date(moment).toLocaleTimeString([], {hour: '2-digit', minute: '2-digit'});
const isUnpacked = () => carrier && carrier.keep.job.changed > carrier.keep.job.packed;

function showKept() {
  const {keep} = carrier, words = byId('kept');
  if (keep instanceof FolderKeep) { words.textContent = `Each entry is saved in the folder ${keep.job.name}.`; return; }
  if (keep.job.revision === 0) { words.textContent = 'Saving in this browser.'; return; }
  words.textContent = keep instanceof PageKeep
    ? 'This browser keeps nothing: everything is lost when this page closes. Save the job as .zip.'
    : `Saved in this browser at ${timeOf(keep.job.changed)}.${isUnpacked() ? ' Clearing the browser\u2019s data deletes it: save it as .zip too.' : ' The .zip you saved holds all of it.'}`;
}

const isSavedNowhere = () => carrier?.keep instanceof PageKeep && isUnpacked();
addEventListener('beforeunload', (event) => {
  if (carrier?.desks.files.busy || isSavedNowhere()) event.preventDefault();
});

function offerFile(bytes, name, type) {
  const address = URL.createObjectURL(new Blob([bytes], {type}));
  element('a', {href: address, download: name}).click();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
}

async function savePacked() {
  try {
    const now = carrier.keep.job.changed;
    offerFile(await carrier.pack(), `${(carrier.keep.job.name || 'job').replace(/[^\w -]/g, '_')}.zip`, 'application/zip');
    await carrier.keep.note({packed: now});
    showKept();
  } catch (error) { tell(error.message); }
}

// --- results ---

document.addEventListener('click', async (event) => {
  const link = event.target.closest?.('a[href^="out/"]');
  if (!link || !carrier) return;
  event.preventDefault();
  const path = link.getAttribute('href'), name = path.slice(4);
  // the window is opened at once: later it would be taken for one that nobody asked for
  const shown = name.endsWith('.csv') ? null : open('', '_blank');
  try {
    const answer = await carrier.send(path);
    if (!answer.ok) throw new Error(await answer.text());
    const bytes = await answer.blob();
    if (shown) shown.location = URL.createObjectURL(bytes);
    else offerFile(bytes, name, bytes.type);
  } catch (error) {
    shown?.close();
    tell(error.message);
  }
});

// --- which job ---

const dialog = byId('start');

async function openJob(keep, files) {
  carrier = new Carrier(await loaded, keep, files, showKept, warm);
  carryBy(carrier);
  if (keep instanceof BrowserKeep) sessionStorage.setItem('job', keep.job.id);
  dialog.close();
  byId('bar').hidden = false;
  showKept();
  const shown = new Promise((done) => onChange(() => { if (state.live) done(); }));
  await import('../../page/assets/main.js');
  await shown;
}

function refuse(error) { byId('start-words').textContent = error.message ?? String(error); }
const trying = (work) => async (event) => {
  byId('start-words').textContent = '';
  try { await work(event); } catch (error) { if (error.name !== 'AbortError') refuse(error); }
};

// It is on the screen while it is being saved. Some browsers ask whether they may keep it: of a new job alone.
async function beginWith(name, files) {
  navigator.storage?.persist?.();
  const keep = keepOf(name, files), failed = Promise.resolve(keep.made).then(() => null, (error) => error);
  await openJob(keep, files);
  failed.then((error) => {
    if (error) tell(`This job could not be kept in this browser: ${error.message ?? error}. Save it as .zip.`);
    if (error) carrier.keep = new PageKeep(name);
    showKept();
  });
}
const beginDemo = async () => {
  await beginWith('Demo board', demoFiles);
  beginTour();
};

async function beginPacked({target}) {
  const [file] = target.files;
  if (!file) return;
  target.value = '';
  if (file.size > BYTES_MOST) throw new Error(`${file.name}: it is larger than 64 MiB, the limit for a job.`);
  const desk = new Desk(await loaded);
  try {
    const {fault, leftOut, files} = await desk.call('unzip', null, {bytes: new Uint8Array(await file.arrayBuffer())});
    if (fault) throw new Error(`${file.name} cannot be opened: ${fault}.`);
    await beginWith(file.name.replace(/\.zip$/i, ''), new Map(files));
    if (leftOut.length) tell(`Left out, since no job file has that name: ${leftOut.join(', ')}.`);
  } finally { desk.stop(); }
}

async function beginFolder() {
  const keep = new FolderKeep(await showDirectoryPicker({mode: 'readwrite'}));
  if (await keep.isTaken()) throw new Error('The spotfield program has this folder open, or was killed while it had. End it, or start it again and end it.');
  await openJob(keep, await keep.load());
}

async function goOn(job) {
  const keep = new BrowserKeep(storage, job);
  await openJob(keep, await keep.load());
}

async function remove(job) {
  const lost = job.changed > job.packed ? ' It was changed after it was last saved as .zip: those changes will be lost.' : '';
  if (!confirm(`Remove ${job.name} from this browser?${lost}`)) return;
  await removeJob(storage, job.id);
  await showJobs();
}

async function showJobs() {
  const jobs = storage ? await listJobs(storage) : [];
  byId('jobs').replaceChildren(...jobs.map((job) => element('li', {},
    element('button', {class: 'main', onclick: trying(() => goOn(job))}, `Continue ${job.name}`),
    element('small', {}, ` ${new Date(job.changed).toLocaleString()} `),
    element('button', {onclick: trying(() => remove(job)), 'aria-label': `Remove ${job.name}`}, 'Remove'))));
}

async function begin() {
  try {
    storage = await openStorage();
  } catch { storage = null; }
  byId('no-storage').hidden = Boolean(storage);
  byId('begin-demo').addEventListener('click', trying(beginDemo));
  byId('begin-empty').addEventListener('click', trying(() => beginWith('New board', new Map())));
  byId('begin-zip').addEventListener('change', trying(beginPacked));
  byId('choose-zip').addEventListener('click', () => byId('begin-zip').click());
  byId('begin-folder').hidden = typeof showDirectoryPicker !== 'function';
  byId('begin-folder').addEventListener('click', trying(beginFolder));
  byId('save-zip').addEventListener('click', savePacked);
  byId('show-tour').addEventListener('click', beginTour);
  byId('other-job').addEventListener('click', () => {
    if (isSavedNowhere() && !confirm('This browser keeps nothing: this job is lost unless it was saved as .zip. Leave it?')) return;
    sessionStorage.removeItem('job');
    if (isSavedNowhere()) carrier.keep.job.packed = Infinity;
    location.reload();
  });
  const known = last && storage ? (await listJobs(storage)).find((job) => job.id === last) : null;
  if (known) { await goOn(known); return; }
  await showJobs();
  dialog.showModal();
}

dialog.addEventListener('cancel', (event) => { if (!carrier) event.preventDefault(); });
begin().catch((error) => { dialog.showModal(); refuse(error); });

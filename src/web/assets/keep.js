// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Where a job is kept: in the private storage of the browser, in a folder that the browser may use,
// or nowhere but in this page.
const FILES_OF_A_JOB = /^([a-z-]+\.csv|photo\.(jpg|png)|\.spotfield-history\.json)$/;
export const BYTES_MOST = 64 * 2 ** 20;

const done = (request) => new Promise((fits, fails) => {
  request.onsuccess = () => fits(request.result);
  request.onerror = () => fails(request.error);
});
const ended = (transaction) => new Promise((fits, fails) => {
  transaction.oncomplete = () => fits();
  transaction.onerror = transaction.onabort = () => fails(transaction.error);
});

// --- in the browser ---

export async function openStorage() {
  const request = indexedDB.open('spotfield', 1);
  request.onupgradeneeded = () => {
    request.result.createObjectStore('jobs', {keyPath: 'id'});
    request.result.createObjectStore('files');
  };
  return done(request);
}

export const listJobs = async (storage) =>
  (await done(storage.transaction('jobs').objectStore('jobs').getAll())).sort((one, other) => other.changed - one.changed);

const filesOf = (id) => IDBKeyRange.bound([id, ''], [id, '\uffff']);

export async function removeJob(storage, id) {
  const change = storage.transaction(['jobs', 'files'], 'readwrite');
  change.objectStore('jobs').delete(id);
  change.objectStore('files').delete(filesOf(id));
  await ended(change);
}

export class BrowserKeep {
  constructor(storage, job) {
    this.storage = storage;
    this.job = job;
  }

  // A new job. `made` is settled when it is kept: it may be opened before.
  static make(storage, name, files) {
    const id = `${Date.now()}-${Math.random().toString(36).slice(2)}`;
    const keep = new BrowserKeep(storage, {id, name, changed: Date.now(), packed: 0, revision: 0});
    keep.made = keep.#save([...files]);
    return keep;
  }

  async load() {
    const look = this.storage.transaction('files').objectStore('files');
    const [names, bytes] = await Promise.all([done(look.getAllKeys(filesOf(this.job.id))), done(look.getAll(filesOf(this.job.id)))]);
    return new Map(names.map(([, name], at) => [name, bytes[at]]));
  }

  async save(changed) {
    await this.made;
    return this.#save(changed);
  }

  // All of a change, or nothing of it; refused where another window has changed the job meanwhile.
  async #save(changed) {
    const change = this.storage.transaction(['jobs', 'files'], 'readwrite', {durability: 'strict'});
    const jobs = change.objectStore('jobs'), files = change.objectStore('files');
    const now = await done(jobs.get(this.job.id));
    if (now && now.revision !== this.job.revision) { change.abort(); throw new Error('Another window has changed this job.'); }
    const next = {...this.job, changed: Date.now(), revision: this.job.revision + 1};
    for (const [name, bytes] of changed)
      if (bytes) files.put(bytes, [this.job.id, name]);
      else files.delete([this.job.id, name]);
    jobs.put(next);
    await ended(change);
    this.job = next;
  }

  // The files where another window has changed them, else null.
  async look() {
    await this.made;
    const now = await done(this.storage.transaction('jobs').objectStore('jobs').get(this.job.id));
    if (!now || now.revision === this.job.revision) return null;
    this.job = now;
    return this.load();
  }

  async note(facts) {
    await this.made;
    const change = this.storage.transaction('jobs', 'readwrite'), jobs = change.objectStore('jobs');
    // the stored row: another window may have saved since, and its revision stays
    jobs.put({...(await done(jobs.get(this.job.id)) ?? this.job), ...facts});
    await ended(change);
    this.job = {...this.job, ...facts};
  }
}

// --- in a folder ---

// Another one after each change of the file.
const markOf = (file) => `${file.lastModified} ${file.size}`;

export class FolderKeep {
  #seen = new Map();

  constructor(folder) {
    this.folder = folder;
    this.job = {name: folder.name, packed: Infinity};
  }

  async #marks() {
    const marks = new Map();
    for await (const [name, entry] of this.folder.entries())
      if (entry.kind === 'file' && FILES_OF_A_JOB.test(name)) {
        const file = await entry.getFile();
        marks.set(name, {file, mark: markOf(file)});
      }
    return marks;
  }

  async load() {
    const marks = await this.#marks(), files = new Map();
    let bytes = 0;
    for (const [name, {file}] of marks) {
      bytes += file.size;
      if (bytes > BYTES_MOST) throw new Error('The files of this folder are larger than 64 MiB, the limit for a job.');
      files.set(name, new Uint8Array(await file.arrayBuffer()));
    }
    this.#seen = new Map([...marks].map(([name, {mark}]) => [name, mark]));
    return files;
  }

  async save(changed) {
    // what can be taken back is the lesser thing: a browser may let no hidden file be written
    for (const [name, bytes] of changed)
      await this.#write(name, bytes).catch((error) => { if (!name.startsWith('.')) throw error; });
  }

  // Whether the program has the job open.
  async isTaken() {
    return this.folder.getFileHandle('.spotfield-page.lock').then(() => true, () => false);
  }

  async #write(name, bytes) {
    if (!bytes) { await this.folder.removeEntry(name); this.#seen.delete(name); return; }
    const entry = await this.folder.getFileHandle(name, {create: true});
    const stream = await entry.createWritable(); // the file is replaced whole when it is closed
    await stream.write(bytes);
    await stream.close();
    const file = await entry.getFile();
    this.#seen.set(name, markOf(file));
  }

  async look() {
    const marks = await this.#marks();
    const isSame = marks.size === this.#seen.size && [...marks].every(([name, {mark}]) => this.#seen.get(name) === mark);
    return isSame ? null : this.load();
  }

  async note() {}
}

// --- nowhere ---

export class PageKeep {
  constructor(name) { this.job = {name, packed: 0, changed: 0}; }
  async save() { this.job.changed = Date.now(); }
  async look() { return null; }
  async note(facts) { Object.assign(this.job, facts); }
}

// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// A worker with the program, and the files of the job as they are to be there.
export class Desk {
  #program; #worker = null; #isBegun = false; #isOpened = false; #waiting = new Map(); #last = 0; #sent = new Map();

  constructor(program) { this.#program = program; }

  get busy() { return this.#waiting.size > 0; }

  // A worker takes its time to come, and may be there before the program is.
  hire() {
    this.#worker = new Worker(this.#program.address);
    this.#worker.onmessage = ({data}) => {
      const {done, failed} = this.#waiting.get(data.id);
      this.#waiting.delete(data.id);
      if ('fault' in data) failed(new Error(data.fault));
      else done(data.answer);
    };
    this.#worker.onerror = (event) => this.stop(new Error(event.message));
  }

  begin() {
    if (!this.#worker) this.hire();
    this.#isBegun = true;
    return this.#call('start', this.#program.given);
  }

  #call(act, given) {
    const id = ++this.#last;
    return new Promise((done, failed) => {
      this.#waiting.set(id, {done, failed});
      this.#worker.postMessage({...given, id, act});
    });
  }

  // Brings the files there to those of the job, a map of names to bytes that are never changed.
  #bring(files) {
    const changed = [...files].filter(([name, bytes]) => this.#sent.get(name) !== bytes);
    const gone = [...this.#sent.keys()].filter((name) => !files.has(name)).map((name) => [name, null]);
    this.#sent = new Map(files);
    if (changed.length + gone.length) this.#call('put', {files: [...changed, ...gone]}).catch(() => {});
    if (!this.#isOpened) this.#call('open', {}).catch(() => {});
    this.#isOpened = true;
  }

  async call(act, files, given = {}) {
    if (!this.#isBegun) this.begin().catch((error) => this.stop(error));
    if (files) this.#bring(files);
    try {
      return await this.#call(act, given);
    } catch (error) {
      if (!(error instanceof Stopped)) this.stop(error); // after a fault its memory is not to be trusted
      throw error;
    }
  }

  // What the worker itself has changed need not be sent to it.
  heard(files) { this.#sent = new Map(files); }

  stop(error = new Stopped()) {
    this.#worker?.terminate();
    this.#worker = null;
    this.#isBegun = this.#isOpened = false;
    this.#sent = new Map();
    const waiting = [...this.#waiting.values()];
    this.#waiting.clear();
    for (const {failed} of waiting) failed(error);
  }
}

// The work was given up, since another is wanted in its place.
export class Stopped extends Error {}

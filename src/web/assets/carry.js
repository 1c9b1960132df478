// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Carries the page's requests to the workers, as the server's threads do: files, field, plan and
// results each have one of their own, so that none waits for the other.
import {Desk, Stopped} from './desk.js';

const desksOf = {live: 'field', 'what-if': 'field', straight: 'field', plan: 'plan', export: 'results', circles: 'results'};
const inText = new TextEncoder();

export class Carrier {
  // `warm` has a desk that was begun before, and what it was asked of which files.
  constructor(program, keep, files, onKept, warm) {
    Object.assign(this, {keep, files, onKept, warm});
    this.desks = Object.fromEntries(['files', 'field', 'plan', 'results'].map((name) => [name, new Desk(program)]));
    this.desks.field = warm.desk;
    this.pictures = new Map();
    if (warm.desk.busy && files !== warm.files) warm.desk.stop();
  }

  // What another window or program has done to the files.
  async #lookAround() {
    const files = await this.keep.look();
    if (files) this.#take(files);
  }

  #take(files) {
    this.files = files;
    for (const name of ['field', 'plan']) if (this.desks[name].busy) this.desks[name].stop();
  }

  async #keepChanges(changed) {
    if (!changed.length) return;
    const files = new Map(this.files);
    for (const [name, bytes] of changed)
      if (bytes) files.set(name, bytes);
      else files.delete(name);
    try {
      await this.keep.save(changed);
    } catch (error) {
      this.desks.files.stop(); // it goes on with the files as they are kept
      throw new Error(`This change could not be kept: ${error?.message ?? error}. Save the job as .zip.`);
    }
    this.#take(files);
    this.desks.files.heard(files);
    this.onKept();
  }

  async #change(method, path, body) {
    await this.#lookAround();
    const answer = await this.desks.files.call('ask', this.files, {method, path, body});
    await this.#keepChanges(answer.changed);
    return answer;
  }

  // Asked again where the files have changed meanwhile: the page takes the newest.
  async #atDesk(name, method, path, body) {
    for (;;)
      try {
        return await this.desks[name].call('ask', this.files, {method, path, body});
      } catch (error) {
        if (!(error instanceof Stopped) || name === 'results') throw error;
      }
  }

  async #answer(method, path, body) {
    if (method === 'GET' && this.files === this.warm.files && this.warm.asked.has(path)) return this.warm.asked.get(path);
    const desk = path.startsWith('out/') ? 'results' : desksOf[path];
    if (desk) return this.#atDesk(desk, method, path, body);
    if (method !== 'GET') return this.#change(method, path, body);
    if (path === 'stamp') await this.#lookAround();
    return this.desks.files.call('ask', this.files, {method, path, body});
  }

  // Who looks on from outside is told of each request, as one is who looks at the network.
  send = async (path, {method = 'GET', body = ''} = {}) => {
    const bytes = typeof body === 'string' ? inText.encode(body) : new Uint8Array(await body.arrayBuffer());
    dispatchEvent(new CustomEvent('asked', {detail: path}));
    const answer = await this.#answer(method, path, bytes)
      .finally(() => dispatchEvent(new CustomEvent('answered', {detail: path})));
    const told = path === 'export' && answer.status === 200 ? retold(answer.bytes) : answer.bytes;
    return new Response(told, {status: answer.status, headers: {'Content-Type': answer.type}});
  };

  addressOf = async (path) => {
    const answer = await this.send(path);
    if (!answer.ok) throw new Error(await answer.text());
    URL.revokeObjectURL(this.pictures.get(path));
    const address = URL.createObjectURL(await answer.blob());
    this.pictures.set(path, address);
    return address;
  };

  pack() { return this.desks.results.call('zip', this.files); }
}

// There is no folder to be told of.
function retold(bytes) {
  const answer = JSON.parse(new TextDecoder().decode(bytes));
  return JSON.stringify({...answer, folder: 'this page; open or save each of them, or save all as .zip'});
}

// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// The program in a worker, behind what emscripten makes of it: it has the files of one job in memory
// and answers one request after another.
'use strict';
const HOME = '/job';
let program = null;
let known = new Map(); // name to the time of the file that the page knows

const isKept = (name) => !['.', '..', 'out'].includes(name);
const pathOf = (name) => `${HOME}/${name}`;

function words(call, ...given) {
  return program.ccall(call, 'string', given.map(() => 'string'), given);
}

// Bytes out of the program's memory, as a copy.
function replyBytes() {
  const at = program._web_reply_bytes();
  return program.HEAPU8.slice(at, at + program._web_reply_size());
}

function lookAt(folder) {
  return program.FS.readdir(folder).filter((name) => isKept(name) && !program.FS.isDir(program.FS.stat(`${folder}/${name}`).mode));
}

// What has become of the files since the page last heard of them: [name, bytes], null where one is gone.
function changes() {
  const now = new Map(lookAt(HOME).map((name) => {
    const {node} = program.FS.lookupPath(pathOf(name));
    return [name, `${node.id} ${node.timestamp} ${node.usedBytes}`];
  }));
  const changed = [...now].filter(([name, mark]) => known.get(name) !== mark).map(([name]) => [name, program.FS.readFile(pathOf(name))]);
  const gone = [...known.keys()].filter((name) => !now.has(name)).map((name) => [name, null]);
  known = now;
  return [...changed, ...gone];
}

function empty(folder) {
  if (!program.FS.analyzePath(folder).exists) { program.FS.mkdir(folder); return; }
  for (const name of lookAt(folder)) program.FS.unlink(`${folder}/${name}`);
}

function bytesOf(words) {
  if (Uint8Array.fromBase64) return Uint8Array.fromBase64(words);
  const letters = atob(words), bytes = new Uint8Array(letters.length);
  for (let at = 0; at < letters.length; at++) bytes[at] = letters.charCodeAt(at);
  return bytes;
}
const unpacked = async (words) =>
  new Uint8Array(await new Response(new Blob([bytesOf(words)]).stream().pipeThrough(new DecompressionStream('gzip'))).arrayBuffer());

const acts = {
  // The first worker is given texts of the page; what it makes of them is its answer, and given to the others.
  async start({texts, ...given}) {
    const {module, font} = texts ? {module: await WebAssembly.compile(await unpacked(texts.code)), font: await unpacked(texts.font)} : given;
    program = await spotfield({
      instantiateWasm(imports, done) { WebAssembly.instantiate(module, imports).then((made) => done(made, module)); return {}; },
    });
    program.FS.mkdirTree('/usr/share/fonts/truetype/dejavu');
    program.FS.writeFile('/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf', font);
    program.FS.mkdir(HOME);
    return {module, font};
  },
  put({files}) {
    for (const [name, bytes] of files) {
      if (bytes) program.FS.writeFile(pathOf(name), bytes);
      else if (program.FS.analyzePath(pathOf(name)).exists) program.FS.unlink(pathOf(name));
    }
    changes();
  },
  open() {
    if (program.ccall('web_open', 'number', ['string'], [HOME]) !== 0) throw new Error('out of memory');
    changes();
  },
  ask({method, path, body}) {
    const at = program._malloc(body.length + 1);
    if (!at) throw new Error('out of memory');
    program.HEAPU8.set(body, at);
    const status = program.ccall('web_ask', 'number', ['string', 'string', 'number', 'number'], [method, path, at, body.length]);
    program._free(at);
    const answer = {status, type: program.UTF8ToString(program._web_reply_type()), bytes: replyBytes(), changed: changes()};
    program._web_reply_end();
    return answer;
  },
  zip() {
    const fault = words('web_zip', HOME, '/packed.zip');
    if (fault) throw new Error(fault);
    const bytes = program.FS.readFile('/packed.zip');
    program.FS.unlink('/packed.zip');
    return bytes;
  },
  unzip({bytes}) {
    empty('/unpacked');
    program.FS.writeFile('/packed.zip', bytes);
    const fault = words('web_unzip', '/packed.zip', '/unpacked'), leftOut = words('web_left_out');
    program.FS.unlink('/packed.zip');
    const files = fault ? [] : lookAt('/unpacked').map((name) => [name, program.FS.readFile(`/unpacked/${name}`)]);
    empty('/unpacked');
    return {fault, leftOut: leftOut.split('\n').filter(Boolean), files};
  },
};

let turn = Promise.resolve();
onmessage = ({data}) => {
  turn = turn.then(async () => {
    try {
      postMessage({id: data.id, answer: await acts[data.act](data)});
    } catch (error) {
      postMessage({id: data.id, fault: String(error?.message ?? error)});
    }
  });
};

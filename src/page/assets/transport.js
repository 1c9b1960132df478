// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// The way to the program: over the network to its server, or, in a page that holds the program
// itself, by a call.
let calls = null;

// `other` has `send` and `addressOf`, as below.
export function carryBy(other) { calls = other; }

// Answers as fetch does.
export async function send(path, options) {
  if (calls) return calls.send(path, options);
  try {
    return await fetch(path, options);
  } catch {
    throw new Error('The page has lost contact with the program. Nothing that you entered before is lost; start ' +
      'spotfield page again and open its new address.');
  }
}

// What a picture is loaded from.
export const addressOf = async (path) => (calls ? calls.addressOf(path) : path);

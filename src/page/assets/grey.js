// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// The photo below the map: grey, so that colour means heat alone, and made so once; or whole in a frame.
const made = new WeakMap();
const MOST_PX = 1600;

function makeGrey(picture) {
  const grey = document.createElement('canvas');
  const share = Math.min(1, MOST_PX / Math.max(picture.naturalWidth, picture.naturalHeight));
  grey.width = Math.round(picture.naturalWidth * share);
  grey.height = Math.round(picture.naturalHeight * share);
  const pencil = grey.getContext('2d');
  pencil.filter = 'grayscale(1)';
  pencil.drawImage(picture, 0, 0, grey.width, grey.height);
  return grey;
}

export function inGrey(picture) {
  if (!made.has(picture)) made.set(picture, makeGrey(picture));
  return made.get(picture);
}

// All of a picture, in the middle of a frame of that size.
export function drawWithin(pencil, picture, column, row, width, height) {
  const [across, down] = [picture.naturalWidth ?? picture.width, picture.naturalHeight ?? picture.height];
  const scale = Math.min(width / across, height / down);
  pencil.drawImage(picture, column + (width - across * scale) / 2, row + (height - down * scale) / 2, across * scale, down * scale);
}

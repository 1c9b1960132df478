// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// The window onto the board: millimetres to pixels and back, zoom, pan.
export class View {
  constructor() {
    this.scale = 3;
    this.left = 0;
    this.bottom = 0;
    this.width = 1;
    this.height = 1;
    this.flip = 0; // the board's width where it is seen from the solder side, mirrored
    this.whole = true; // nobody has zoomed or moved since the whole was shown
  }

  fit(widthMm, heightMm) {
    const margin = 24;
    this.scale = Math.max(0.05, Math.min((this.width - 2 * margin) / widthMm,
      (this.height - 2 * margin) / heightMm));
    this.left = (this.width - widthMm * this.scale) / 2;
    this.bottom = (this.height + heightMm * this.scale) / 2;
    this.whole = true;
  }

  // What was in the middle stays there.
  resize(width, height) {
    this.left += (width - this.width) / 2;
    this.bottom += (height - this.height) / 2;
    Object.assign(this, {width, height});
  }

  kept() { return {...this}; }

  across(mm) { return this.flip ? this.flip - mm : mm; }

  restore(kept) {
    const {width, height, flip} = this;
    Object.assign(this, kept, {flip});
    this.resize(width, height);
  }

  x(mm) { return this.left + this.across(mm) * this.scale; }
  y(mm) { return this.bottom - mm * this.scale; }
  mm(column, row) {
    return {x_mm: this.across((column - this.left) / this.scale), y_mm: (this.bottom - row) / this.scale};
  }

  zoom(factor, column = this.width / 2, row = this.height / 2) {
    const next = Math.min(200, Math.max(0.2, this.scale * factor));
    const at = this.mm(column, row);
    this.scale = next;
    this.whole = false;
    this.left = column - this.across(at.x_mm) * next;
    this.bottom = row + at.y_mm * next;
  }

  pan(columns, rows) {
    this.whole = this.whole && columns === 0 && rows === 0;
    this.left += columns;
    this.bottom += rows;
  }

  show(point) {
    const edge = 30;
    const column = this.x(point.x_mm), row = this.y(point.y_mm);
    this.pan(Math.max(edge - column, 0) + Math.min(this.width - edge - column, 0),
      Math.max(edge - row, 0) + Math.min(this.height - edge - row, 0));
  }
}

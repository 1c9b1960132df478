// SPDX-FileCopyrightText: 2026 The spotfield authors
// SPDX-License-Identifier: GPL-3.0-or-later

// Can and board told apart, each with its doubt.
import {rounded} from './dom.js';

const degrees = (temp, sd) => `${rounded(temp)} \u00b1 ${rounded(sd)} \u00b0C`;

export const sayTemps = (part) =>
  `In service the can is at ${degrees(part.temp_c, part.temp_sd_k)}${part.board_c === null ? '' : `, the board under it at ${degrees(part.board_c, part.board_sd_k)}`}.`;

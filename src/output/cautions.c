/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What is said to whoever reads on a running board. */
#include "output/cautions.h"

#include <stddef.h>

const char keepout_question[] =
    "Where are mains and high voltage? This job does not say. Draw each such area in keepout.csv, "
    "or leave that file with its header line alone if there are none.";

const char *const probing_cautions[] = {
    "Mains and high voltage can kill even when switched off: capacitors hold their charge.",
    "Tape beads to the dead board, then stand back and power up.",
    ("Dead means: unplugged, each reservoir discharged through a resistor made for it, and proved "
     "by a meter."),
    ("While it runs: isolating transformer, one hand, insulated probes rated for the voltage, "
     "nobody alone."),
    ("Behind an isolating transformer a residual-current device no longer trips for you, and one "
     "instrument with an earthed case undoes the isolation. A variable autotransformer does not "
     "isolate."),
    "Anything at high voltage is read by infrared, from outside the no-touch areas.",
    "Turn no trimmer that was set in the factory.",
    "Local codes and licensed practice come first.",
    NULL,
};

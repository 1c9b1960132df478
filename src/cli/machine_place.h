/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Where the results of the boards of a machine go, and the page of all of them. */
#ifndef SPOTFIELD_CLI_MACHINE_PLACE_H
#define SPOTFIELD_CLI_MACHINE_PLACE_H

#include "cli/machine.h"

/* Start as { 0 }; machine_place_clear ends it. */
typedef struct machine_place {
    char **names;   /* of the folder of each job */
    char **results; /* the folder for its results */
    char **links;   /* the same as seen from `folder`, where there is one */
    char *folder;   /* of the page: what --out says, else the folder that all jobs lie in; NULL:
                       they lie in several */
} machine_place;

/* EX_OK, or what stands against it is told and the exit status that goes with it answered. */
int machine_place_find(const machine *of, machine_place *into);
void machine_place_clear(machine_place *discarded, size_t count);

#endif

/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A steady thermal network: nodes that give off heat, links that conduct, losses to the air. */
#ifndef BENCHMARK_NETWORK_H
#define BENCHMARK_NETWORK_H

#include <stdbool.h>
#include <stddef.h>
#include <suitesparse/cholmod.h>

#include "spotfield/status.h"

typedef struct network_link {
    size_t from, to;
    double wk; /* conductance, W/K; may be changed between solutions */
} network_link;

/* Made of zeros; cleared with network_clear. */
typedef struct network {
    size_t nodes, node_room;
    network_link *links;
    size_t link_count, link_room;
    double *heat_w;  /* given off in each node */
    double *rise_k;  /* of each node over the air: the solution, and where the next one starts */
    double *loss_wk; /* of each node to the outside */
    double *drive_w; /* heat that the outside brings back: loss times rise of what it goes to */
    bool started;    /* the two below are in use */
    cholmod_common common;
    cholmod_factor *factor;
} network;

void network_clear(network *cleared);

/* Adds nodes without heat; the first one's number, or SIZE_MAX when memory is short. */
size_t network_nodes_add(network *grown, size_t count);

/* Joins two different nodes; the link's number, or SIZE_MAX when memory is short. */
size_t network_link_add(network *grown, size_t from, size_t to, double wk);

/* Heat that flows through a link from its first node to its second, W, at the last solution. */
double network_flow(const network *read, size_t link);

/* Solves for all rises at the losses given; *moved_k is how far the farthest node went. Nodes and
 * links stay as they are after the first solution. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status network_solve(network *solved, double *moved_k);

#endif

/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Joins linked nodes: a forest whose roots are the first nodes of their pieces. */
#include "field/pieces.h"

#include <stdlib.h>

#include "core/memory.h"

/* The first node of a piece; every second step is cut short on the way (path halving). */
static size_t first_node(size_t *parents, size_t node)
{
    while (parents[node] != node) {
        parents[node] = parents[parents[node]];
        node = parents[node];
    }
    return node;
}

static void join(size_t *parents, const grid_link *link)
{
    size_t first = first_node(parents, (size_t)link->first);
    size_t second = first_node(parents, (size_t)link->second);
    if (first < second)
        parents[second] = first;
    else
        parents[first] = second;
}

sf_status pieces_find(const grid *laid, size_t **piece_of_node, size_t *count)
{
    size_t *parents = array_new(laid->nodes, sizeof *parents);
    size_t *pieces = array_new(laid->nodes, sizeof *pieces);
    *piece_of_node = NULL;
    *count = 0;
    if (!parents || !pieces) {
        free(parents);
        free(pieces);
        return SF_ERROR_MEMORY;
    }
    for (size_t node = 0; node < laid->nodes; node++)
        parents[node] = node;
    for (size_t i = 0; i < laid->link_count; i++)
        join(parents, &laid->links[i]);
    for (size_t node = 0; node < laid->nodes; node++) {
        size_t first = first_node(parents, node);
        pieces[node] = first == node ? (*count)++ : pieces[first];
    }
    free(parents);
    *piece_of_node = pieces;
    return SF_OK;
}

/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Networks solved by sparse Cholesky factors; the order of elimination is found once. */
#include "benchmark/network.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "core/memory.h"

void network_clear(network *cleared)
{
    if (cleared->started) {
        cholmod_free_factor(&cleared->factor, &cleared->common);
        cholmod_finish(&cleared->common);
    }
    free(cleared->links);
    free(cleared->heat_w);
    free(cleared->rise_k);
    free(cleared->loss_wk);
    free(cleared->drive_w);
    *cleared = (network){0};
}

size_t network_nodes_add(network *grown, size_t count)
{
    double **fields[] = {&grown->heat_w, &grown->rise_k, &grown->loss_wk, &grown->drive_w};
    size_t room = grown->node_room;
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++) {
        room = grown->node_room;
        double *larger = array_grow(*fields[i], &room, grown->nodes + count, sizeof(double));
        if (!larger)
            return SIZE_MAX;
        *fields[i] = larger;
    }
    grown->node_room = room;
    grown->nodes += count;
    return grown->nodes - count;
}

size_t network_link_add(network *grown, size_t from, size_t to, double wk)
{
    network_link *added =
        array_add(&grown->links, &grown->link_count, &grown->link_room, sizeof *added);
    if (!added)
        return SIZE_MAX;
    *added = (network_link){from, to, wk};
    return grown->link_count - 1;
}

double network_flow(const network *read, size_t link)
{
    const network_link *asked = &read->links[link];
    return asked->wk * (read->rise_k[asked->from] - read->rise_k[asked->to]);
}

static void entry_add(cholmod_triplet *filled, size_t row, size_t column, double value)
{
    ((int *)filled->i)[filled->nnz] = (int)(row < column ? row : column);
    ((int *)filled->j)[filled->nnz] = (int)(row < column ? column : row);
    ((double *)filled->x)[filled->nnz++] = value;
}

static cholmod_sparse *matrix_make(network *solved)
{
    size_t entries = solved->nodes + 3 * solved->link_count;
    cholmod_triplet *filled = cholmod_allocate_triplet(solved->nodes, solved->nodes, entries, 1,
                                                       CHOLMOD_REAL, &solved->common);
    if (!filled)
        return NULL;
    for (size_t i = 0; i < solved->nodes; i++)
        entry_add(filled, i, i, solved->loss_wk[i]);
    for (size_t i = 0; i < solved->link_count; i++) {
        const network_link *link = &solved->links[i];
        entry_add(filled, link->from, link->from, link->wk);
        entry_add(filled, link->to, link->to, link->wk);
        entry_add(filled, link->from, link->to, -link->wk);
    }
    cholmod_sparse *made = cholmod_triplet_to_sparse(filled, 0, &solved->common);
    cholmod_free_triplet(&filled, &solved->common);
    return made;
}

static sf_status factor_make(network *solved)
{
    if (!solved->started) {
        cholmod_start(&solved->common);
        solved->common.print = 0;
        solved->started = true;
    }
    cholmod_sparse *matrix = matrix_make(solved);
    if (!matrix)
        return SF_ERROR_MEMORY;
    if (!solved->factor)
        solved->factor = cholmod_analyze(matrix, &solved->common);
    if (solved->factor)
        cholmod_factorize(matrix, solved->factor, &solved->common);
    cholmod_free_sparse(&matrix, &solved->common);
    if (!solved->factor)
        return SF_ERROR_MEMORY;
    return solved->common.status == CHOLMOD_OK ? SF_OK : SF_ERROR_NUMERIC;
}

sf_status network_solve(network *solved, double *moved_k)
{
    sf_status status = factor_make(solved);
    if (status != SF_OK)
        return status;
    cholmod_dense *heat = cholmod_zeros(solved->nodes, 1, CHOLMOD_REAL, &solved->common);
    for (size_t i = 0; heat && i < solved->nodes; i++)
        ((double *)heat->x)[i] = solved->heat_w[i] + solved->drive_w[i];
    cholmod_dense *rise =
        heat ? cholmod_solve(CHOLMOD_A, solved->factor, heat, &solved->common) : NULL;
    *moved_k = 0;
    for (size_t i = 0; rise && i < solved->nodes; i++) {
        double now_k = ((double *)rise->x)[i];
        *moved_k = fmax(*moved_k, fabs(now_k - solved->rise_k[i]));
        solved->rise_k[i] = now_k;
    }
    status = !rise ? SF_ERROR_MEMORY : isfinite(*moved_k) ? SF_OK : SF_ERROR_NUMERIC;
    cholmod_free_dense(&heat, &solved->common);
    cholmod_free_dense(&rise, &solved->common);
    return status;
}

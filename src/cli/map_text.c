/* The outcome of a mapping for a person at a terminal. */
#include "cli/map_text.h"

#include <math.h>
#include <stdlib.h>

#include "cli/message.h"
#include "core/path.h"

static void put_error(double rmse_k, const char *model, FILE *to)
{
    if (isnan(rmse_k))
        fprintf(to, "%s could not be fitted", model);
    else
        fprintf(to, "%.2f K by %s", rmse_k, model);
}

static void put_errors(const sf_outcome *outcome, FILE *to)
{
    sf_field_summary summary = sf_field_summarize(outcome->field);
    fputs("Left-out error: ", to);
    put_error(summary.left_out_rmse_k, summary.model, to);
    fputs(", ", to);
    put_error(outcome->yardstick_rmse_k, outcome->yardstick, to);
    fputs(".\n", to);
}

/* Those with parts in them, and a blank line; zones.csv has them all. */
static void put_zones(const sf_zones *zones, FILE *to)
{
    size_t put = 0;
    for (size_t i = 0; i < zones->count; i++) {
        const sf_zone *zone = &zones->zones[i];
        if (zone->parts == 0)
            continue;
        put_words(to, zone->name);
        fprintf(to, ", up to %.0f C: ", zone->peak_c);
        put_words(to, zone->sentence);
        putc('\n', to);
        put++;
    }
    if (put > 0)
        putc('\n', to);
}

static void put_path(const char *what, const char *folder, const char *name, FILE *to)
{
    char *path = path_join(folder, name);
    fputs(what, to);
    put_words(to, path ? path : name);
    putc('\n', to);
    free(path);
}

bool map_text_write(const sf_outcome *outcome, const char *results_folder, FILE *to)
{
    char *sentence = sf_outcome_sentence(outcome);
    if (!sentence)
        return false;
    put_words(to, sentence);
    free(sentence);
    fputs("\n\n", to);
    put_zones(outcome->zones, to);
    put_errors(outcome, to);
    put_path("Heat map: ", results_folder, "heat.png", to);
    put_path("Report:   ", results_folder, "report.html", to);
    putc('\n', to);
    put_caution(to);
    return true;
}

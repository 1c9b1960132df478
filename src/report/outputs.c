/* The table of the result files, and the loop that writes them. */
#include "core/text.h"
#include "report/result_set.h"
#include "report/tables.h"
#include "spotfield/report.h"

/* Every file: its name, the clause for help and manual, the function that fills it. They are put
 * in place in this order, the report last, as it names the others. */
#define OUTPUTS(each)                                                                              \
    each("parts.csv", "each part: temperature, life, share used, verdict and reason",              \
         parts_csv) each("zones.csv", "regions of the board by its own heat",                      \
                         zones_csv) each("kit.csv", "what to order, grouped by kind", kit_csv)     \
        each("order.csv", "the same, for a distributor's basket", order_csv) each(                 \
            "readings.csv", "each reading corrected, its fit and its left-out score",              \
            readings_csv) each("sources.csv",                                                      \
                               "each heat source, listed or found, with rise and power",           \
                               sources_csv)                                                        \
            each("field.csv", "temperature in service and its uncertainty on the grid", field_csv) \
                each("heat.png", "the heat map with parts, sources and readings", heat_png)        \
                    each("doubt.png", "the standard deviation of the heat map", doubt_png) each(   \
                        "report.html", "all of it on one page that needs no network", report_html)

#define FACE_OF(name, description, fill) {name, description},
#define FILL_OF(name, description, fill) fill,

static const sf_output faces[] = {OUTPUTS(FACE_OF){NULL, NULL}};
static void (*const fills[])(const sf_outcome *, text *) = {OUTPUTS(FILL_OF)};

enum { OUTPUT_COUNT = sizeof fills / sizeof *fills };

const sf_output *sf_outputs(void)
{
    return faces;
}

void heat_png(const sf_outcome *outcome, text *into)
{
    text_add_bytes(into, outcome->heat_png, outcome->heat_png_size);
}

void doubt_png(const sf_outcome *outcome, text *into)
{
    text_add_bytes(into, outcome->doubt_png, outcome->doubt_png_size);
}

sf_status sf_outcome_write(const sf_outcome *outcome, const char *folder, sf_complaints *complaints)
{
    text contents[OUTPUT_COUNT] = {{0}};
    file_block blocks[OUTPUT_COUNT];
    sf_status status = SF_OK;
    for (size_t i = 0; i < OUTPUT_COUNT && status == SF_OK; i++) {
        fills[i](outcome, &contents[i]);
        blocks[i] = (file_block){faces[i].name, contents[i].bytes, contents[i].length};
        if (contents[i].failed) {
            sf_complain(complaints, SF_ERROR, faces[i].name, 0, "", "memory is short", "");
            status = SF_ERROR_MEMORY;
        }
    }
    if (status == SF_OK)
        status = result_set_write(folder, blocks, OUTPUT_COUNT, complaints);
    for (size_t i = 0; i < OUTPUT_COUNT; i++)
        text_clear(&contents[i]);
    return status;
}

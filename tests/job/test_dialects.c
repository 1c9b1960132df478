/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* One job written in many ways, drawn at random: units, separators, decimal signs, line ends,
 * quotes and the order of columns change nothing: test_job_dialects [JOBS]. */
#include "job_folder.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "core/text.h"
#include "support/chance.h"

enum { PARTS = 7, READINGS = 6, FIELDS = 6 };

static unsigned long jobs = 30;

/* How a file is written. */
typedef struct dialect {
    char separator;
    bool comma;   /* as the decimal sign */
    bool quoted;  /* every cell */
    bool marked;  /* begins with a byte order mark */
    bool foreign; /* inches, fahrenheit, days */
    const char *line_end;
    unsigned long seed; /* of the order of columns */
} dialect;

static const dialect plain = {.separator = ',', .line_end = "\n"};

static dialect draw_dialect(unsigned long *seed)
{
    static const char separators[] = {',', ';', '\t'};
    dialect made = {.separator = separators[(size_t)next_between(0, 3, seed)],
                    .quoted = next_uniform(seed) < 0.5,
                    .marked = next_uniform(seed) < 0.5,
                    .foreign = next_uniform(seed) < 0.5,
                    .line_end = next_uniform(seed) < 0.5 ? "\r\n" : "\n",
                    .seed = *seed};
    made.comma = made.separator != ',' && next_uniform(seed) < 0.5;
    return made;
}

/* A number with all its digits. */
static char *number_text(double value, const dialect *in)
{
    char *made = text_format("%.17g", value);
    assert_non_null(made);
    char *point = strchr(made, '.');
    if (in->comma && point)
        *point = ',';
    return made;
}

/* Writes the columns of a row in the order that the dialect throws them, the same for each row. */
static void add_row(text *into, char *const *cells, size_t count, const dialect *in)
{
    size_t order[FIELDS];
    unsigned long seed = in->seed;
    for (size_t i = 0; i < count; i++)
        order[i] = i;
    for (size_t i = count; in->seed && i > 1; i--) {
        size_t other = (size_t)next_between(0, (double)i, &seed), kept = order[i - 1];
        order[i - 1] = order[other];
        order[other] = kept;
    }
    for (size_t i = 0; i < count; i++) {
        const char *mark = in->quoted ? "\"" : "";
        if (i > 0)
            text_addf(into, "%c", in->separator);
        text_addf(into, "%s%s%s", mark, cells[order[i]], mark);
    }
    text_add(into, in->line_end);
}

static void add_words(text *into, const char *const *words, size_t count, const dialect *in)
{
    char *cells[FIELDS];
    for (size_t i = 0; i < count; i++)
        cells[i] = (char *)(uintptr_t)words[i];
    add_row(into, cells, count, in);
}

static void begin(text *into, const dialect *in)
{
    *into = (text){0};
    if (in->marked)
        text_add(into, "\xEF\xBB\xBF");
}

static void end(const char *folder, const char *name, text *content)
{
    char *bytes = text_take(content);
    assert_non_null(bytes);
    write_file(folder, name, bytes);
    free(bytes);
}

/* A quantity in its own unit or, in a foreign dialect, in another: (value - shift) / factor. */
typedef struct quantity {
    const char *key, *unit, *other_unit;
    double value, factor, shift;
} quantity;

static void add_quantity(text *into, const char *key, const char *unit, double value,
                         const dialect *in)
{
    char *words = number_text(value, in);
    add_row(into, (char *[]){(char *)(uintptr_t)key, words, (char *)(uintptr_t)unit}, 3, in);
    free(words);
}

static void write_board(const char *folder, unsigned long seed, const dialect *in)
{
    text content;
    /* 25.4 mm an inch, 24 h a day, 9/5 F a kelvin from 32 F: by definition */
    const quantity rows[] = {
        {"width", "mm", "in", next_between(100, 200, &seed), 25.4, 0},
        {"height", "mm", "cm", next_between(80, 150, &seed), 10, 0},
        {"thickness", "mm", "mil", next_between(0.8, 2.4, &seed), 0.0254, 0},
        {"ambient", "C", "F", next_between(15, 30, &seed), 5.0 / 9, -160.0 / 9},
        {"service_ambient", "C", "K", next_between(15, 45, &seed), 1, -273.15},
        {"run_hours", "h", "d", next_between(3000, 90000, &seed), 24, 0},
    };
    begin(&content, in);
    add_words(&content, (const char *const[]){"key", "value", "unit"}, 3, in);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        add_quantity(&content, rows[i].key, in->foreign ? rows[i].other_unit : rows[i].unit,
                     in->foreign ? (rows[i].value - rows[i].shift) / rows[i].factor : rows[i].value,
                     in);
    end(folder, "board.csv", &content);
}

static void write_parts(const char *folder, unsigned long seed, const dialect *in)
{
    text content;
    begin(&content, in);
    add_words(&content,
              (const char *const[]){"ref", "x_mm", "y_mm", "capacitance_uf", "rated_v", "note"}, 6,
              in);
    for (size_t i = 0; i < PARTS; i++) {
        char *ref = text_format("C%zu", i + 1);
        char *cells[] = {ref,
                         number_text(next_between(2, 98, &seed), in),
                         number_text(next_between(2, 78, &seed), in),
                         number_text(next_between(0.5, 5000, &seed), in),
                         number_text(next_between(6, 450, &seed), in),
                         text_format("by the %s", next_uniform(&seed) < 0.5 ? "relay" : "edge")};
        add_row(&content, cells, 6, in);
        for (size_t c = 0; c < 6; c++)
            free(cells[c]);
    }
    end(folder, "parts.csv", &content);
}

static void write_readings(const char *folder, unsigned long seed, const dialect *in)
{
    text content;
    begin(&content, in);
    add_words(&content, (const char *const[]){"id", "x_mm", "y_mm", "value", "unit", "method"}, 6,
              in);
    for (size_t i = 0; i < READINGS; i++) {
        double x_mm = next_between(2, 98, &seed), y_mm = next_between(2, 78, &seed);
        double temp_c = next_between(25, 95, &seed);
        char *cells[] = {text_format("t%zu", i + 1),
                         number_text(x_mm, in),
                         number_text(y_mm, in),
                         number_text(in->foreign ? temp_c * 9 / 5 + 32 : temp_c, in),
                         text_copy(in->foreign ? "F" : "C"),
                         text_copy("infrared")};
        add_row(&content, cells, 6, in);
        for (size_t c = 0; c < 6; c++)
            free(cells[c]);
    }
    end(folder, "readings.csv", &content);
}

static sf_job *read_written(unsigned long number, const dialect *board, const dialect *parts,
                            const dialect *readings)
{
    sf_job *job = NULL;
    sf_diagnostics diagnostics = {0};
    const char *folder = fresh_folder();
    unsigned long seed = 32452843 * number + 11;
    write_board(folder, seed, board);
    write_parts(folder, seed + 1, parts);
    write_readings(folder, seed + 2, readings);
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_OK);
    assert_int_equal(diagnostics.error_count, 0);
    sf_diagnostics_clear(&diagnostics);
    remove_folder(folder);
    return job;
}

/* All digits are written, so only the conversions round. */
static void assert_alike(double one, double other)
{
    assert_close(one, other, 1e-13, 0);
}

static void assert_same_job(const sf_job *one, const sf_job *other)
{
    assert_alike(one->board.width_mm, other->board.width_mm);
    assert_alike(one->board.height_mm, other->board.height_mm);
    assert_alike(one->board.thickness_mm, other->board.thickness_mm);
    assert_alike(one->board.ambient_c, other->board.ambient_c);
    assert_alike(one->board.service_ambient_c, other->board.service_ambient_c);
    assert_alike(one->board.run_hours, other->board.run_hours);
    assert_int_equal(one->part_count, PARTS);
    assert_int_equal(other->part_count, PARTS);
    for (size_t i = 0; i < PARTS; i++) {
        const sf_part *part = &one->parts[i], *twin = &other->parts[i];
        assert_string_equal(part->ref, twin->ref);
        assert_string_equal(part->note, twin->note);
        assert_alike(part->x_mm, twin->x_mm);
        assert_alike(part->y_mm, twin->y_mm);
        assert_alike(part->capacitance_uf, twin->capacitance_uf);
        assert_alike(part->rated_v, twin->rated_v);
    }
    assert_int_equal(one->reading_count, READINGS);
    assert_int_equal(other->reading_count, READINGS);
    for (size_t i = 0; i < READINGS; i++) {
        const sf_reading *reading = &one->readings[i], *twin = &other->readings[i];
        assert_string_equal(reading->id, twin->id);
        assert_int_equal(reading->method, twin->method);
        assert_alike(reading->x_mm, twin->x_mm);
        assert_alike(reading->y_mm, twin->y_mm);
        assert_alike(reading->value, twin->value);
    }
}

static void a_job_is_the_same_in_every_dialect(void **state)
{
    (void)state;
    for (unsigned long number = 0; number < jobs; number++) {
        unsigned long seed = 49979687 * number + 7;
        dialect board = draw_dialect(&seed), parts = draw_dialect(&seed);
        dialect readings = draw_dialect(&seed);
        sf_job *one = read_written(number, &plain, &plain, &plain);
        sf_job *other = read_written(number, &board, &parts, &readings);
        assert_same_job(one, other);
        sf_job_free(one);
        sf_job_free(other);
    }
}

int main(int count, char **words)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(a_job_is_the_same_in_every_dialect)};
    if (count > 1)
        jobs = strtoul(words[1], NULL, 10);
    return cmocka_run_group_tests(tests, NULL, NULL);
}

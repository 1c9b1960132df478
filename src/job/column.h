/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a column or a key holds: its name, kind, range and where its value goes. One line of a table
 * of these is all that a new column takes. */
#ifndef SPOTFIELD_JOB_COLUMN_H
#define SPOTFIELD_JOB_COLUMN_H

#include <stdbool.h>
#include <stddef.h>

#include "job/choice_words.h"
#include "job/intake.h"
#include "job/table.h"

typedef enum column_kind {
    COLUMN_TEXT,      /* char * */
    COLUMN_NUMBER,    /* double */
    COLUMN_WHOLE,     /* int */
    COLUMN_WORD,      /* an enum, by `words` */
    COLUMN_YES_NO,    /* bool */
    COLUMN_TOLERANCE, /* struct tolerance */
    COLUMN_DATE       /* char *, as written */
} column_kind;

enum {
    COLUMN_REQUIRED = 1,  /* must be there and not blank */
    COLUMN_ASSUMED = 2,   /* a blank takes the default, and the job's assumptions say so */
    COLUMN_TOLERANT = 4,  /* an unknown word is warned of and leaves the default */
    COLUMN_OF_MACHINE = 8 /* of board.csv: machine.csv may say it for all boards */
};

struct column {
    const char *name;
    column_kind kind;
    size_t offset; /* of the value inside the row */
    unsigned flags;
    double least, most; /* numbers, in `unit` */
    const char *unit;   /* in which the row holds it; "" or NULL: none */
    const struct word *words;
    double usual; /* what a blank is taken for: a number, a choice, both sides of a tolerance; 0 of
                     a number that is not assumed stands for not known, NAN */
};

/* Members of a column of rows that are of type ROW, which is defined where they are used. */
#define COLUMN_OF(its_kind, its_name, member)                                                      \
    .name = its_name, .kind = its_kind, .offset = offsetof(ROW, member)
#define TEXT_COLUMN(its_name, member) COLUMN_OF(COLUMN_TEXT, its_name, member)
#define DATE_COLUMN(its_name, member) COLUMN_OF(COLUMN_DATE, its_name, member)
#define YES_NO_COLUMN(its_name, member) COLUMN_OF(COLUMN_YES_NO, its_name, member)
#define TOLERANCE_COLUMN(its_name, member) COLUMN_OF(COLUMN_TOLERANCE, its_name, member)
#define WORD_COLUMN(its_name, member, its_words)                                                   \
    COLUMN_OF(COLUMN_WORD, its_name, member), .words = its_words
#define WHOLE_COLUMN(its_name, member, low, high)                                                  \
    COLUMN_OF(COLUMN_WHOLE, its_name, member), .least = low, .most = high
#define NUMBER_COLUMN(its_name, member, low, high, its_unit)                                       \
    COLUMN_OF(COLUMN_NUMBER, its_name, member), .least = low, .most = high, .unit = its_unit

/* One filled cell on its way in. */
struct entry {
    where at;
    const char *text;
    const char *unit; /* as written beside it; "" none */
    struct table *table;
};

/* Puts the entry's value into the row; on a fault complains, leaves the row and answers false. */
bool column_read(struct intake *intake, const struct column *column, const struct entry *entry,
                 void *row);

/* What the column takes, as "a number from 0 to 100 %". */
void column_expected(const struct column *column, char *expected, size_t size);

/* The value a row holds, with its unit, as "1.6 mm". */
void column_value_text(const struct column *column, const void *row, char *into, size_t size);

/* Makes a row, all of whose bytes are 0, one whose cells are all blank. */
void columns_blank(const struct column *columns, size_t count, void *row);

bool column_is_text(const struct column *column);
void columns_free_texts(const struct column *columns, size_t count, void *row);

/* Gives every text of a row that is still NULL a text of its own, "". */
void columns_fill_texts(struct intake *intake, const struct column *columns, size_t count,
                        void *row);

/* The column of a name, letter case not counted; NULL where none has it, and *nearest (unless NULL)
 * then the one it most likely means. */
const struct column *column_find(const struct column *columns, size_t count, const char *name,
                                 const char **nearest);

/* The name of the column that a common heading means, such as "ref" for "Designator"; NULL where it
 * is none of those. A column of the name itself goes before it. */
const char *column_meant(const char *heading);

/* Warns where one file holds numbers with a decimal point and with a decimal comma. */
void table_warn_of_mixed_decimals(struct intake *intake, const struct table *table);

#define TABLE_NO_COLUMN ((size_t)-1)

/* The table's column of a name, letter case not counted, else the first whose heading means it;
 * TABLE_NO_COLUMN where there is none. */
size_t table_column(const struct table *table, const char *name);

#endif

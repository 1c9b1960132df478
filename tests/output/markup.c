/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A strict reader of pages. */
#include "output/markup.h"

#include <ctype.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { DEPTH_MAX = 64, NAME_MAX_BYTES = 32 };

typedef struct reader {
    const char *at;
    markup *found;
    char open[DEPTH_MAX][NAME_MAX_BYTES];
    size_t depth;
    text ids, references; /* one a line */
} reader;

static void fault(reader *page, const char *what)
{
    if (!page->found->fault[0])
        snprintf(page->found->fault, sizeof page->found->fault, "%s at: %.80s", what, page->at);
}

static bool is_void(const char *name)
{
    static const char *const names[] = {"meta", "img", "input", "br", "link", "hr"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (strcmp(name, names[i]) == 0)
            return true;
    return false;
}

static void add_code_point(text *into, unsigned long code)
{
    char bytes[3];
    if (code < 0x80) {
        bytes[0] = (char)code;
        text_add_bytes(into, bytes, 1);
        return;
    }
    bytes[0] = (char)(0xE0 | code >> 12);
    bytes[1] = (char)(0x80 | (code >> 6 & 63));
    bytes[2] = (char)(0x80 | (code & 63));
    text_add_bytes(into, bytes, 3); /* every reference in the page is below U+10000 */
}

static void read_entity(reader *page, text *into)
{
    static const struct {
        const char *name;
        char value;
    } known[] = {{"&amp;", '&'}, {"&lt;", '<'}, {"&gt;", '>'}, {"&quot;", '"'}};
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        size_t length = strlen(known[i].name);
        if (strncmp(page->at, known[i].name, length) == 0) {
            text_add_bytes(into, &known[i].value, 1);
            page->at += length;
            return;
        }
    }
    bool hex = strncmp(page->at, "&#x", 3) == 0;
    char *end = NULL;
    if (page->at[1] == '#')
        add_code_point(into, strtoul(page->at + (hex ? 3 : 2), &end, hex ? 16 : 10));
    if (!end || *end != ';')
        fault(page, "unknown entity");
    page->at = end ? end + 1 : page->at + 1;
}

static void read_value(reader *page, const char *name, size_t length)
{
    text *into = &page->found->attributes;
    if (length == 2 && strncmp(name, "id", 2) == 0)
        into = &page->ids;
    else if (length == 4 && strncmp(name, "href", 4) == 0 && page->at[0] == '#')
        into = &page->references;
    else
        text_addf(into, "%.*s=", (int)length, name);
    if (into == &page->references)
        page->at++;
    while (*page->at && *page->at != '"' && *page->at != '<') {
        if (*page->at == '&')
            read_entity(page, into);
        else
            text_add_bytes(into, page->at++, 1);
    }
    text_add(into, "\n");
    if (*page->at == '"')
        page->at++;
    else
        fault(page, "attribute does not end");
}

static void read_attributes(reader *page)
{
    while (*page->at == ' ') {
        page->at += strspn(page->at, " ");
        const char *name = page->at;
        size_t length =
            strspn(name, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-");
        page->at += length;
        if (length == 0) {
            fault(page, "attribute without a name");
            return;
        }
        if (strncmp(page->at, "=\"", 2) == 0) {
            page->at += 2;
            read_value(page, name, length);
        }
    }
}

static void skip_raw(reader *page, const char *name)
{
    char end[NAME_MAX_BYTES + 4];
    snprintf(end, sizeof end, "</%s>", name);
    const char *found = strstr(page->at, end);
    if (found)
        page->at = found;
    else
        fault(page, "raw text does not end");
}

static void open_tag(reader *page, const char *name)
{
    page->found->tags++;
    read_attributes(page);
    if (*page->at != '>')
        fault(page, "tag does not end");
    page->at += *page->at == '>';
    if (is_void(name))
        return;
    if (page->depth == DEPTH_MAX) {
        fault(page, "too deep");
        return;
    }
    snprintf(page->open[page->depth++], NAME_MAX_BYTES, "%s", name);
    if (strcmp(name, "style") == 0 || strcmp(name, "script") == 0)
        skip_raw(page, name);
}

static void read_tag(reader *page)
{
    bool closing = page->at[1] == '/';
    const char *start = page->at + (closing ? 2 : 1);
    char name[NAME_MAX_BYTES] = "";
    size_t length = strspn(start, "abcdefghijklmnopqrstuvwxyz0123456789");
    if (length == 0 || length >= sizeof name) {
        fault(page, "no tag");
        page->at++;
        return;
    }
    memcpy(name, start, length);
    if (!closing) {
        page->at = start + length;
        open_tag(page, name);
        return;
    }
    if (page->depth == 0 || strcmp(page->open[page->depth - 1], name) != 0 || start[length] != '>')
        fault(page, "closes what is not open");
    else
        page->depth--;
    page->at = start + length + (start[length] == '>');
}

static bool has_line(const text *lines, const char *line, size_t length, const char *before)
{
    for (const char *at = lines->bytes; at && *at && at != before; at += strcspn(at, "\n") + 1)
        if (strcspn(at, "\n") == length && strncmp(at, line, length) == 0)
            return true;
    return false;
}

static void check_references(reader *page)
{
    for (const char *at = page->ids.bytes; at && *at; at += strcspn(at, "\n") + 1) {
        page->at = at;
        if (has_line(&page->ids, at, strcspn(at, "\n"), at))
            fault(page, "identity used twice");
    }
    for (const char *at = page->references.bytes; at && *at; at += strcspn(at, "\n") + 1) {
        page->at = at;
        if (!has_line(&page->ids, at, strcspn(at, "\n"), NULL))
            fault(page, "reference to nothing");
    }
}

/* a no-break blank reads as a blank */
static void read_letter(reader *page, text *words)
{
    bool blank = strncmp(page->at, "\u00A0", 2) == 0;
    if (blank)
        text_add(words, " ");
    else
        text_add_bytes(words, page->at, 1);
    page->at += blank ? 2 : 1;
}

void markup_read(const char *page, markup *found)
{
    static const char doctype[] = "<!DOCTYPE html>";
    *found = (markup){0};
    reader reading = {.at = page, .found = found};
    if (strncmp(page, doctype, strlen(doctype)) == 0)
        reading.at += strlen(doctype);
    else
        fault(&reading, "no document type");
    while (*reading.at) {
        if (*reading.at == '<') {
            read_tag(&reading);
            text_add(&found->words, " ");
        } else if (*reading.at == '&') {
            read_entity(&reading, &found->words);
        } else {
            if (*reading.at == '>' || (iscntrl((unsigned char)*reading.at) && *reading.at != '\n'))
                fault(&reading, "a character that should be an entity");
            read_letter(&reading, &found->words);
        }
    }
    if (reading.depth > 0)
        fault(&reading, "something stays open");
    check_references(&reading);
    text_clear(&reading.ids);
    text_clear(&reading.references);
}

void markup_clear(markup *found)
{
    text_clear(&found->words);
    text_clear(&found->attributes);
}

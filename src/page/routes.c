/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The routes of the page, each a short function between a request's body and its answer. */
#include "page/handle.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/json_values.h"
#include "job/files.h"
#include "page/assets.h"
#include "page/job_files.h"
#include "page/marks_map.h"
#include "page/photo.h"
#include "page/session.h"
#include "page/view.h"

enum { JSON_MOST = 64 * 1024 };

/* --- replies --- */

void reply_words(reply *into, unsigned status, const char *words)
{
    *into = (reply){.status = status,
                    .type = "text/plain; charset=utf-8",
                    .bytes = words,
                    .size = strlen(words)};
}

/* Takes the JSON over; NULL answers that memory is short. */
static void reply_json(reply *into, unsigned status, json_t *whole)
{
    char *words = json_text(whole, 7);
    json_decref(whole);
    if (!words) {
        reply_words(into, 500, "out of memory");
        return;
    }
    *into = (reply){.status = status,
                    .type = "application/json",
                    .bytes = words,
                    .size = strlen(words),
                    .owned = true};
}

static void reply_text(reply *into, const char *type, text *whole)
{
    size_t size = whole->length;
    char *bytes = text_take(whole);
    if (!bytes) {
        reply_words(into, 500, "out of memory");
        return;
    }
    *into = (reply){.status = 200, .type = type, .bytes = bytes, .size = size, .owned = true};
}

static unsigned http_status(sf_status status)
{
    static const unsigned statuses[SF_STATUS_COUNT] = {[SF_OK] = 200,
                                                       [SF_ERROR_ARGUMENT] = 400,
                                                       [SF_ERROR_MEMORY] = 500,
                                                       [SF_ERROR_MISSING] = 404,
                                                       [SF_ERROR_DATA] = 409,
                                                       [SF_ERROR_WRITE] = 500,
                                                       [SF_ERROR_NUMERIC] = 409,
                                                       [SF_ERROR_SOLVE] = 500};
    return statuses[status];
}

/* Why something was not done; takes the conflict over, which may be NULL. */
static void reply_refusal(reply *into, sf_status status, json_t *conflict,
                          const sf_diagnostics *diagnostics)
{
    size_t seen = diagnostics->error_count + diagnostics->warning_count;
    if (diagnostics->count < seen && diagnostics->count < SF_DIAGNOSTICS_KEPT)
        status = SF_ERROR_MEMORY; /* not all of the reasons could be kept */
    reply_json(into, http_status(status),
               json_pack("{s:s, s:o, s:o, s:o}", "why", sf_status_text(status), "conflict",
                         conflict ? conflict : json_null(), "complaints",
                         list_diagnostics(diagnostics), "places", list_places(diagnostics)));
}

/* --- assets --- */

static void answer_asset(session *of, page_request *request)
{
    (void)of;
    for (const page_asset *found = page_assets; found->name; found++)
        if (strcmp(found->name, request->below) == 0) {
            request->made = (reply){.status = 200,
                                    .type = found->type,
                                    .bytes = found->content->bytes,
                                    .size = found->content->size};
            return;
        }
    reply_words(&request->made, 404, "no such page");
}

/* --- looking --- */

static void answer_job(session *of, page_request *request)
{
    reply_json(&request->made, 200, view_job(of));
}

static void answer_live(session *of, page_request *request)
{
    reply_json(&request->made, 200, view_live(of));
}

static void answer_plan(session *of, page_request *request)
{
    reply_json(&request->made, 200, view_plan(of));
}

static void answer_stamp(session *of, page_request *request)
{
    reply_json(&request->made, 200, view_stamp(job_files_stamp(of->folder)));
}

static void answer_photo(session *of, page_request *request)
{
    text bytes = {0};
    photo_kind kind = PHOTO_NONE;
    sf_status status = photo_read(of->folder, &bytes, &kind);
    if (status != SF_OK)
        reply_words(&request->made, http_status(status), sf_status_text(status));
    else if (kind == PHOTO_NONE)
        reply_words(&request->made, 404, "there is no photo yet");
    else
        reply_text(&request->made, kind == PHOTO_JPEG ? "image/jpeg" : "image/png", &bytes);
}

static void reply_no_photo(reply *into, sf_status status)
{
    reply_words(into, http_status(status),
                status == SF_ERROR_MEMORY ? sf_status_text(status) : "no photo with marks");
}

static void answer_straight(session *of, page_request *request)
{
    text bytes = {0};
    double width_mm, height_mm;
    sf_status status = board_size_read(of->folder, &width_mm, &height_mm);
    if (status == SF_OK)
        status = photo_straighten(of->folder, width_mm, height_mm, &bytes);
    if (status == SF_OK) {
        reply_text(&request->made, "image/jpeg", &bytes);
        return;
    }
    text_clear(&bytes);
    reply_no_photo(&request->made, status);
}

static void answer_circles(session *of, page_request *request)
{
    json_t *made = NULL;
    double width_mm, height_mm;
    of->circles_left = false;
    sf_status status = board_size_read(of->folder, &width_mm, &height_mm);
    if (status == SF_OK)
        status = photo_circles(of->folder, width_mm, height_mm, &of->circles_left, &made);
    if (status == SF_OK)
        reply_json(&request->made, 200, made);
    else if (status == SF_ERROR_DATA)
        reply_words(&request->made, 409, "the search was stopped");
    else
        reply_no_photo(&request->made, status);
}

static void answer_leave_circles(session *of, page_request *request)
{
    of->circles_left = true;
    reply_words(&request->made, 200, "the search ends");
}

static void answer_result(session *of, page_request *request)
{
    text bytes = {0};
    const char *type = NULL;
    sf_status status = result_read(of->results, !of->results_given, request->below, &bytes, &type);
    if (status != SF_OK) {
        text_clear(&bytes);
        reply_words(&request->made, http_status(status),
                    status == SF_ERROR_MEMORY
                        ? sf_status_text(status)
                        : "no such result here; export first (links are not followed)");
        return;
    }
    reply_text(&request->made, type, &bytes);
    request->made.policy = result_policy;
}

/* What a request holds; NULL where that is answered already. jansson tells one reason of a failure
 * from the other only now and then. */
static json_t *read_json(const text *body, reply *into)
{
    json_t *read =
        json_loadb(body->bytes ? body->bytes : "", body->length, JSON_REJECT_DUPLICATES, NULL);
    if (!read)
        reply_words(into, 400,
                    "the request cannot be read: it is not JSON, or the program is out of memory");
    return read;
}

/* --- changing --- */

static void answer_changed(session *of, sf_status status, json_t *conflict,
                           sf_diagnostics *diagnostics, reply *into)
{
    if (status == SF_OK)
        reply_json(into, 200, view_job(of));
    else
        reply_refusal(into, status, conflict, diagnostics);
    sf_diagnostics_clear(diagnostics);
}

static void answer_edit(session *of, page_request *request)
{
    sf_diagnostics diagnostics = {0};
    json_t *conflict = NULL;
    json_t *edit = read_json(&request->body, &request->made);
    if (!edit)
        return;
    sf_status status = session_edit(of, edit, &conflict, &diagnostics);
    json_decref(edit);
    answer_changed(of, status, conflict, &diagnostics, &request->made);
}

static void answer_step(session *of, direction way, reply *into)
{
    sf_diagnostics diagnostics = {0};
    json_t *conflict = NULL;
    sf_status status = session_step(of, way, &conflict, &diagnostics);
    answer_changed(of, status, conflict, &diagnostics, into);
}

static void answer_undo(session *of, page_request *request)
{
    answer_step(of, BACK, &request->made);
}

static void answer_redo(session *of, page_request *request)
{
    answer_step(of, AGAIN, &request->made);
}

static void answer_keep_photo(session *of, page_request *request)
{
    sf_diagnostics diagnostics = {0};
    sf_status status = session_photo(of, &request->body, &diagnostics);
    if (status == SF_OK)
        request->made.status = 0;
    else
        reply_refusal(&request->made, status, NULL, &diagnostics);
    sf_diagnostics_clear(&diagnostics);
}

/* --- asking what would be --- */

static bool number_between(const json_t *asked, const char *key, double least, double most,
                           double *into)
{
    json_t *found = json_object_get(asked, key);
    *into = json_number_value(found);
    return json_is_number(found) && *into >= least && *into <= most;
}

static void answer_what_if(session *of, page_request *request)
{
    sf_wishes wishes = {.grade_c = NAN};
    json_t *asked = read_json(&request->body, &request->made);
    if (!asked)
        return;
    wishes.fan = json_is_true(json_object_get(asked, "fan"));
    if (number_between(asked, "air_k", -60, 60, &wishes.air_k) &&
        number_between(asked, "hours", 0, 1e6, &wishes.hours) &&
        (!json_object_get(asked, "grade_c") ||
         number_between(asked, "grade_c", 85, 150, &wishes.grade_c)))
        reply_json(&request->made, 200, view_what_if(of, &wishes));
    else
        reply_words(&request->made, 400,
                    "expected air_k from -60 to 60, hours from 0 to 1,000,000 and, if given, "
                    "grade_c from 85 to 150");
    json_decref(asked);
}

static void answer_try_marks(session *of, page_request *request)
{
    (void)of;
    sf_diagnostics diagnostics = {0};
    json_t *tried = NULL;
    json_t *asked = read_json(&request->body, &request->made);
    if (!asked)
        return;
    sf_status status = marks_try(asked, &tried, &diagnostics);
    json_decref(asked);
    if (status == SF_OK)
        reply_json(&request->made, 200, tried);
    else
        reply_refusal(&request->made, status, NULL, &diagnostics);
    sf_diagnostics_clear(&diagnostics);
}

static void answer_export(session *of, page_request *request)
{
    sf_diagnostics diagnostics = {0};
    sf_status status = session_export(of, &diagnostics);
    if (status == SF_OK)
        reply_json(
            &request->made, 200,
            json_pack("{s:o, s:o}", "folder", value_words(of->results), "names", results_names()));
    else
        reply_refusal(&request->made, status, NULL, &diagnostics);
    sf_diagnostics_clear(&diagnostics);
}

/* --- the table --- */

static const route routes[] = {
    {"GET", "job", 0, answer_job, AT_ONCE, NULL},
    {"GET", "live", 0, answer_live, AT_FIELD, NULL},
    {"GET", "plan", 0, answer_plan, AT_ONCE, NULL},
    {"GET", "stamp", 0, answer_stamp, AT_ONCE, NULL},
    {"GET", "photo", 0, answer_photo, AT_ONCE, NULL},
    {"GET", "straight", 0, answer_straight, AT_PHOTO, NULL},
    {"GET", "circles", 0, answer_circles, AT_PHOTO, NULL},
    {"GET", "out/", 0, answer_result, AT_ONCE, NULL},
    {"POST", "edit", JSON_MOST, answer_edit, AT_ONCE, NULL},
    {"POST", "undo", JSON_MOST, answer_undo, AT_ONCE, NULL},
    {"POST", "redo", JSON_MOST, answer_redo, AT_ONCE, NULL},
    {"POST", "photo", PHOTO_BYTES_MAX, answer_keep_photo, AT_PHOTO, answer_job},
    {"POST", "leave-circles", JSON_MOST, answer_leave_circles, AT_ONCE, NULL},
    {"POST", "marks", JSON_MOST, answer_try_marks, AT_ONCE, NULL},
    {"POST", "what-if", JSON_MOST, answer_what_if, AT_FIELD, NULL},
    {"POST", "export", JSON_MOST, answer_export, AT_EXPORT, NULL},
    {"GET", "/", 0, answer_asset, AT_ONCE, NULL}, /* every other name */
};

static bool route_takes(const route *asked, const char *path)
{
    size_t length = strlen(asked->path);
    if (strcmp(asked->path, "/") == 0)
        return true;
    return asked->path[length - 1] == '/' ? strncmp(asked->path, path, length) == 0
                                          : strcmp(asked->path, path) == 0;
}

const route *route_find(const char *method, const char *path)
{
    for (size_t i = 0; i < sizeof routes / sizeof *routes; i++)
        if (strcmp(routes[i].method, method) == 0 && route_takes(&routes[i], path))
            return &routes[i];
    return NULL;
}

/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The list of the page's files. */
#include "page/assets.h"

extern const asset page_index_html, page_page_css, page_main_js, page_store_js, page_board_js,
    page_view_js, page_place_js, page_probe_js, page_decide_js, page_dom_js, page_photo_js,
    page_marks_js, page_series_js, page_keepout_js, page_rings_js, page_ringtool_js, page_keypad_js,
    page_walk_js, page_marking_js, page_transport_js, page_mounts_js, page_cans_js, page_first_js,
    page_circles_js, page_brush_js, page_temps_js, page_lead_js, page_letters_js, page_faults_js,
    page_entry_js, page_grey_js, page_scale_js, page_many_js, page_pasted_js;

static const char html[] = "text/html; charset=utf-8", css[] = "text/css; charset=utf-8",
                  script[] = "text/javascript; charset=utf-8";

const page_asset page_assets[] = {
    {"", html, &page_index_html},
    {"page.css", css, &page_page_css},
    {"brush.js", script, &page_brush_js},
    {"circles.js", script, &page_circles_js},
    {"main.js", script, &page_main_js},
    {"store.js", script, &page_store_js},
    {"board.js", script, &page_board_js},
    {"view.js", script, &page_view_js},
    {"place.js", script, &page_place_js},
    {"probe.js", script, &page_probe_js},
    {"decide.js", script, &page_decide_js},
    {"dom.js", script, &page_dom_js},
    {"photo.js", script, &page_photo_js},
    {"marks.js", script, &page_marks_js},
    {"series.js", script, &page_series_js},
    {"keepout.js", script, &page_keepout_js},
    {"rings.js", script, &page_rings_js},
    {"keypad.js", script, &page_keypad_js},
    {"walk.js", script, &page_walk_js},
    {"ringtool.js", script, &page_ringtool_js},
    {"many.js", script, &page_many_js},
    {"pasted.js", script, &page_pasted_js},
    {"marking.js", script, &page_marking_js},
    {"mounts.js", script, &page_mounts_js},
    {"cans.js", script, &page_cans_js},
    {"first.js", script, &page_first_js},
    {"temps.js", script, &page_temps_js},
    {"lead.js", script, &page_lead_js},
    {"letters.js", script, &page_letters_js},
    {"faults.js", script, &page_faults_js},
    {"entry.js", script, &page_entry_js},
    {"grey.js", script, &page_grey_js},
    {"scale.js", script, &page_scale_js},
    {"transport.js", script, &page_transport_js},
    {0},
};

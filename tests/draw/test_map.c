/* The page's layout, where labels go, and where isotherms lie. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "draw/map.h"
#include "invented.h"

/* a row of the invented boards that the picture has to cope with */
static const double boards_mm[][2] = {{220, 160}, {400, 20}, {20, 400},   {10, 10},    {600, 500},
                                      {100, 160}, {2000, 3}, {1.5, 1900}, {1999, 2000}};

static layout layout_of(int width_px, const double *board_mm, size_t entries, size_t titles)
{
    layout_needs needs = {.width_px = width_px,
                          .board_width_mm = board_mm[0],
                          .board_height_mm = board_mm[1],
                          .title_lines = titles,
                          .legend_entries = entries,
                          .legend_width_px = 13.4 * layout_em(width_px)};
    return layout_make(&needs);
}

static void assert_apart(const layout *made)
{
    const box boxes[] = {made->title,  made->plot,      made->bar,
                         made->legend, made->scale_bar, made->footer};
    const box page = {0, 0, made->frame.width_px, made->frame.height_px};
    for (size_t i = 0; i < 6; i++) {
        assert_true(box_holds(page, boxes[i]));
        for (size_t k = i + 1; k < 6; k++)
            assert_false(boxes_meet(boxes[i], boxes[k]));
    }
    assert_true(box_holds(made->plot, made->board));
}

static void nothing_on_the_page_overlaps_whatever_the_board(void **state)
{
    (void)state;
    static const int widths_px[] = {400, 555, 800, 1600, 8000};
    for (size_t w = 0; w < 5; w++)
        for (size_t b = 0; b < sizeof boards_mm / sizeof boards_mm[0]; b++)
            for (size_t entries = 1; entries <= 12; entries += 11)
                for (size_t titles = 0; titles <= 4; titles += 2) {
                    layout made = layout_of(widths_px[w], boards_mm[b], entries, titles);
                    assert_apart(&made);
                    assert_true(made.frame.height_px <= 2.3 * made.frame.width_px);
                }
}

static void the_board_is_to_scale(void **state)
{
    (void)state;
    for (size_t b = 0; b < sizeof boards_mm / sizeof boards_mm[0]; b++) {
        layout made = layout_of(1600, boards_mm[b], 9, 3);
        double px_per_mm = made.frame.px_per_mm;
        assert_close(made.board.right - made.board.left, boards_mm[b][0] * px_per_mm, 1e-9, 0);
        assert_close(made.board.bottom - made.board.top, boards_mm[b][1] * px_per_mm, 1e-9, 0);
        assert_close(made.frame.left_px, made.board.left, 1e-12, 0);
        assert_close(made.frame.bottom_px, made.board.bottom, 1e-12, 0);
        assert_int_equal(made.frame.width_px, 1600);
    }
}

static void a_larger_picture_is_the_same_page_enlarged(void **state)
{
    (void)state;
    layout small = layout_of(1000, boards_mm[0], 9, 3), large = layout_of(8000, boards_mm[0], 9, 3);
    assert_close(large.em_px, 8 * small.em_px, 1e-9, 0);
    assert_close(large.board.right, 8 * small.board.right, 1e-9, 0);
    assert_close(large.legend.top, 8 * small.legend.top, 1e-9, 0);
}

static map planned_of(invented *board, int width_px)
{
    map planned;
    sf_picture_options options = sf_picture_options_default();
    options.width_px = width_px;
    assert_int_equal(map_plan(&board->scene, &options, &planned), SF_OK);
    return planned;
}

/* each pair once; labels are few enough */
static bool has_entry(const legend *in, const char *words)
{
    for (size_t i = 0; i < in->count; i++)
        if (strcmp(in->entries[i].words, words) == 0)
            return true;
    return false;
}

static void assert_labels_apart(const map *in)
{
    for (size_t i = 0; i < in->label_count; i++) {
        const label *one = &in->labels[i];
        if (!one->placed)
            continue;
        assert_true(box_holds(in->page.plot, one->where));
        for (size_t k = i + 1; k < in->label_count; k++)
            if (in->labels[k].placed && boxes_meet(one->where, in->labels[k].where))
                fail_msg("%s overlaps %s", one->words, in->labels[k].words);
    }
}

/* a filled disc must stay whole; an open ring may hold a label but not be cut by one */
static void assert_symbols_free(const map *in)
{
    const sf_job *job = in->scene->job;
    for (size_t i = 0; i < job->part_count; i++) {
        place centre = map_place(in, job->parts[i].x_mm, job->parts[i].y_mm);
        double radius_px = map_part_radius(in, &job->parts[i]);
        bool open = map_part_mark(in->scene, i) == PART_LEAVE;
        for (size_t k = 0; k < in->label_count; k++) {
            box where = in->labels[k].where;
            if (!in->labels[k].placed)
                continue;
            double near_x = fmax(fmax(where.left - centre.x_px, centre.x_px - where.right), 0);
            double near_y = fmax(fmax(where.top - centre.y_px, centre.y_px - where.bottom), 0);
            double far_x = fmax(where.right - centre.x_px, centre.x_px - where.left);
            double far_y = fmax(where.bottom - centre.y_px, centre.y_px - where.top);
            bool outside = hypot(near_x, near_y) >= radius_px;
            bool inside = open && hypot(far_x, far_y) <= radius_px;
            if (!outside && !inside)
                fail_msg("%s covers %s", in->labels[k].words, job->parts[i].ref);
        }
    }
}

static void no_label_overlaps_another_or_a_symbol_or_leaves_the_frame(void **state)
{
    (void)state;
    static const size_t parts[] = {20, 90, 400};
    static const int widths_px[] = {400, 1600, 3200};
    for (unsigned seed = 11; seed < 14; seed++)
        for (size_t p = 0; p < 3; p++)
            for (size_t w = 0; w < 3; w++) {
                invention wanted = invention_usual();
                wanted.parts = parts[p];
                wanted.seed = seed;
                invented board;
                invented_make(&wanted, &board);
                map planned = planned_of(&board, widths_px[w]);
                assert_true(planned.label_count > 10);
                assert_labels_apart(&planned);
                assert_symbols_free(&planned);
                map_close(&planned);
                invented_free(&board);
            }
}

static void no_label_covers_a_place_to_read_next(void **state)
{
    (void)state;
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    sf_point next[12];
    for (size_t i = 0; i < 12; i++)
        next[i] = (sf_point){board.job.parts[7 * i].x_mm + 6, board.job.parts[7 * i].y_mm + 1};
    board.scene.points = next;
    board.scene.point_count = 12;
    map planned = planned_of(&board, 1600);
    assert_labels_apart(&planned);
    assert_true(has_entry(&planned.signs, "read next 12"));
    for (size_t i = 0; i < 12; i++) {
        place centre = map_place(&planned, next[i].x_mm, next[i].y_mm);
        double width_px = 2 * POINT_RADIUS * planned.page.em_px;
        for (size_t k = 0; k < planned.label_count; k++)
            assert_false(planned.labels[k].placed &&
                         boxes_meet(box_about(centre, 0.7 * width_px, 0.7 * width_px),
                                    planned.labels[k].where));
    }
    map_close(&planned);
    invented_free(&board);
}

static void at_usual_density_every_part_and_reading_is_named(void **state)
{
    (void)state;
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    map planned = planned_of(&board, 1600);
    assert_int_equal(planned.named_from, PART_LEAVE);
    assert_int_equal(planned.label_count, 90 + 24 + 8 + 1);
    for (size_t i = 0; i < planned.label_count; i++)
        assert_true(planned.labels[i].placed);
    map_close(&planned);
    invented_free(&board);
}

static size_t count_named(const map *in, sf_verdict verdict)
{
    size_t count = 0;
    for (size_t i = 0; i < in->scene->job->part_count; i++)
        for (size_t k = 0; k < in->label_count; k++)
            count += in->labels[k].placed && in->scene->results[i].verdict == verdict &&
                     strcmp(in->labels[k].words, in->scene->job->parts[i].ref) == 0;
    return count;
}

static void assert_legend_tells(const map *in, const char *name, sf_verdict verdict, size_t named)
{
    size_t count = 0;
    char words[64];
    for (size_t i = 0; i < in->scene->job->part_count; i++)
        count += in->scene->results[i].verdict == verdict;
    if (named == 0)
        snprintf(words, sizeof words, "%s %zu, none named", name, count);
    else if (named < count)
        snprintf(words, sizeof words, "%s %zu, %zu named", name, count, named);
    else
        snprintf(words, sizeof words, "%s %zu", name, count);
    if (!has_entry(&in->signs, words))
        fail_msg("the legend lacks: %s", words);
}

static void at_high_density_only_the_gravest_parts_are_named_and_the_legend_says_so(void **state)
{
    (void)state;
    static const struct {
        size_t parts;
        bool checks_named;
    } cases[] = {{500, true}, {1100, false}};
    for (size_t i = 0; i < 2; i++) {
        invention wanted = invention_usual();
        wanted.parts = cases[i].parts;
        invented board;
        invented_make(&wanted, &board);
        map planned = planned_of(&board, 1600);
        assert_true(count_named(&planned, SF_REPLACE) > 20);
        assert_int_equal(count_named(&planned, SF_CHECK) > 0, cases[i].checks_named);
        assert_legend_tells(&planned, "replace", SF_REPLACE, count_named(&planned, SF_REPLACE));
        assert_legend_tells(&planned, "check", SF_CHECK, count_named(&planned, SF_CHECK));
        assert_int_equal(count_named(&planned, SF_LEAVE), 0);
        assert_legend_tells(&planned, "leave", SF_LEAVE, 0);
        map_close(&planned);
        invented_free(&board);
    }
}

/* whether a place lies on a part's symbol, by more than rounding */
static bool on_a_symbol(const map *in, place at, const label *but_for)
{
    const sf_job *job = in->scene->job;
    for (size_t i = 0; i < job->part_count; i++) {
        place centre = map_place(in, job->parts[i].x_mm, job->parts[i].y_mm);
        double radius_px = map_part_radius(in, &job->parts[i]);
        bool own =
            hypot(centre.x_px - but_for->anchor.x_px, centre.y_px - but_for->anchor.y_px) < 0.01;
        if (!own && hypot(at.x_px - centre.x_px, at.y_px - centre.y_px) < radius_px - 0.5)
            return true;
    }
    return false;
}

static void leaders_end_on_their_label_and_cross_no_other_and_no_symbol(void **state)
{
    (void)state;
    invention wanted = invention_usual();
    wanted.parts = 400;
    invented board;
    invented_make(&wanted, &board);
    map planned = planned_of(&board, 1600);
    size_t led = 0;
    for (size_t i = 0; i < planned.label_count; i++) {
        const label *one = &planned.labels[i];
        if (!one->placed || !one->led)
            continue;
        led++;
        box edge = box_about(one->lead_to, 0.01, 0.01);
        assert_true(boxes_meet(edge, one->where));
        for (int step = 0; step <= 100; step++) {
            double share = step / 100.0;
            place at = {one->lead_from.x_px + share * (one->lead_to.x_px - one->lead_from.x_px),
                        one->lead_from.y_px + share * (one->lead_to.y_px - one->lead_from.y_px)};
            if (one->words[0] == 'C' && on_a_symbol(&planned, at, one))
                fail_msg("the leader of %s crosses a symbol", one->words);
            for (size_t k = 0; k < planned.label_count; k++)
                if (k != i && planned.labels[k].placed)
                    assert_false(boxes_meet(box_about(at, 0.01, 0.01), planned.labels[k].where));
        }
    }
    assert_true(led > 5);
    map_close(&planned);
    invented_free(&board);
}

static void the_name_of_a_no_touch_area_lies_within_it_or_beside_it(void **state)
{
    (void)state;
    sf_point corners[4] = {{60, 30}, {60, 30}, {60, 70}, {60, 70}};
    for (int width_mm = 3; width_mm <= 60; width_mm += 3) {
        invention wanted = invention_usual();
        wanted.keepout = false;
        wanted.parts = 20;
        invented board;
        invented_make(&wanted, &board);
        corners[1].x_mm = corners[2].x_mm = 60 + width_mm;
        sf_ring ring = {.points = corners, .count = 4};
        sf_ring *own = board.job.keepouts;
        size_t own_count = board.job.keepout_count;
        board.job.keepouts = &ring;
        board.job.keepout_count = 1;
        map planned = planned_of(&board, 1600);
        place low = map_place(&planned, 60, 30), high = map_place(&planned, 60 + width_mm, 70);
        box area = {low.x_px, high.y_px, high.x_px, low.y_px};
        size_t found = 0;
        for (size_t i = 0; i < planned.label_count; i++) {
            const label *one = &planned.labels[i];
            if (!one->placed || strcmp(one->words, "no touch") != 0)
                continue;
            found++;
            assert_true(box_holds(area, one->where) || !boxes_meet(area, one->where));
        }
        assert_int_equal(found, 1);
        map_close(&planned);
        board.job.keepouts = own;
        board.job.keepout_count = own_count;
        invented_free(&board);
    }
}

static void parts_that_hang_over_the_edge_are_whole_in_the_picture(void **state)
{
    (void)state;
    static const int widths_px[] = {400, 800, 1600, 3200};
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    board.job.parts[3].x_mm = -2;
    board.job.parts[3].diameter_mm = 37;
    board.job.parts[5].x_mm = 221.5;
    board.job.parts[5].diameter_mm = 22;
    board.job.parts[7].y_mm = -1.3;
    board.job.parts[7].diameter_mm = 31;
    board.job.parts[9].y_mm = 161.7;
    board.job.parts[9].diameter_mm = 45;
    for (size_t w = 0; w < 4; w++) {
        map planned = planned_of(&board, widths_px[w]);
        for (size_t i = 3; i <= 9; i += 2) {
            place centre = map_place(&planned, board.job.parts[i].x_mm, board.job.parts[i].y_mm);
            double width_px = 2 * map_part_radius(&planned, &board.job.parts[i]);
            assert_true(box_holds(planned.page.plot, box_about(centre, width_px, width_px)));
        }
        assert_apart(&planned.page);
        map_close(&planned);
    }
    invented_free(&board);
}

/* labels on an empty ground of 600 x 400 pixels, all of it board */
typedef struct ground {
    crowd taken;
    mask board;
    label_ground on;
    font *face;
} ground;

static void open_ground(ground *opened)
{
    place corners[] = {{0, 0}, {600, 0}, {600, 400}, {0, 400}};
    assert_true(crowd_open(&opened->taken, (box){0, 0, 600, 400}, 40));
    assert_true(mask_new(&opened->board, 600, 400));
    mask_polygon(&opened->board, corners, 4, MASK_ADD);
    assert_int_equal(font_open(NULL, &opened->face), SF_OK);
    opened->on = (label_ground){&opened->taken, &opened->board, 20};
}

static void close_ground(ground *closed)
{
    crowd_close(&closed->taken);
    mask_free(&closed->board);
    font_close(closed->face);
}

static label disc_label(ground *on, place centre, const char *words)
{
    lettering style = {.size_px = 16, .laid = INK_DARK};
    label made = label_make(on->face, &style, centre, 15, 15, words);
    made.round = true;
    assert_true(
        crowd_add(&on->taken, (crowd_item){box_about(centre, 30, 30), CROWD_DISC, CROWD_SYMBOL}));
    return made;
}

static void a_lone_label_stands_to_the_right_of_its_symbol(void **state)
{
    (void)state;
    ground on;
    open_ground(&on);
    label one = disc_label(&on, (place){300, 200}, "C31");
    assert_true(labels_place(&on.on, &one, 1));
    assert_true(one.placed && !one.led);
    assert_true(one.where.left > 315 && one.where.left < 325);
    assert_close(box_centre(one.where).y_px, 200, 0, 1e-9);
    close_ground(&on);
}

static void at_the_frame_a_label_goes_to_the_other_side(void **state)
{
    (void)state;
    ground on;
    open_ground(&on);
    label one = disc_label(&on, (place){583, 200}, "C31");
    assert_true(labels_place(&on.on, &one, 1));
    assert_true(one.placed && one.where.right < 568);
    close_ground(&on);
}

/* a symbol with a ring of others about it, that leaves out those from `first_gap` on */
static label hemmed_in(ground *on, int first_gap)
{
    label one = disc_label(on, (place){300, 200}, "C31");
    for (int i = 0; i < first_gap; i++) {
        double angle = 2 * 3.14159265 * i / 12;
        disc_label(on, (place){300 + 36 * cos(angle), 200 + 36 * sin(angle)}, "C0");
    }
    return one;
}

static void a_symbol_hemmed_in_gets_a_leader_through_the_gap_and_no_name_without_one(void **state)
{
    (void)state;
    ground on;
    open_ground(&on);
    label one = hemmed_in(&on, 10);
    assert_true(labels_place(&on.on, &one, 1));
    assert_true(one.placed && one.led);
    assert_true(one.lead_to.x_px > 300 && one.lead_to.y_px < 200);
    one.placed = one.led = one.may_lead = false;
    assert_true(labels_place(&on.on, &one, 1));
    assert_false(one.placed);
    close_ground(&on);
    open_ground(&on);
    one = hemmed_in(&on, 12);
    assert_true(labels_place(&on.on, &one, 1));
    assert_false(one.placed);
    close_ground(&on);
}

static void a_reading_is_named_inside_a_large_can_and_beside_a_small_one(void **state)
{
    (void)state;
    ground on;
    open_ground(&on);
    lettering style = {.size_px = 12, .laid = INK_DARK};
    static const double radii_px[] = {70, 14};
    for (int i = 0; i < 2; i++) {
        place centre = {150 + 300 * i, 200};
        double radius_px = radii_px[i];
        assert_true(
            crowd_add(&on.taken, (crowd_item){box_about(centre, 2 * radius_px, 2 * radius_px),
                                              CROWD_RING, CROWD_SYMBOL}));
        label one = label_make(on.face, &style, centre, 6, 6, "63");
        assert_true(labels_place(&on.on, &one, 1));
        assert_true(one.placed && !one.led);
        double away_px = one.where.left - centre.x_px;
        assert_true(i == 0 ? away_px < 12 : away_px > 14 && away_px < 22);
    }
    close_ground(&on);
}

static double tilted_plane(double x_mm, double y_mm)
{
    return 34.3 + 0.171 * x_mm + 0.093 * y_mm;
}

static double round_hill(double x_mm, double y_mm)
{
    return 98.6 - 0.437 * hypot(x_mm - 81.7, y_mm - 63.2);
}

/* every place of every line that lies on the board is where the function says, to half a pixel */
static void assert_lines_lie(double (*field)(double, double), double slope_per_mm, bool not_at_top)
{
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    invented_set_field(&board, field);
    map planned = planned_of(&board, 1600);
    const contours *lines = &planned.lines.lines;
    double px_per_mm = planned.page.frame.px_per_mm;
    size_t seen = 0;
    for (size_t i = 0; i < lines->count; i++)
        for (size_t k = 0; k < lines->lines[i].count; k++) {
            place at = lines->places[lines->lines[i].first + k];
            if (!mask_covers(&planned.canvas.board, at))
                continue;
            double x_mm = (at.x_px - planned.page.frame.left_px) / px_per_mm;
            double y_mm = (planned.page.frame.bottom_px - at.y_px) / px_per_mm;
            double off_k = field(x_mm, y_mm) - lines->lines[i].level;
            if (!not_at_top || lines->lines[i].level < 92)
                assert_close(off_k / slope_per_mm * px_per_mm, 0, 0, 0.5);
            seen++;
        }
    assert_true(seen > 100);
    map_close(&planned);
    invented_free(&board);
}

static void isotherms_of_a_plane_lie_where_they_should(void **state)
{
    (void)state;
    assert_lines_lie(tilted_plane, hypot(0.171, 0.093), false);
}

static void isotherms_of_a_cone_lie_where_they_should(void **state)
{
    (void)state;
    assert_lines_lie(round_hill, 0.437, true);
}

static void words_along_isotherms_stand_in_a_gap_and_name_their_level(void **state)
{
    (void)state;
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    map planned = planned_of(&board, 1600);
    size_t named = 0;
    for (size_t i = 0; i < planned.lines.word_count; i++) {
        const line_words *words = &planned.lines.words[i];
        double level = planned.lines.lines.lines[words->line].level;
        const char *number = strpbrk(words->look->words, "0123456789");
        assert_close(atof(number), level, 0, 0.51);
        assert_true(words->to_px > words->from_px + 10);
        assert_in_range(words->angle_deg + 90, 0, 180);
        named++;
    }
    assert_true(named >= 8);
    map_close(&planned);
    invented_free(&board);
}

static void the_legend_counts_what_is_drawn(void **state)
{
    (void)state;
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    board.zones.hot_from_c = 78.4;
    board.zones.warm_from_c = NAN;
    map planned = planned_of(&board, 1600);
    size_t counts[SF_VERDICT_COUNT] = {0};
    for (size_t i = 0; i < 90; i++)
        counts[board.results[i].verdict]++;
    char words[SF_VERDICT_COUNT][24];
    snprintf(words[SF_REPLACE], sizeof words[0], "replace %zu", counts[SF_REPLACE]);
    snprintf(words[SF_CHECK], sizeof words[0], "check %zu", counts[SF_CHECK]);
    snprintf(words[SF_LEAVE], sizeof words[0], "leave %zu", counts[SF_LEAVE]);
    for (int verdict = 0; verdict < SF_VERDICT_COUNT; verdict++)
        assert_true(has_entry(&planned.signs, words[verdict]));
    assert_true(has_entry(&planned.signs, "heat source 7"));
    assert_true(has_entry(&planned.signs, "unlisted heat 1"));
    assert_true(has_entry(&planned.signs, "reading 23"));
    assert_true(has_entry(&planned.signs, "reading, not fitted 1"));
    assert_true(has_entry(&planned.signs, "no touch 1"));
    assert_true(has_entry(&planned.signs, "hot zone from 78 \u00b0C"));
    assert_true(has_entry(&planned.signs, "isotherm, every 10 \u00b0C"));
    assert_int_equal(planned.signs.count, 10);
    map_close(&planned);
    invented_free(&board);
}

static void a_map_of_doubt_has_no_zone_edges(void **state)
{
    (void)state;
    invention wanted = invention_usual();
    invented board;
    invented_make(&wanted, &board);
    board.scene.unit = "K";
    map planned = planned_of(&board, 800);
    assert_true(isnan(planned.edges.hot_from) && isnan(planned.edges.warm_from));
    assert_true(has_entry(&planned.signs, "contour, every 10 K"));
    map_close(&planned);
    invented_free(&board);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_on_the_page_overlaps_whatever_the_board),
        cmocka_unit_test(the_board_is_to_scale),
        cmocka_unit_test(a_larger_picture_is_the_same_page_enlarged),
        cmocka_unit_test(no_label_overlaps_another_or_a_symbol_or_leaves_the_frame),
        cmocka_unit_test(no_label_covers_a_place_to_read_next),
        cmocka_unit_test(at_usual_density_every_part_and_reading_is_named),
        cmocka_unit_test(at_high_density_only_the_gravest_parts_are_named_and_the_legend_says_so),
        cmocka_unit_test(leaders_end_on_their_label_and_cross_no_other_and_no_symbol),
        cmocka_unit_test(the_name_of_a_no_touch_area_lies_within_it_or_beside_it),
        cmocka_unit_test(parts_that_hang_over_the_edge_are_whole_in_the_picture),
        cmocka_unit_test(a_lone_label_stands_to_the_right_of_its_symbol),
        cmocka_unit_test(at_the_frame_a_label_goes_to_the_other_side),
        cmocka_unit_test(a_symbol_hemmed_in_gets_a_leader_through_the_gap_and_no_name_without_one),
        cmocka_unit_test(a_reading_is_named_inside_a_large_can_and_beside_a_small_one),
        cmocka_unit_test(isotherms_of_a_plane_lie_where_they_should),
        cmocka_unit_test(isotherms_of_a_cone_lie_where_they_should),
        cmocka_unit_test(words_along_isotherms_stand_in_a_gap_and_name_their_level),
        cmocka_unit_test(the_legend_counts_what_is_drawn),
        cmocka_unit_test(a_map_of_doubt_has_no_zone_edges),
    };
    return cmocka_run_group_tests_name("draw: map", tests, NULL, NULL);
}

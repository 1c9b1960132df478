/* Trying places for labels, and writing them. */
#include "draw/labels.h"

#include <math.h>
#include <stdio.h>

enum {
    HARD = CROWD_SYMBOL | CROWD_LABEL | CROWD_LEADER,
    LEADER_TURNS = 24, /* directions tried at each distance */
    LEADER_RINGS = 7   /* distances tried */
};

/* what a place costs, in steps of the order below: by eye, no source */
static const double cost_on_source = 6, cost_on_edge = 9, cost_off_board = 4;
static const double cost_never = 1e9;

/* Beside a symbol, the best places first: x and y tell the side, 0 the middle. */
static const struct side {
    int x, y;
} sides[] = {{1, 0}, {-1, 0}, {0, -1}, {0, 1}, {1, -1}, {1, 1}, {-1, -1}, {-1, 1}};

label label_make(font *face, const lettering *style, place anchor, double reach_x_px,
                 double reach_y_px, const char *words)
{
    label made = {.style = *style,
                  .anchor = anchor,
                  .reach_x_px = reach_x_px,
                  .reach_y_px = reach_y_px,
                  .may_lead = true};
    words_fit(face, style, words, 14 * style->size_px, made.words, sizeof made.words);
    made.width_px = words_width(face, style, made.words) + 0.3 * style->size_px;
    made.height_px = (CAPITAL_HEIGHT + 0.28) * style->size_px;
    return made;
}

static double ground_cost(const label_ground *on, const label *placed, box where)
{
    double share = mask_share(on->board, where);
    if (share >= 1)
        return 0;
    return share <= 0 ? cost_off_board : placed->keeps_off_edges ? cost_never : cost_on_edge;
}

/* what it costs to stand there; cost_never where something is in the way */
static double cost_of(const label_ground *on, const label *placed, box where)
{
    if (!box_holds(on->taken->frame, where))
        return cost_never;
    unsigned hard = HARD | (placed->keeps_off_edges ? CROWD_EDGE : 0u);
    unsigned met = crowd_meets(on->taken, where, CROWD_ALL, hard);
    if (met & hard)
        return cost_never;
    return (met & CROWD_SOURCE ? cost_on_source : 0) + (met & CROWD_EDGE ? cost_on_edge : 0) +
           ground_cost(on, placed, where);
}

/* the label's box at a side of its symbol; at a circle's corners it moves in */
static box beside(const label *placed, struct side at, double gap_px)
{
    double share = placed->round && at.x != 0 && at.y != 0 ? 0.72 : 1;
    double x = placed->reach_x_px * share + gap_px, y = placed->reach_y_px * share + gap_px;
    place centre = {placed->anchor.x_px + at.x * (x + placed->width_px / 2),
                    placed->anchor.y_px + at.y * (y + placed->height_px / 2)};
    return box_about(centre, placed->width_px, placed->height_px);
}

static bool fits_inside(const label *placed)
{
    double x = placed->width_px / 2, y = placed->height_px / 2;
    if (placed->round)
        return x * x + y * y < 0.8 * placed->reach_x_px * placed->reach_x_px;
    return x < 0.95 * placed->reach_x_px && y < 0.95 * placed->reach_y_px;
}

static bool try_inside(const label_ground *on, label *placed)
{
    box inside = box_about(placed->anchor, placed->width_px, placed->height_px);
    if (!placed->may_stand_inside || !fits_inside(placed) || !box_holds(on->taken->frame, inside) ||
        crowd_meets(on->taken, inside, HARD, HARD) != 0)
        return false;
    placed->where = inside;
    placed->placed = true;
    return true;
}

static bool try_beside(const label_ground *on, label *placed)
{
    double least = cost_never;
    for (size_t i = 0; i < sizeof sides / sizeof sides[0]; i++) {
        box where = beside(placed, sides[i], 0.14 * on->em_px);
        double cost = cost_of(on, placed, where) + (double)i;
        if (cost < least) {
            least = cost;
            placed->where = where;
        }
    }
    placed->placed = least < cost_never;
    return placed->placed;
}

static double held(double value, double least, double most)
{
    return fmin(fmax(value, least), most);
}

/* from the symbol's edge to the nearest place of the label's box */
static void draw_out_leader(label *placed, double em_px)
{
    box in = placed->where;
    double inset = fmin(0.25 * em_px, (in.bottom - in.top) / 2);
    placed->lead_to = (place){held(placed->anchor.x_px, in.left + inset, in.right - inset),
                              held(placed->anchor.y_px, in.top, in.bottom)};
    double dx = placed->lead_to.x_px - placed->anchor.x_px;
    double dy = placed->lead_to.y_px - placed->anchor.y_px;
    double length = hypot(dx, dy);
    double reach = placed->round ? placed->reach_x_px
                                 : fmin(length, fmax(fabs(placed->reach_x_px * dx / length),
                                                     fabs(placed->reach_y_px * dy / length)));
    double share = length > 0 ? reach / length : 0;
    placed->lead_from = (place){placed->anchor.x_px + share * dx, placed->anchor.y_px + share * dy};
}

/* the leader without its ends, which touch the symbol and the label themselves */
static unsigned met_on_the_way(const label_ground *on, const label *placed)
{
    double dx = placed->lead_to.x_px - placed->lead_from.x_px;
    double dy = placed->lead_to.y_px - placed->lead_from.y_px;
    double length = hypot(dx, dy), width = 0.3 * on->em_px;
    double share = length > 0 ? fmin(width / length, 0.5) : 0.5;
    place from = {placed->lead_from.x_px + share * dx, placed->lead_from.y_px + share * dy};
    place to = {placed->lead_to.x_px - share * dx, placed->lead_to.y_px - share * dy};
    return crowd_crossed(on->taken, from, to, width, HARD);
}

static double leader_cost(const label_ground *on, label *placed)
{
    double cost = cost_of(on, placed, placed->where);
    if (cost >= cost_never)
        return cost;
    draw_out_leader(placed, on->em_px);
    return met_on_the_way(on, placed) ? cost_never : cost;
}

/* the cheapest direction at the least distance where one is free */
static bool try_ring(const label_ground *on, label *placed, double away_px)
{
    double least = cost_never;
    box best = placed->where;
    for (int i = 0; i < LEADER_TURNS; i++) {
        double angle = 2 * acos(-1) * i / LEADER_TURNS;
        double x = placed->reach_x_px + away_px + placed->width_px / 2;
        double y = placed->reach_y_px + away_px + placed->height_px / 2;
        place centre = {placed->anchor.x_px + x * cos(angle), placed->anchor.y_px - y * sin(angle)};
        placed->where = box_about(centre, placed->width_px, placed->height_px);
        double cost = leader_cost(on, placed);
        if (cost < least) {
            least = cost;
            best = placed->where;
        }
    }
    placed->where = best;
    draw_out_leader(placed, on->em_px);
    return least < cost_never;
}

static bool try_leader(const label_ground *on, label *placed)
{
    for (int ring = 1; placed->may_lead && ring <= LEADER_RINGS; ring++)
        if (try_ring(on, placed, 0.75 * ring * on->em_px)) {
            placed->placed = placed->led = true;
            return true;
        }
    return false;
}

/* the name of a reading keeps clear of the whole can that holds it; false where none does */
static bool stand_clear(const label_ground *on, label *placed)
{
    const crowd_item *symbol = crowd_symbol_at(on->taken, placed->anchor);
    if (!symbol)
        return false;
    double reach_px = (symbol->where.right - symbol->where.left) / 2;
    if (reach_px <= placed->reach_x_px)
        return false;
    placed->anchor = box_centre(symbol->where);
    placed->reach_x_px = placed->reach_y_px = reach_px;
    placed->round = true;
    return true;
}

static bool try_close(const label_ground *on, label *placed)
{
    return try_inside(on, placed) || try_beside(on, placed) ||
           (stand_clear(on, placed) && try_beside(on, placed));
}

static bool add_to_crowd(const label_ground *on, const label *placed)
{
    return crowd_add(on->taken, (crowd_item){placed->where, CROWD_BOX, CROWD_LABEL}) &&
           (!placed->led || crowd_add_line(on->taken, placed->lead_from, placed->lead_to,
                                           0.3 * on->em_px, CROWD_LEADER));
}

/* leaders last: they and their words would take the room of those that need none */
bool labels_place(const label_ground *on, label *labels, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (try_close(on, &labels[i]) && !add_to_crowd(on, &labels[i]))
            return false;
    for (size_t i = 0; i < count; i++)
        if (!labels[i].placed && try_leader(on, &labels[i]) && !add_to_crowd(on, &labels[i]))
            return false;
    return true;
}

static void draw_leaders(canvas *page, const label *labels, size_t count, double width_px)
{
    for (size_t i = 0; i < count; i++)
        if (labels[i].placed && labels[i].led)
            mask_line(&page->shapes, labels[i].lead_from, labels[i].lead_to, width_px);
}

void labels_draw(canvas *page, font *face, const label *labels, size_t count, double em_px)
{
    draw_leaders(page, labels, count, 0.24 * em_px);
    canvas_lay(page, INK_PAPER, 0.8);
    draw_leaders(page, labels, count, 0.07 * em_px);
    canvas_lay(page, INK_DARK, 1);
    for (size_t i = 0; i < count; i++)
        if (labels[i].placed)
            words_draw_centred(page, face, &labels[i].style, box_centre(labels[i].where),
                               labels[i].words);
}

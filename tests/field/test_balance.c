/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The heat balance on cells against closed solutions: cosine series, Bessel functions, fins. */
#include "support/check.h"

#include <gsl/gsl_sf_bessel.h>
#include <math.h>

#include "field/boards.h"
#include "field/solved.h"

/* The patch of 10 x 10 mm at (30, 40) on a board of 100 x 80 mm. */
static solved patch(double cell_mm, double length_mm, double heat_k)
{
    solved of = solved_start(rectangle_grid(100, 80, cell_mm));
    solved_warm(&of, 30, 40, 10, 10, heat_k);
    solved_solve(&of, length_mm, NULL);
    return of;
}

/* Two grids, the finer of half cells, make the error of fourth order: (4 fine - coarse) / 3
 * (L. F. Richardson, Phil. Trans. R. Soc. A 210 (1911) 307, from memory). */
static double extrapolated(const solved *coarse, const solved *fine, double x_mm, double y_mm)
{
    return (4 * solved_at(fine, x_mm, y_mm) - solved_at(coarse, x_mm, y_mm)) / 3;
}

static void rectangle_meets_its_cosine_series_at_12_mm(void **state)
{
    (void)state;
    solved coarse = patch(1, 12, 1), fine = patch(0.5, 12, 1);
    /* insulated rectangle, H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids (from
     * memory); values computed from the cosine series with 800 x 800 terms */
    const double places[][3] = {
        {30, 40, 0.157582}, {50, 40, 0.0198051}, {5, 5, 0.0046090}, {95, 75, 0.00028863}};
    for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
        /* at the centre of the patch u bends by u'' = (1 - u)/L^2 = 0.0058 /mm2, and 0.5 mm cells
         * sampled at their corners are off by 1/8 u'' (0.5 mm)^2, 0.12 % of u; elsewhere less */
        assert_close(solved_at(&fine, places[i][0], places[i][1]), places[i][2], 0.002, 0);
        assert_close(extrapolated(&coarse, &fine, places[i][0], places[i][1]), places[i][2], 3e-5,
                     0);
    }
    solved_clear(&coarse);
    solved_clear(&fine);
}

static void rectangle_meets_its_cosine_series_at_35_mm(void **state)
{
    (void)state;
    /* 1 W on 1 cm2, k t = 0.025 W/K, L = 35 mm: heat over loss 1e4 W/m2 / 20.408 W/m2K */
    double heat_k = 1e4 / (0.025 / (0.035 * 0.035));
    solved coarse = patch(1, 35, heat_k), fine = patch(0.5, 35, heat_k);
    /* the same rectangle; values computed, cosine series in x and closed form in y, 6000 terms */
    const double places[][3] = {{30, 40, 18.494492}, {35, 40, 15.735215}, {50, 40, 7.492839},
                                {90, 40, 2.977202},  {0, 0, 6.684208},    {100, 80, 2.778991},
                                {30, 70, 6.900857}};
    for (size_t i = 0; i < 4; i++) {
        /* u'' = q/(k t)/2 = 0.2 K/mm2 at the centre of the patch: 0.5 mm cells sampled at their
         * corners miss 1/8 u'' (0.5 mm)^2 each way, 0.07 % of u */
        assert_close(solved_at(&fine, places[i][0], places[i][1]), places[i][2], 0.001, 0);
        assert_close(extrapolated(&coarse, &fine, places[i][0], places[i][1]), places[i][2], 1e-5,
                     0);
    }
    /* at the very corner the nearest cell stands, half a cell in, where the gradient is nil */
    for (size_t i = 4; i < 7; i++)
        assert_close(solved_at(&fine, places[i][0], places[i][1]), places[i][2], 0.001, 0);
    solved_clear(&coarse);
    solved_clear(&fine);
}

static void rectangle_has_the_mean_rise_of_its_energy_balance(void **state)
{
    (void)state;
    solved of = patch(2, 35, 1e4 / (0.025 / (0.035 * 0.035)));
    double sum = 0;
    for (size_t node = 0; node < of.laid->nodes; node++)
        sum += of.rise[node];
    /* P L^2/(k t A B) = 6.125 K, from the balance alone */
    assert_close(sum / (double)of.laid->nodes, 6.125, 1e-10, 0);
    solved_clear(&of);
}

static void error_falls_fourfold_when_cells_halve(void **state)
{
    (void)state;
    solved rough = patch(1.25, 12, 1), middle = patch(0.625, 12, 1), fine = patch(0.3125, 12, 1);
    const double places[][2] = {{30, 40}, {50, 40}, {45, 55}, {60, 25}};
    for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
        double x = places[i][0], y = places[i][1];
        /* second order (R. J. LeVeque, Finite Difference Methods, from memory): the steps between
         * the three answers stand as 4 to 1; next terms are a few per cent of them */
        double ratio = (solved_at(&rough, x, y) - solved_at(&middle, x, y)) /
                       (solved_at(&middle, x, y) - solved_at(&fine, x, y));
        assert_close(ratio, 4, 0.05, 0);
    }
    solved_clear(&rough);
    solved_clear(&middle);
    solved_clear(&fine);
}

static void point_source_spreads_as_k0(void **state)
{
    (void)state;
    /* a quarter of the plate: the source in the corner of insulated edges is whole by symmetry */
    solved of = solved_start(rectangle_grid(250, 250, 1));
    double conductance_w_k = 0.025, length_mm = 35, watts = 1;
    double loss_w_mm2k = conductance_w_k / (length_mm * length_mm);
    of.heat[0] = watts / 4 / loss_w_mm2k; /* 1 mm2 */
    solved_solve(&of, length_mm, NULL);
    /* Carslaw and Jaeger (from memory): P/(2 pi k t) K0(r/L); K0 from tables 9.8 of Abramowitz and
     * Stegun; values computed for P 1 W, k t 0.025 W/K, L 35 mm. Four cells of 1 mm about the
     * source, and r of ten cells and more: off by (cell/r)^2/12, 0.1 % at 10 mm; the far edges add
     * 2 K0(2 250/35), below 1e-4 of u at 70 mm */
    const double radii[][2] = {
        {10, 9.02303258}, {17.5, 5.88503459}, {35, 2.68032482}, {70, 0.72507091}};
    for (size_t i = 0; i < sizeof radii / sizeof *radii; i++) {
        assert_close(radii[i][1], gsl_sf_bessel_K0(radii[i][0] / 35) / (2 * M_PI * 0.025), 1e-8, 0);
        assert_close(solved_at(&of, radii[i][0], 0.5), radii[i][1], 0.002, 0);
        assert_close(solved_at(&of, radii[i][0] * M_SQRT1_2, radii[i][0] * M_SQRT1_2), radii[i][1],
                     0.002, 0);
    }
    solved_clear(&of);
}

static void bessel_functions_meet_their_tables(void **state)
{
    (void)state;
    /* Abramowitz and Stegun, tables 9.8 and 9.9: e^x K0(x) and K1(x), I0, I1 (recomputed); what the
     * other tests lean on */
    const double table[][5] = {{0.1, 2.682326102, 9.85384478087, 1.00250156293, 0.0500625260471},
                               {0.5, 1.524109386, 1.65644112000, 1.06348337074, 0.257894305391},
                               {1, 1.144463080, 0.601907230197, 1.26606587775, 0.565159103992},
                               {2, 0.841568215, 0.139865881817, 2.27958530234, 1.59063685464},
                               {5, 0.547807564, 0.00404461344545, 27.2398718236, 24.3356421425}};
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        double x = table[i][0];
        assert_close(gsl_sf_bessel_K0_scaled(x), table[i][1], 1e-9, 0);
        assert_close(gsl_sf_bessel_K1(x), table[i][2], 1e-11, 0);
        assert_close(gsl_sf_bessel_I0(x), table[i][3], 1e-11, 0);
        assert_close(gsl_sf_bessel_I1(x), table[i][4], 1e-11, 0);
    }
}

/* Share of a cell within radius_mm of the origin, by counting points. */
static double disc_share(double x_mm, double y_mm, double cell_mm, double radius_mm)
{
    enum { POINTS = 40 };
    int within = 0;
    for (int i = 0; i < POINTS * POINTS; i++)
        within += hypot(x_mm + ((i % POINTS + 0.5) / POINTS - 0.5) * cell_mm,
                        y_mm + ((i / POINTS + 0.5) / POINTS - 0.5) * cell_mm) < radius_mm;
    return (double)within / (POINTS * POINTS);
}

static void disc_source_spreads_as_bessel_functions(void **state)
{
    (void)state;
    double radius_mm = 5, length_mm = 35, conductance_w_k = 0.025;
    double heat_k =
        1 / (M_PI * radius_mm * radius_mm) / (conductance_w_k / (length_mm * length_mm));
    solved of = solved_start(rectangle_grid(250, 250, 1)); /* a quarter again */
    for (size_t node = 0; node < of.laid->nodes; node++) {
        size_t cell = of.laid->cell_of_node[node];
        if (cell_x_mm(of.laid, cell) < 8 && cell_y_mm(of.laid, cell) < 8)
            of.heat[node] = heat_k * disc_share(cell_x_mm(of.laid, cell), cell_y_mm(of.laid, cell),
                                                1, radius_mm);
    }
    solved_solve(&of, length_mm, NULL);
    /* Carslaw and Jaeger (from memory): inside s [1 - a/L K1(a/L) I0(r/L)], outside
     * s a/L I1(a/L) K0(r/L); values computed for 1 W, k t 0.025 W/K, L 35 mm, a 5 mm */
    const double radii[][2] = {{2.5, 15.58787675}, {5, 13.25945753}, {7.5, 10.76703548},
                               {10, 9.04607010},   {20, 5.20801178}, {35, 2.68716820}};
    double ratio = radius_mm / length_mm;
    for (size_t i = 0; i < sizeof radii / sizeof *radii; i++) {
        double r = radii[i][0] / length_mm;
        double closed = heat_k * (radii[i][0] <= radius_mm
                                      ? 1 - ratio * gsl_sf_bessel_K1(ratio) * gsl_sf_bessel_I0(r)
                                      : ratio * gsl_sf_bessel_I1(ratio) * gsl_sf_bessel_K0(r));
        assert_close(closed, radii[i][1], 1e-8, 0);
        /* u'' is 0.25 K/mm2 inside the disc: 1 mm cells, sampled between centres, miss up to
         * 1/8 u'' (1 mm)^2, 0.2 % of u */
        assert_close(solved_at(&of, radii[i][0] * M_SQRT1_2, radii[i][0] * M_SQRT1_2), radii[i][1],
                     0.004, 0);
    }
    /* at the centre, half a cell in */
    assert_close(of.rise[0], 16.36302739, 0.005, 0);
    solved_clear(&of);
}

static void strip_heated_at_one_end_falls_as_an_insulated_fin(void **state)
{
    (void)state;
    double length_mm = 22, strip_mm = 60;
    solved of = solved_start(rectangle_grid(strip_mm, 5, 0.5));
    solved_warm(&of, 0.25, 2.5, 0.5, 5, 731);
    solved_solve(&of, length_mm, NULL);
    /* any heat-transfer text, straight fin with insulated tip: u/u_b = cosh m(l - x)/cosh m l with
     * m = 1/L; on cells m is off by (cell/L)^2/24, 2e-5, m l by 6e-5 */
    double base = cosh((strip_mm - 1) / length_mm);
    for (double x = 3; x < strip_mm; x += 7.25)
        assert_close(solved_at(&of, x, 2.1) / solved_at(&of, 1, 2.1),
                     cosh((strip_mm - x) / length_mm) / base, 2e-4, 0);
    solved_clear(&of);
}

static void pin_fins_carry_the_watts_of_the_textbook(void **state)
{
    (void)state;
    /* F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, example on very
     * long rods (from memory, recomputed): d 5 mm, base 75 K over air, h 100 W/m2K; copper 8.3 W,
     * aluminium 5.6 W, stainless steel 1.6 W */
    const double rods[][3] = {{398, 8.3096, 8.3}, {180, 5.5882, 5.6}, {14, 1.5585, 1.6}};
    double diameter_m = 0.005, film_w_m2k = 100;
    for (size_t i = 0; i < 3; i++) {
        double length_mm = 1e3 * sqrt(rods[i][0] * diameter_m / (4 * film_w_m2k));
        double cell_mm = length_mm / 50;
        solved of = solved_start(rectangle_grid(8 * length_mm, cell_mm, cell_mm));
        double loss_w_k = film_w_m2k * M_PI * diameter_m * of.laid->cell_mm * 1e-3;
        of.heat[0] = rods[i][1] / loss_w_k;
        solved_solve(&of, length_mm, NULL);
        /* from the first centre back to the base: half a cell at the slope q/(k A), 1 % of it */
        double slope_k_mm = rods[i][1] / (rods[i][0] * M_PI * diameter_m * diameter_m / 4) * 1e-3;
        double base_k = of.rise[0] + slope_k_mm * of.laid->cell_mm / 2;
        assert_close(base_k, 75, 0.001, 0);
        assert_close(rods[i][1], rods[i][2], 0, 0.05); /* to the book's digits */
        solved_clear(&of);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rectangle_meets_its_cosine_series_at_12_mm),
        cmocka_unit_test(rectangle_meets_its_cosine_series_at_35_mm),
        cmocka_unit_test(rectangle_has_the_mean_rise_of_its_energy_balance),
        cmocka_unit_test(error_falls_fourfold_when_cells_halve),
        cmocka_unit_test(point_source_spreads_as_k0),
        cmocka_unit_test(bessel_functions_meet_their_tables),
        cmocka_unit_test(disc_source_spreads_as_bessel_functions),
        cmocka_unit_test(strip_heated_at_one_end_falls_as_an_insulated_fin),
        cmocka_unit_test(pin_fins_carry_the_watts_of_the_textbook),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

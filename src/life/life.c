/* The law of life: hours at a temperature, the factors of ripple and voltage, and the spread
 * between parts. Everything else of the room rests on these four formulas. */
#include "spotfield/life.h"

#include <math.h>

#include "spotfield/reading.h"

double sf_life_hours(double endurance_h, double rated_c, double temp_c, double floor_c)
{
    /* not fmax: it would turn an unknown temperature into the floor */
    double acting_c = temp_c < floor_c ? floor_c : temp_c;
    if (isnan(floor_c))
        return NAN;
    return endurance_h * exp2((rated_c - acting_c) / 10);
}

double sf_life_ripple_factor(double ripple_ratio, double rated_c)
{
    bool high_grade = rated_c >= 105;
    double rated_core_rise_k = sf_rated_core_rise_k(rated_c);
    double base = high_grade && ripple_ratio > 1 ? 4 : 2;
    return pow(base, (1 - ripple_ratio * ripple_ratio) * rated_core_rise_k / 10);
}

double sf_life_voltage_factor(double voltage_ratio, double exponent)
{
    if (isnan(voltage_ratio))
        return NAN;
    return pow(fmin(fmax(voltage_ratio, 0.6), 1), -exponent);
}

double sf_wear_share(double used, double shape, double at_rated)
{
    if (used <= 0)
        return 0;
    /* eta^-shape = -ln(1 - at_rated), so that F(1) = at_rated */
    return -expm1(log1p(-at_rated) * pow(used, shape));
}

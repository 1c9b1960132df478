/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* How strongly an infrared temperature hangs on what was assumed for it; used for its doubt. */
#ifndef SPOTFIELD_READINGS_INFRARED_H
#define SPOTFIELD_READINGS_INFRARED_H

/* |dT/de|, kelvin for a unit of emissivity, at a surface of temp_c that mirrors reflected_c. */
double infrared_k_per_emissivity(double temp_c, double emissivity, double reflected_c);

/* |dT/dR|, kelvin for a kelvin of the mirrored temperature. */
double infrared_k_per_reflected_k(double temp_c, double emissivity, double reflected_c);

/* How far the fourth-power law, which counts all wavelengths, may be off for an instrument that
 * sees 8 to 14 um: against the same balance by Planck's law at 10.4 um. That wavelength is chosen
 * to exceed the integral over the band by 10 to 12 %, at 40 to 100 C shown and any emissivity from
 * 0.1 up. Kelvin, not negative; arguments as sf_infrared_temp takes and gave them. */
double infrared_law_doubt_k(double shown_c, double emissivity, double reflected_c, double temp_c);

#endif

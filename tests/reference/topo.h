/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Heights of a stretch of land at 52 places, a data set that smoothing splines are tried on:
 * J. C. Davis, Statistics and Data Analysis in Geology, Wiley 1973, as carried by the
 * general-purpose R package MASS under the name `topo` (read in a public copy of its data sets;
 * sums of the columns 172.6, 167 and 43008). x to the east and y to the north in units of 50 ft, z
 * in ft. */
#ifndef SPOTFIELD_TESTS_REFERENCE_TOPO_H
#define SPOTFIELD_TESTS_REFERENCE_TOPO_H

#define TOPO_COUNT 52

static const double topo[TOPO_COUNT][3] = {
    {0.3, 6.1, 870}, {1.4, 6.2, 793}, {2.4, 6.1, 755}, {3.6, 6.2, 690}, {5.7, 6.2, 800},
    {1.6, 5.2, 800}, {2.9, 5.1, 730}, {3.4, 5.3, 728}, {3.4, 5.7, 710}, {4.8, 5.6, 780},
    {5.3, 5, 804},   {6.2, 5.2, 855}, {0.2, 4.3, 830}, {0.9, 4.2, 813}, {2.3, 4.8, 762},
    {2.5, 4.5, 765}, {3, 4.5, 740},   {3.5, 4.5, 765}, {4.1, 4.6, 760}, {4.9, 4.2, 790},
    {6.3, 4.3, 820}, {0.9, 3.2, 855}, {1.7, 3.8, 812}, {2.4, 3.8, 773}, {3.7, 3.5, 812},
    {4.5, 3.2, 827}, {5.2, 3.2, 805}, {6.3, 3.4, 840}, {0.3, 2.4, 890}, {2, 2.7, 820},
    {3.8, 2.3, 873}, {6.3, 2.2, 875}, {0.6, 1.7, 873}, {1.5, 1.8, 865}, {2.1, 1.8, 841},
    {2.1, 1.1, 862}, {3.1, 1.1, 908}, {4.5, 1.8, 855}, {5.5, 1.7, 850}, {5.7, 1, 882},
    {6.2, 1, 910},   {0.4, 0.5, 940}, {1.4, 0.6, 915}, {1.4, 0.1, 890}, {2.1, 0.7, 880},
    {2.3, 0.3, 870}, {3.1, 0, 880},   {4.1, 0.8, 960}, {5.4, 0.4, 890}, {6, 0.1, 860},
    {5.7, 3, 830},   {3.6, 6, 705},
};

#endif

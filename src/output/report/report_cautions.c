/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a page says of the danger: in a line at its head, and at length in a section. */
#include "output/report/report.h"
#include "output/set_words.h"

void report_warning(const char *where, text *into)
{
    text_addf(into,
              "<p class=\"warning\"><strong>Mains and stored charge can kill even when switched "
              "off.</strong> Isolate, discharge, and prove it dead. Read "
              "<a href=\"#cautions\">the cautions</a> before you reach into %s. These are "
              "estimates to guide maintenance, not a safety certificate.</p>\n",
              where);
}

static const char *const cautions[] = {
    "<strong>Mains and high voltage can kill even when switched off.</strong> Capacitors hold "
    "their charge, and recover some of it after a first discharge.",
    "Before touching: unplug, wait, discharge each reservoir through a resistor made for it, never "
    "by a screwdriver, and prove it dead with a meter that you have just proved on a live source. "
    "Then prove the meter on that source once more: one that died in between shows zero too. Do "
    "not trust a bleeder that is fitted.",
    "When the board must run while it is read: an isolating transformer, one hand, the other away "
    "from metal, insulated probes rated for the voltage, and nobody alone.",
    "Behind an isolating transformer a residual-current device no longer protects you, and an "
    "instrument whose case or probe is earthed ends the isolation. A variable autotransformer does "
    "not isolate at all.",
    "Cans, heat sinks and the pins on the solder side may be live. A can need not be at the "
    "potential of its negative lead.",
    "Anything at high voltage is read by infrared, from outside the no-touch areas; no bead is "
    "taped there.",
    "First power-up after a long rest: reform the electrolytics slowly, bring it up through a lamp "
    "limiter, never alone, from a distance, with an extinguisher for electrical fires at hand.",
    "Microwave ovens, picture tubes and photoflash units are not for the untrained: what they "
    "store kills at once.",
    "Turn no trimmer that was set in the factory: what it trims cannot be set back from this page.",
    "New electrolytic parts fitted the wrong way round burst. Mind the polarity, wear eye "
    "protection at the first switch-on.",
    "After the work, watch the equipment for its first hours: heat, smell, hum, and a current that "
    "creeps up. Do not leave it running alone on that day.",
    "Local codes and rules come first. Work on mains equipment belongs to those who are licensed "
    "for it where the law says so.",
    "The estimates guide maintenance. They are not a safety certificate, and a part they leave in "
    "place may still fail.",
};

/* `shown` is NULL on the page of a comparison, which is no map of one job. */
void report_cautions(const report *shown, text *into)
{
    text_add(into, "<ul class=\"cautions\">\n");
    if (shown && !shown->outcome->job->keepout_told)
        text_addf(into, "<li><strong>%s</strong></li>\n", keepout_question);
    for (size_t i = 0; i < sizeof cautions / sizeof *cautions; i++)
        text_addf(into, "<li>%s</li>\n", cautions[i]);
    text_add(into, "</ul>\n");
}

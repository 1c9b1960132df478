/* What a person must know before reaching into the board. */
#include "report/page.h"

static const char *const cautions[] = {
    "<strong>Mains and high voltage kill, also when the power is off.</strong> Capacitors hold "
    "their charge, and recover some of it after a first discharge.",
    "Before touching: unplug, wait, discharge each reservoir through a resistor made for it, never "
    "by a screwdriver, and prove it dead with a meter. Do not trust a bleeder that is fitted.",
    "When the board must run while it is read: an isolating transformer, one hand, the other away "
    "from metal, insulated probes rated for the voltage, and nobody alone.",
    "Anything at high voltage is read by infrared, from outside the no-touch areas; no bead is "
    "taped there.",
    "Turn no trimmer that was set in the factory: what it trims cannot be set back from this page.",
    "New electrolytic parts fitted the wrong way round burst. Mind the polarity, wear eye "
    "protection at the first switch-on.",
    "Local codes and rules come first. Work on mains equipment belongs to those who are licensed "
    "for it where the law says so.",
    "The estimates guide maintenance. They are no safety certificate, and a part they leave in "
    "place may still fail.",
};

/* `shown` is NULL on the page of a comparison, which is no map of one job. */
void page_cautions(const page *shown, text *into)
{
    text_add(into, "<ul class=\"cautions\">\n");
    if (shown && !shown->outcome->job->keepout_told)
        text_addf(into, "<li><strong>%s</strong></li>\n", keepout_question);
    for (size_t i = 0; i < sizeof cautions / sizeof *cautions; i++)
        text_addf(into, "<li>%s</li>\n", cautions[i]);
    text_add(into, "</ul>\n");
}

/* Makes the page, and counts in it. */
#include "report/page_text.h"

#include <string.h>

#include "core/text.h"
#include "report/tables.h"
#include "support/check.h"

char *page_of(const sf_outcome *outcome)
{
    text html = {0};
    report_html(outcome, &html);
    char *taken = text_take(&html);
    assert_non_null(taken);
    return taken;
}

size_t occurrences(const char *whole, const char *sought)
{
    size_t count = 0;
    for (const char *at = whole; (at = strstr(at, sought)); at += strlen(sought))
        count++;
    return count;
}

/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Where results go, and that they get there whole. */
#include "cli/result_folder.h"

#include <stdlib.h>
#include <unistd.h>

#include "cli/exits.h"
#include "cli/message.h"
#include "cli/system.h"
#include "core/folders.h"
#include "core/memory.h"

char *results_folder(const char *asked, const char *job_folder)
{
    return asked ? text_copy(asked) : path_join(job_folder, "out");
}

int results_check(const command *of, const char *folder)
{
    char *board = folder ? path_join(folder, "board.csv") : NULL;
    if (!board)
        return memory_short(of);
    bool is_job = access(board, F_OK) == 0;
    free(board);
    if (!folder[0])
        tell_usage(of, "--out needs the name of a folder");
    else if (is_job)
        tell_usage(of, "--out %s: there is a job in it, and the results would replace its files",
                   folder);
    return folder[0] && !is_job ? EX_OK : EX_USAGE;
}

/* New text; the stream's own memory may be short too. */
static sf_status put_into_words(const result_deed *deed, kept_words *kept)
{
    if (!words_begin(kept))
        return SF_ERROR_MEMORY;
    bool told = deed->tell(deed->context, kept->to) && !ferror(kept->to);
    told = words_end(kept) && told;
    return told ? SF_OK : SF_ERROR_MEMORY;
}

sf_status results_finish(const result_deed *deed)
{
    sf_diagnostics faults = {0};
    held_signals before;
    kept_words kept = {0};
    sf_status status = put_into_words(deed, &kept);
    if (status == SF_OK) {
        signals_hold(&before);
        status = deed->write(deed->context, &faults);
        signals_release(&before);
    }
    if (status == SF_OK) /* what goes wrong here shows when standard output is closed */
        fwrite(kept.words, 1, kept.length, stdout);
    tell_outcome(deed->of, status, &faults, NULL, deed->quiet);
    sf_diagnostics_clear(&faults);
    free(kept.words);
    return status;
}

/* Where results go, and that they get there whole. */
#include "cli/results.h"

#include <stdlib.h>
#include <sysexits.h>
#include <unistd.h>

#include "cli/message.h"
#include "core/memory.h"
#include "core/path.h"

char *results_folder(const char *asked, const char *job_folder)
{
    return asked ? text_copy(asked) : path_join(job_folder, "out");
}

static int memory_short(const command *of)
{
    const sf_complaints none = {0};
    tell_outcome(of, SF_ERROR_MEMORY, &none, NULL, false);
    return exit_status(SF_ERROR_MEMORY);
}

int results_check(const command *of, const char *folder)
{
    char *board = folder ? path_join(folder, "board.csv") : NULL;
    if (!board)
        return memory_short(of);
    bool is_job = access(board, F_OK) == 0;
    free(board);
    if (!folder[0])
        tell_usage(of, "--out wants the name of a folder");
    else if (is_job)
        tell_usage(of, "--out %s: a job stands there, the results would replace its files", folder);
    return folder[0] && !is_job ? EX_OK : EX_USAGE;
}

void signals_hold(sigset_t *before)
{
    sigset_t ending;
    sigemptyset(&ending);
    sigaddset(&ending, SIGINT);
    sigaddset(&ending, SIGTERM);
    sigaddset(&ending, SIGHUP);
    sigaddset(&ending, SIGQUIT);
    pthread_sigmask(SIG_BLOCK, &ending, before);
}

void signals_release(const sigset_t *before)
{
    pthread_sigmask(SIG_SETMASK, before, NULL);
}

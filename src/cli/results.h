/* The folder that results go to. */
#ifndef SPOTFIELD_CLI_RESULTS_H
#define SPOTFIELD_CLI_RESULTS_H

#include <signal.h>
#include <stdbool.h>

#include "cli/command.h"

/* The folder that was asked for, else JOB/out; new text, NULL when memory is short. */
char *results_folder(const char *asked, const char *job_folder);

/* EX_OK where results may go there; where a job stands they would replace its files. NULL: memory
 * was short. What stands against it is told, and the exit status that goes with it answered. */
int results_check(const command *of, const char *folder);

/* Holds back the signals that end the program while a folder is between two states. */
void signals_hold(sigset_t *before);
void signals_release(const sigset_t *before);

#endif

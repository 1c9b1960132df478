/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The program's system as Windows has it: no signals but Ctrl-C, no modes, and no process that goes
 * on from where another stands, so that tasks are done one after another. Only its syntax is
 * checked. */
#include "cli/system.h"

#include <windows.h>

#include <fcntl.h>
#include <io.h>
#include <stdlib.h>

#include "cli/crew.h"
#include "cli/progress.h"
#include "core/memory.h"

/* --- Ctrl-C, and a console that is closed; Windows tells of them in a thread of its own --- */

static HANDLE ending;         /* set once one has come */
static volatile LONG holders; /* so many hold it back */

static BOOL WINAPI note_ending(DWORD what)
{
    (void)what;
    if (InterlockedCompareExchange(&holders, 0, 0) == 0)
        return FALSE; /* the program ends */
    SetEvent(ending);
    return TRUE;
}

void system_begin(void)
{
    _setmode(_fileno(stdout), _O_BINARY); /* the same bytes as anywhere */
    ending = CreateEventA(NULL, TRUE, FALSE, NULL);
    if (ending)
        SetConsoleCtrlHandler(note_ending, TRUE);
}

void signals_hold(held_signals *of)
{
    of->before[0] = 1;
    InterlockedIncrement(&holders);
}

/* No thread of the program gets any. */
void signals_hold_all(held_signals *of)
{
    of->before[0] = 0;
}

void signals_release(const held_signals *of)
{
    if (of->before[0] && InterlockedDecrement(&holders) == 0 && ending &&
        WaitForSingleObject(ending, 0) == WAIT_OBJECT_0)
        exit(EXIT_FAILURE);
}

void signals_await(void)
{
    WaitForSingleObject(ending, INFINITE);
    ResetEvent(ending);
}

/* --- streams --- */

bool output_reader_gone(void)
{
    return false; /* the write that meets it fails */
}

bool words_begin(kept_words *of)
{
    *of = (kept_words){.to = tmpfile()};
    return of->to != NULL;
}

bool words_end(kept_words *of)
{
    long length = ftell(of->to);
    of->length = length > 0 ? (size_t)length : 0;
    of->words = array_new(of->length + 1, 1);
    rewind(of->to);
    bool kept = length >= 0 && of->words && fread(of->words, 1, of->length, of->to) == of->length;
    return fclose(of->to) == 0 && kept;
}

/* --- modes --- */

void withhold_as_job(const char *folder)
{
    (void)folder;
}

/* --- tasks --- */

sf_status crew_run(const crew *of)
{
    for (size_t task = 0; task < of->count; task++) {
        char line[PROGRESS_WIDTH + 1];
        snprintf(line, sizeof line, "%s: %zu of %zu done", of->doing, task, of->count);
        progress_put(line);
        int status = of->run(of->context, task);
        progress_put("");
        of->ended(of->context, task, status);
    }
    return SF_OK;
}

void *crew_memory(size_t count, size_t size)
{
    return array_new(count, size);
}

void crew_memory_free(void *memory, size_t count, size_t size)
{
    (void)count;
    (void)size;
    free(memory);
}

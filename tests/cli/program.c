/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Running the built program as a user does. */
#include "program.h"

#include "support/check.h"

#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

const char *program_path;

/* A run that takes longer hangs. */
enum { SECONDS_MAX = 120, WORDS_MAX = 300 };

/* Where the two outputs go. */
typedef struct outlets {
    FILE *out, *message;
    int terminal; /* our end of it; -1: none */
} outlets;

static int open_terminal(void)
{
    int ours = posix_openpt(O_RDWR | O_NOCTTY);
    assert_true(ours >= 0);
    assert_int_equal(grantpt(ours), 0);
    assert_int_equal(unlockpt(ours), 0);
    return ours;
}

static int open_for(const surroundings *about, const outlets *to)
{
    int ends[2];
    if (about->out_path)
        return open(about->out_path, O_WRONLY);
    if (!about->reader_gone)
        return dup(fileno(to->out));
    if (pipe(ends) != 0)
        return -1;
    close(ends[0]);
    signal(SIGPIPE, SIG_IGN);
    return ends[1];
}

/* In the child. */
static void set_surroundings(const surroundings *about, const outlets *to)
{
    int out = open_for(about, to);
    int message = to->terminal >= 0 ? open(ptsname(to->terminal), O_RDWR | O_NOCTTY)
                                    : dup(fileno(to->message));
    setenv("TERM", "xterm", 1);
    unsetenv("NO_COLOR");
    if (about->variables)
        putenv((char *)(uintptr_t)about->variables);
    if (out < 0 || message < 0 || dup2(out, STDOUT_FILENO) < 0 || dup2(message, STDERR_FILENO) < 0)
        _exit(126);
    alarm(SECONDS_MAX);
}

static void become_program(const char *const *words)
{
    const char *arguments[WORDS_MAX + 2] = {program_path};
    for (size_t i = 0; i < WORDS_MAX && words[i]; i++)
        arguments[i + 1] = words[i];
    execv(program_path, (char *const *)(uintptr_t)arguments);
    _exit(127);
}

static char *read_file(FILE *from)
{
    assert_int_equal(fseek(from, 0, SEEK_END), 0);
    long length = ftell(from);
    assert_true(length >= 0);
    rewind(from);
    char *bytes = calloc((size_t)length + 1, 1);
    assert_non_null(bytes);
    assert_int_equal(fread(bytes, 1, (size_t)length, from), length);
    return bytes;
}

/* A terminal answers an error once nobody holds its other end. */
static void copy_terminal(int terminal, FILE *to)
{
    char bytes[4096];
    for (ssize_t count; (count = read(terminal, bytes, sizeof bytes)) > 0;)
        assert_int_equal(fwrite(bytes, 1, (size_t)count, to), count);
}

static void interrupt(pid_t child, const char *when_there)
{
    const struct timespec pause = {.tv_nsec = 100000};
    for (int i = 0; i < SECONDS_MAX * 1000 && access(when_there, F_OK) != 0; i++)
        nanosleep(&pause, NULL);
    kill(child, SIGINT);
}

/* Words for the program, or a function in its place. */
static ended run_child(const surroundings *about, const char *const *words, void (*function)(void))
{
    outlets to = {tmpfile(), tmpfile(), about->terminal ? open_terminal() : -1};
    int status = 0;
    signal(SIGINT, SIG_DFL); /* what a shell starts in the background has it ignored */
    assert_non_null(to.out);
    assert_non_null(to.message);
    fflush(NULL);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        set_surroundings(about, &to);
        if (words)
            become_program(words);
        function();
        exit(0); /* not _exit: what was covered is noted at the end */
    }
    if (about->interrupt_at)
        interrupt(child, about->interrupt_at);
    if (to.terminal >= 0) {
        copy_terminal(to.terminal, to.message);
        close(to.terminal);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    ended run = {WIFEXITED(status) ? WEXITSTATUS(status) : -1, read_file(to.out),
                 read_file(to.message)};
    fclose(to.out);
    fclose(to.message);
    return run;
}

ended run_in(const surroundings *about, const char *const *words)
{
    return run_child(about, words, NULL);
}

ended run_function_in(const surroundings *about, void (*function)(void))
{
    return run_child(about, NULL, function);
}

void ended_free(ended *run)
{
    free(run->out);
    free(run->message);
}

void check_has(const char *whole, const char *part, const char *file, int line)
{
    if (strstr(whole, part))
        return;
    print_error("no \"%s\" in:\n%s\n", part, whole);
    _fail(file, line);
}

void check_has_not(const char *whole, const char *part, const char *file, int line)
{
    if (!strstr(whole, part))
        return;
    print_error("\"%s\" in:\n%s\n", part, whole);
    _fail(file, line);
}

void check_ends(ended run, int status, const char *message, const char *file, int line)
{
    if (run.status != status)
        print_error("exit status %d, expected %d; said:\n%s\n", run.status, status, run.message);
    bool same = run.status == status;
    check_has(run.message, message, file, line);
    ended_free(&run);
    if (!same)
        _fail(file, line);
}

/* make_boards OUT --boards N --readings K --seed S [--unlisted]: writes N invented job folders
 * with their truth, OUT/board-001 and so on; the same seed makes the same boards. */
#include <errno.h>
#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "benchmark/invented.h"

typedef struct options {
    const char *folder;
    size_t boards, readings;
    unsigned long seed;
    bool unlisted;
} options;

static FILE *file_open(const char *folder, const char *name)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return fopen(path, "w");
}

static bool file_close(FILE *written)
{
    bool whole = !ferror(written);
    return fclose(written) == 0 && whole;
}

static bool board_write(const invented *board, const char *folder, size_t number)
{
    FILE *into = file_open(folder, "board.csv");
    if (!into)
        return false;
    fprintf(into, "key,value,unit\nname,invented board %zu,\n", number);
    fprintf(into, "width,%g,mm\nheight,%g,mm\n", board->width_mm, board->height_mm);
    fprintf(into, "grade,%s,\nthickness,%g,mm\n", board->grade, board->copper.thickness_mm);
    fprintf(into, "copper_layers,%d,\ncopper_thickness,%g,um\n", board->copper.layers,
            board->copper.thickness_um);
    fprintf(into, "copper_cover,%g,%%\nair,still,\n", board->cover_written_pct);
    fprintf(into, "ambient,%.1f,C\nservice_ambient,%.1f,C\n", board->loss.ambient_c,
            board->service_ambient_c);
    fprintf(into, "run_hours,%g,h\nmade,2001,\nsurveyed,2026-02-20,\n", board->run_hours);
    fprintf(into, "hours_per_year,1800,h\nservice_goal,12000,h\n");
    return file_close(into);
}

static bool outline_write(const invented *board, const char *folder)
{
    FILE *into = file_open(folder, "outline.csv");
    if (!into)
        return false;
    fprintf(into, "ring,x_mm,y_mm\n");
    for (size_t i = 0; i < board->ring_count; i++)
        for (size_t j = 0; j < board->rings[i].count; j++)
            fprintf(into, "%zu,%.1f,%.1f\n", i, board->rings[i].points[j].x_mm,
                    board->rings[i].points[j].y_mm);
    return file_close(into);
}

static bool sources_write(const invented *board, const char *folder)
{
    FILE *into = file_open(folder, "sources.csv");
    if (!into)
        return false;
    fprintf(into, "ref,x_mm,y_mm,width_mm,height_mm,angle_deg,power_w,power_u_w\n");
    for (size_t i = 0; i < board->source_count; i++) {
        const invented_source *source = &board->sources[i];
        if (!source->listed)
            continue;
        fprintf(into, "H%zu,%.1f,%.1f,%.1f,%.1f,0,", i + 1, source->x_mm, source->y_mm,
                source->width_mm, source->height_mm);
        if (isnan(source->power_w))
            fprintf(into, ",\n");
        else
            fprintf(into, "%.2f,%.2f\n", source->power_w, source->power_sd_w);
    }
    return file_close(into);
}

static bool readings_write(const invented *board, const char *folder)
{
    FILE *into = file_open(folder, "readings.csv");
    if (!into)
        return false;
    fprintf(into, "id,x_mm,y_mm,value,unit,method,spot,u_k\n");
    for (size_t i = 0; i < board->reading_count; i++)
        fprintf(into, "t%zu,%.1f,%.1f,%.1f,C,thermocouple-K,board,0.8\n", i + 1,
                board->readings[i].x_mm, board->readings[i].y_mm, board->readings[i].value_c);
    return file_close(into);
}

static bool parts_write(const invented *board, const char *folder)
{
    FILE *into = file_open(folder, "parts.csv");
    if (!into)
        return false;
    fprintf(into, "ref,x_mm,y_mm,diameter_mm,capacitance_uf,rated_v,rated_c,endurance_h,"
                  "critical,year\n");
    for (size_t i = 0; i < PARTS; i++) {
        const invented_part *part = &board->parts[i];
        fprintf(into, "C%zu,%.1f,%.1f,%g,%g,%g,%g,%g,%s,2001\n", i + 1, part->x_mm, part->y_mm,
                part->diameter_mm, part->capacitance_uf, part->rated_v, part->rated_c,
                part->endurance_h, part->critical ? "yes" : "no");
    }
    return file_close(into);
}

/* Temperature in service is the rise of the bench over the air of the cabinet; the share of life
 * used goes by the 10-kelvin rule without credit below 40 C (common practice, no source). */
static bool truth_write(const invented *board, const char *folder)
{
    FILE *into = file_open(folder, "truth.csv");
    if (!into)
        return false;
    fprintf(into, "ref,temp_c,used\n");
    for (size_t i = 0; i < PARTS; i++) {
        const invented_part *part = &board->parts[i];
        double temp_c = board->service_ambient_c + plate_rise(board->truth, part->x_mm, part->y_mm);
        double life_h = part->endurance_h * exp2((part->rated_c - fmax(temp_c, 40)) / 10);
        fprintf(into, "C%zu,%.3f,%.5f\n", i + 1, temp_c, board->run_hours / life_h);
    }
    return file_close(into);
}

static bool folder_make(const char *path)
{
    return mkdir(path, 0777) == 0 || errno == EEXIST;
}

static bool job_write(const invented *board, const char *folder, size_t number)
{
    return folder_make(folder) && board_write(board, folder, number) &&
           outline_write(board, folder) && sources_write(board, folder) &&
           readings_write(board, folder) && parts_write(board, folder) &&
           truth_write(board, folder);
}

/* Each board has a seed of its own, so that the fifth is the same however many are made. */
static bool one_make(const options *asked, size_t number, gsl_rng *chance)
{
    char folder[4000];
    snprintf(folder, sizeof folder, "%s/board-%03zu", asked->folder, number);
    gsl_rng_set(chance, asked->seed * 1000003ul + number);
    invented board;
    sf_status status = invented_make(&board, asked->readings, asked->unlisted, chance);
    bool written = status == SF_OK && job_write(&board, folder, number);
    if (!written)
        fprintf(stderr, "make_boards: %s: %s\n", folder,
                status == SF_OK ? strerror(errno) : sf_status_text(status));
    invented_clear(&board);
    return written;
}

static bool number_read(const char *words, unsigned long least, unsigned long most,
                        unsigned long *number)
{
    char *end;
    errno = 0;
    *number = strtoul(words, &end, 10);
    return errno == 0 && end != words && *end == '\0' && *number >= least && *number <= most;
}

static bool options_read(options *asked, int count, char **words)
{
    unsigned long boards = 12, readings = 12;
    for (int i = 1; i < count; i++) {
        const char *next = i + 1 < count ? words[i + 1] : "";
        if (strcmp(words[i], "--unlisted") == 0)
            asked->unlisted = true;
        else if (strcmp(words[i], "--boards") == 0 && number_read(next, 1, 999, &boards))
            i++;
        else if (strcmp(words[i], "--readings") == 0 &&
                 number_read(next, 1, READINGS_MOST, &readings))
            i++;
        else if (strcmp(words[i], "--seed") == 0 && number_read(next, 0, 1000000, &asked->seed))
            i++;
        else if (words[i][0] != '-' && !asked->folder)
            asked->folder = words[i];
        else
            return false;
    }
    asked->boards = boards;
    asked->readings = readings;
    return asked->folder != NULL;
}

int main(int count, char **words)
{
    options asked = {.seed = 1};
    if (!options_read(&asked, count, words)) {
        fprintf(stderr, "usage: make_boards OUT [--boards N] [--readings K] [--seed S] "
                        "[--unlisted]\n");
        return 64;
    }
    gsl_set_error_handler_off();
    gsl_rng *chance = gsl_rng_alloc(gsl_rng_mt19937);
    bool done = chance && folder_make(asked.folder);
    if (!done)
        fprintf(stderr, "make_boards: %s: %s\n", asked.folder, strerror(errno));
    for (size_t i = 1; done && i <= asked.boards; i++)
        done = one_make(&asked, i, chance);
    if (chance)
        gsl_rng_free(chance);
    return done ? 0 : 73;
}

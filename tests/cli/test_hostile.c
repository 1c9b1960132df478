/* Input that no survey ever wrote: every run ends by itself, with 65 or 66 of <sysexits.h> and a
 * message that names the file, and writes nothing. */
#include "support/check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/text.h"
#include "job_folder.h"
#include "program.h"
#include "spotfield/job.h"

/* A file that is wrong by itself. */
typedef struct hostile {
    const char *file, *content;
} hostile;

static const hostile files[] = {
    {"board.csv", ""},
    {"board.csv", "\n\n\n"},
    {"board.csv", "key,value,unit\nwidth,nan,mm\nheight,inf,mm\nambient,1e999,C\n"},
    {"board.csv", "key,value,unit\nwidth,0,mm\nheight,1e-300,mm\nambient,20,C\n"},
    {"board.csv", "key,value,unit\nwidth,90000,mm\nheight,90000,mm\nambient,20,C\n"},
    {"board.csv", "PK\003\004 a spreadsheet, not CSV"},
    {"parts.csv", "ref,x_mm,y_mm\nC1,\"12,3\n"},
    {"parts.csv", "ref,x_mm,y_mm\nC1,%n%s%n,\033[2J\n"},
    {"parts.csv", "ref,x_mm,y_mm\nC1,-1e308,1e308\n"},
    {"parts.csv", "ref;x_mm,y_mm\nC1;1,2;3\n"},
    {"parts.csv", "\xFF\xFE"
                  "r\0e\0f"},
    {"parts.csv", "ref,x_mm,y_mm\nC\xC0\xAF,3,4\n"},
    {"parts.csv", "ref,ref,x_mm,x_mm,y_mm\nC1,C2,1,2,3\n"},
    {"readings.csv", "id,x_mm,y_mm,value,unit,method,spot\n"},
    {"readings.csv", "id,x_mm,y_mm,value,unit,method,spot\nr,9,9,-500,C,thermocouple-K,board\n"},
    {"readings.csv", "id,x_mm,y_mm,value,unit,method,spot\nr,9,9,50,C,thermocouple-K,source\n"},
    {"sources.csv", "ref,x_mm,y_mm,width_mm,height_mm,power_w\nU1,9,9,0,-3,-1e9\n"},
    {"outline.csv", "ring,x_mm,y_mm\n0,0,0\n0,90,70\n0,90,0\n0,0,70\n"},
    {"outline.csv", "ring,x_mm,y_mm\n0,0,0\n0,90,0\n"},
    {"policy.csv", "key,value,unit\nwear_shape,0,\n"},
    {"history.csv", "hours,service_ambient,load\n-1,1e9,nan\n"},
    {"controls.csv", "value_uf,measured_uf\n0,0\n"},
};

/* Both commands; `folder` is removed. */
static void expect_refusal(const char *folder, const char *file, int status)
{
    assert_ends(status, in_folder(folder, file), "check", folder);
    assert_ends(status, in_folder(folder, file), "map", folder);
    assert_int_not_equal(access(in_folder(folder, "out"), F_OK), 0);
    remove_folder(folder);
}

static void what_is_no_job_is_refused_with_the_name_of_the_file(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        char folder[PATH_BYTES];
        lay_job(folder);
        write_file(folder, files[i].file, files[i].content);
        ended map = run("map", folder);
        if (map.status != 65)
            fail_msg("file %zu, %s, ends with %d:\n%s", i, files[i].file, map.status, map.message);
        assert_has(map.message, in_folder(folder, files[i].file));
        assert_has_not(map.message, "\033");
        assert_int_not_equal(access(in_folder(folder, "out"), F_OK), 0);
        ended_free(&map);
        remove_folder(folder);
    }
}

static void a_file_of_nul_bytes_is_refused(void **state)
{
    (void)state;
    static const char nothing[4099];
    char folder[PATH_BYTES];
    lay_job(folder);
    FILE *file = fopen(in_folder(folder, "parts.csv"), "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(nothing, 1, sizeof nothing, file), sizeof nothing);
    assert_int_equal(fclose(file), 0);
    expect_refusal(folder, "parts.csv", 65);
}

static void a_folder_a_pipe_or_a_device_is_not_read_as_a_file(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    unlink(in_folder(folder, "parts.csv"));
    assert_int_equal(mkdir(in_folder(folder, "parts.csv"), 0777), 0);
    expect_refusal(folder, "parts.csv", 66);
    lay_job(folder);
    unlink(in_folder(folder, "readings.csv"));
    assert_int_equal(mkfifo(in_folder(folder, "readings.csv"), 0666), 0);
    expect_refusal(folder, "readings.csv", 66);
    lay_job(folder);
    unlink(in_folder(folder, "board.csv"));
    assert_int_equal(symlink("/dev/zero", in_folder(folder, "board.csv")), 0);
    expect_refusal(folder, "board.csv", 66);
}

static void a_cell_beyond_the_limit_of_the_format_is_refused(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    text content = {0};
    lay_job(folder);
    text_add(&content, "ref,x_mm,y_mm\nC");
    for (size_t i = 0; i < SF_FIELD_BYTES_MAX / 8 + 1; i++)
        text_add(&content, "7777777 ");
    text_add(&content, ",3,4\n");
    write_file(folder, "parts.csv", content.bytes);
    text_clear(&content);
    expect_refusal(folder, "parts.csv", 65);
}

static void more_columns_than_the_format_allows_are_refused(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    text content = {0};
    lay_job(folder);
    text_add(&content, "ref,x_mm,y_mm");
    for (size_t i = 0; i < 9973; i++)
        text_addf(&content, ",c%zu", i);
    text_add(&content, "\nC1,3,4\n");
    write_file(folder, "parts.csv", content.bytes);
    text_clear(&content);
    expect_refusal(folder, "parts.csv", 65);
}

/* Cells that begin so are run as formulas by spreadsheets: common practice, no source. */
static void references_that_are_formulas_are_disarmed_in_kit_and_tables(void **state)
{
    (void)state;
    static const char *const begins[] = {"=", "+", "-", "@"};
    for (size_t i = 0; i < sizeof begins / sizeof *begins; i++) {
        char folder[PATH_BYTES], ref[24], kit_cell[24], part_row[24];
        lay_job(folder);
        snprintf(ref, sizeof ref, "%s1+C15,14", begins[i]);
        snprintf(kit_cell, sizeof kit_cell, ",'%s1+C15,", begins[i]);
        snprintf(part_row, sizeof part_row, "\n'%s1+C15,", begins[i]);
        change_file(folder, "parts.csv", "C15,14", ref);
        ended said = run("map", folder, "--quiet");
        assert_int_equal(said.status, 0);
        char *kit = bytes_of(in_folder(folder, "out/kit.csv"), NULL);
        char *parts = bytes_of(in_folder(folder, "out/parts.csv"), NULL);
        assert_has(kit, kit_cell);
        assert_has(parts, part_row);
        free(kit);
        free(parts);
        ended_free(&said);
        remove_folder(folder);
    }
}

int main(int count, char **words)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_no_job_is_refused_with_the_name_of_the_file),
        cmocka_unit_test(a_file_of_nul_bytes_is_refused),
        cmocka_unit_test(a_folder_a_pipe_or_a_device_is_not_read_as_a_file),
        cmocka_unit_test(a_cell_beyond_the_limit_of_the_format_is_refused),
        cmocka_unit_test(more_columns_than_the_format_allows_are_refused),
        cmocka_unit_test(references_that_are_formulas_are_disarmed_in_kit_and_tables),
    };
    if (count != 2)
        return 64;
    program_path = words[1];
    return cmocka_run_group_tests_name("hostile", tests, NULL, NULL);
}

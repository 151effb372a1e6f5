#include "catalogue/files.h"

#include "tests/unit/catalogue/folder.h"

static char *check(const struct folder *f, bool *fine)
{
    char path[128], *said = NULL;
    size_t size;
    snprintf(path, sizeof path, "%s/poised.conf", f->dir);
    FILE *out = open_memstream(&said, &size);
    *fine = files_check(path, NULL, out);
    fclose(out);
    return said;
}

static int setup(void **state)
{
    struct folder *f = calloc(1, sizeof *f);
    folder_make(f);
    *state = f;
    return 0;
}

static int teardown(void **state)
{
    folder_remove(*state);
    free(*state);
    return 0;
}

static void a_good_configuration_and_its_files_say_nothing(void **state)
{
    struct folder *f = *state;
    bool fine;
    folder_write(f, "poised.conf", "[shop]\ndata = .\n[station bench]\nport = tcp:127.0.0.1:4001\n");
    folder_write(f, "a.ini", "[toner N10]\nname = White\n");
    char *said = check(f, &fine);
    assert_true(fine);
    assert_string_equal(said, "");
    free(said);
}

static void every_error_of_all_files_is_one_line(void **state)
{
    struct folder *f = *state;
    bool fine;
    char want[1024];
    folder_write(f, "poised.conf",
                 "[shop]\ndata = .\n[station bench]\nport = tcp:127.0.0.1:4001\nd_g = 0.1\n"
                 "tolerance_g = 0.01\n");
    folder_write(f, "a.ini", "[toner N10]\nvoc_pct = 142\n");
    folder_write(f, "b.ini", "[cup 0.4]\nml = 400\n tare_g = 18\n");
    char *said = check(f, &fine);
    assert_false(fine);
    snprintf(want, sizeof want,
             "%s/poised.conf:6: tolerance_g: no reading could meet it: 0.01 g on a scale of 0.1 g. Give at least half "
             "of d_g, 0.05 g; d_g itself is usual.\n"
             "%s/./a.ini:2: voc_pct: must be from 0 to 100. Give a number from 0 to 100.\n"
             "%s/./b.ini:3: the line is indented. Begin it at the left edge.\n",
             f->dir, f->dir, f->dir);
    assert_string_equal(said, want);
    free(said);
}

static void a_folder_that_is_not_there_is_said_once_at_its_line(void **state)
{
    struct folder *f = *state;
    bool fine;
    char want[256];
    folder_write(f, "poised.conf", "[shop]\n\ndata = nowhere\n");
    char *said = check(f, &fine);
    assert_false(fine);
    snprintf(want, sizeof want,
             "%s/poised.conf:3: data: %s/nowhere: no such file. Correct the path; it is relative to this "
             "file.\n",
             f->dir, f->dir);
    assert_string_equal(said, want);
    free(said);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_good_configuration_and_its_files_say_nothing, setup, teardown),
        cmocka_unit_test_setup_teardown(every_error_of_all_files_is_one_line, setup, teardown),
        cmocka_unit_test_setup_teardown(a_folder_that_is_not_there_is_said_once_at_its_line, setup, teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* sqlite_insert [N]: how long one durable row takes with nothing around it. Prints p50 and p99 in microseconds. */
#include "tests/bench/insert.h"

int main(int argc, char **argv)
{
    long wanted = argc > 1 ? strtol(argv[1], NULL, 10) : 1000;
    size_t count = wanted > 0 && wanted <= 1000000 ? (size_t)wanted : 1000;
    double *us = calloc(count, sizeof *us);
    struct world w;
    struct insert insert;
    char path[WORLD_PATH + 16];
    if (!us)
        world_fail("no memory");
    world_make(&w);
    snprintf(path, sizeof path, "%s/bare.db", w.dir);
    insert_open(&insert, path);
    for (size_t i = 0; i < count; i++)
        us[i] = (double)insert_one(&insert) / 1000;
    insert_close(&insert);
    world_remove(&w);
    printf("bare insert, %zu commits: p50 %.0f us, p99 %.0f us\n", count, world_part(us, count, 0.5),
           world_part(us, count, 0.99));
    free(us);
    return 0;
}

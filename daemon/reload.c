/* reload.c - SIGHUP: reads and checks as `poised --check` does, and only then lets anything change. It must not know
 * which settings may. */
#include "reload.h"

#include "bench/bench.h"
#include "catalogue/files.h"
#include "config_reload.h"
#include "config_settings.h"
#include "daemon.h"
#include "log.h"

#include <stdlib.h>

/* A config_left. */
static void left(void *arg, const char *station, const char *key)
{
    (void)arg;
    log_warnx("%s%s%s changed in the configuration; it takes effect after a restart", station, *station ? ": " : "",
              key);
}

/* A profile that a station names must be known, as at the start. */
static void check_profiles(const struct config *c, struct file_faults *faults)
{
    for (size_t i = 0; i < c->station_count; i++) {
        struct file_fault fault = {0};
        free(declared_family(c, &c->station[i], &fault));
        if (fault.why[0])
            file_faults_add(faults, fault.file, fault.line, fault.field, fault.said);
    }
}

/* Each fault on a line of its own, as --check prints it, behind what it is about. */
static void say_faults(const struct file_faults *faults)
{
    for (size_t i = 0; i < faults->count; i++) {
        fputs("poised: warning: ", stderr);
        file_fault_print(&faults->fault[i], words_language_of_environment(), stderr);
    }
    log_warnx("the configuration was not read again: %zu %s, nothing changed", faults->count,
              faults->count == 1 ? "fault" : "faults");
}

/* One SIGHUP on its way: the configuration is read on the loop, its files on a helper thread. */
struct reading {
    struct store_task task;
    struct daemon *daemon;
    struct config config; /* `data` is the helper thread's while it runs */
    struct file_faults faults;
    struct files_taking *write; /* NULL: `unread`, or a fault of the files */
    struct fault unread;
};

static void on_written(void *arg, const struct store_outcome *outcome)
{
    (void)arg;
    if (outcome->result == STORE_DONE)
        log_info("the configuration was read again");
    else if (outcome->result != STORE_DEAD) /* then the daemon ends and says so */
        log_warnx("the configuration was read again, but its files were not taken in: %s",
                  outcome->why ? outcome->why : "write refused");
}

/* On a helper thread. What could not be looked up is not unknown: the files are not at fault then. */
static void read_files(struct store_task *t, struct store *view)
{
    struct reading *r = (struct reading *)(void *)t;
    struct file_items items = {0};
    const char *data = r->config.data;
    size_t changed;
    uint64_t before = store_unread(view);
    if (*data)
        files_read_all(&data, 1, files_known_by_store, view, &items, &r->faults);
    if (catalogue_was_read(view, before, &r->unread) && r->faults.count == 0)
        r->write = files_taking_new(view, &items, NULL, "poised", &changed, &r->unread);
    file_items_finish(&items);
}

static void finish(struct reading *r)
{
    file_faults_finish(&r->faults);
    free(r);
}

/* On the loop: all is read and well, or nothing changes. */
static void take_over(struct store_task *t)
{
    struct reading *r = (struct reading *)(void *)t;
    if (r->write) {
        config_take_over(&r->daemon->config, &r->config, left, NULL);
        if (!settings_load(&r->daemon->config, t->store)) /* what the file does not set may have been set at a screen */
            log_warnx("the settings kept at screens could not be read again: %s", store_why(t->store));
        bench_settings_changed(r->daemon);
        files_taking_write(r->write, t->store, on_written, NULL);
    } else if (r->unread.kind != FAULT_NONE) {
        log_warnx("the configuration was not read again: %s", r->unread.message);
    } else {
        say_faults(&r->faults);
    }
    finish(r);
}

void reload(struct daemon *d, const char *path)
{
    struct reading *r = calloc(1, sizeof *r);
    if (!r) {
        log_warnx("the configuration was not read again: out of memory");
        return;
    }
    r->daemon = d;
    bool fine = config_read_all(path, &r->config, &r->faults);
    check_profiles(&r->config, &r->faults);
    if (fine && r->faults.count == 0) {
        r->task.run = read_files;
        r->task.end = take_over;
        store_task_start(d->store, STORE_SLOW, &r->task);
        return;
    }
    say_faults(&r->faults);
    finish(r);
}

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

static void on_imported(void *arg, const struct store_outcome *outcome)
{
    (void)arg;
    if (outcome->result == STORE_DONE)
        log_info("the configuration was read again");
    else if (outcome->result != STORE_DEAD) /* then the daemon ends and says so */
        log_warnx("the configuration was read again, but its files were not taken in: %s",
                  outcome->why ? outcome->why : "write refused");
}

/* What the files say now becomes new revisions, in one write. */
static void take_over(struct daemon *d, struct config *fresh, const struct file_items *items)
{
    struct fault fault;
    size_t changed;
    config_take_over(&d->config, fresh, left, NULL);
    if (!settings_load(&d->config, d->store)) /* what the file does not set may have been set at a screen */
        log_warnx("the settings kept at screens could not be read again: %s", store_why(d->store));
    if (!files_import(d->store, items, NULL, "poised", on_imported, NULL, &changed, &fault))
        log_warnx("the configuration was read again, but not its files: %s", fault.message);
}

void reload(struct daemon *d, const char *path)
{
    struct config *fresh = calloc(1, sizeof *fresh);
    struct file_items items = {0};
    struct file_faults faults = {0};
    struct fault unread;
    uint64_t before = store_unread(d->store);
    if (!fresh) {
        log_warnx("the configuration was not read again: out of memory");
        return;
    }
    bool fine = config_read_all(path, fresh, &faults);
    const char *data = fresh->data;
    check_profiles(fresh, &faults);
    if (fine && *data)
        files_read_all(&data, 1, files_known_by_store, d->store, &items, &faults);
    if (!catalogue_was_read(d->store, before, &unread))
        log_warnx("the configuration was not read again: %s", unread.message);
    else if (faults.count > 0)
        say_faults(&faults);
    else
        take_over(d, fresh, &items);
    file_items_finish(&items);
    file_faults_finish(&faults);
    free(fresh);
}

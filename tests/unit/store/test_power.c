/* A power cut, and a second one while the first is being recovered from. Between two syncs a disk keeps what it likes,
 * in any order and in parts: writes and truncations. From one start to the next everything that was acknowledged is
 * there.
 *
 * The calls that change the store's files are this test's own: they tell the kernel and note what the disk may not hold
 * yet. A cut is a copy of what the disk may hold at that moment; the store that was writing goes on and is forgotten.
 */
#include "tests/unit/store/world.h"

#include <pthread.h>
#include <stdatomic.h>
#include <sys/syscall.h>

enum { ACKNOWLEDGED = 2000, SESSION = 40, SECTOR = 512, FILES = 2, CHANGES = 100000 };

static const char *const names[FILES] = {"poise.db", "poise.db-wal"};

/* One call that the disk may do now, later, in part or never, until the next sync of its file. */
struct change {
    char *data; /* NULL: a truncation to `at` */
    long at, length;
};

/* A file as it surely is, and what may have come to it since. */
struct image {
    char *data;
    long size;
    struct change *change;
    int changes;
};

static struct {
    pthread_mutex_t mutex;
    struct world *world; /* NULL: nothing is noted */
    struct image file[FILES];
    int calls;  /* noted in this session */
    int cut_at; /* the call before which the power fails; 0: it does not */
    bool was_cut;
    char at_cut[FILES][112];       /* where the cut's copies go */
    atomic_int acknowledged, safe; /* so far; at the moment of the cut */
    unsigned seed;
} disk = {.mutex = PTHREAD_MUTEX_INITIALIZER};

/* The same at every run. */
static int chance(int of)
{
    disk.seed = disk.seed * 1103515245u + 12345u;
    return (int)(disk.seed >> 16) % of;
}

static int file_of(int fd)
{
    char link[64], path[128];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t length = disk.world ? readlink(link, path, sizeof path - 1) : -1;
    path[length > 0 ? length : 0] = '\0';
    const char *name = strrchr(path, '/');
    for (int i = 0; name && i < FILES; i++)
        if (strcmp(name + 1, names[i]) == 0)
            return i;
    return -1;
}

static void apply(struct image *image, const struct change *c, long length)
{
    long end = c->data ? c->at + length : c->at;
    if (end > image->size || !c->data) {
        image->data = realloc(image->data, (size_t)end + 1);
        assert_non_null(image->data);
        if (end > image->size)
            memset(image->data + image->size, 0, (size_t)(end - image->size));
        image->size = end;
    }
    if (c->data)
        memcpy(image->data + c->at, c->data, (size_t)length);
}

static void forget(struct image *image)
{
    for (int i = 0; i < image->changes; i++)
        free(image->change[i].data);
    image->changes = 0;
}

/* What a disk may hold of the file now: any of what is not synced, in any order, some of it torn between two sectors.
 */
static void keep_some(const struct image *image, const char *path)
{
    struct image copy = {.size = image->size};
    int left = image->changes, *order = malloc(sizeof *order * (size_t)(left + 1));
    copy.data = malloc((size_t)image->size + 1);
    assert_true(order && copy.data);
    if (image->size)
        memcpy(copy.data, image->data, (size_t)image->size);
    for (int i = 0; i < left; i++)
        order[i] = i;
    while (left > 0) {
        int pick = chance(left);
        const struct change *c = &image->change[order[pick]];
        order[pick] = order[--left];
        if (chance(2) == 0)
            apply(&copy, c, c->data && c->length == 4096 && chance(3) == 0 ? SECTOR * (1 + chance(7)) : c->length);
    }
    world_write_file(path, copy.data ? copy.data : "", copy.size);
    free(order);
    free(copy.data);
}

static void note(int file, const void *data, long at, long length)
{
    pthread_mutex_lock(&disk.mutex);
    if (!disk.world) { /* the writer tidies up behind a session that has ended */
        pthread_mutex_unlock(&disk.mutex);
        return;
    }
    if (++disk.calls == disk.cut_at) {
        disk.was_cut = true;
        disk.safe = disk.acknowledged;
        for (int i = 0; i < FILES; i++)
            keep_some(&disk.file[i], disk.at_cut[i]);
    }
    struct image *image = &disk.file[file];
    assert_true(image->changes < CHANGES);
    struct change *c = &image->change[image->changes++];
    *c = (struct change){.at = at, .length = length};
    if (data) {
        c->data = malloc((size_t)length + 1);
        assert_non_null(c->data);
        memcpy(c->data, data, (size_t)length);
    }
    pthread_mutex_unlock(&disk.mutex);
}

static int synced(int fd)
{
    int file = file_of(fd);
    if (file < 0)
        return 0;
    pthread_mutex_lock(&disk.mutex);
    for (int i = 0; i < disk.file[file].changes; i++)
        apply(&disk.file[file], &disk.file[file].change[i], disk.file[file].change[i].length);
    forget(&disk.file[file]);
    pthread_mutex_unlock(&disk.mutex);
    return 0;
}

static ssize_t written(int fd, const void *data, size_t length, off_t at)
{
    int file = file_of(fd);
    if (file >= 0)
        note(file, data, at, (long)length);
    return syscall(SYS_pwrite64, fd, data, length, at);
}

static int cut_short(int fd, off_t size)
{
    int file = file_of(fd);
    if (file >= 0)
        note(file, NULL, size, 0);
    return (int)syscall(SYS_ftruncate, fd, size);
}

/* ---- the system's calls, for SQLite and for the store alike; a sync of what is not ours is let go ---- */

ssize_t pwrite(int fd, const void *data, size_t length, off_t at)
{
    return written(fd, data, length, at);
}

ssize_t pwrite64(int fd, const void *data, size_t length, off_t at)
{
    return written(fd, data, length, at);
}

int ftruncate(int fd, off_t size)
{
    return cut_short(fd, size);
}

int ftruncate64(int fd, off_t size)
{
    return cut_short(fd, size);
}

int fsync(int fd)
{
    return synced(fd);
}

int fdatasync(int fd)
{
    return synced(fd);
}

/* ---- sessions ---- */

static char *whole(const char *path, long *length)
{
    *length = 0;
    return access(path, F_OK) == 0 ? world_read_file(path, length) : NULL;
}

/* The disk as the files stand, all of it safe. */
static void begin_noting(struct world *w, int cut_at)
{
    for (int i = 0; i < FILES; i++) {
        char path[128];
        snprintf(path, sizeof path, "%s/%s", w->state, names[i]);
        disk.file[i].data = whole(path, &disk.file[i].size);
        disk.file[i].change = malloc(sizeof *disk.file[i].change * CHANGES);
        assert_non_null(disk.file[i].change);
        snprintf(disk.at_cut[i], sizeof disk.at_cut[i], "%s/cut-%d", w->dir, i);
    }
    disk.calls = 0;
    disk.cut_at = cut_at;
    disk.was_cut = false;
    disk.world = w;
}

static void end_noting(void)
{
    pthread_mutex_lock(&disk.mutex);
    disk.world = NULL;
    for (int i = 0; i < FILES; i++) {
        forget(&disk.file[i]);
        free(disk.file[i].change);
        free(disk.file[i].data);
        disk.file[i] = (struct image){0};
    }
    pthread_mutex_unlock(&disk.mutex);
}

/* The files become what the cut left of them. */
static void restore(struct world *w)
{
    char path[128];
    snprintf(path, sizeof path, "%s/poise.db-shm", w->state);
    unlink(path);
    for (int i = 0; i < FILES; i++) {
        snprintf(path, sizeof path, "%s/%s", w->state, names[i]);
        assert_int_equal(rename(disk.at_cut[i], path), 0);
    }
}

/* One event whose revision is its number, and the row of its batch. */
static void write_next(struct world *w, int number)
{
    char request[32];
    snprintf(request, sizeof request, "r%d", number);
    struct store_event e = world_event("accepted", number);
    struct store_batch b = {.batch = "7", .state = "open", .name = "Copperwing", .total_g = number, .left_g = NAN};
    e.request = request;
    w->answers = 0;
    assert_int_equal(world_write(w, &(struct store_write){.events = &e,
                                                          .event_count = 1,
                                                          .batches = &b,
                                                          .batch_count = 1,
                                                          .request = request,
                                                          .method = "m",
                                                          .answer = "{}"}),
                     STORE_DONE);
    disk.acknowledged = number;
}

static void expect(struct world *w, int safe, int session)
{
    char head[65];
    int64_t bad, events = world_number(w, "SELECT count(*) FROM event");
    int64_t last = world_number(w, "SELECT coalesce(max(revision), 0) FROM event");
    if (events != last || last < safe)
        fail_msg("session %d: %lld events up to %lld where %d were acknowledged", session, (long long)events,
                 (long long)last, safe);
    assert_int_equal(world_number(w, "SELECT coalesce(max(total_g), 0) FROM batch"), last);
    assert_int_equal(world_number(w, "SELECT count(*) FROM pragma_integrity_check WHERE integrity_check <> 'ok'"), 0);
    if (!store_verify(w->store, &bad, head))
        fail_msg("session %d: the chain is broken at %lld", session, (long long)bad);
    disk.acknowledged = (int)last;
}

/* Opens on what the cut before left, looks, and writes until the power fails again: while it opens in each fifth. The
 * calls of opening are few, those of a session some six an act. */
static void run_session(struct world *w, int session)
{
    int safe = disk.safe;
    disk.acknowledged = safe; /* what the cut session went on to write is gone */
    begin_noting(w, session % 5 == 4 ? 1 + chance(12) : 1 + chance(6 * SESSION));
    assert_true(world_open(w));
    bool in_opening = disk.was_cut;
    if (!in_opening) {
        disk.world = NULL; /* looking opens the file a second time */
        expect(w, safe, session);
        disk.world = w;
        for (int i = 0; i < SESSION && !disk.was_cut; i++)
            write_next(w, disk.acknowledged + 1);
    }
    bool cut = disk.was_cut;
    end_noting();
    world_close(w);
    if (cut)
        restore(w);
    else
        disk.safe = disk.acknowledged;
}

static void nothing_acknowledged_is_lost(void **state)
{
    struct world *w = *state;
    int sessions = 0;
    const char *seed = getenv("SEED"); /* for another history than that of every run */
    disk.seed = seed ? (unsigned)atoi(seed) : 20261129;
    write_next(w, 1);
    world_close(w);
    disk.safe = 1;
    while (disk.acknowledged < ACKNOWLEDGED)
        run_session(w, sessions++);
    assert_true(world_open(w));
    expect(w, disk.safe, sessions);
    assert_true(sessions > ACKNOWLEDGED / SESSION);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(nothing_acknowledged_is_lost, world_setup, world_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* bench_store [BATCHES [FOLDER]]: a store of so many batches of 7 toners, made through the product's own fold, bodies,
 * rows and writer. Prints the bytes of a batch, how long each find takes against SQLite asked plainly with the right
 * index, and how long a store of that size takes to open.
 *
 * It judges nothing but one thing: a find that does not find the same rows ends it. Default 20,000 batches; 10^6 take
 * half an hour of CPU and 4 GB below TMPDIR. With a FOLDER the store is made there and stays, and one that is there
 * already is asked as it is.
 */
#include "bench/journal_rows.h"
#include "store/reader.h"
#include "tests/bench/world.h"

#include <inttypes.h>
#include <jansson.h>
#include <math.h>
#include <sqlite3.h>

enum { TONERS = 7, AT_ONCE = 4096, ASKED = 101 };

struct shop {
    struct world world;
    uv_loop_t loop;
    struct store *store;
    int64_t batches, waiting, now_ms, revision;
};

static void died(void *arg, const char *why)
{
    (void)arg;
    world_fail("the store died: %s", why);
}

static void written(void *arg, const struct store_outcome *o)
{
    struct shop *s = arg;
    s->waiting--;
    if (o->result != STORE_DONE)
        world_fail("a write was refused: %s", o->why ? o->why : "");
}

static void open_shop(struct shop *s)
{
    struct fault fault;
    char dir[WORLD_PATH + 16];
    snprintf(dir, sizeof dir, "%s/state", s->world.dir);
    uv_loop_init(&s->loop);
    s->store = store_open(&s->loop, dir, died, s, &fault);
    if (!s->store)
        world_fail("the store does not open: %s", fault.message);
}

static void close_shop(struct shop *s)
{
    store_close(s->store, NULL, NULL);
    uv_run(&s->loop, UV_RUN_DEFAULT);
    uv_loop_close(&s->loop);
}

/* ---- a batch ---- */

/* The recipe of one of so many formulas as begin makes it: all that the catalogue says of seven toners. */
static void recipe_of(struct recipe *r, int64_t number)
{
    static const char *const variants[] = {"standard", "standard", "lighter", "yellower"}, *const coats[] = {
                                                                                               "base", "ground", "mid"};
    int64_t formula = number * 7919 % (1 + number / 10);
    snprintf(r->code, sizeof r->code, "TI-%" PRId64, formula);
    snprintf(r->name, sizeof r->name, "%s %s %" PRId64, formula % 3 ? "Copper" : "Slate", formula % 2 ? "wing" : "tern",
             formula);
    snprintf(r->variant, sizeof r->variant, "%s", variants[number / 3 % 4]);
    snprintf(r->coat, sizeof r->coat, "%s", coats[number % 3]);
    snprintf(r->finish, sizeof r->finish, "metallic");
    snprintf(r->line, sizeof r->line, "solvent");
    r->made = say("made_reduced pct=%f", 10.0);
    r->formula_revision = 1 + formula % 3;
    r->reduce_pct = 10;
    r->parts = r->steps = TONERS;
    for (int i = 0; i < TONERS; i++) {
        struct recipe_part *p = &r->part[i];
        int tin = (int)((formula + 11 * i) % 80);
        recipe_part_init(p);
        snprintf(p->toner, sizeof p->toner, "N%02d", tin);
        snprintf(p->name, sizeof p->name, "Toner number %d", tin);
        snprintf(p->pigment, sizeof p->pigment, "PR%d", 100 + tin);
        snprintf(p->place, sizeof p->place, "rack %d, %d", 1 + tin / 20, 1 + tin % 20);
        snprintf(p->hazards, sizeof p->hazards, "H226 H336 EUH066");
        p->share = i == 0 ? 1 - 0.05 * 21 / 2 : 0.05 * i / 2;
        p->density_g_per_ml = 0.9 + tin / 200.0;
        p->price_per_kg = 30 + tin;
        p->voc_pct = 55;
        p->solids_vol_pct = 30;
        r->step[i] = (struct recipe_step){i, p->share};
    }
}

/* An event stamped as a bench does. */
static void stamp(struct shop *s, const struct batch *b, struct event *e, const char *person)
{
    e->revision = ++s->revision;
    e->wall_ms = s->now_ms += 4000;
    e->mono_ns = s->now_ms * 1000000;
    snprintf(e->boot, sizeof e->boot, "b14be22e-1273-4309-9f5b-%012" PRId64, s->revision / 100000);
    snprintf(e->station, sizeof e->station, "bench");
    snprintf(e->person, sizeof e->person, "%s", person);
    if (!e->has_weight)
        return;
    char frame[32];
    int length = snprintf(frame, sizeof frame, "ST,+%08.2f  g\r\n", (double)e->weight_ug / 1e6);
    for (int i = 0; i < length; i++)
        snprintf(e->raw + 2 * i, 3, "%02x", (unsigned char)frame[i]);
    snprintf(e->profile, sizeof e->profile, "hdr2");
    snprintf(e->port, sizeof e->port, "/dev/serial/by-id/usb-bench-scale-if00-port0");
    e->d_g = 0.01;
    batch_scale_left_out(b, e);
}

/* Folds it and hands it to the store, with the batch's row as it is then. */
static void add(struct shop *s, struct batch *b, struct event *e, const char *method)
{
    struct store_event row;
    struct store_batch batch;
    struct bench_event_text text;
    struct bench_row_text texts;
    char request[40];
    bool first = e->kind == EVENT_BEGUN;
    bench_event_row(e, first ? e->begun->batch : b->id, &text, &row);
    if (!batch_fold(b, NULL, e))
        world_fail("an event does not fold");
    bench_row(b, &batch, &texts);
    snprintf(request, sizeof request, "%016" PRIx64 "-%016" PRIx64, (uint64_t)e->wall_ms * 1000000u,
             (uint64_t)e->revision * 0x9e3779b97f4a7c15u);
    row.request = request;
    row.method = method;
    row.client = "unix:paint";
    s->waiting++;
    store_submit(s->store,
                 &(struct store_write){.events = &row,
                                       .event_count = 1,
                                       .batches = &batch,
                                       .batch_count = 1,
                                       .request = request,
                                       .method = method,
                                       .answer = STORE_AGAIN},
                 written, s);
    free(text.body);
    event_finish(e);
}

static void begin(struct shop *s, struct batch *b, int64_t number, const char *painter)
{
    struct event e;
    event_init(&e, EVENT_BEGUN);
    e.begun = event_begun_new();
    e.settings = malloc(sizeof *e.settings);
    if (!e.begun || !e.settings)
        world_fail("no memory");
    *e.settings = (struct event_settings){.d_g = 0.01,
                                          .capacity_g = 3000,
                                          .range1_g = NAN,
                                          .d2_g = NAN,
                                          .tolerance_g = 0.05,
                                          .tolerance_pct = 0.5,
                                          .auto_grow_pct = 2,
                                          .error_pct = 5};
    snprintf(e.begun->batch, sizeof e.begun->batch, "%" PRId64, number);
    snprintf(e.begun->order, sizeof e.begun->order, "RO-%" PRId64, 1000 + number / 2);
    snprintf(e.begun->painter, sizeof e.begun->painter, "%s", painter);
    recipe_of(&e.begun->recipe, number);
    e.begun->wanted_g = 200;
    e.begun->fill_pct = 95;
    for (int i = 0; i < TONERS; i++)
        e.begun->have_g[i] = 0;
    stamp(s, b, &e, painter);
    add(s, b, &e, "batch.begin");
}

/* Begun, cup, seven pours, finished. */
static void mix(struct shop *s, int64_t number)
{
    static const char *const painters[] = {"Ann Gull", "Bo Tern", "Cy Heron", "Di Plover", "Eve Knot", "Flo Dunlin"};
    const char *painter = painters[number / 5 % 6];
    struct batch b;
    struct event e;
    int64_t on_pan_ug = 30000000;
    batch_init(&b);
    begin(s, &b, number, painter);
    for (int i = -1; i < TONERS; i++) {
        event_init(&e, i < 0 ? EVENT_CUP : EVENT_ACCEPTED);
        e.base_ug = i < 0 ? 0 : on_pan_ug;
        e.counted_g = i < 0 ? NAN : round(20000 * b.recipe.part[i].share) / 100;
        e.tare_g = i < 0 ? 30 : NAN;
        on_pan_ug += i < 0 ? 0 : llround(e.counted_g * 1e6);
        e.weight_ug = on_pan_ug;
        e.has_weight = e.stable = true;
        stamp(s, &b, &e, painter);
        add(s, &b, &e, "batch.accept");
    }
    event_init(&e, EVENT_FINISHED);
    stamp(s, &b, &e, painter);
    add(s, &b, &e, "batch.finish");
    if (b.state != BATCH_FINISHED)
        world_fail("batch %s is not finished", b.id);
    batch_finish(&b);
    s->now_ms += 600000;
}

static int64_t number_of(sqlite3 *db, const char *sql)
{
    sqlite3_stmt *stmt;
    if (sqlite3_prepare_v2(db, sql, -1, &stmt, NULL) != SQLITE_OK || sqlite3_step(stmt) != SQLITE_ROW)
        world_fail("%s: %s", sql, sqlite3_errmsg(db));
    int64_t number = sqlite3_column_int64(stmt, 0);
    sqlite3_finalize(stmt);
    return number;
}

/* ---- the questions ---- */

struct found {
    int64_t count, sum; /* of numbers, so that both sides are known to give the same rows */
};

static void see(void *arg, const struct store_batch *b)
{
    struct found *f = arg;
    f->count++;
    f->sum += strtoll(b->batch, NULL, 10);
}

static const struct {
    const char *name;
    struct store_find find;
    const char *where; /* the same for SQLite; it chooses its index */
} questions[] = {
    {"order", {.order = "RO-1500"}, "repair_order = 'RO-1500'"},
    {"code", {.formula = "TI-1"}, "formula = 'TI-1'"},
    {"variant", {.variant = "lighter"}, "variant = 'lighter'"},
    {"coat", {.coat = "mid"}, "coat = 'mid'"},
    {"painter", {.painter = "Eve Knot"}, "painter = 'Eve Knot'"},
    {"variant, coat", {.variant = "lighter", .coat = "mid"}, "variant = 'lighter' AND coat = 'mid'"},
    {"variant, coat: none", {.variant = "yellower", .coat = "sealer"}, "variant = 'yellower' AND coat = 'sealer'"},
    {"painter, coat", {.painter = "Di Plover", .coat = "ground"}, "painter = 'Di Plover' AND coat = 'ground'"},
    {"painter, variant", {.painter = "Bo Tern", .variant = "yellower"}, "painter = 'Bo Tern' AND variant = 'yellower'"},
    {"code, painter", {.formula = "TI-1", .painter = "Ann Gull"}, "formula = 'TI-1' AND painter = 'Ann Gull'"},
    {"code, coat", {.formula = "TI-1", .coat = "mid"}, "formula = 'TI-1' AND coat = 'mid'"},
    {"order, coat", {.order = "RO-1500", .coat = "mid"}, "repair_order = 'RO-1500' AND coat = 'mid'"},
    {"place", {.place = "shelf 7"}, "place = 'shelf 7'"},
    {"place, coat", {.place = "shelf 7", .coat = "mid"}, "place = 'shelf 7' AND coat = 'mid'"},
    {"place, painter", {.place = "shelf 7", .painter = "Eve Knot"}, "place = 'shelf 7' AND painter = 'Eve Knot'"},
    {"number",
     {.text = "1500"},
     "(id = 1500 OR id IN (SELECT rowid FROM batch_words WHERE batch_words MATCH '1500*'))"},
    {"number, variant", {.text = "1500", .variant = "lighter"}, NULL},
    {"day", {.from = "2023-11-16", .to = "2023-11-16"}, "substr(begun, 1, 10) = '2023-11-16' AND id < 2000"},
    {"day, coat",
     {.from = "2023-11-16", .to = "2023-11-16", .coat = "mid"},
     "substr(begun, 1, 10) = '2023-11-16' AND id < 2000 AND coat = 'mid'"},
    {"day, painter",
     {.from = "2023-11-16", .to = "2023-11-16", .painter = "Eve Knot"},
     "substr(begun, 1, 10) = '2023-11-16' AND id < 2000 AND painter = 'Eve Knot'"},
    {"day, text", {.from = "2023-11-16", .to = "2023-11-16", .text = "slate"}, NULL},
    {"day, code",
     {.from = "2023-11-16", .to = "2023-11-16", .formula = "TI-1"},
     "substr(begun, 1, 10) = '2023-11-16' AND id < 2000 AND formula = 'TI-1'"},
    {"text", {.text = "slate"}, "id IN (SELECT rowid FROM batch_words WHERE batch_words MATCH 'slate')"},
    {"text, none", {.text = "copper nobody"}, "id IN (SELECT rowid FROM batch_words WHERE batch_words MATCH 'nobody')"},
    {"text, painter", {.text = "slate", .painter = "Eve Knot"}, NULL},
    {"text, coat", {.text = "copper", .coat = "mid"}, NULL},
    {"text, coat: none", {.text = "copper", .coat = "sealer"}, NULL},
};

/* Median microseconds of a find of 50. */
static double find_us(struct shop *s, size_t q, struct found *f, enum store_found *how)
{
    double took[ASKED];
    char next[STORE_NUMBER];
    struct store_find find = questions[q].find;
    find.limit = 50;
    find.most_ms = 20;
    for (int i = 0; i < ASKED; i++) {
        int64_t begun = world_now_ns();
        *f = (struct found){0};
        *how = store_batch_find(s->store, &find, see, f, next);
        took[i] = (double)(world_now_ns() - begun) / 1000;
    }
    return world_part(took, ASKED, 0.5);
}

/* The same 50 rows of SQLite alone: prepared once, all columns read. */
static double plain_us(sqlite3 *db, const char *where, struct found *f)
{
    double took[ASKED];
    char sql[512];
    sqlite3_stmt *stmt;
    snprintf(sql, sizeof sql, "SELECT " READER_BATCH " FROM batch b WHERE %s ORDER BY id DESC LIMIT 50", where);
    if (sqlite3_prepare_v2(db, sql, -1, &stmt, NULL) != SQLITE_OK)
        world_fail("%s: %s", sql, sqlite3_errmsg(db));
    for (int i = 0; i < ASKED; i++) {
        int64_t begun = world_now_ns();
        *f = (struct found){0};
        while (sqlite3_step(stmt) == SQLITE_ROW) {
            for (int c = 0; c < sqlite3_column_count(stmt); c++)
                sqlite3_column_text(stmt, c);
            f->count++;
            f->sum += sqlite3_column_int64(stmt, 0);
        }
        sqlite3_reset(stmt);
        took[i] = (double)(world_now_ns() - begun) / 1000;
    }
    sqlite3_finalize(stmt);
    return world_part(took, ASKED, 0.5);
}

static void ask_all(struct shop *s, sqlite3 *db)
{
    printf("%-22s %10s %10s %7s %6s\n", "find by", "ours us", "plain us", "ratio", "rows");
    for (size_t q = 0; q < sizeof questions / sizeof *questions; q++) {
        struct found ours, plain;
        enum store_found how;
        double us = find_us(s, q, &ours, &how);
        if (how != STORE_FOUND) {
            printf("%-22s %10.0f        too slow: refused\n", questions[q].name, us);
            continue;
        }
        if (!questions[q].where) {
            printf("%-22s %10.0f %10s %7s %6" PRId64 "\n", questions[q].name, us, "-", "-", ours.count);
            continue;
        }
        double bare = plain_us(db, questions[q].where, &plain);
        if (ours.count != plain.count || ours.sum != plain.sum)
            world_fail("%s: %" PRId64 " rows where SQLite gives %" PRId64, questions[q].name, ours.count, plain.count);
        printf("%-22s %10.0f %10.0f %7.2f %6" PRId64 "\n", questions[q].name, us, bare, us / bare, ours.count);
    }
}

/* What the bytes of a batch are made of, a line a table or index. */
static void tell_sizes(sqlite3 *db, int64_t batches)
{
    sqlite3_stmt *stmt;
    double all = (double)(number_of(db, "PRAGMA page_count") * number_of(db, "PRAGMA page_size"));
    printf("bytes a batch: %.0f (at most 6000), 10 events each\n", all / (double)batches);
    if (sqlite3_prepare_v2(db, "SELECT name, sum(pgsize) s FROM dbstat GROUP BY name ORDER BY s DESC LIMIT 12", -1,
                           &stmt, NULL) != SQLITE_OK)
        return; /* this SQLite was built without dbstat */
    while (sqlite3_step(stmt) == SQLITE_ROW)
        printf("  %-26s %6.0f\n", (const char *)sqlite3_column_text(stmt, 0),
               sqlite3_column_double(stmt, 1) / (double)batches);
    sqlite3_finalize(stmt);
}

static void build(struct shop *s)
{
    s->now_ms = INT64_C(1700000000000);
    for (int64_t i = 1; i <= s->batches; i++) {
        mix(s, i);
        while (s->waiting > AT_ONCE)
            uv_run(&s->loop, UV_RUN_ONCE);
    }
    while (s->waiting > 0)
        uv_run(&s->loop, UV_RUN_ONCE);
}

int main(int argc, char **argv)
{
    struct shop *s = calloc(1, sizeof *s);
    char path[WORLD_PATH + 32];
    sqlite3 *db;
    long wanted = argc > 1 ? strtol(argv[1], NULL, 10) : 20000;
    if (!s || wanted < 1)
        world_fail("bench_store [BATCHES [FOLDER]]");
    s->batches = wanted;
    if (argc > 2)
        snprintf(s->world.dir, sizeof s->world.dir, "%s", argv[2]);
    else
        world_make(&s->world);
    snprintf(path, sizeof path, "%s/state/poise.db", s->world.dir);
    int64_t begun = world_now_ns();
    if (argc <= 2 || access(path, F_OK) != 0) {
        open_shop(s);
        build(s);
        printf("%ld batches written in %.1f s\n", wanted, (double)(world_now_ns() - begun) / 1e9);
        close_shop(s);
    }
    begun = world_now_ns();
    if (sqlite3_open(path, &db) != SQLITE_OK || number_of(db, "SELECT max(id) FROM batch") < wanted)
        world_fail("%s: %s", path, sqlite3_errmsg(db));
    double bare_ms = (double)(world_now_ns() - begun) / 1e6;
    tell_sizes(db, wanted);
    begun = world_now_ns();
    open_shop(s);
    double open_ms = (double)(world_now_ns() - begun) / 1e6;
    printf("open: ours %.1f ms, a bare program %.1f ms, ratio %.1f (at most 5)\n", open_ms, bare_ms, open_ms / bare_ms);
    ask_all(s, db);
    sqlite3_close(db);
    close_shop(s);
    if (argc <= 2)
        world_remove(&s->world);
    free(s);
    return 0;
}

#include "tests/unit/store/world.h"

/* The shelf of these tests. All names are invented. */
static const struct store_batch shelf[] = {
    {"1",
     "finished",
     "bench",
     "TI-207",
     "Copperwing",
     "standard",
     "ground",
     "RO-311",
     "Ann Gull",
     NULL,
     "2026-03-01T08:00:00.000+01:00",
     "2026-03-01T08:20:00.000+01:00",
     276.7,
     0,
     NULL,
     0,
     NULL,
     NULL,
     NULL,
     0,
     NAN,
     NAN,
     false},
    {"2",
     "finished",
     "bench",
     "TI-207",
     "Copperwing",
     "darker",
     "mid",
     "RO-311",
     "Ann Gull",
     "shelf 3",
     "2026-03-01T09:00:00.000+01:00",
     "2026-03-01T09:30:00.000+01:00",
     150,
     40.5,
     "2026-03-01T11:00:00.000+01:00",
     0,
     NULL,
     NULL,
     NULL,
     0,
     NAN,
     NAN,
     false},
    {"3",
     "scrapped",
     "annex",
     "TI-118",
     "Skerry",
     "standard",
     "base",
     NULL,
     "J\xc3\xb6rg Tern",
     NULL,
     "2026-03-02T23:59:59.999+01:00",
     "2026-03-03T00:10:00.000+01:00",
     90,
     NAN,
     NULL,
     0,
     NULL,
     NULL,
     NULL,
     0,
     NAN,
     NAN,
     false},
    {"4",
     "held",
     "bench",
     "TI-031",
     "Harbour green",
     "standard",
     "single",
     "RO-207",
     "Bo",
     NULL,
     "2026-03-04T08:00:00.000+01:00",
     NULL,
     NAN,
     NAN,
     NULL,
     0,
     NULL,
     NULL,
     NULL,
     0,
     NAN,
     NAN,
     false},
    {"5",
     "open",
     "bench",
     "TI-031",
     "Harbour green",
     "standard",
     "single",
     "RO=42",
     "Bo",
     NULL,
     "2026-03-05T08:00:00.000+01:00",
     NULL,
     NAN,
     NAN,
     NULL,
     0,
     NULL,
     NULL,
     NULL,
     0,
     NAN,
     NAN,
     false},
    {"42",
     "open",
     "annex",
     "X1",
     "W\xc3\xa4rme \xe2\x80\x93 rot",
     "standard",
     "single",
     "\"; DROP TABLE batch; --",
     "Bo",
     NULL,
     "2026-03-06T08:00:00.000+01:00",
     NULL,
     10,
     NAN,
     NULL,
     0,
     NULL,
     NULL,
     NULL,
     0,
     NAN,
     NAN,
     false},
};
enum { SHELF = sizeof shelf / sizeof *shelf };

static int setup(void **state)
{
    world_setup(state);
    struct world *w = *state;
    assert_int_equal(world_write(w, &(struct store_write){.batches = shelf, .batch_count = SHELF}), STORE_DONE);
    return 0;
}

struct found {
    char ids[8192];
    int count;
    struct store_batch last;
    char last_name[64], last_use_by[40], last_tinted[64], last_foreign[64];
};

static void see(void *arg, const struct store_batch *b)
{
    struct found *f = arg;
    size_t length = strlen(f->ids);
    snprintf(f->ids + length, sizeof f->ids - length, "%s%s", length ? " " : "", b->batch);
    f->count++;
    f->last = *b;
    snprintf(f->last_name, sizeof f->last_name, "%s", b->name ? b->name : "NULL");
    snprintf(f->last_tinted, sizeof f->last_tinted, "%s", b->tinted ? b->tinted : "NULL");
    snprintf(f->last_foreign, sizeof f->last_foreign, "%s", b->foreign ? b->foreign : "NULL");
    snprintf(f->last_use_by, sizeof f->last_use_by, "%s", b->use_by ? b->use_by : "NULL");
}

static struct found find(struct world *w, struct store_find ask, char *next)
{
    struct found f = {0};
    char none[STORE_NUMBER];
    if (!ask.limit)
        ask.limit = 50;
    enum store_found found = store_batch_find(w->store, &ask, see, &f, next ? next : none);
    assert_int_not_equal(found, STORE_UNREAD);
    if (found == STORE_NONE)
        strcpy(f.ids, "refused");
    return f;
}

static const struct {
    const char *name;
    struct store_find ask;
    const char *ids;
} rows[] = {
    {"nothing asked: all, newest first", {0}, "42 5 4 3 2 1"},
    {"a word begins the name", {.text = "copper"}, "2 1"},
    {"case does not matter", {.text = "COPPERWING"}, "2 1"},
    {"two letters", {.text = "ha"}, "5 4"},
    {"one letter", {.text = "s"}, "3 2"},
    {"all words must fit", {.text = "ann copper"}, "2 1"},
    {"one word does not fit", {.text = "ann skerry"}, ""},
    {"a word inside another is not found", {.text = "wing"}, ""},
    {"a code with a dash is its words, each from any field", {.text = "TI-207"}, "4 2 1"},
    {"a code with a dash that one batch has", {.text = "ti-118"}, "3"},
    {"the beginning of a code", {.text = "ti-0"}, "5 4"},
    {"the end of a code", {.text = "207"}, "4 2 1"},
    {"an order", {.text = "RO-311"}, "2 1"},
    {"a painter's second name", {.text = "gull"}, "2 1"},
    {"letters with marks, asked without", {.text = "jorg"}, "3"},
    {"letters with marks, asked with", {.text = "J\xc3\x96RG"}, "3"},
    {"a place", {.text = "shelf"}, "2"},
    {"a number is a batch's, and begins words too", {.text = "42"}, "42 5"},
    {"a number is no beginning of a batch's number", {.text = "4"}, "5 4"},
    {"a number and a word", {.text = "5 harbour"}, "5"},
    {"a number as written on a label", {.text = "#2"}, "4 2 1"},
    {"a number as read from a label", {.text = "POISE:5"}, "5"},
    {"a number that is none", {.text = "99999999999999999999999999"}, ""},
    {"the store's own words cannot be asked for", {.text = "=42"}, "42 5"},
    {"punctuation alone asks for nothing", {.text = " -- ' \" ( * "}, "42 5 4 3 2 1"},
    {"a dash that is not ASCII", {.text = "W\xc3\xa4rme\xe2\x80\x93rot"}, "42"},
    {"words of the query language are words", {.text = "bo OR ann"}, ""},
    {"NEAR and quotation marks", {.text = "NEAR(bo \"green\")"}, ""},
    {"bad UTF-8 finds nothing and does no harm", {.text = "\xff\xfe z"}, ""},
    {"exact order", {.order = "RO-311"}, "2 1"},
    {"an order is not a beginning", {.order = "RO-3"}, ""},
    {"exact formula and coat", {.formula = "TI-207", .coat = "mid"}, "2"},
    {"variant", {.variant = "darker"}, "2"},
    {"painter", {.painter = "Bo"}, "42 5 4"},
    {"place", {.place = "shelf 3"}, "2"},
    {"SQL in a value is a value", {.order = "\"; DROP TABLE batch; --"}, "42"},
    {"state open", {.state = "open"}, "42 5"},
    {"state held", {.state = "held"}, "4"},
    {"state finished", {.state = "finished"}, "2 1"},
    {"state scrapped", {.state = "scrapped"}, "3"},
    {"a state that is none", {.state = "lost"}, ""},
    {"one day, by its last millisecond", {.from = "2026-03-02", .to = "2026-03-02"}, "3"},
    {"from a day on", {.from = "2026-03-04"}, "42 5 4"},
    {"to a day", {.to = "2026-03-01"}, "2 1"},
    {"no such days", {.from = "2027-01-01", .to = "2027-02-01"}, ""},
    {"from behind to", {.from = "2026-03-04", .to = "2026-03-01"}, ""},
    {"words and days", {.text = "ti", .from = "2026-03-02", .to = "2026-03-04"}, "4 3"},
    {"words, state, painter", {.text = "harbour", .state = "held", .painter = "Bo"}, "4"},
    {"everything at once",
     {.text = "copper",
      .order = "RO-311",
      .formula = "TI-207",
      .variant = "darker",
      .coat = "mid",
      .painter = "Ann Gull",
      .place = "shelf 3",
      .from = "2026-03-01",
      .to = "2026-03-01",
      .state = "finished"},
     "2"},
    {"after what is no number", {.after = "x"}, "refused"},
    {"a limit below 1", {.limit = -1}, "refused"},
    {"a limit above 1000", {.limit = 1001}, "refused"},
    {"more words than 32", {.text = "a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a"}, "refused"},
};

static void each_question_finds_its_batches(void **state)
{
    struct world *w = *state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct found f = find(w, rows[i].ask, NULL);
        if (strcmp(f.ids, rows[i].ids) != 0)
            fail_msg("%s: found \"%s\", want \"%s\"", rows[i].name, f.ids, rows[i].ids);
    }
}

static void a_row_comes_back_whole(void **state)
{
    struct world *w = *state;
    struct found f = {0};
    assert_int_equal(store_batch_get(w->store, "2", see, &f), STORE_FOUND);
    assert_string_equal(f.ids, "2");
    assert_string_equal(f.last_name, "Copperwing");
    assert_true(f.last.total_g == 150 && f.last.left_g == 40.5);
    assert_string_equal(f.last_use_by, "2026-03-01T11:00:00.000+01:00");
    assert_int_equal(store_batch_get(w->store, "4", see, &f), STORE_FOUND);
    assert_true(isnan(f.last.total_g) && isnan(f.last.left_g));
    assert_null(f.last.finished);
    const char *const none[] = {"6", "0", "-1", "02", "2x", "", "9223372036854775808"};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++)
        if (store_batch_get(w->store, none[i], see, &f) != STORE_NONE)
            fail_msg("found batch \"%s\"", none[i]);
}

/* What the cup holds beside its formula stands with the row; it may change when nothing else does. */
static void a_row_keeps_what_is_not_in_the_formula(void **state)
{
    struct world *w = *state;
    struct found f = {0};
    struct store_batch b = shelf[3];
    assert_int_equal(store_batch_get(w->store, "4", see, &f), STORE_FOUND);
    assert_int_equal(f.last.activated, 0);
    assert_string_equal(f.last_tinted, "NULL");
    b.activated = 1;
    b.tinted = "[{\"toner\":\"V23\",\"grams\":2}]";
    b.foreign = "[]";
    assert_int_equal(world_write(w, &(struct store_write){.batches = &b, .batch_count = 1}), STORE_DONE);
    f = find(w, (struct store_find){.text = "harbour", .state = "held"}, NULL);
    assert_string_equal(f.ids, "4");
    assert_int_equal(f.last.activated, 1);
    assert_string_equal(f.last_tinted, b.tinted);
    assert_string_equal(f.last_foreign, "[]");
    b.activated = -1;
    assert_int_equal(world_write(w, &(struct store_write){.batches = &b, .batch_count = 1}), STORE_DONE);
    assert_int_equal(store_batch_get(w->store, "4", see, &f), STORE_FOUND);
    assert_int_equal(f.last.activated, -1);
}

static void what_changed_is_found_by_its_new_words_only(void **state)
{
    struct world *w = *state;
    struct store_batch b = shelf[1];
    b.place = "drawer";
    b.left_g = 12;
    assert_int_equal(world_write(w, &(struct store_write){.batches = &b, .batch_count = 1}), STORE_DONE);
    assert_string_equal(find(w, (struct store_find){.text = "drawer"}, NULL).ids, "2");
    assert_string_equal(find(w, (struct store_find){.text = "shelf"}, NULL).ids, "");
    assert_string_equal(find(w, (struct store_find){.place = "shelf 3"}, NULL).ids, "");
    b.place = NULL;
    for (int i = 0; i < 3; i++) /* the same again changes no words, and must not remove them */
        assert_int_equal(world_write(w, &(struct store_write){.batches = &b, .batch_count = 1}), STORE_DONE);
    assert_string_equal(find(w, (struct store_find){.text = "drawer"}, NULL).ids, "");
    assert_string_equal(find(w, (struct store_find){.text = "copper"}, NULL).ids, "2 1");
    world_sql(w, "INSERT INTO batch_words(batch_words) VALUES('integrity-check')");
}

static void state_and_station_move_without_the_words(void **state)
{
    struct world *w = *state;
    struct store_batch b = shelf[4];
    assert_string_equal(world_open_batch(w, "bench"), "5");
    b.state = "held";
    assert_int_equal(world_write(w, &(struct store_write){.batches = &b, .batch_count = 1}), STORE_DONE);
    assert_string_equal(world_open_batch(w, "bench"), "");
    b.state = "open";
    b.station = "annex2";
    b.total_g = 77;
    assert_int_equal(world_write(w, &(struct store_write){.batches = &b, .batch_count = 1}), STORE_DONE);
    assert_string_equal(world_open_batch(w, "annex2"), "5");
    struct found f = find(w, (struct store_find){.text = "harbour", .state = "open"}, NULL);
    assert_string_equal(f.ids, "5");
    assert_true(f.last.total_g == 77);
    assert_string_equal(world_open_batch(w, "nowhere"), "");
    int64_t last;
    assert_int_equal(store_last_batch(w->store, &last), STORE_FOUND);
    assert_int_equal(last, 42);
}

static void pages_hold_each_batch_once(void **state)
{
    struct world *w = *state;
    char next[STORE_NUMBER];
    static struct found all;
    struct store_batch many[100];
    char ids[100][8];
    for (int i = 0; i < 100; i++) {
        many[i] = shelf[0];
        snprintf(ids[i], sizeof ids[i], "%d", 100 + i);
        many[i].batch = ids[i];
    }
    assert_int_equal(world_write(w, &(struct store_write){.batches = many, .batch_count = 100}), STORE_DONE);
    const struct store_find asks[] = {
        {.limit = 7}, {.limit = 7, .text = "copper"}, {.limit = 51, .formula = "TI-207"}, {.limit = 1000}};
    const int want[] = {106, 102, 102, 106};
    for (size_t i = 0; i < sizeof asks / sizeof *asks; i++) {
        struct store_find ask = asks[i];
        char after[24] = "";
        int last = 1000, pages = 0;
        memset(&all, 0, sizeof all);
        do {
            assert_int_equal(store_batch_find(w->store, &ask, see, &all, next), STORE_FOUND);
            snprintf(after, sizeof after, "%s", next);
            ask.after = after;
            pages++;
        } while (*after);
        assert_int_equal(all.count, want[i]);
        assert_int_equal(pages, (want[i] + ask.limit - 1) / ask.limit);
        for (char *id = strtok(all.ids, " "); id; id = strtok(NULL, " ")) {
            assert_true(atoi(id) < last);
            last = atoi(id);
        }
    }
    assert_string_equal(find(w, (struct store_find){.limit = 6, .after = "6"}, next).ids, "5 4 3 2 1");
    assert_string_equal(next, "");
    assert_string_equal(find(w, (struct store_find){.limit = 5, .after = "6"}, next).ids, "5 4 3 2 1");
    assert_string_equal(next, ""); /* a full last page promises no other */
}

/* A beginning of four letters and more is asked as the words that begin so; where they are many, in another way. */
static void a_beginning_finds_few_words_and_many(void **state)
{
    struct world *w = *state;
    char ids[130][8], names[130][96];
    struct store_batch many[130];
    for (int i = 0; i < 130; i++) {
        snprintf(ids[i], sizeof ids[i], "%d", 100 + i);
        if (i < 100)
            snprintf(names[i], sizeof names[i], "grau%03d", i);
        else if (i < 129)
            snprintf(names[i], sizeof names[i], "gr\xc3\xbcn%d", i);
        else
            memset(names[i], 'g', sizeof names[i] - 1), names[i][sizeof names[i] - 1] = '\0';
        many[i] = (struct store_batch){.batch = ids[i], .state = "finished", .name = names[i]};
    }
    assert_int_equal(world_write(w, &(struct store_write){.batches = many, .batch_count = 130}), STORE_DONE);
    const struct {
        const char *text;
        int count;
    } asks[] = {{"grau", 100},      {"grau0", 100},    {"grau00", 10}, {"grau001", 1},
                {"grau0011", 0},    {"grun", 29},      {"gr\xc3\xbcn1", 29}, {"gr\xc3\xbcn12", 9},
                {"gr\xc3\xbc", 29}, {"grau grau09", 10}, {"gggg", 1},   {"gggggggg", 1},
                {"gra", 100},       {"g", 134} /* with Ann Gull's two and two of Harbour green */};
    for (size_t i = 0; i < sizeof asks / sizeof *asks; i++) {
        static struct found f;
        f = find(w, (struct store_find){.text = asks[i].text, .limit = 1000}, NULL);
        if (f.count != asks[i].count)
            fail_msg("%s: %d batches, want %d", asks[i].text, f.count, asks[i].count);
    }
}

/* A clock that was wrong for a day puts a late number on an early day. */
static void days_hold_whatever_the_clock_did(void **state)
{
    struct world *w = *state;
    struct store_batch b = shelf[0];
    b.batch = "43";
    b.begun = "2026-03-01T10:00:00.000+01:00";
    assert_int_equal(world_write(w, &(struct store_write){.batches = &b, .batch_count = 1}), STORE_DONE);
    assert_string_equal(find(w, (struct store_find){.from = "2026-03-01", .to = "2026-03-01"}, NULL).ids, "43 2 1");
    assert_string_equal(find(w, (struct store_find){.to = "2026-03-02"}, NULL).ids, "43 3 2 1");
}

/* No question may read the whole table: an index, the numbers or the words lead, and nothing is sorted. */
static void no_question_sorts_or_scans(void **state)
{
    struct world *w = *state;
    const char *const wheres[] = {"formula = ?",
                                  "variant = ?",
                                  "coat = ?",
                                  "repair_order = ?",
                                  "painter = ?",
                                  "place = ?",
                                  "state = ? AND state <> 'finished'",
                                  "variant = ? AND coat = ?",
                                  "painter = ? AND variant = ?",
                                  "painter = ? AND coat = ?",
                                  "formula = ? AND variant = ?",
                                  "formula = ? AND coat = ?",
                                  "formula = ? AND painter = ?"};
    sqlite3 *db;
    assert_int_equal(sqlite3_open(w->file, &db), SQLITE_OK);
    for (size_t i = 0; i < sizeof wheres / sizeof *wheres; i++) {
        char sql[256];
        sqlite3_stmt *stmt;
        snprintf(sql, sizeof sql, "EXPLAIN QUERY PLAN SELECT * FROM batch WHERE %s ORDER BY id DESC LIMIT 2",
                 wheres[i]);
        assert_int_equal(sqlite3_prepare_v2(db, sql, -1, &stmt, NULL), SQLITE_OK);
        while (sqlite3_step(stmt) == SQLITE_ROW) {
            const char *plan = (const char *)sqlite3_column_text(stmt, 3);
            /* A pair is looked up as one: `(variant=? AND coat=?)`. */
            bool pair = i > 6 && !strstr(plan, "=? AND ");
            if (pair || !strstr(plan, "USING INDEX batch_by_"))
                fail_msg("%s: %s", wheres[i], plan);
        }
        sqlite3_finalize(stmt);
    }
    sqlite3_close(db);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(each_question_finds_its_batches, setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_row_comes_back_whole, setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_row_keeps_what_is_not_in_the_formula, setup, world_teardown),
        cmocka_unit_test_setup_teardown(what_changed_is_found_by_its_new_words_only, setup, world_teardown),
        cmocka_unit_test_setup_teardown(state_and_station_move_without_the_words, setup, world_teardown),
        cmocka_unit_test_setup_teardown(pages_hold_each_batch_once, setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_beginning_finds_few_words_and_many, setup, world_teardown),
        cmocka_unit_test_setup_teardown(days_hold_whatever_the_clock_did, setup, world_teardown),
        cmocka_unit_test_setup_teardown(no_question_sorts_or_scans, setup, world_teardown),
    };
    return cmocka_run_group_tests_name("store: find", tests, NULL, NULL);
}

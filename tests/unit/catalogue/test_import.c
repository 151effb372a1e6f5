#include "catalogue/order.h"
#include "tests/unit/catalogue/shop.h"

#include <sqlite3.h>

#define N10  "[toner N10]\nname = White\nvoc_pct = 42\n"
#define K01  "[toner K01]\nname = Black\n"
#define TI_1 "[formula TI-1]\nname = One\nfinish = solid\nline = solvent\n[coat base]\nN10 = 3\nK01 = 1\n"

static int64_t events(struct shop *s, const char *kind)
{
    char sql[128];
    snprintf(sql, sizeof sql, "SELECT count(*) FROM event WHERE kind LIKE '%s'", kind);
    return world_number(s->world, sql);
}

static int64_t revision(struct shop *s, const char *kind, const char *id)
{
    json_t *thing = catalogue_get(s->store, kind, id, 0);
    const char *member = strcmp(kind, "formula") == 0 ? "formula_revision" : "revision";
    int64_t out = json_integer_value(json_object_get(thing, member));
    json_decref(thing);
    return out;
}

static void each_section_is_taken_once_with_one_event(void **state)
{
    struct shop *s = *state;
    assert_int_equal(shop_write(s, "a.ini", N10 K01 TI_1), 3);
    assert_int_equal(events(s, "toner.put"), 2);
    assert_int_equal(events(s, "formula.put"), 1);
    assert_int_equal(events(s, "%"), 3);
    assert_int_equal(world_number(s->world, "SELECT count(*) FROM event WHERE person = 'Ines' AND client = 'test' AND "
                                            "version <> '' AND boot <> '' AND time LIKE '____-__-__T%'"),
                     3);
    assert_int_equal(shop_import(s, s->folder.dir), 0);
    assert_int_equal(events(s, "%"), 3);
    assert_int_equal(revision(s, "toner", "N10"), 1);
    assert_int_equal(revision(s, "formula", "TI-1"), 1);
}

static void only_a_section_that_changed_becomes_a_new_revision(void **state)
{
    struct shop *s = *state;
    shop_write(s, "a.ini", N10 K01 TI_1);
    assert_int_equal(shop_write(s, "a.ini", "# comment\n" K01 N10 "bank = A 1\n" TI_1), 1);
    assert_int_equal(revision(s, "toner", "N10"), 2);
    assert_int_equal(revision(s, "toner", "K01"), 1);
    assert_int_equal(revision(s, "formula", "TI-1"), 1);
    assert_int_equal(shop_write(s, "a.ini", K01 N10 "bank = A 1\n" TI_1 "[coat base / darker]\nK01 = 9\n"), 1);
    assert_int_equal(revision(s, "formula", "TI-1"), 2);
    struct formula f;
    assert_true(catalogue_formula(s->store, "TI-1", 1, &f)); /* the one before is kept */
    assert_int_equal(f.coat_count, 1);
    assert_int_equal(f.revision, 1);
    assert_string_equal(f.reason, "read from a.ini");
    assert_int_equal(strlen(f.date), 10);
    formula_finish(&f);
    assert_true(catalogue_formula(s->store, "TI-1", 0, &f));
    assert_int_equal(f.coat_count, 2);
    formula_finish(&f);
    assert_false(catalogue_formula(s->store, "TI-1", 3, &f));
}

/* The store is the truth: a put or a removal holds until the section itself is written anew. */
static void what_a_put_made_is_left_alone_by_a_section_that_did_not_change(void **state)
{
    struct shop *s = *state;
    struct toner t;
    shop_write(s, "a.ini", N10 K01);
    shop_put(s, "toner", "N10", "{\"id\":\"N10\",\"name\":\"White, new tin\"}");
    shop_put(s, "toner", "K01", NULL);
    assert_int_equal(shop_import(s, s->folder.dir), 0);
    assert_true(catalogue_toner(s->store, "N10", &t));
    assert_string_equal(t.name, "White, new tin");
    assert_int_equal(t.revision, 2);
    assert_false(catalogue_toner(s->store, "K01", &t));
    assert_int_equal(shop_write(s, "a.ini", N10 "bank = A 1\n" K01 "bank = A 2\n"), 2);
    assert_true(catalogue_toner(s->store, "N10", &t));
    assert_string_equal(t.name, "White");
    assert_int_equal(t.revision, 3);
    assert_true(catalogue_toner(s->store, "K01", &t));
}

static void a_section_taken_out_of_the_file_stays_in_the_store(void **state)
{
    struct shop *s = *state;
    struct toner t;
    shop_write(s, "a.ini", N10 K01);
    assert_int_equal(shop_write(s, "a.ini", K01), 0);
    assert_true(catalogue_toner(s->store, "N10", &t));
    assert_int_equal(shop_write(s, "a.ini", K01 N10), 0); /* and is not new when it comes back as it was */
}

static void a_file_with_a_fault_changes_nothing(void **state)
{
    struct shop *s = *state;
    struct file_items items;
    struct file_fault fault;
    const char *path = s->folder.dir;
    struct toner t;
    shop_write(s, "a.ini", N10);
    folder_write(&s->folder, "a.ini", N10 "bank = A 1\n[toner K01]\nvoc_pct = 101\n");
    assert_false(files_read(&path, 1, files_known_by_store, s->store, &items, &fault));
    assert_int_equal(items.count, 0);
    assert_true(catalogue_toner(s->store, "N10", &t));
    assert_string_equal(t.bank, "");
}

static void a_formula_may_use_a_toner_that_only_the_store_has(void **state)
{
    struct shop *s = *state;
    struct formula f;
    shop_put(s, "toner", "K01", "{\"id\":\"K01\"}");
    assert_int_equal(shop_write(s, "a.ini", N10 TI_1), 2);
    assert_true(catalogue_formula(s->store, "TI-1", 0, &f));
    formula_finish(&f);
}

static void what_was_imported_is_there_after_a_restart(void **state)
{
    struct shop *s = *state;
    shop_write(s, "a.ini", N10 K01 TI_1);
    world_close(s->world);
    assert_true(world_open(s->world));
    s->store = s->world->store;
    assert_int_equal(shop_import(s, s->folder.dir), 0);
    assert_int_equal(events(s, "%"), 3);
    struct toner t;
    assert_true(catalogue_toner(s->store, "N10", &t));
    assert_true(t.voc_pct == 42);
}

enum { MANY = 1200 };

/* More toners than are written at once, in one file. */
static void write_many(struct shop *s)
{
    char *text = calloc(MANY, 48), *at = text;
    assert_non_null(text);
    for (int i = 0; i < MANY; i++)
        at += sprintf(at, "[toner X%04d]\nvoc_pct = %d\n", i, i % 90);
    folder_write(&s->folder, "many.ini", text);
    free(text);
}

static void many_sections_come_in_pieces(void **state)
{
    struct shop *s = *state;
    write_many(s);
    assert_int_equal(shop_import(s, s->folder.dir), MANY);
    assert_int_equal(events(s, "toner.put"), MANY);
    assert_int_equal(world_number(s->world, "SELECT count(*) FROM item WHERE kind = 'section'"), MANY);
    json_t *kept = order_kept(s->store, "toner");
    assert_int_equal(json_array_size(kept), MANY);
    json_decref(kept);
    assert_int_equal(shop_import(s, s->folder.dir), 0);
    assert_int_equal(revision(s, "toner", "X1199"), 1);
}

/* What was on its way when all ended is there whole, a piece is not torn; the same files bring the rest. */
static void the_rest_comes_after_an_import_that_was_cut(void **state)
{
    struct shop *s = *state;
    const char *path = s->folder.dir;
    struct file_items items;
    struct file_fault fault;
    struct fault unread;
    size_t changed;
    write_many(s);
    assert_true(files_read(&path, 1, files_known_by_store, s->store, &items, &fault));
    assert_true(files_import(s->store, &items, NULL, "test", shop_imported, s, &changed, &unread));
    world_close(s->world);
    assert_int_equal(s->imports, 1);
    assert_int_equal(s->result, STORE_DEAD);
    assert_true(world_open(s->world));
    s->store = s->world->store;
    int64_t came = events(s, "toner.put");
    assert_true(came >= FILES_AT_ONCE && came < MANY && came % FILES_AT_ONCE == 0);
    assert_int_equal(world_number(s->world, "SELECT count(*) FROM item WHERE kind = 'toner'"), came);
    assert_int_equal(world_number(s->world, "SELECT count(*) FROM item WHERE kind = 'order'"), 0);
    assert_int_equal(shop_import(s, path), MANY - came);
    assert_int_equal(events(s, "toner.put"), MANY);
    assert_int_equal(world_number(s->world, "SELECT count(*) FROM item WHERE kind = 'order'"), 1);
}

/* Another connection takes the table away, so that every look-up of an item fails as on a damaged file. */
static void lose_items(struct shop *s)
{
    sqlite3 *db;
    assert_int_equal(sqlite3_open(s->world->file, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "ALTER TABLE item RENAME TO lost", NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(db);
}

static void what_could_not_be_read_is_not_unknown(void **state)
{
    struct shop *s = *state;
    struct file_items items = {0};
    struct fault fault;
    struct toner t;
    struct product p;
    size_t changed;
    shop_write(s, "a.ini", N10);
    uint64_t before = store_unread(s->store);
    assert_false(catalogue_toner(s->store, "N99", &t));
    assert_true(catalogue_was_read(s->store, before, &fault)); /* there is none: that was read */

    lose_items(s);
    assert_false(catalogue_toner(s->store, "N10", &t));
    assert_false(catalogue_was_read(s->store, before, &fault));
    assert_int_equal(fault.kind, FAULT_STORE);
    assert_string_equal(fault.why, "io");
    before = store_unread(s->store);
    assert_false(catalogue_product_for(s->store, "TI-1", "clear", &p));
    assert_false(catalogue_was_read(s->store, before, &fault));
    before = store_unread(s->store);
    json_decref(catalogue_list(s->store, "toner", "N10"));
    assert_false(catalogue_was_read(s->store, before, &fault));

    /* An import that cannot tell what changed writes nothing and calls nobody. */
    int imports = s->imports;
    assert_false(files_import(s->store, &items, "Ines", "test", shop_imported, s, &changed, &fault));
    assert_int_equal(fault.kind, FAULT_STORE);
    assert_int_equal(changed, 0);
    assert_int_equal(s->imports, imports);
}

/* Waits for one more answer of the store. */
static void answered(struct shop *s, int before)
{
    while (s->imports == before)
        uv_run(&s->world->loop, UV_RUN_ONCE);
    assert_int_equal(s->result, STORE_DONE);
}

/* As a start does: known again, or parsed and taken in. True: known again. */
static bool started(struct shop *s, const char *path, struct files_mark *mark)
{
    struct file_items items;
    struct file_fault fault;
    struct fault unread;
    size_t changed;
    int before = s->imports;
    bool known = files_known_again(s->store, path, mark, shop_imported, s);
    if (!known) {
        assert_true(files_read(&path, 1, files_known_by_store, s->store, &items, &fault));
        files_mark_sure(path, mark);
        items.mark = *mark;
        assert_true(files_import(s->store, &items, NULL, "test", shop_imported, s, &changed, &unread));
        file_items_finish(&items);
    }
    answered(s, before);
    return known;
}

/* Files of the tree are older than two seconds, so their times are believed; the content of any file is. */
static void files_are_known_again_without_parsing_them(void **state)
{
    struct shop *s = *state;
    const char *path = "tests/data/story";
    struct files_mark mark;
    assert_false(started(s, path, &mark));
    assert_true(mark.times[0] && mark.content[0]);
    assert_true(started(s, path, &mark));
    assert_true(mark.times[0] && !mark.content[0]); /* a look at each was enough */
    shop_write(s, "other.ini", "[toner A]\nname = From elsewhere\n");
    assert_false(started(s, path, &mark)); /* the story says otherwise, and a start must see it */
    assert_false(files_mark_times("/nowhere/at/all", &mark));
    assert_false(files_mark_content("/nowhere/at/all", &mark));
}

/* Who copies the folder anew, or checks it out, changed nothing; who writes other letters of the same length did, even
 * with the time set back. */
static void content_counts_and_not_its_time(void **state)
{
    struct shop *s = *state;
    struct files_mark mark;
    char path[256];
    const struct timespec old[2] = {{.tv_sec = 1600000000}, {.tv_sec = 1600000000}};
    snprintf(path, sizeof path, "%s/a.ini", s->folder.dir);
    folder_write(&s->folder, "a.ini", "[toner A]\nname = One\n");
    assert_false(started(s, s->folder.dir, &mark));
    assert_string_equal(mark.times, ""); /* just written: a later change could bear the same time */
    assert_true(started(s, s->folder.dir, &mark));
    assert_true(mark.content[0]);
    folder_write(&s->folder, "a.ini", "[toner A]\nname = One\n");
    assert_true(started(s, s->folder.dir, &mark));
    folder_write(&s->folder, "a.ini", "[toner A]\nname = Two\n");
    assert_int_equal(utimensat(AT_FDCWD, path, old, 0), 0);
    assert_false(started(s, s->folder.dir, &mark));
    assert_true(started(s, s->folder.dir, &mark));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(each_section_is_taken_once_with_one_event, shop_setup, shop_teardown),
        cmocka_unit_test_setup_teardown(only_a_section_that_changed_becomes_a_new_revision, shop_setup, shop_teardown),
        cmocka_unit_test_setup_teardown(what_a_put_made_is_left_alone_by_a_section_that_did_not_change, shop_setup,
                                        shop_teardown),
        cmocka_unit_test_setup_teardown(a_section_taken_out_of_the_file_stays_in_the_store, shop_setup, shop_teardown),
        cmocka_unit_test_setup_teardown(a_file_with_a_fault_changes_nothing, shop_setup, shop_teardown),
        cmocka_unit_test_setup_teardown(a_formula_may_use_a_toner_that_only_the_store_has, shop_setup, shop_teardown),
        cmocka_unit_test_setup_teardown(what_was_imported_is_there_after_a_restart, shop_setup, shop_teardown),
        cmocka_unit_test_setup_teardown(many_sections_come_in_pieces, shop_setup, shop_teardown),
        cmocka_unit_test_setup_teardown(the_rest_comes_after_an_import_that_was_cut, shop_setup, shop_teardown),
        cmocka_unit_test_setup_teardown(files_are_known_again_without_parsing_them, shop_setup, shop_teardown),
        cmocka_unit_test_setup_teardown(content_counts_and_not_its_time, shop_setup, shop_teardown),
        cmocka_unit_test_setup_teardown(what_could_not_be_read_is_not_unknown, shop_setup, shop_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

#include "catalogue/files.h"
#include "tests/unit/catalogue/folder.h"

#include <sys/stat.h>

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

static bool read_folder(const struct folder *f, struct file_items *items, struct file_fault *fault)
{
    const char *path = f->dir;
    return files_read(&path, 1, NULL, NULL, items, fault);
}

static const struct file_item *find(const struct file_items *items, const char *kind, const char *id)
{
    for (size_t i = 0; i < items->count; i++)
        if (strcmp(items->item[i].kind, kind) == 0 && strcmp(items->item[i].id, id) == 0)
            return &items->item[i];
    return NULL;
}

#define TONERS  "[toner N10]\n[toner K01]\n[toner M42]\n"
#define FORMULA "[formula TI-1]\nfinish = solid\nline = solvent\n"

/* Coats go to the formula above them in their own file; the order of toners is the pouring order, one may come twice.
 */
static void formulas_are_joined_with_their_coats(void **state)
{
    struct folder *f = *state;
    struct file_items items;
    struct file_fault fault;
    folder_write(f, "2.ini", TONERS);
    folder_write(f, "1.ini",
                 FORMULA "[coat ground]\nN10 = 212\nM42 = 61.5\nN10 = 3.2\n"
                         "[formula]\ncode = TI-2\nname = Two\nfinish = pearl\nline = waterborne\n"
                         "[coat ground]\nK01 = 1\n[coat mid / very dark]\nK01 = 2\n[cup 0.4]\nml = 400\n"
                         "[coat mid]\nM42 = 3\n");
    if (!read_folder(f, &items, &fault))
        fail_msg("%s:%d: %s: %s", fault.file, fault.line, fault.field, fault.why);
    assert_int_equal(items.count, 6);
    assert_string_equal(
        find(&items, "formula", "TI-1")->body,
        "{\"code\":\"TI-1\",\"name\":\"TI-1\",\"finish\":\"solid\",\"line\":\"solvent\","
        "\"variants\":[\"standard\"],\"coats\":[{\"coat\":\"ground\",\"variant\":\"standard\",\"parts\":["
        "{\"toner\":\"N10\",\"parts\":212},{\"toner\":\"M42\",\"parts\":61.5},"
        "{\"toner\":\"N10\",\"parts\":3.2}]}]}");
    assert_string_equal(find(&items, "formula", "TI-2")->body,
                        "{\"code\":\"TI-2\",\"name\":\"Two\",\"finish\":\"pearl\",\"line\":\"waterborne\","
                        "\"variants\":[\"standard\",\"very dark\"],\"coats\":["
                        "{\"coat\":\"ground\",\"variant\":\"standard\",\"parts\":[{\"toner\":\"K01\",\"parts\":1}]},"
                        "{\"coat\":\"mid\",\"variant\":\"very dark\",\"parts\":[{\"toner\":\"K01\",\"parts\":2}]},"
                        "{\"coat\":\"mid\",\"variant\":\"standard\",\"parts\":[{\"toner\":\"M42\",\"parts\":3}]}]}");
    assert_int_equal(find(&items, "formula", "TI-2")->line, 8);
    file_items_finish(&items);
}

static void the_order_is_that_of_file_names_by_bytes(void **state)
{
    struct folder *f = *state;
    struct file_items items;
    struct file_fault fault;
    folder_write(f, "b.ini", "[toner B1]\n");
    folder_write(f, "a.ini", "[toner A1]\n[toner A0]\n");
    folder_write(f, "B.ini", "[toner C1]\n");
    folder_write(f, "10.ini", "[toner D1]\n");
    folder_write(f, "9.ini", "[toner E1]\n");
    folder_write(f, "notes.txt", "not for us\n");
    folder_write(f, ".hidden.ini", "not for us\n");
    assert_true(read_folder(f, &items, &fault));
    static const char *const want[] = {"D1", "E1", "C1", "A1", "A0", "B1"};
    assert_int_equal(items.count, 6);
    for (size_t i = 0; i < items.count; i++)
        assert_string_equal(items.item[i].id, want[i]);
    file_items_finish(&items);
}

static const struct {
    const char *name, *a, *b; /* two files; b may be NULL */
    const char *file;
    int line;
    const char *field, *code; /* code: how it begins */
} bad[] = {
    {"a section not known", "[tonner N10]\nname = White\n", NULL, "a.ini", 1, "tonner N10", "file_section"},
    {"a configuration's section", "[station bench]\n", NULL, "a.ini", 1, "station bench", "file_section"},
    {"a setting not known", "[toner N10]\nname = White\ndensity = 1.2\n", NULL, "a.ini", 3, "density",
     "ini_unknown_key"},
    {"a setting twice", "[toner N10]\nname = White\nvoc_pct = 4\nname = Pale\n", NULL, "a.ini", 4, "name", "ini_twice"},
    {"a toner twice in a file", "[toner N10]\n[toner K01]\n[toner N10]\n", NULL, "a.ini", 3, "toner N10", "file_twice"},
    {"a toner twice in two files", "[toner N10]\n", "\n[toner N10]\n", "b.ini", 2, "toner N10", "file_twice"},
    {"a formula twice by two spellings", TONERS FORMULA "[coat base]\nN10 = 1\n",
     "[formula]\nname = x\ncode = TI-1\n[coat base]\nN10 = 1\n", "b.ini", 3, "formula TI-1", "file_twice"},
    {"no id", "[toner]\nname = White\n", NULL, "a.ini", 1, "toner", "file_id"},
    {"an id with a space", "[toner N 10]\nname = White\n", NULL, "a.ini", 1, "toner", "file_id"},
    {"an id of 41", "[cup a23456789a123456789a123456789a123456789a1]\nml = 1\n", NULL, "a.ini", 1, "cup", "file_id"},
    {"a density of 0", "[toner N10]\ndensity_g_per_ml = 0\n", NULL, "a.ini", 2, "density_g_per_ml", "member_above_to"},
    {"a density below 0", "[toner N10]\nname = x\ndensity_g_per_ml = -1.2\n", NULL, "a.ini", 3, "density_g_per_ml",
     "member_above_to"},
    {"a density in kg/m3", "[toner N10]\ndensity_g_per_ml = 1280\n", NULL, "a.ini", 2, "density_g_per_ml", "member_"},
    {"a per cent above 100", "[toner N10]\nvoc_pct = 100.1\n", NULL, "a.ini", 2, "voc_pct", "member_from_to"},
    {"shares above 100 together", "[toner N10]\nwater_pct = 60\nvoc_pct = 41\n", NULL, "a.ini", 3, "voc_pct",
     "toner_volatiles"},
    {"a number in words", "[toner N10]\nvoc_pct = low\n", NULL, "a.ini", 2, "voc_pct", "member_no_number"},
    {"a number with a comma", "[toner N10]\nprice_per_kg = 38,50\n", NULL, "a.ini", 2, "price_per_kg", "file_comma"},
    {"a line of business", "[toner N10]\nline = oil\n", NULL, "a.ini", 2, "line", "member_choice"},
    {"a role", "[toner N10]\nrole = redcuer\n", NULL, "a.ini", 2, "role", "member_choice"},
    {"a hazard", "[toner N10]\nhazards = H226 R10\n", NULL, "a.ini", 2, "hazards", "toner_hazard"},
    {"an empty value", "[toner N10]\npigment =\n", NULL, "a.ini", 2, "pigment", "ini_no_value"},
    {"an indented line", "[toner N10]\nname = White\n fine\n", NULL, "a.ini", 3, "", "ini_indented"},
    {"a formula without a code", "[formula]\nname = x\n", NULL, "a.ini", 1, "code", "formula_no_code"},
    {"a formula with two codes", "[formula TI-1]\ncode = TI-2\n", NULL, "a.ini", 2, "code", "formula_codes"},
    {"a code that is no id", "[formula]\nfinish = solid\ncode = TI 1\n", NULL, "a.ini", 3, "code", "file_id"},
    {"a formula without coats", TONERS FORMULA, NULL, "a.ini", 4, "coats", "member_few"},
    {"a formula without a finish", TONERS "[formula TI-1]\nline = solvent\n[coat base]\nN10 = 1\n", NULL, "a.ini", 4,
     "finish", "member_missing"},
    {"a finish not known", TONERS "[formula TI-1]\nfinish = matt\nline = solvent\n[coat base]\nN10 = 1\n", NULL,
     "a.ini", 5, "finish", "member_choice"},
    {"a coat above every formula", TONERS "[coat base]\nN10 = 1\n", NULL, "a.ini", 4, "coat base",
     "formula_coat_alone"},
    {"a coat whose formula is in another file", TONERS FORMULA "[coat base]\nN10 = 1\n", "[coat mid]\nN10 = 1\n",
     "b.ini", 1, "coat mid", "formula_coat_alone"},
    {"a coat not known", TONERS FORMULA "[coat base]\nN10 = 1\n[coat middle]\nN10 = 1\n", NULL, "a.ini", 9, "coat",
     "member_choice"},
    {"a coat without a name", TONERS FORMULA "[coat]\nN10 = 1\n", NULL, "a.ini", 7, "coat", "formula_coat_name"},
    {"a coat twice", TONERS FORMULA "[coat base]\nN10 = 1\n[coat mid]\nN10 = 1\n[coat base / standard]\nN10 = 2\n",
     NULL, "a.ini", 11, "variant", "formula_coat_twice"},
    {"a coat without toners", TONERS FORMULA "[coat base]\n[coat mid]\nN10 = 1\n", NULL, "a.ini", 7, "coat base",
     "formula_coat_empty"},
    {"a variant without a name", TONERS FORMULA "[coat base / ]\nN10 = 1\n", NULL, "a.ini", 7, "coat base /",
     "formula_coat_variant"},
    {"a variant with a slash", TONERS FORMULA "[coat base / a/b]\nN10 = 1\n", NULL, "a.ini", 7, "coat base / a/b",
     "formula_coat_variant"},
    {"a toner that nothing describes", TONERS FORMULA "[coat base]\nN10 = 1\nN11 = 2\n", NULL, "a.ini", 9, "N11",
     "file_toner"},
    {"a toner in the wrong case", TONERS FORMULA "[coat base]\nn10 = 1\n", NULL, "a.ini", 8, "n10", "file_toner"},
    {"no parts", TONERS FORMULA "[coat base]\nN10 = 0\n", NULL, "a.ini", 8, "N10", "formula_parts"},
    {"parts below 0", TONERS FORMULA "[coat base]\nN10 = -5\n", NULL, "a.ini", 8, "N10", "formula_parts"},
    {"parts in words", TONERS FORMULA "[coat base]\nN10 = some\n", NULL, "a.ini", 8, "N10", "formula_parts"},
    {"a toner's id with a space", TONERS FORMULA "[coat base]\nN 10 = 1\n", NULL, "a.ini", 8, "N 10", "file_id"},
    {"a cup without a volume", "[cup 0.4]\ntare_g = 18\n", NULL, "a.ini", 1, "ml", "member_missing"},
    {"a cup of 0 mL", "[cup 0.4]\nml = 0\n", NULL, "a.ini", 2, "ml", "member_"},
    {"a cup filled over its rim", "[cup 0.4]\nml = 400\nfill_pct = 101\n", NULL, "a.ini", 3, "fill_pct", "member_"},
    {"an empty panel", "[panel door]\n", NULL, "a.ini", 1, "area_m2", "member_missing"},
    {"a panel of no area", "[panel door]\narea_m2 = 0\n", NULL, "a.ini", 2, "area_m2", "member_"},
    {"a flag", "[panel door]\narea_m2 = 1\ndefault = maybe\n", NULL, "a.ini", 3, "default", "member_no_flag"},
};

static void each_fault_names_file_line_field_and_what_fixes_it(void **state)
{
    struct folder *f = *state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct file_items items;
        struct file_fault fault;
        char path[128];
        folder_clear(f);
        folder_write(f, "a.ini", bad[i].a);
        if (bad[i].b)
            folder_write(f, "b.ini", bad[i].b);
        if (read_folder(f, &items, &fault))
            fail_msg("%s: taken", bad[i].name);
        snprintf(path, sizeof path, "%s/%s", f->dir, bad[i].file);
        if (strcmp(fault.file, path) != 0 || fault.line != bad[i].line || strcmp(fault.field, bad[i].field) != 0 ||
            strncmp(fault.said.code, bad[i].code, strlen(bad[i].code)) != 0)
            fail_msg("%s: got %s:%d: %s: %s", bad[i].name, fault.file, fault.line, fault.field, fault.why);
        if (!fault.why[0] || !fault.help[0])
            fail_msg("%s: no words, or nothing that fixes it", bad[i].name);
        assert_int_equal(items.count, 0); /* a file with an error changes nothing */
        assert_null(items.item);
    }
}

#define PRODUCT(lines) "[product P1]\nrole = clear\nbasis = volume\n" lines

static const struct {
    const char *name, *text;
    int line;
    const char *field;
} bad_products[] = {
    {"no role", "[product P1]\nbasis = volume\nratio = 1\nparts = A\n", 1, "role"},
    {"no basis", "[product P1]\nrole = clear\nratio = 1\nparts = A\n", 1, "basis"},
    {"no parts", PRODUCT("ratio = 4:1\n"), 1, "parts"},
    {"no ratio", PRODUCT("parts = A, B\n"), 1, "ratio"},
    {"fewer numbers than parts", PRODUCT("ratio = 4:1\nparts = A, B, C\n"), 4, "ratio"},
    {"more numbers than parts", PRODUCT("parts = A, B\nratio = 4:1:1\n"), 5, "ratio"},
    {"a 0 in the ratio", PRODUCT("ratio = 4:0\nparts = A, B\n"), 4, "ratio"},
    {"below 0", PRODUCT("ratio = 4:-1\nparts = A, B\n"), 4, "ratio"},
    {"words in the ratio", PRODUCT("ratio = 4 to 1\nparts = A, B\n"), 4, "ratio"},
    {"a colon at the end", PRODUCT("ratio = 4:1:\nparts = A, B\n"), 4, "ratio"},
    {"two points", PRODUCT("ratio = 4:1.2.3\nparts = A, B\n"), 4, "ratio"},
    {"the first a per cent", PRODUCT("ratio = 10%:1\nparts = A, B\n"), 4, "ratio"},
    {"a per cent above 100", PRODUCT("ratio = 4:101%\nparts = A, B\n"), 4, "ratio"},
    {"an empty part", PRODUCT("ratio = 4:1\nparts = A, , B\n"), 5, "parts"},
    {"a part that is no id", PRODUCT("ratio = 4:1\nparts = A, the hardener\n"), 5, "parts"},
    {"nine parts", PRODUCT("ratio = 1:1:1:1:1:1:1:1:1\nparts = A, B, C, D, E, F, G, H, I\n"), 5, "parts"},
    {"basis", "[product P1]\nrole = clear\nbasis = mass\nratio = 1\nparts = A\n", 3, "basis"},
    {"of", PRODUCT("ratio = 4:1\nparts = A, B\nof = all\n"), 6, "of"},
    {"a role", "[product P1]\nrole = clar\nbasis = volume\nratio = 1\nparts = A\n", 2, "role"},
    {"a pot life of 0", PRODUCT("ratio = 4:1\nparts = A, B\npot_life_min = 0\n"), 6, "pot_life_min"},
    {"a tolerance of 0", PRODUCT("ratio = 4:1\nparts = A, B\nhardener_tolerance_pct = 0\n"), 6,
     "hardener_tolerance_pct"},
    {"a temperature the wrong way round", PRODUCT("ratio = 4:1\nparts = A, B\nreducers = R 25-15\n"), 6, "reducers"},
    {"a choice that is no id", PRODUCT("ratio = 4:1\nparts = A, B\nhardeners = H(1) fast\n"), 6, "hardeners"},
};

static void a_product_that_cannot_be_mixed_is_refused_at_its_line(void **state)
{
    struct folder *f = *state;
    for (size_t i = 0; i < sizeof bad_products / sizeof *bad_products; i++) {
        struct file_items items;
        struct file_fault fault;
        folder_write(f, "a.ini", bad_products[i].text);
        if (read_folder(f, &items, &fault))
            fail_msg("%s: taken", bad_products[i].name);
        if (fault.line != bad_products[i].line || strcmp(fault.field, bad_products[i].field) != 0 || !fault.help[0])
            fail_msg("%s: got %d: %s: %s", bad_products[i].name, fault.line, fault.field, fault.why);
    }
}

static void a_product_keeps_all_that_stands_there(void **state)
{
    struct folder *f = *state;
    struct file_items items;
    struct file_fault fault;
    folder_write(f, "a.ini",
                 "[product P1]\nname = Clear\nrole = clear\nline = two-pack\nratio = 4 : 1.5 : 10 %\nbasis = weight\n"
                 "of = mix\nparts = colour, H-1,R-1\npot_life_min = 90\nflash_min = 5\nfilm_um = 50\n"
                 "solids_vol_pct = 38\nreducers = R-1 15-25, R-2 -5-15, R-3\nhardeners = H-1 fast, H-2\n");
    if (!read_folder(f, &items, &fault))
        fail_msg("%d: %s: %s", fault.line, fault.field, fault.why);
    assert_string_equal(
        items.item[0].body,
        "{\"id\":\"P1\",\"name\":\"Clear\",\"role\":\"clear\",\"line\":\"two-pack\",\"parts\":[\"colour\",\"H-1\",\"R-"
        "1\"],"
        "\"pot_life_min\":90,\"flash_min\":5,\"film_um\":50,\"solids_vol_pct\":38,\"hardener_tolerance_pct\":3,"
        "\"reducer_tolerance_pct\":5,"
        "\"hardeners\":[{\"id\":\"H-1\",\"speed\":\"fast\",\"min_c\":null,\"max_c\":null},"
        "{\"id\":\"H-2\",\"speed\":null,\"min_c\":null,\"max_c\":null}],"
        "\"reducers\":[{\"id\":\"R-1\",\"speed\":null,\"min_c\":15,\"max_c\":25},"
        "{\"id\":\"R-2\",\"speed\":null,\"min_c\":-5,\"max_c\":15},"
        "{\"id\":\"R-3\",\"speed\":null,\"min_c\":null,\"max_c\":null}],"
        "\"ratio\":\"4:1.5:10%\",\"basis\":\"weight\",\"of\":\"mix\"}");
    file_items_finish(&items);
}

static bool knows_z9(void *arg, const char *kind, const char *id)
{
    ++*(int *)arg;
    return strcmp(kind, "toner") == 0 && strcmp(id, "Z9") == 0;
}

static void a_toner_may_be_known_from_elsewhere(void **state)
{
    struct folder *f = *state;
    struct file_items items;
    struct file_fault fault;
    int asked = 0;
    const char *path = f->dir;
    folder_write(f, "a.ini", TONERS FORMULA "[coat base]\nZ9 = 1\nN10 = 2\n");
    assert_true(files_read(&path, 1, knows_z9, &asked, &items, &fault));
    assert_int_equal(asked, 1); /* one that the files describe is not asked for */
    file_items_finish(&items);
}

static void all_faults_of_all_files_are_found_at_once(void **state)
{
    struct folder *f = *state;
    struct file_items items;
    struct file_faults faults = {0};
    const char *path = f->dir;
    folder_write(f, "a.ini", "[toner N10]\nvoc_pct = 101\ndensity = 1\n[cup 1]\n");
    folder_write(f, "b.ini", FORMULA "[coat base]\nN10 = x\nK01 = 1\n");
    assert_false(files_read_all(&path, 1, NULL, NULL, &items, &faults));
    static const int lines[] = {3, 4, 5};
    assert_int_equal(faults.count, 3); /* K01 is not looked for before the others are fixed */
    for (size_t i = 0; i < 3; i++)
        assert_int_equal(faults.fault[i].line, lines[i]);
    file_faults_finish(&faults);
}

/* What a person changes without meaning anything by it is no change; all else is. */
static void the_hash_of_a_section_follows_its_words_alone(void **state)
{
    static const struct {
        const char *text;
        bool same;
    } edits[] = {
        {"# a comment\r\n[ toner N10 ]\r\n\r\nname=White ; the first\r\nvoc_pct   =  42\r\n", true},
        {"[toner K01]\n[toner N10]\nname = White\nvoc_pct = 42\n", true},
        {"[toner N10]\nname = White\nvoc_pct = 42.5\n", false},
        {"[toner N10]\nname = White\n", false},
        {"[toner N10]\nname = White\nvoc_pct = 42\nbank = 1\n", false},
        {"[toner N10]\nname = WhiteX\nvoc_pct = 42\n", false},
    };
    struct folder *f = *state;
    struct file_items items;
    struct file_fault fault;
    folder_write(f, "a.ini", "[toner N10]\nname = White\nvoc_pct = 42\n");
    assert_true(read_folder(f, &items, &fault));
    char before[65];
    strcpy(before, find(&items, "toner", "N10")->source);
    assert_int_equal(strlen(before), 64);
    file_items_finish(&items);
    for (size_t i = 0; i < sizeof edits / sizeof *edits; i++) {
        folder_write(f, "a.ini", edits[i].text);
        assert_true(read_folder(f, &items, &fault));
        if ((strcmp(find(&items, "toner", "N10")->source, before) == 0) != edits[i].same)
            fail_msg("edit %zu is %s change", i, edits[i].same ? "a" : "no");
        file_items_finish(&items);
    }
}

static void the_hash_of_a_formula_covers_its_coats_and_their_order(void **state)
{
    static const char *const coats[] = {
        "[coat base]\nN10 = 1\nK01 = 2\n",
        "[coat base]\nK01 = 2\nN10 = 1\n",
        "[coat base]\nN10 = 1\nK01 = 2.5\n",
        "[coat mid]\nN10 = 1\nK01 = 2\n",
        "[coat base]\nN10 = 1\nK01 = 2\n[coat base / darker]\nK01 = 1\n",
        "[coat base / darker]\nN10 = 1\nK01 = 2\n",
    };
    enum { COATS = sizeof coats / sizeof *coats };
    struct folder *f = *state;
    char seen[COATS][65];
    for (size_t i = 0; i < COATS; i++) {
        struct file_items items;
        struct file_fault fault;
        char text[512];
        snprintf(text, sizeof text, TONERS FORMULA "%s", coats[i]);
        folder_write(f, "a.ini", text);
        assert_true(read_folder(f, &items, &fault));
        strcpy(seen[i], find(&items, "formula", "TI-1")->source);
        file_items_finish(&items);
        for (size_t k = 0; k < i; k++)
            if (strcmp(seen[k], seen[i]) == 0)
                fail_msg("coats %zu and %zu have one hash", k, i);
    }
}

static void single_files_are_read_as_well(void **state)
{
    struct folder *f = *state;
    struct file_items items;
    struct file_fault fault;
    char a[128], b[128];
    folder_write(f, "a.ini", "[toner A1]\n");
    folder_write(f, "b.txt", "[toner B1]\n");
    snprintf(a, sizeof a, "%s/a.ini", f->dir);
    snprintf(b, sizeof b, "%s/b.txt", f->dir); /* whatever it is called, when it is named */
    const char *paths[] = {b, a};
    assert_true(files_read(paths, 2, NULL, NULL, &items, &fault));
    assert_int_equal(items.count, 2);
    assert_string_equal(items.item[0].id, "B1");
    file_items_finish(&items);
    const char *missing = "/tmp/no/such/file.ini";
    assert_false(files_read(&missing, 1, NULL, NULL, &items, &fault));
    assert_string_equal(fault.file, missing);
}

/* Reading a pipe would wait for ever for somebody to write into it. */
static void only_plain_files_are_read(void **state)
{
    struct folder *f = *state;
    struct file_items items;
    struct file_fault fault;
    char path[128];
    snprintf(path, sizeof path, "%s/pipe.ini", f->dir);
    assert_int_equal(mkfifo(path, 0600), 0);
    assert_false(read_folder(f, &items, &fault));
    assert_string_equal(fault.file, path);
    assert_string_equal(fault.why, "it is not a plain file");
    unlink(path);
    snprintf(path, sizeof path, "%s/large.ini", f->dir);
    FILE *out = fopen(path, "w");
    assert_non_null(out);
    assert_int_equal(ftruncate(fileno(out), (8 << 20) + 1), 0);
    fclose(out);
    assert_false(read_folder(f, &items, &fault));
    assert_string_equal(fault.why, "it is larger than 8 MiB");
}

/* The demo's files with bytes changed, put in and taken out: each is read or refused with a place in the file, and all
 * that is kept can be read as JSON. (Sanitizers and valgrind look on.) */
static void spoilt_files_are_refused_with_a_place_or_read(void **state)
{
    static const char *const names[] = {"products", "colours-pearl", "cups", "colours-solid"};
    static const char odd[] = "\n[]=;#: \t/%,-.0n\x80\xe2";
    struct folder *f = *state;
    unsigned seed = 12345;
    size_t refused = 0;
    for (int round = 0; round < 200; round++) {
        char path[64], text[16384];
        snprintf(path, sizeof path, "formulas/%s.ini", names[round % 4]);
        FILE *in = fopen(path, "r");
        assert_non_null(in);
        size_t n = fread(text, 1, sizeof text - 64, in);
        fclose(in);
        for (int i = 0; i < 4; i++) {
            seed = seed * 1103515245u + 12345u;
            size_t at = (seed >> 8) % (n - 1);
            char byte = odd[(seed >> 4) % (sizeof odd - 1)];
            if (seed >> 30 == 0) {
                memmove(text + at, text + at + 1, n - at - 1);
                n--;
            } else if (seed >> 30 == 1) {
                memmove(text + at + 1, text + at, n - at);
                n++;
                text[at] = byte;
            } else {
                text[at] = byte;
            }
        }
        text[n] = '\0';
        int lines = 1;
        for (const char *p = text; *p; p++)
            lines += *p == '\n';
        folder_write(f, "a.ini", text);
        const char *paths[] = {f->dir, "formulas/toners.ini"};
        struct file_items items;
        struct file_faults faults = {0};
        if (!files_read_all(paths, 2, NULL, NULL, &items, &faults))
            refused++;
        for (size_t i = 0; i < faults.count; i++)
            if (faults.fault[i].line < 1 || faults.fault[i].line > lines || !faults.fault[i].why[0])
                fail_msg("round %d: line %d of %d: %s", round, faults.fault[i].line, lines, faults.fault[i].why);
        for (size_t i = 0; i < items.count; i++) {
            json_t *body = json_loads(items.item[i].body, JSON_REJECT_DUPLICATES, NULL);
            assert_non_null(body);
            json_decref(body);
        }
        file_items_finish(&items);
        file_faults_finish(&faults);
    }
    assert_true(refused > 60 && refused < 200);
}

/* Two codes meet where one scan could mean both. Each row: the codes of two toners, and whether a shop may have both.
 */
static void codes_of_two_toners_never_meet(void **state)
{
    static const struct {
        const char *first, *second;
        bool apart;
    } rows[] = {
        {"4012345", "4012346", true},   {"4012345", "4012345", false}, {"4012345*", "4012345", false},
        {"4012345", "4012345*", false}, {"4012*", "40123456", false},  {"4012*", "40123*", false},
        {"4012*", "4013*", true},       {"4012*", "401", true},        {"7, 9, 4012*", "8, 40129", false},
        {"tin-*", "TIN-*", true}, /* a scanner reads what was printed */
        {"4012, 4012*", "4013", true},
    };
    struct folder *f = *state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[200];
        struct file_items items;
        struct file_fault fault;
        snprintf(text, sizeof text, "[toner N10]\ncodes = %s\n[toner K01]\nname = x\ncodes = %s\n", rows[i].first,
                 rows[i].second);
        folder_write(f, "a.ini", text);
        if (read_folder(f, &items, &fault) != rows[i].apart)
            fail_msg("%s and %s: %s", rows[i].first, rows[i].second, rows[i].apart ? fault.why : "taken");
        file_items_finish(&items);
        if (rows[i].apart)
            continue;
        assert_int_equal(fault.line, 5); /* the later one, with the place of the first */
        assert_non_null(strstr(fault.why, "a.ini:2"));
        assert_non_null(strstr(fault.why, "N10"));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(formulas_are_joined_with_their_coats, setup, teardown),
        cmocka_unit_test_setup_teardown(the_order_is_that_of_file_names_by_bytes, setup, teardown),
        cmocka_unit_test_setup_teardown(each_fault_names_file_line_field_and_what_fixes_it, setup, teardown),
        cmocka_unit_test_setup_teardown(a_product_that_cannot_be_mixed_is_refused_at_its_line, setup, teardown),
        cmocka_unit_test_setup_teardown(a_product_keeps_all_that_stands_there, setup, teardown),
        cmocka_unit_test_setup_teardown(a_toner_may_be_known_from_elsewhere, setup, teardown),
        cmocka_unit_test_setup_teardown(all_faults_of_all_files_are_found_at_once, setup, teardown),
        cmocka_unit_test_setup_teardown(the_hash_of_a_section_follows_its_words_alone, setup, teardown),
        cmocka_unit_test_setup_teardown(the_hash_of_a_formula_covers_its_coats_and_their_order, setup, teardown),
        cmocka_unit_test_setup_teardown(single_files_are_read_as_well, setup, teardown),
        cmocka_unit_test_setup_teardown(only_plain_files_are_read, setup, teardown),
        cmocka_unit_test_setup_teardown(spoilt_files_are_refused_with_a_place_or_read, setup, teardown),
        cmocka_unit_test_setup_teardown(codes_of_two_toners_never_meet, setup, teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* catalogue_shapes.c - what the methods of the shop's catalogue take and answer: toners, formulas, products, cups,
 * panels. It must not know what a method does with it, nor what a thing of the catalogue holds: that is the catalogue's
 * own table, which stands here as a whole.
 */
#include "catalogue/catalogue.h"
#include "rpc/methods/member_rows.h"
#include "rpc/methods/methods.h"

/* Of params and of an answer alike. */
#define GIVEN(name, ...)                                                                                               \
    static const struct shape_member name##_members[] = {__VA_ARGS__, END};                                            \
    const struct shape name = {NULL, name##_members, NULL}
/* An answer that others refer to by its name. */
#define THING(shape_name, called, says, ...)                                                                           \
    static const struct shape_member shape_name##_members[] = {__VA_ARGS__, END};                                      \
    const struct shape shape_name = {called, shape_name##_members, says}

/* A page of more than 1,000 rows would be a message of megabytes. */
static const struct shape_range limit = {1, 1000, false};
/* A formula_revision; 0 would be none. */
static const struct shape_range from_1 = {1, 1e9, false};
#define NEXT OR_NULL(TEXT, "next", "`after` of the next page")
/* Who did it, and the request that a repeat is known by. */
#define BY MAY(TEXT, "person", NULL), MAY(LINES, "request", NULL)
/* Kept with the revision that it makes. */
#define REASON MAY(TEXT, "reason", "why it is changed")

/* Every list of the catalogue: text narrows it, after and limit page through it. */
GIVEN(params_list, MAY(TEXT, "text", "words that the id, name or pigment must hold"),
      MAY_COUNT("limit", &limit, "how many at most; left out: all"), MAY(TEXT, "after", "`next` of the page before"),
      MAY(FLAG, "as_read", "in the order in which the files were read, what was put by hand last; all at once"));
/* Absolute, since a relative path would be relative to the daemon, which nobody means. */
GIVEN(params_import,
      MUST_LIST("files", TEXT, NULL, "1 to 256 absolute paths that the daemon can read: files or folders"), BY);
GIVEN(result_changed, GIVES(COUNT, "changed", "how many things were new or other"));

/* ---- toners ---- */

#define REVISION GIVES(COUNT, "revision", "how often it was put")
GIVEN(params_toner, MAY(TEXT, "id", "a toner's id, or"), MAY(TEXT, "toner", "the same by this name"),
      MAY(LINES, "request", NULL));
GIVEN(params_toner_put, TAKES_ALL_OF(toner_shape), REASON, BY);
THING(result_toner, "toner", "a toner of the bank, or what else is poured", GIVES_ALL_OF(toner_shape), REVISION);
GIVEN(result_toners, GIVES_LIST("toners", OBJECT, &result_toner, "by id"), NEXT);
GIVEN(result_removed, GIVES(TEXT, "id", NULL), GIVES(FLAG, "removed", "true"));
GIVEN(params_substitute, MUST(TEXT, "toner", "the toner that ran out"),
      MAY(NUMBER, "grams", "how much is wanted: less in counted tins is no substitute"));
static const struct shape_member substitute_members[] = {GIVES(TEXT, "toner", NULL),
                                                         GIVES(SAID, "why", "by which rule"), END};
static const struct shape substitute = {"substitute", substitute_members, "a toner in place of another"};
GIVEN(result_substitutes, GIVES_LIST("with", OBJECT, &substitute, "the nearest first; [] where none fits"));

/* ---- formulas ---- */

GIVEN(params_formula_list, MAY(TEXT, "text", "words that the code or name must hold"),
      MAY_COUNT("limit", &limit, "how many at most; left out: 200"), MAY(TEXT, "after", "`next` of the page before"));
GIVEN(params_formula_get, MAY(TEXT, "formula", "a formula's code, or"), MAY(TEXT, "code", "the same by this name"),
      MAY_COUNT("revision", &from_1, "a formula_revision; left out: the present one"));
#define COATS "one for each variant that has it, in spraying order"
GIVEN(params_formula_put, TAKES_ALL_OF(formula_shape), NEEDS_LIST("coats", ANY, &formula_coat_shape, COATS), REASON,
      BY);
GIVEN(params_formula_keep, MUST(TEXT, "batch", "a finished batch"),
      MAY(TEXT, "variant", "its name; left out: `tinted` and the batch's number"),
      MAY(TEXT, "reason", "why it is kept"), BY);
/* With coats the formula as given, without the one that the shop keeps. */
GIVEN(params_formula_check, MAY(TEXT, "formula", "a formula's code, or"), MAY(TEXT, "code", "the same by this name"),
      MAY_LIST("coats", ANY, &formula_coat_shape, "a formula as in formula.put, to check before it is kept"));
#define FORMULA_REVISION GIVES(COUNT, "formula_revision", "1, 2, ...: each put makes one, and batches keep theirs")
THING(result_formula, "formula", "a colour's recipe", GIVES_ALL_OF(formula_shape),
      GIVES_LIST("variants", TEXT, NULL, "the name of each once, as the coats have them"),
      GIVES_LIST("coats", OBJECT, &formula_coat_shape, COATS), FORMULA_REVISION,
      OR_NULL(DAY, "date", "when this revision was made"), OR_NULL(TEXT, "reason", "why it was changed"));
/* Without parts: a list of thousands is for choosing, formula.get for pouring. */
static const struct shape_member listed_coat_members[] = {
    GIVES(TEXT, "coat", NULL), GIVES_LIST("variants", TEXT, NULL, "those that have this coat"), END};
static const struct shape listed_coat = {"listed_coat", listed_coat_members, "a coat without its parts"};
static const struct shape_member listed_members[] = {GIVES_ALL_OF(formula_shape),
                                                     GIVES_LIST("variants", TEXT, NULL, "the name of each once"),
                                                     GIVES_LIST("coats", OBJECT, &listed_coat, NULL),
                                                     FORMULA_REVISION,
                                                     OR_NULL(DAY, "date", "when this revision was made"),
                                                     END};
static const struct shape listed = {"listed_formula", listed_members, "a formula without its parts"};
GIVEN(result_formulas, GIVES_LIST("formulas", OBJECT, &listed, "by code"), NEXT);
static const struct shape_member caution_members[] = {GIVES(TEXT, "code", "such as no_density"),
                                                      OR_NULL(TEXT, "coat", "which coat; null: the whole formula"),
                                                      OR_NULL(TEXT, "variant", "of that coat"),
                                                      OR_NULL(TEXT, "toner", "which one it is about"),
                                                      GIVES(TEXT, "text", "its sentence in English"),
                                                      GIVES(SAID, "said", "the same by code"),
                                                      END};
static const struct shape caution = {"formula_warning", caution_members, "what a painter should know of a formula"};
GIVEN(result_formula_check, GIVES(TEXT, "formula", NULL), GIVES_LIST("warnings", OBJECT, &caution, NULL));

/* ---- products, cups, panels ---- */

GIVEN(params_product, MAY(TEXT, "product", "a product's code, or"), MAY(TEXT, "id", "the same by this name"),
      MAY(TEXT, "code", "or this"));
GIVEN(params_product_put, TAKES_ALL_OF(product_shape), MAY(TEXT, "code", "does for the id"), REASON, BY);
THING(result_product, "product", "what is mixed by ratio", GIVES_ALL_OF(product_shape), REVISION,
      GIVES(TEXT, "code", "the id"));
GIVEN(result_products, GIVES_LIST("products", OBJECT, &result_product, "by id"), NEXT);
GIVEN(params_cup_put, TAKES_ALL_OF(cup_shape), REASON, BY);
THING(result_cup, "cup", "a kind of cup", GIVES_ALL_OF(cup_shape), REVISION);
GIVEN(result_cups, GIVES_LIST("cups", OBJECT, &result_cup, "by id"), NEXT);
GIVEN(params_panel_put, TAKES_ALL_OF(panel_shape), REASON, BY);
THING(result_panel, "panel", "a part of a vehicle's body", GIVES_ALL_OF(panel_shape), REVISION);
GIVEN(result_panels, GIVES_LIST("panels", OBJECT, &result_panel, "by id"), NEXT);

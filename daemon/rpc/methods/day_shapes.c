/* day_shapes.c - what the methods of the shop's day take and answer: shelf, orders, cards, stock, people, scan. It must
 * not know what a method does with it. As method_params.c and results.c, for the nouns that live beside the stations.
 */
#include "rpc/methods/member_rows.h"
#include "rpc/methods/methods.h"

#define SHAPE(shape_name, called, says, ...)                                                                           \
    static const struct shape_member shape_name##_members[] = {__VA_ARGS__, END};                                      \
    static const struct shape shape_name = {called, shape_name##_members, says}
/* Of params and of an answer alike. */
#define GIVEN(name, ...)                                                                                               \
    static const struct shape_member name##_members[] = {__VA_ARGS__, END};                                            \
    const struct shape name = {NULL, name##_members, NULL}

/* A page of more than 1,000 rows would be a message of megabytes. */
static const struct shape_range limit = {1, 1000, false};
#define PAGE                                                                                                           \
    MAY_COUNT("limit", &limit, "how many at most; left out: 50"), MAY(TEXT, "after", "`next` of the page before")
#define NEXT OR_NULL(TEXT, "next", "`after` of the next page")
/* Who did it, and the request that a repeat is known by. */
#define BY MAY(TEXT, "person", NULL), MAY(LINES, "request", NULL)

/* ---- the shelf ---- */

GIVEN(params_weigh_back, MUST(TEXT, "batch", NULL), MUST(NUMBER, "gross_g", "the cup with what is left in it"),
      MAY(NUMBER, "cup_tare_g", "the empty cup; left out: what its accept took, else that of its kind"),
      MAY(TEXT, "order", "what is missing was a touch-up of this order"), MAY(TEXT, "person", NULL),
      MAY(LINES, "request", NULL));
GIVEN(params_shelve, MUST(TEXT, "batch", NULL), MAY(TEXT, "place", "where its cup stands, 1 to 40 characters"),
      MAY(TEXT, "use_by", "a day, YYYY-MM-DD; activated paint keeps its pot life"), MAY(TEXT, "person", NULL),
      MAY(LINES, "request", NULL));
GIVEN(params_discard, MUST(TEXT, "batch", NULL), MAY(NUMBER, "grams", "how much; left out: all that is left"),
      MAY(TEXT, "why", "a few words"), MAY(TEXT, "person", NULL), MAY(LINES, "request", NULL));
GIVEN(params_shelf, MAY(TEXT, "formula", NULL), MAY(TEXT, "place", "where the cup stands"),
      MAY(FLAG, "due", "only what is past its date or activated"),
      MAY_COUNT("limit", &limit, "how many at most; left out: 50"), MAY(TEXT, "after", "`next` of the page before"));

SHAPE(shelf, "shelf", "where a cup stands", OR_NULL(TEXT, "place", NULL),
      OR_NULL(NUMBER, "left_g", "null: never weighed back"),
      OR_NULL(TEXT, "use_by", "a day; of activated paint the end of its pot life"),
      OR_NULL(TIME, "weighed", "when it was weighed back"));
GIVEN(result_weigh_back, GIVES(TEXT, "batch", NULL), GIVES(NUMBER, "left_g", "what is left in the cup"),
      GIVES(NUMBER, "used_g", "what was used since it was known last"), GIVES_OBJECT("shelf", &shelf, NULL));
GIVEN(result_shelve, GIVES(TEXT, "batch", NULL), GIVES_OBJECT("shelf", &shelf, NULL));
GIVEN(result_discard, GIVES(TEXT, "batch", NULL), GIVES(NUMBER, "waste_g", "what was thrown away"),
      GIVES(NUMBER, "left_g", "what is left in the cup"), GIVES(SAID, "said", "what to do with it"));
GIVEN(result_shelf, GIVES(LIST, "cups", "each a row of batch.find, with `why`: null, `past` its date, or `activated`"),
      OR_NULL(TEXT, "next", "`after` of the next page"));

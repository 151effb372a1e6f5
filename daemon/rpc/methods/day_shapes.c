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
GIVEN(params_shelve, MUST(TEXT, "batch", NULL), NEEDS(TEXT, "place", "where its cup stands, 1 to 40 characters"),
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
/* ---- orders ---- */

static const struct shape_range mids_range = {0, 12, false}, coats_range = {1, 12, false}, glances = {0, 1000, false};
SHAPE(order_panel, "order_panel", "a panel of a coat", MAY(TEXT, "name", "a panel of panel.list"),
      MAY_COUNT("coats", &coats_range, "left out: 2"),
      {.name = "area_m2", .type = SHAPE_NUMBER, .range = &shape_above_0, .about = "left out: that of its kind"},
      {.name = "share_pct", .type = SHAPE_NUMBER, .range = &shape_pct_above_0, .about = "left out: 100"},
      MAY(FLAG, "edges", "its jambs and edges, mixed first"));
SHAPE(
    order_coat, "order_coat", "a coat of an order, in spraying order", MAY(TEXT, "coat", NULL),
    MAY(TEXT, "formula", NULL), MAY(TEXT, "variant", NULL),
    MAY(TEXT, "product", "a ratio mix, or what takes its ratio to the formula"),
    MAY_LIST("panels", OBJECT, &order_panel, "what it is for"),
    {.name = "grams", .type = SHAPE_NUMBER, .range = &shape_above_0, .about = "in place of panels"},
    MAY_COUNT("mids", &mids_range, "how many mid coats"),
    {.name = "film_um", .type = SHAPE_NUMBER, .range = &shape_above_0, .about = "dry film of one coat"},
    {.name = "transfer_pct", .type = SHAPE_NUMBER, .range = &shape_pct_above_0, .about = "how much reaches the panel"},
    {.name = "loss_ml", .type = SHAPE_NUMBER, .range = &shape_from_0, .about = "what cup and hose keep"},
    MAY(FLAG, "control_coat", "half a coat more, misted on last"));
GIVEN(params_order_put, MUST(TEXT, "order", "its name: any text of up to 63 characters"),
      MAY(TEXT, "vehicle", "in words"), MAY(TEXT, "painter", NULL), MAY(TEXT, "due", "a day, YYYY-MM-DD"),
      MAY(TEXT, "card", "the spray-out card that it follows"), MAY_LIST("coats", OBJECT, &order_coat, "all of them"),
      MAY(FLAG, "closed", "it is done"), BY);
GIVEN(params_order, MUST(TEXT, "order", NULL));
GIVEN(params_orders, MAY(TEXT, "text", "words that the order, vehicle, painter or a formula must hold"),
      MAY(FLAG, "open", "left out: true; false: closed ones too"), PAGE);
static const char *const coat_states[] = {"not_mixed", "mixing", "mixed", "left_over", NULL};
static const char *const halves[] = {"edges", "outsides", NULL};
SHAPE(kept_panel, "kept_panel", "a panel of a coat, as kept", OR_NULL(TEXT, "name", "a panel of panel.list"),
      GIVES(COUNT, "coats", "how many"), OR_NULL(NUMBER, "area_m2", "null: that of its kind"),
      GIVES(NUMBER, "share_pct", "how much of it"), GIVES(FLAG, "edges", "its jambs and edges, mixed first"));
SHAPE(kept_coat, "kept_coat", "a coat of an order, as kept, and what became of it", OR_NULL(TEXT, "coat", NULL),
      OR_NULL(TEXT, "formula", NULL), OR_NULL(TEXT, "variant", NULL),
      OR_NULL(TEXT, "product", "a ratio mix, or what takes its ratio to the formula"),
      GIVES_LIST("panels", OBJECT, &kept_panel, "what it is for"), OR_NULL(NUMBER, "grams", "in place of panels"),
      OR_NULL(COUNT, "mids", "how many mid coats"), OR_NULL(NUMBER, "film_um", "dry film of one coat"),
      OR_NULL(NUMBER, "transfer_pct", "how much reaches the panel"),
      OR_NULL(NUMBER, "loss_ml", "what cup and hose keep"),
      GIVES(FLAG, "control_coat", "half a coat more, misted on last"), GIVES(COUNT, "n", "its place, from 1"),
      GIVES_ONE_OF("state", coat_states, NULL), GIVES_LIST("batches", TEXT, NULL, "numbers of what was mixed for it"),
      {.name = "half", .type = SHAPE_CHOICE, .choices = halves, .about = "where that alone is mixed"},
      OR_NULL(TEXT, "station", "where it is being mixed"));
SHAPE(from_shelf, "from_shelf", "a touch-up out of a cup of the shelf", GIVES(TEXT, "batch", NULL),
      GIVES(NUMBER, "grams", NULL), GIVES(TIME, "time", "when"));
#define OF_AN_ORDER                                                                                                    \
    GIVES(TEXT, "order", NULL), OR_NULL(TEXT, "vehicle", "in words"), OR_NULL(TEXT, "painter", NULL),                  \
        OR_NULL(TEXT, "due", "a day"), OR_NULL(TEXT, "card", "its spray-out card"),                                    \
        GIVES_LIST("coats", OBJECT, &kept_coat, "in spraying order"), GIVES(FLAG, "closed", "it is done"),             \
        GIVES(TIME, "begun", "when it was first put"), GIVES_LIST("touch_ups", OBJECT, &from_shelf, NULL),             \
        OR_NULL(NUMBER, "cost", "of all that was mixed for it"), GIVES(TEXT, "currency", NULL)
GIVEN(result_order, OF_AN_ORDER);
GIVEN(result_orders, GIVES_LIST("orders", OBJECT, &result_order, "newest first"), NEXT);

/* ---- spray-out cards ---- */

GIVEN(params_card_put, MAY(TEXT, "batch", "the batch that was sprayed, or"),
      MAY(TEXT, "formula", "what it was sprayed of"), MAY(TEXT, "variant", NULL), MAY(TEXT, "coat", NULL),
      MAY_COUNT("coats", &coats_range, "1 to 12; left out: 2"), MAY_COUNT("mids", &mids_range, "how many mid coats"),
      MAY_LIST("light", TEXT, NULL, "1 to 8 texts: the lights it was judged in"),
      MAY(TEXT, "verdict", "match, near or no"), MAY(TEXT, "order", NULL), MAY(TEXT, "note", "a few words"),
      MAY(LIST, "lab", "its colour: L*, a*, b*"), BY);
GIVEN(params_cards, MAY(TEXT, "text", "words that the card must hold"), MAY(TEXT, "formula", NULL),
      MAY(TEXT, "order", NULL), MAY(TEXT, "verdict", "match, near or no"), PAGE);
GIVEN(params_card_match, MAY(TEXT, "batch", "a batch, or"), MAY(TEXT, "formula", NULL), MAY(TEXT, "coat", NULL),
      MAY_COUNT("coats", &coats_range, "so many"), MAY_LIST("light", TEXT, NULL, "lights that a card must all hold"),
      MAY(TEXT, "verdict", "match, near or no"), PAGE);
SHAPE(sprayed, "sprayed", "a toner of a card that was measured", GIVES(TEXT, "toner", NULL),
      GIVES(NUMBER, "share", "of the colour; all of them make 1"));
#define OF_A_CARD                                                                                                      \
    GIVES(TEXT, "card", "its number"), OR_NULL(TEXT, "batch", NULL), OR_NULL(TEXT, "formula", NULL),                   \
        OR_NULL(TEXT, "variant", NULL), OR_NULL(TEXT, "coat", NULL), GIVES(COUNT, "coats", "how many were sprayed"),   \
        OR_NULL(COUNT, "mids", "how many mid coats"), GIVES_LIST("light", TEXT, NULL, "the lights it was judged in"),  \
        GIVES(TEXT, "verdict", "match, near or no"), OR_NULL(TEXT, "order", NULL), OR_NULL(TEXT, "note", "as typed"),  \
        OR_NULL(LIST, "lab", "its colour: L*, a*, b*"),                                                                \
        {.name = "parts",                                                                                              \
         .type = SHAPE_LIST,                                                                                           \
         .nullable = true,                                                                                             \
         .entry = SHAPE_OBJECT,                                                                                        \
         .of = &sprayed,                                                                                               \
         .about = "what was sprayed, of a measured card"},                                                             \
        GIVES(TIME, "time", "when"), OR_NULL(TEXT, "who", "who saw it")
GIVEN(result_card, OF_A_CARD);
GIVEN(result_cards, GIVES_LIST("cards", OBJECT, &result_card, "cards"), NEXT);

/* ---- people ---- */

GIVEN(params_person_put, MUST(TEXT, "painter", NULL), MAY(FLAG, "retired", "works here no more"),
      MAY_COUNT("glance", &glances, "how many batches a second person must look at"),
      MAY(TEXT, "trained", "the day of the last training, YYYY-MM-DD"), BY);
GIVEN(params_sign_in, MUST(TEXT, "station", NULL), MUST(TEXT, "painter", NULL), BY);
GIVEN(params_sign_out, MUST(TEXT, "station", NULL), BY);
#define OF_A_PERSON                                                                                                    \
    GIVES(TEXT, "painter", NULL), GIVES(FLAG, "retired", "works here no more"),                                        \
        GIVES(COUNT, "glance", "how many batches a second person must look at"),                                       \
        OR_NULL(TEXT, "trained", "the day of the last training"), OR_NULL(TIME, "last", "when signed in last")
GIVEN(result_person, OF_A_PERSON);
GIVEN(result_people, GIVES_LIST("people", OBJECT, &result_person, "all of the shop"), NEXT);

/* ---- stock ---- */

GIVEN(params_stock, MAY(TEXT, "toner", "that one alone"), MAY(FLAG, "reorder", "only what is below its reorder_g"),
      PAGE);
GIVEN(params_receive, MUST(TEXT, "toner", NULL), MUST(NUMBER, "grams", "what came in"), MAY(TEXT, "lot", "of the tin"),
      {.name = "cost", .type = SHAPE_NUMBER, .range = &shape_from_0, .about = "what it cost"}, BY);
GIVEN(params_count, MUST(TEXT, "toner", NULL), MUST(NUMBER, "grams", "what is there"),
      MAY(TEXT, "lot", "of that lot; left out: of all"), BY);
GIVEN(params_stir, MAY(TEXT, "toner", "that one, or"), MAY(FLAG, "all", "all of the bank"), BY);
SHAPE(stock_lot, "stock_lot", "one lot of a toner", OR_NULL(TEXT, "lot", "its name; null: of none"),
      GIVES(NUMBER, "grams", "what is there of it"), OR_NULL(TIME, "opened", "when it was first poured from"));
#define OF_STOCK                                                                                                       \
    GIVES(TEXT, "toner", NULL), GIVES(TEXT, "name", "its name"), OR_NULL(TEXT, "place", "its place on the wall"),      \
        OR_NULL(NUMBER, "grams", "null: never counted or received; below 0: more was poured than was there"),          \
        GIVES_LIST("lots", OBJECT, &stock_lot, NULL), OR_NULL(NUMBER, "reorder_g", "order anew below this"),           \
        OR_NULL(TEXT, "runs_out", "the day, if it is used as in the last four weeks"),                                 \
        OR_NULL(TIME, "stirred", "when it was stirred last"), PERHAPS(SAID, "said", "more was poured than was there"), \
        PERHAPS(NUMBER, "difference_g", "of a count: what it differed by")
GIVEN(result_stock_row, OF_STOCK);
GIVEN(result_stock, GIVES_LIST("stock", OBJECT, &result_stock_row, "by toner"), NEXT);
GIVEN(result_stir, GIVES(TIME, "time", "when"));

/* ---- what a scanner reads ---- */

static const char *const scanned[] = {"tin", "cup", "order", "person", NULL};
static const struct shape_range code_most = {0, CODE_MOST, false}, lot_most = {0, 63, false};
/* Both are a code, and a tin may be named by hand instead. */
#define CODE(must, says)                                                                                               \
    {                                                                                                                  \
        .name = "code", .type = SHAPE_LINES, .required = (must), .range = &code_most, .about = (says)                  \
    }
GIVEN(params_scan, CODE(true, "as the scanner read it"), MAY(TEXT, "station", "where; left out: `act` is null"));
GIVEN(params_tin, MUST(TEXT, "station", NULL), MUST(LINES, "request", NULL), NEEDS(NUMBER, "revision", NULL),
      MAY(TEXT, "person", NULL), CODE(false, "of the tin, or"), MAY(TEXT, "toner", "what is in it, named by hand"),
      {.name = "lot", .type = SHAPE_TEXT, .range = &lot_most, .about = "left out: what the code tells"});
SHAPE(scan_act, "scan_act", "a ready call: add `request` and send it", GIVES(TEXT, "method", "what to call"),
      GIVES(ANY, "params", "with station and revision"));
GIVEN(result_scan, GIVES_ONE_OF("kind", scanned, "what it is"), OR_NULL(TEXT, "toner", "of a tin"),
      OR_NULL(TEXT, "lot", "of a tin, where its code tells it"), OR_NULL(TEXT, "batch", "of a cup"),
      OR_NULL(TEXT, "order", "of an order"), OR_NULL(TEXT, "painter", "of a person"),
      OBJECT_OR_NULL("act", &scan_act,
                     "what it is for there: batch.tin of the right tin, batch.resume of a held cup, batch.begin of an "
                     "order's next coat, people.sign_in; null: nothing"),
      GIVES(SAID, "said", "what it is; `wrong_tin` and `wrong_cup` of another than the open step's"));

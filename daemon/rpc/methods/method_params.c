/* method_params.c - what each method takes. It must not know what a method does with it.
 *
 * Ranges stand here only where the arithmetic (daemon/mix) has no word of its own for what is wrong.
 */
#include "rpc/methods/member_rows.h"
#include "rpc/methods/methods.h"

#define PARAMS(name, ...)                                                                                              \
    static const struct shape_member name##_members[] = {__VA_ARGS__, END};                                            \
    const struct shape name = {NULL, name##_members, NULL}

/* A page of more than 1,000 rows would be a message of megabytes. */
static const struct shape_range limit = {1, 1000, false};
/* Revisions and event numbers; 0 would be none. */
static const struct shape_range from_1 = {1, 1e9, false};
/* 0 tells the label without printing it. */
static const struct shape_range copies = {0, 100, false};

/* ---- lists that calls carry ---- */

/* A batch or a toner, never both; begin says which is wrong. */
static const struct shape_member have_members[] = {
    MAY(TEXT, "batch", "a cup of the shelf by its number, or"),
    MAY(TEXT, "toner", "a toner by itself"),
    MAY(NUMBER, "grams", "how much of it is in the cup"),
    END,
};
static const struct shape have = {"have", have_members, "what is in the cup already"};
/* By a name of panel.list, or by an area of its own. */
static const struct shape_member panel_members[] = {
    MAY(TEXT, "name", "a panel of panel.list"),
    MAY(NUMBER, "coats", "how many coats; left out: 2"),
    MAY(NUMBER, "area_m2", "its area; left out: that of the panel's kind"),
    MAY(NUMBER, "share_pct", "how much of it is painted, for a blend; left out: 100"),
    MAY(FLAG, "edges", "its edges and jambs alone"),
    END,
};
static const struct shape panel = {"panel_asked", panel_members, "a panel to be painted"};
/* Per cents are of the component's mass. */
static const struct shape_member component_members[] = {
    MUST(NUMBER, "grams", "its weight in the mix"),
    MAY(NUMBER, "density_g_per_ml", "its density"),
    MUST(NUMBER, "voc_pct", "volatile organic compounds by weight, without water and exempt ones"),
    MAY(NUMBER, "water_pct", "water by weight; left out: 0"),
    MAY(NUMBER, "exempt_pct", "exempt compounds by weight; left out: 0"),
    MAY(NUMBER, "exempt_density_g_per_ml", "density of the exempt compounds"),
    END,
};
static const struct shape component = {"voc_component", component_members, "a component by its weight"};

static const struct shape_member none_members[] = {END};
const struct shape params_none = {NULL, none_members, NULL};
PARAMS(params_mend, MAY(LINES, "request", NULL));
PARAMS(params_backup, MUST(TEXT, "file", "an absolute path that is not there yet"), MAY(LINES, "request", NULL));
/* A value of the key's own kind, checked by the table of poised.ini. */
PARAMS(params_setting, MUST(LINES, "key", "as settings.list names it, such as `station.bench.tolerance_g`"),
       MAY(ANY, "value", "as the key takes it; null or left out: its default again"), MAY(TEXT, "person", NULL),
       MAY(LINES, "request", NULL));

/* ---- arithmetic ---- */

/* Lists are looked at by the arithmetic itself, whose refusal says which entry is wrong. */
PARAMS(params_remedies, NEEDS_LIST("parts", NUMBER, NULL, "shares wanted, any scale"),
       MUST(NUMBER, "total_g", "the total wanted"), NEEDS_LIST("poured_g", NUMBER, NULL, "what was poured of each"),
       MAY(NUMBER, "tolerance_g", "left out: 0"), MAY(NUMBER, "tolerance_pct", "left out: 0"),
       MAY(NUMBER, "d_g", "the scale's interval; left out: 0"),
       MAY(NUMBER, "error_pct", "what a small component may err by; left out: 50"),
       MAY(NUMBER, "cup_g", "what the cup holds"));
/* Exactly one of the totals, which no table of members can say. */
PARAMS(params_ratio, NEEDS_LIST("parts", NUMBER, NULL, "the ratio, such as 4, 1, 1"),
       MUST(TEXT, "basis", "`volume` or `weight`"),
       MAY_LIST("densities_g_per_ml", ANY, NULL, "a density each, null: not known"),
       MAY(NUMBER, "total_g", "the total by weight, or"), MAY(NUMBER, "total_ml", "by volume"));
PARAMS(params_reduce, MUST(NUMBER, "paint_g", "paint to be reduced"), MAY(NUMBER, "paint_density_g_per_ml", NULL),
       MUST(NUMBER, "pct", "how much reducer, of the paint"), MUST(TEXT, "basis", "`volume` or `weight`"),
       MAY(NUMBER, "reducer_density_g_per_ml", NULL));
PARAMS(params_weighable, NEEDS_LIST("parts", NUMBER, NULL, "shares, any scale"),
       MAY(NUMBER, "d_g", "the scale's interval; left out: 0"),
       MAY(NUMBER, "error_pct", "what a component may err by; left out: 5"),
       MAY(NUMBER, "half_drop_g", "left out: 0.03"));
PARAMS(params_premix, NEEDS_LIST("grams", NUMBER, NULL, "of each small toner in the batch"),
       MAY(NUMBER, "d_g", "the scale's interval; left out: 0"),
       MAY(NUMBER, "error_pct", "what a dose may err by; left out: 5"), MAY(NUMBER, "half_drop_g", "left out: 0.03"),
       MAY(NUMBER, "diluent_g_max", "the most of the main component; left out: 200"));
/* Parts in the order of the formula's, any scale. */
static const struct shape_member leftover_members[] = {
    MAY(TEXT, "batch", "a cup of the shop; left out: by figures"),
    MAY(NUMBER, "grams", "what the cup holds; of a cup of the shop at most so much"),
    MAY_LIST("parts", NUMBER, NULL, "what it is made of, in the order of `parts`"),
    MAY(NUMBER, "price_per_kg", "what it is worth; left out: nothing"),
    END,
};
static const struct shape leftover = {"leftover", leftover_members, "a cup of the shelf"};
#define BLEND_MEMBERS                                                                                                  \
    MAY(NUMBER, "tolerance_g", "left out: 0"), MAY(NUMBER, "tolerance_pct", "left out: 0"),                            \
        MAY(NUMBER, "d_g", "the scale's interval; left out: 0"),                                                       \
        MAY(NUMBER, "error_pct", "what a small component may err by; left out: 50"),                                   \
        MAY_LIST("prices_per_kg", ANY, NULL, "of each component, null: not known"),                                    \
        MAY_LIST("leftovers", OBJECT, &leftover,                                                                       \
                 "cups of the shelf, oldest first, at most 64; of the shop's own cups left out: all that may go")
PARAMS(params_rescue, NEEDS_LIST("parts", NUMBER, NULL, "shares wanted, any scale"),
       MUST(NUMBER, "total_g", "the total wanted"), NEEDS_LIST("poured_g", NUMBER, NULL, "what was poured of each"),
       MAY(NUMBER, "cup_g", "what the cup holds"),
       MAY(NUMBER, "waste_per_kg", "what it costs to be rid of what is taken out; left out: 0"), BLEND_MEMBERS);
PARAMS(params_de00, NEEDS_LIST("lab", NUMBER, NULL, "L*, a* and b* of one colour"),
       NEEDS_LIST("other", NUMBER, NULL, "of the other"));
PARAMS(params_uncertainty, NEEDS_LIST("grams", NUMBER, NULL, "of each component as poured"),
       MAY(NUMBER, "d_g", "the scale's interval; left out: 0"),
       MAY(NUMBER, "repeatability_g", "standard deviation of one pour weighed again; left out: 0"),
       MAY(NUMBER, "drop_g", "of what the last drop adds; left out: 0"),
       MAY(NUMBER, "drift_g", "of the drift within one pour; left out: 0"));
PARAMS(params_spread, MUST(NUMBER, "area_m2", "area to be painted"), MUST(NUMBER, "coats", "how many coats"),
       MUST(NUMBER, "film_um", "dry film of one coat"), MUST(NUMBER, "solids_vol_pct", "solids of the mix by volume"),
       MUST(NUMBER, "transfer_pct", "how much of it reaches the panel"), MAY(NUMBER, "loss_ml", "left out: 0"));
PARAMS(params_voc, NEEDS_LIST("components", OBJECT, &component, "all that the mix holds"));
PARAMS(params_voc_stages, MUST(NUMBER, "ground_g_per_l", "VOC of the ground coat"),
       MAY_LIST("mids_g_per_l", NUMBER, NULL, "of each mid coat"), MUST(NUMBER, "clear_g_per_l", "of the clear"));
#define WHAT_TO_MIX                                                                                                    \
    MAY(TEXT, "formula", NULL), MAY(TEXT, "variant", NULL), MAY(TEXT, "coat", NULL),                                   \
        MAY(TEXT, "product", "a ratio mix, or with a formula the product whose ratio replaces its reduction"),         \
        MAY(LIST, "parts", "of a product: which hardener and reducer"), MAY(TEXT, "repeat", "a batch to mix again"),   \
        MAY(TEXT, "as", "of `repeat`: `poured` or `corrected`"),                                                       \
        MAY(NUMBER, "grams", "colour before reduction; exactly one of grams, ml, panels"),                             \
        MAY(NUMBER, "ml", "ready to spray"), MAY_LIST("panels", OBJECT, &panel, "ready to spray for these"),           \
        MAY(NUMBER, "cup_ml", "the cup; left out: whether all fits in it is not checked"),                             \
        MAY(ANY, "premix",                                                                                             \
            "{formula, variant, coat, grams}: a premix of what is too small for the scale in that; an id: take from "  \
            "that premix; false: from none; left out: from the newest that fits"),                                     \
        MAY_LIST("have", OBJECT, &have, "what is in the cup already"), MAY(TEXT, "reducer", "a toner's id"),           \
        MAY(NUMBER, "reduce_pct", "0: none; left out: the default of the finish"),                                     \
        MAY(TEXT, "hardener", "of a product: one of its own"),                                                         \
        MAY(TEXT, "speed", "of a product: its hardener of that speed, such as slow, medium, fast"),                    \
        MAY(NUMBER, "temperature_c", "of the shop: a product's reducer for it")
/* How panels come to litres. */
#define FOR_PANELS                                                                                                     \
    MAY(NUMBER, "film_um", "dry film of one coat"), MAY(NUMBER, "transfer_pct", "how much reaches the panel"),         \
        MAY(NUMBER, "loss_ml", "what cup and hose keep"), MAY(NUMBER, "mids", "how many mid coats"),                   \
        MAY(FLAG, "control_coat", "half a coat more, misted on last"),                                                 \
        MAY(FLAG, "edges",                                                                                             \
            "true: jambs and edges alone; false: all but them; left out: every panel, but of an order's coat with "    \
            "both the "                                                                                                \
            "half that is still to come, edges first")
/* By figures (parts, total_g), or of a colour of the shop as mix.plan names it: then a leftover is {batch}. */
PARAMS(params_workoff, MAY_LIST("parts", NUMBER, NULL, "by figures: shares wanted, any scale"),
       MAY(NUMBER, "total_g", "by figures: the total wanted"),
       MAY(NUMBER, "smallest_g",
           "each use and each addition is 0 or at least this; left out: 0, of the shop's own cups what the scale can "
           "weigh"),
       MAY(TEXT, "formula", "of the shop's own cups"), MAY(TEXT, "variant", NULL), MAY(TEXT, "coat", NULL),
       MAY(TEXT, "repeat", "a batch to mix again"), MAY(TEXT, "order", "with `coat_n`: that coat of it"),
       MAY_COUNT("coat_n", &from_1, "which of its coats"), MAY(NUMBER, "grams", "colour before reduction"),
       MAY(NUMBER, "ml", "ready to spray"), MAY_LIST("panels", OBJECT, &panel, "ready to spray for these"),
       MAY(TEXT, "reducer", "a toner's id"), MAY(NUMBER, "reduce_pct", "0: none; left out: the default of the finish"),
       MAY(TEXT, "station", "whose scale weighs it; left out: the first"), BLEND_MEMBERS);
PARAMS(params_plan, WHAT_TO_MIX, FOR_PANELS, MAY(TEXT, "station", "whose scale to plan for; left out: the first"),
       MAY(TEXT, "order", "alone: all its coats at once"),
       MAY_COUNT("coat_n", &from_1, "with `order`: that coat of it"),
       MAY(TEXT, "painter", "whose earlier jobs correct an estimate by panels"));

/* ---- stations and batches ---- */

/* A station a call; watching several is several calls on one connection. */
PARAMS(params_watch, MUST(TEXT, "station", NULL));
PARAMS(params_scales, MAY(FLAG, "ports", "tell the machine's other ports too"));
/* `ask` lets it send questions; without it it only listens, which disturbs no scale. */
PARAMS(params_seek, MUST(TEXT, "port", "a serial device, tcp:HOST:PORT, hid:PATH or pty:PATH"),
       MAY(FLAG, "ask", "send the questions that scales answer to"), MAY(NUMBER, "speed", "bits a second"),
       MAY(TEXT, "frame", "such as 8N1"), MAY(TEXT, "profile", "try this family alone"),
       MAY(NUMBER, "passes", "how often to go through all"), MAY(TEXT, "name", "the station to write it for"),
       MAY(LINES, "request", NULL));
PARAMS(params_learn_start, MUST(TEXT, "painter", NULL),
       MUST(TEXT, "scenario", "`overpour`, `lifted`, `empty_tin` or `wrong_tin`"),
       MAY(TEXT, "station", "whose scale and settings it has; left out: the shop's first"));
PARAMS(params_learn_hand, MUST(TEXT, "station", NULL), MUST(TEXT, "act", "`cup`, `pour`, `lift`, `put` or `remove`"),
       MAY(NUMBER, "grams", "of the cup, of paint; left out: a usual cup, what is to go or to come out"));
/* Reading by reading: the answer of each says what to put on next. */
PARAMS(params_check, MUST(TEXT, "station", NULL), MAY(NUMBER, "grams", "what the check weight weighs"),
       MAY(NUMBER, "tolerance_g", "what it may err by"), MAY(TEXT, "painter", NULL), MAY(TEXT, "person", NULL),
       MAY(FLAG, "begin", "begin and answer at once"), MAY(FLAG, "cancel", "end the one under way"),
       MAY(FLAG, "drift", "watch the empty pan instead"), MAY(NUMBER, "seconds", "for so long"),
       MAY(LINES, "request", NULL));
PARAMS(params_checks, MAY(TEXT, "from", "the first day, YYYY-MM-DD"), MAY(TEXT, "to", "the last day"),
       MAY(TEXT, "station", NULL), MAY(FLAG, "csv", "the same as CSV beside"), MAY(ANY, "rule", "not used"));
#define ACT                                                                                                            \
    MUST(TEXT, "station", NULL), MUST(LINES, "request", NULL), NEEDS(NUMBER, "revision", NULL),                        \
        MAY(TEXT, "person", NULL)
/* An idle station shows nothing that could be stale. */
#define OPENING                                                                                                        \
    MUST(TEXT, "station", NULL), MUST(LINES, "request", NULL), MAY(NUMBER, "revision", NULL), MAY(TEXT, "person", NULL)
PARAMS(params_begin, OPENING, WHAT_TO_MIX, FOR_PANELS,
       MAY(TEXT, "pour_order", "`formula` or `bed`; left out: the station's"), MAY(TEXT, "order", NULL),
       MAY_COUNT("coat_n", &from_1, "with `order` alone: mixes that coat of it"), MAY(TEXT, "painter", NULL));
/* short is a flag or a word, so its method looks at it. */
PARAMS(params_accept, ACT, MAY(ANY, "short", "true: the tin is empty; \"less\": make less"),
       MAY(FLAG, "sure", "in state cup: what stands there is the empty cup, though no cup of the list weighs so much"),
       MAY(FLAG, "tared", "in state cup: the scale was tared with the cup on it"), MAY(TEXT, "lot", "the tin's lot"),
       MAY(TEXT, "really", "the toner that was poured instead"),
       MAY(TEXT, "glance", "the second person who looked, where the pour needs one"));
PARAMS(params_act, ACT);
PARAMS(params_finish, ACT, MAY(NUMBER, "label", "labels to print once it is finished"),
       MAY(ANY, "keep", "{id, place}: of a premix, the toner that it is kept as; place may be left out"));
PARAMS(params_remedy, ACT, MUST(TEXT, "choice", "`grow`, `dip`, `leave`, `again` or `rescue`"));
/* Grams; left out they are what the station knows best, never 0. */
PARAMS(params_retare, ACT, MAY(NUMBER, "uncounted_g", "of the open step in the cup; left out: as last read"),
       MAY(NUMBER, "lost_g", "what was spilled"));
PARAMS(params_tint, ACT, MUST(TEXT, "toner", NULL));
PARAMS(params_resume, OPENING, MUST(TEXT, "batch", NULL));
PARAMS(params_note, ACT, MUST(TEXT, "text", "a few words"));
PARAMS(params_scrap, ACT, MUST(TEXT, "why", "a few words"));
/* A number as a person writes it or a scanner reads it: `1042`, `#1042`, `POISE:1042`. */
PARAMS(params_batch, MUST(TEXT, "batch", NULL), MAY(NUMBER, "events", "how many of its events; left out: 500"),
       MAY(NUMBER, "before", "the newest before this number"));
/* All that is given must hold at once. */
PARAMS(params_find, MAY(TEXT, "text", "words, or `#1042`, or what a label's code holds"), MAY(TEXT, "order", NULL),
       MAY(TEXT, "formula", NULL), MAY(TEXT, "variant", NULL), MAY(TEXT, "coat", NULL), MAY(TEXT, "painter", NULL),
       MAY(TEXT, "place", "where its cup stands"), MAY(TEXT, "from", "begun on this day or later, YYYY-MM-DD"),
       MAY(TEXT, "to", "on this day or before"), MAY(TEXT, "state", "open, held, finished or scrapped"),
       MAY_COUNT("limit", &limit, "how many at most; left out: 50"), MAY(TEXT, "after", "`next` of the page before"));
/* A request is needed by whoever may repeat the call: it then prints once. */
PARAMS(params_label, MUST(TEXT, "batch", NULL), MAY_COUNT("copies", &copies, "0: the label is told, not printed"),
       MAY(TEXT, "size_mm", "62x29 or 50x25"), MAY(FLAG, "lid", "a short one for the lid"),
       MAY(LINES, "request", NULL));

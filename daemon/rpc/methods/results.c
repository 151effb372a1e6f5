/* results.c - what each method answers and what the notes hold. It must not know how any of it is made.
 *
 * Nothing is checked against these tables when the daemon runs: they are what rpc.discover and docs/protocol.md tell.
 * tests/unit/rpc/test_protocol.c and tests/e2e/test_told.c hold real answers against them.
 */
#include "rpc/methods/member_rows.h"
#include "rpc/methods/methods.h"

#include <stddef.h>

#define SHAPE(shape_name, called, says, ...)                                                                           \
    static const struct shape_member shape_name##_members[] = {__VA_ARGS__, END};                                      \
    static const struct shape shape_name = {called, shape_name##_members, says}
#define RESULT(shape_name, called, says, ...)                                                                          \
    static const struct shape_member shape_name##_members[] = {__VA_ARGS__, END};                                      \
    const struct shape shape_name = {called, shape_name##_members, says}

static const char *const states[] = {"idle", "cup", "pour", "over", "done", NULL};
static const char *const scale_states[] = {"live", "stale", "absent", "seeking", NULL};
static const char *const step_states[] = {"done", "now", "next", "again", NULL};
static const char *const verdicts[] = {"on_aim", "short", "over", "left", "foreign", "tinted", NULL};
static const char *const cues[] = {"pour", "ease", "stop", "ok", "over", NULL};
static const char *const kinds[] = {"hand", "key", "choose", "wait", NULL};
static const char *const batch_states[] = {"open", "held", "finished", "scrapped", NULL};
static const char *const languages[] = {"en", "de", NULL};
static const char *const bases[] = {"volume", "weight", NULL};

/* ---- the daemon and its scales ---- */

/* What a client needs before the first screen: which benches, which methods, and how this shop writes numbers. */
RESULT(result_info, "info", NULL, GIVES(TEXT, "name", "`poised`"), GIVES(TEXT, "version", "its version"),
       GIVES(COUNT, "protocol", "1; raised when a client of before would not understand any more"),
       GIVES_LIST("stations", TEXT, NULL, "the names of the benches"),
       GIVES_LIST("methods", TEXT, NULL, "what can be called"), GIVES(TIME, "started", "when it was started"),
       OR_NULL(TEXT, "http", "the address of the page"), GIVES(TEXT, "shop", "the shop's name"),
       GIVES(TEXT, "currency", "of every `cost`"),
       GIVES(TEXT, "decimal", "how the shop writes numbers: `point` or `comma`"),
       GIVES(ANY, "scales", "d_g and capacity_g of each station, by its name"),
       GIVES(ANY, "languages", "the language of each station, by its name"));
/* A scale that was never checked has null in place of all of this. */
SHAPE(scale_check, "scale_check", "the last check weight of a scale", GIVES(TIME, "time", "when"),
      GIVES(FLAG, "passed", NULL), OR_NULL(COUNT, "due_days", "days until the next one; below 0: overdue"),
      OR_NULL(NUMBER, "grams", "what it weighed"), OR_NULL(NUMBER, "error_g", "what the scale erred by"),
      OR_NULL(NUMBER, "error_d", "the same in intervals"), OR_NULL(NUMBER, "zero_g", "how far zero had moved"),
      OR_NULL(NUMBER, "zero_d", "the same in intervals"), OR_NULL(NUMBER, "tolerance_g", "what it may err by"));
/* Weights are shown newest first, so a client may see fewer than were read: these counts tell a garbled line from that.
 */
SHAPE(scale_heard, "scale_heard", "what came down a scale's line since the station was opened",
      GIVES(COUNT, "frames", "frames that were read"), GIVES(COUNT, "refused", "frames that did not check"),
      GIVES(COUNT, "stray_bytes", "bytes that belonged to no frame"));
#define OF_A_SCALE                                                                                                     \
    GIVES(TEXT, "station", NULL), GIVES(TEXT, "port", "where it is"),                                                  \
        GIVES(TEXT, "profile", "the family of its frames"), GIVES_ONE_OF("state", scale_states, NULL),                 \
        OR_NULL(WEIGHT, "weight_g", "the last reading"),                                                               \
        OR_NULL(FLAG, "stable", "whether it stands still; null: the scale does not say"),                              \
        OR_NULL(COUNT, "age_ms", "how old that reading is"), GIVES(NUMBER, "d_g", "its interval"),                     \
        OR_NULL(NUMBER, "capacity_g", "what it can bear"), OR_NULL(TEXT, "why", "why it is not live, in English"),     \
        OR_NULL(TEXT, "cause", "the same as a word"), OBJECT_OR_NULL("check", &scale_check, NULL),                     \
        OBJECT_OR_NULL("heard", &scale_heard, NULL),                                                                   \
        OR_NULL(TEXT, "sent", "the bytes that came last, others than printable ASCII escaped as in `poll`"),           \
        GIVES_LIST("doubt", SAID, NULL, "how sure a pour is on it, and where that comes from")
RESULT(result_scale, "scale", "one scale, as in scale.list", OF_A_SCALE);
SHAPE(scale_port, "scale_port", "a port of the machine that no station uses",
      GIVES(TEXT, "port", "as poised.ini takes it"), GIVES(TEXT, "device", "the file that it stands for"),
      OR_NULL(TEXT, "description", "as the system has it"), OR_NULL(TEXT, "why", "why it cannot be used, in English"),
      OR_NULL(SAID, "said", "the same"));
RESULT(result_scales, NULL, NULL, GIVES_LIST("scales", OBJECT, &result_scale, "one a station"),
       PERHAPS_LIST("ports", &scale_port, "with `ports`"));
SHAPE(seek_try, "seek_try", "one combination that was tried while a port was searched",
      OR_NULL(COUNT, "speed", "bits a second"), GIVES(TEXT, "frame", "such as 8N1; empty where the port has none"),
      GIVES(TEXT, "question", "what was sent, in words; empty: it only listened"), GIVES(COUNT, "ms", "for how long"),
      GIVES(COUNT, "pass", "in which round, from 1"), PERHAPS(COUNT, "bytes", "how many came"),
      PERHAPS(TEXT, "came", "the first of them, escaped as in `poll`"));
/* `heard` tells what came also where nothing was understood; candidates are the families that fit alike. `section` is
 * ready for poised.ini. */
RESULT(result_seek, NULL, NULL, GIVES(FLAG, "found", "was a scale understood"), OR_NULL(TEXT, "family", "its family"),
       OR_NULL(COUNT, "speed", "bits a second"), OR_NULL(TEXT, "frame", "such as 8N1"),
       GIVES(TEXT, "heard", "what came: frames, bytes, nothing"), GIVES(LIST, "candidates", "families that fit"),
       OR_NULL(TEXT, "why", "why none was found"), OR_NULL(LINES, "section", "lines for the configuration"),
       GIVES(TEXT, "port", "where it searched"), GIVES_LIST("tried", OBJECT, &seek_try, "in the order of trying"));
/* The same shape after each of the three readings; what is not known yet is null. */
RESULT(result_check, NULL, NULL, GIVES(TEXT, "station", NULL), GIVES(TEXT, "next", "which reading comes next"),
       OR_NULL(NUMBER, "grams", "what the check weight weighs"), OR_NULL(NUMBER, "tolerance_g", "what it may err by"),
       OR_NULL(WEIGHT, "empty_g", "the empty pan"), OR_NULL(WEIGHT, "loaded_g", "with the weight on it"),
       OR_NULL(WEIGHT, "again_g", "empty again"), OR_NULL(NUMBER, "error_g", "what the scale erred by"),
       OR_NULL(NUMBER, "error_d", "the same in intervals"), OR_NULL(NUMBER, "zero_g", "how far zero moved"),
       OR_NULL(NUMBER, "zero_d", "the same in intervals"), OR_NULL(NUMBER, "d_g", "the interval at that load"),
       OR_NULL(FLAG, "passed", NULL), OR_NULL(TEXT, "message", "what to do now, in English"),
       OR_NULL(SAID, "said", "the same"));
RESULT(result_checks, NULL, NULL, GIVES(LIST, "checks", "one line a check weight"), GIVES(COUNT, "made", "how many"),
       GIVES(COUNT, "failed", "of these"), GIVES(FLAG, "more", "there are older ones"),
       PERHAPS(LINES, "csv", "the same lines for a spreadsheet"));

/* ---- what a bench shows ---- */

/* A client adds nothing of its own but `request` and what `asks` names; so no client knows which call a key means. */
SHAPE(act, "act", "a ready call: add `request`, and what the move asks, and send it",
      GIVES(TEXT, "method", "what to call"), GIVES(ANY, "params", "with station and revision, and what is known"));
SHAPE(second, "second", "what the second key does", GIVES(SAID, "said", "its words"), GIVES_OBJECT("act", &act, NULL),
      GIVES_LIST("asks", TEXT, NULL, "members of `act` that a person must still give: `glance`, or none"));
/* What the hand must do, or what Enter does. A key that is not ready has no act, and the foot line then says why. */
SHAPE(next, "next", "the foot line", GIVES_ONE_OF("kind", kinds, "what is awaited"),
      GIVES(SAID, "said", "what the hand must do, or what Enter does"),
      OBJECT_OR_NULL("act", &act, "what Enter does; null unless kind is key"),
      OBJECT_OR_NULL("second", &second, "what `.` does"),
      GIVES_LIST("asks", TEXT, NULL, "members of `act` that a person must still give: `glance`, or none"),
      OR_NULL(NUMBER, "in_s", "the station accepts by itself after so long"));
/* Every act that the state knows stands in the list, also a shut one, with the reason: a key that vanishes teaches
 * nothing. */
SHAPE(move, "move", "an act that this state knows", GIVES_OBJECT("act", &act, NULL),
      GIVES_LIST("asks", TEXT, NULL, "members that a person must still give"), GIVES(SAID, "said", "its words"),
      GIVES(FLAG, "open", "whether it can be done now"), OR_NULL(SAID, "why", "why it cannot"));
/* The gravest only. `mend` is the name on the wire; people read it as what fixes it. */
SHAPE(trouble, "trouble", "what ails scale, port, disk or clock", GIVES(TEXT, "code", "which one"),
      GIVES(SAID, "said", "what is wrong"), GIVES(SAID, "mend", "what to do"));
/* In the order of pouring; additions come last, foreign toners after them. poured_g is of this step alone where a
 * toner is named twice. */
/* By the toners' optics, else by the shop's own measured cards. */
SHAPE(de00, "de00", "what a deviation looks like, as an estimate; null: data is too thin",
      GIVES(NUMBER, "value", "CIEDE2000: about 1 where a trained eye begins to see it"),
      GIVES(NUMBER, "spread", "its standard uncertainty"), OR_NULL(SAID, "said", "null: too little to tell"));
SHAPE(step, "step", "one tin to pour, or one cup of the shelf", OR_NULL(TEXT, "toner", "null: a cup of the shelf"),
      PERHAPS(TEXT, "batch", "the cup of the shelf that is poured in"), OR_NULL(TEXT, "name", "its name"),
      OR_NULL(NUMBER, "aim_g", "what it shall weigh, all of it"), GIVES(NUMBER, "poured_g", "what is counted of it"),
      OR_NULL(NUMBER, "to_go_g", "what is still to be counted of it; done: 0; below 0: past the aim"),
      OR_NULL(NUMBER, "off_g", "done: what it is off its aim; else null"), GIVES_ONE_OF("state", step_states, NULL),
      OR_NULL(TEXT, "place", "where its tin stands"), ONE_OF_OR_NULL("verdict", verdicts, "how it stands"),
      OR_NULL(NUMBER, "deviation_pct", "what it is off its aim"), OR_NULL(TEXT, "lot", "the lots poured from"),
      OBJECT_OR_NULL("de00", &de00, NULL));
/* Figures of the whole component, so that an aim does not jump when part of it is in the cup already. Negative while
 * paint is taken out. */
SHAPE(now, "now", "the open step", OR_NULL(TEXT, "toner", "null: paint is taken out, or poured out of a cup"),
      OR_NULL(TEXT, "batch", "the cup of the shelf that is poured in"), GIVES(TEXT, "name", "its name"),
      OR_NULL(TEXT, "lot", "of the tin that was scanned; it goes with the next accept"),
      OR_NULL(NUMBER, "aim_g", "null: poured by eye"), GIVES(NUMBER, "in_cup_g", "counted and since poured of it"),
      OR_NULL(NUMBER, "to_go_g", "what is still to pour; below 0: past the aim"),
      OR_NULL(NUMBER, "tolerance_g", "what it may be off"), GIVES_ONE_OF("cue", cues, "what the hand shall do"),
      OR_NULL(NUMBER, "scale_shows_g", "what the scale's own display reads at the aim"));
#define OF_A_REMEDY                                                                                                    \
    PERHAPS_OR_NULL(NUMBER, "waste_g", "paint thrown away"), PERHAPS_OR_NULL(NUMBER, "cost", "of what is added"),      \
        PERHAPS_OR_NULL(NUMBER, "volume_ml", "what the cup then holds, ready to spray"),                               \
        PERHAPS_OR_NULL(TEXT, "why", "`cup` or `scale`: what is too small for it"),                                    \
        PERHAPS(COUNT, "minutes", "longer than planned, about"),                                                       \
        {.name = "de00", .type = SHAPE_OBJECT, .nullable = true, .of = &de00},                                         \
        PERHAPS(FLAG, "nearest", "of those that fit the one whose de00 is least")
/* Lists in remedies follow the order of the steps; an addition has 0 or null there. */
SHAPE(grow, "grow", "pour on to a larger total", GIVES(NUMBER, "total_g", "the new total"),
      GIVES_LIST("add_g", NUMBER, NULL, "what to add, by step"), GIVES(FLAG, "fits", "cup and scale hold it"),
      OF_A_REMEDY);
SHAPE(dip, "dip", "stir, take some out, pour on", GIVES(NUMBER, "take_g", "what to take out"),
      GIVES(NUMBER, "total_g", "the total at the end"), GIVES_LIST("add_g", NUMBER, NULL, "what to add then, by step"),
      PERHAPS(FLAG, "fits", "cup and scale hold it"), OF_A_REMEDY);
/* deviation_pct is null where nothing is poured yet, or where no share is wanted. */
SHAPE(leave, "leave", "accept the error", PERHAPS(NUMBER, "total_g", "the total that stays agreed"),
      NUMBERS_OR_NULL("deviation_pct", "by step; null: not poured"),
      PERHAPS_OR_NULL(NUMBER, "foreign_pct", "how much of the cup the formula does not hold"),
      PERHAPS_OR_NULL(TEXT, "ratio", "of a product: the ratio that results"),
      PERHAPS(FLAG, "fits", "cup and scale hold it"), OF_A_REMEDY);
/* Offered only where it costs less than growing: the cup is kept for another day. */
SHAPE(again, "again", "begin again, keep the cup as a leftover", OR_NULL(NUMBER, "cost", "of the new batch"),
      GIVES(COUNT, "minutes", "that it takes, about"));
SHAPE(rescue_cup, "rescue_cup", "a cup of the shelf", GIVES(TEXT, "batch", "its number"),
      GIVES(NUMBER, "grams", "to be poured of it"));
SHAPE(rescue, "rescue", "cups of the shelf in place of fresh toner",
      GIVES_LIST("batches", OBJECT, &rescue_cup, "the oldest first"), GIVES(NUMBER, "take_g", "to take out first"),
      GIVES(NUMBER, "total_g", "the total at the end"), GIVES_LIST("add_g", NUMBER, NULL, "what to add then, by step"),
      GIVES(FLAG, "fits", "cup and scale hold it"), OF_A_REMEDY);
SHAPE(remedies, "remedies", "the ways out of an overpour", OBJECT_OR_NULL("grow", &grow, NULL),
      OBJECT_OR_NULL("dip", &dip, NULL), OBJECT_OR_NULL("leave", &leave, NULL),
      PERHAPS(TEXT, "currency", "of every `cost`"),
      {.name = "again", .type = SHAPE_OBJECT, .nullable = true, .of = &again},
      {.name = "rescue", .type = SHAPE_OBJECT, .nullable = true, .of = &rescue});
/* One meaning each, since a cup holds what is to be sprayed, while a painter thinks in grams of colour. */
SHAPE(fill, "fill", "how full the cup gets", GIVES(NUMBER, "colour_g", "colour alone"),
      OR_NULL(NUMBER, "spray_g", "with all that goes on top"), OR_NULL(NUMBER, "spray_ml", "the same by volume"),
      OR_NULL(NUMBER, "cup_ml", "what the cup holds"),
      OR_NULL(TEXT, "part", "what `colour_g` is of where a product is mixed: its first part; null: colour"));
/* from the first hardener on; until is null where no product says how long. */
SHAPE(pot_life, "pot_life", "how long activated paint can be used", GIVES(TIME, "from", "when hardener came in"),
      GIVES(TIME, "until", "when it ends"), GIVES(NUMBER, "left_s", "as of sending: count it down"));
SHAPE(screen_scale, "screen_scale", "the station's scale", GIVES_ONE_OF("state", scale_states, NULL),
      OR_NULL(TEXT, "cause", "the same as a word"), OR_NULL(TEXT, "why", "why it is not live, in English"));
SHAPE(screen_premix, "screen_premix", "a premix of toners that are too small for the scale",
      GIVES(NUMBER, "for_g", "the colour whose small toners one dose holds"), GIVES(NUMBER, "take_g", "one dose"),
      GIVES(TEXT, "id", "what it is kept as where nobody names another"));
/* The places of `hand` never move. Of a practice that has ended one last screen is sent, with `over`. */
SHAPE(screen_practice, "screen_practice", "a bench to practise at: nothing of it is kept",
      GIVES(TEXT, "scenario", "the mishap that comes by itself"), GIVES(SAID, "said", "that nothing is kept"),
      GIVES_LIST("hand", OBJECT, &move, "what the simulated hand can do, as in `moves`"),
      GIVES_OBJECT("end", &second, NULL), GIVES(FLAG, "over", "it has ended: nothing more comes from there"));
/* Complete in every state: a client that starts in the middle of a pour needs nothing from before. In idle the
 * members of a batch are null and lists are empty. */
RESULT(result_screen, "screen", "the whole of what a bench shows", GIVES(TEXT, "station", NULL),
       GIVES_ONE_OF("state", states, NULL), GIVES(COUNT, "revision", "to be given back with the next act"),
       OR_NULL(TEXT, "batch", NULL), OR_NULL(TEXT, "formula", NULL), OR_NULL(TEXT, "name", "the colour's name"),
       OR_NULL(TEXT, "variant", NULL), OR_NULL(TEXT, "coat", NULL), OR_NULL(TEXT, "finish", "solid, metallic, pearl"),
       OR_NULL(TEXT, "order", NULL), OR_NULL(TEXT, "painter", NULL),
       OR_NULL(COUNT, "step", "the open step's place in `steps`, from 1"),
       GIVES_LIST("steps", OBJECT, &step, "in the order of pouring; reducer and hardener last, then foreign toners"),
       OBJECT_OR_NULL("now", &now, NULL), OR_NULL(NUMBER, "total_g", "the colour that it now becomes"),
       OR_NULL(NUMBER, "wanted_g", "what a person last agreed to"), OR_NULL(NUMBER, "cup_ml", "the cup"),
       OR_NULL(NUMBER, "fill_ml", "what the cup will hold"), OBJECT_OR_NULL("remedies", &remedies, "in state over"),
       GIVES(FLAG, "lifted", "the cup is off the scale: the counts stand"), GIVES_OBJECT("scale", &screen_scale, NULL),
       GIVES_LIST("caution", TEXT, NULL, "the texts of `cautions` in English"),
       GIVES_LIST("cautions", SAID, NULL, "gravest first"),
       GIVES(TEXT, "message", "the text of `said` in English, or empty"),
       OR_NULL(SAID, "said", "the last thing the station did by itself, or asks"), GIVES_OBJECT("next", &next, NULL),
       GIVES_LIST("moves", OBJECT, &move, "every act of this state, open or shut"),
       GIVES(FLAG, "activated", "hardener is in the cup"), OBJECT_OR_NULL("trouble", &trouble, NULL),
       OBJECT_OR_NULL("fill", &fill, NULL), GIVES_LIST("facts", SAID, NULL, "what will stay true of the batch"),
       OBJECT_OR_NULL("pot_life", &pot_life, NULL), OR_NULL(TIME, "use_by", "when the pot life ends"),
       OR_NULL(NUMBER, "evaporated_g", "what the cup lost of its reducer while it was held"),
       OR_NULL(SAID, "sure", "in state done: how sure the cup's shares are"),
       OBJECT_OR_NULL("premix", &screen_premix, "null: the batch is none"),
       OBJECT_OR_NULL("practice", &screen_practice, "null: a real bench"),
       OR_NULL(TEXT, "signed_in", "who works here now"),
       GIVES(COUNT, "settings", "higher after each change of a setting: read daemon.info anew"));
/* Sent for each reading. weight_g is null where the scale says none; an old weight is never sent as a new one. */
RESULT(result_weight, "weight", "one reading; the newest wins", GIVES(TEXT, "station", NULL),
       OR_NULL(WEIGHT, "weight_g", "what the scale reads; null: no weight"),
       OR_NULL(FLAG, "stable", "whether it stands still; null: the scale does not say"),
       GIVES(COUNT, "age_ms", "how old the reading was when this was sent"), GIVES_ONE_OF("state", scale_states, NULL),
       OR_NULL(NUMBER, "to_go_g", "as in `now`"), OR_NULL(NUMBER, "in_cup_g", "as in `now`"),
       OR_NULL(NUMBER, "landing_g", "what the cup will hold of it once what is in the air has landed"),
       ONE_OF_OR_NULL("cue", cues, "what the hand shall do"),
       GIVES(FLAG, "settled", "it stands still, with hysteresis: an accept would be taken at once"));

/* ---- batches ---- */

/* What the cup holds of it, with `have` and dips counted in; share is null for a hardener. */
SHAPE(record_part, "record_part", "what the cup holds of one tin", GIVES(TEXT, "toner", NULL),
      OR_NULL(TEXT, "name", "its name"), OR_NULL(NUMBER, "share", "0: foreign; null: hardener"),
      OR_NULL(NUMBER, "aim_g", "what was asked of it"), GIVES(NUMBER, "poured_g", "what is in the cup of it"),
      OR_NULL(NUMBER, "deviation_pct", "what it is off"), OR_NULL(TEXT, "lot", "the lots poured from"),
      OBJECT_OR_NULL("de00", &de00, NULL));
SHAPE(amount, "amount", "a toner and how much of it", GIVES(TEXT, "toner", NULL), GIVES(NUMBER, "grams", NULL));
SHAPE(record_reducer, "record_reducer", "the reducer of a batch", GIVES(TEXT, "toner", NULL),
      OR_NULL(TEXT, "name", "its name"), OR_NULL(TEXT, "lot", "the lots poured from"),
      OR_NULL(NUMBER, "aim_g", "what was asked of it"), GIVES(NUMBER, "poured_g", "what was poured"));
SHAPE(shelf, "shelf", "where a cup stands", OR_NULL(TEXT, "place", NULL),
      OR_NULL(NUMBER, "left_g", "null: never weighed back"),
      OR_NULL(TEXT, "use_by", "a day; of activated paint the end of its pot life"),
      OR_NULL(TIME, "weighed", "when it was weighed back"));
SHAPE(record_who, "record_who", "who did it", OR_NULL(TEXT, "user", "of this machine, on the local socket"),
      OR_NULL(TEXT, "painter", NULL));
/* seq and hash are the journal's: with them a printed record can be held against the chain. */
SHAPE(record_event, "record_event", "one act or note; further members by its kind",
      GIVES(COUNT, "revision", "of the station, after it"), GIVES(TIME, "time", "when"),
      GIVES_OBJECT("who", &record_who, NULL), GIVES(TEXT, "what", "its kind, such as `accepted`"),
      GIVES(COUNT, "seq", "its place in the journal"), GIVES(TEXT, "hash", "its link of the journal's chain"),
      PERHAPS(SAID, "said", "what the station said then"),
      PERHAPS(TEXT, "text", "the same in English, or what a person typed"), PERHAPS(TEXT, "toner", NULL),
      PERHAPS(NUMBER, "aim_g", "what was asked of it"), PERHAPS(NUMBER, "counted_g", "what was counted"),
      PERHAPS(WEIGHT, "weight_g", "the reading behind it"), PERHAPS(WEIGHT, "base_g", "what it was counted from"),
      PERHAPS(NUMBER, "d_g", "the scale's interval"), PERHAPS(TEXT, "profile", "the family of its frame"),
      PERHAPS(TEXT, "raw", "the frame, in hex"), PERHAPS(TEXT, "choice", "the remedy chosen"),
      PERHAPS(TEXT, "batch", "accepted: out of this cup of the shelf"), PERHAPS(NUMBER, "total_g", "the new total"),
      PERHAPS(NUMBER, "grew_g", "what it grew to by itself"), PERHAPS(NUMBER, "take_g", "what was taken out"),
      PERHAPS(NUMBER, "lost_g", "what was spilled"), PERHAPS(NUMBER, "came_at_once_g", "what came in one jump"),
      PERHAPS(TEXT, "lot", "the tin's lot"), PERHAPS(TEXT, "glance", "the second person who looked"));
/* Null where a density or a content is not known: never 0 in its place. */
SHAPE(voc, "voc", "volatile organic compounds", OR_NULL(NUMBER, "actual_g_per_l", "per litre as applied"),
      OR_NULL(NUMBER, "regulatory_g_per_l", "less water and exempt compounds"),
      OR_NULL(NUMBER, "density_g_per_ml", "of the mix"), OR_NULL(NUMBER, "volume_ml", "of the mix"),
      OR_NULL(NUMBER, "voc_g", "all of it"), PERHAPS(TEXT, "why", "why one is not known"));
/* u^2 = d^2/6 + repeatability^2 + drop^2 + drift^2 of each pour, carried into the shares (JCGM 100). */
SHAPE(uncertainty, "uncertainty", "how sure a cup's composition is, standard uncertainties in the order of `parts`",
      GIVES_LIST("u_g", NUMBER, NULL, "of each part"),
      GIVES_LIST("share_u_pct", NUMBER, NULL, "of its share, in per cent of the cup"),
      GIVES(SAID, "said", "in one line"));
/* Kept for good: facts, tinted and foreign stay even if the cup was finished as wanted. */
RESULT(result_record, "record", "the whole of a batch", GIVES(TEXT, "batch", NULL),
       GIVES(TEXT, "shop", "the shop's own id, made once"), GIVES_ONE_OF("state", batch_states, NULL),
       OR_NULL(TEXT, "formula", NULL), OR_NULL(TEXT, "name", "the colour's name"), OR_NULL(TEXT, "variant", NULL),
       OR_NULL(TEXT, "coat", NULL), OR_NULL(TEXT, "finish", NULL), OR_NULL(TEXT, "order", NULL),
       OR_NULL(TEXT, "painter", NULL), OR_NULL(TEXT, "station", NULL), OR_NULL(TIME, "begun", NULL),
       OR_NULL(TIME, "finished", NULL), OR_NULL(TEXT, "repeat_of", "a batch's number"),
       GIVES_LIST("parts", OBJECT, &record_part, "all but the reducer"),
       OBJECT_OR_NULL("reducer", &record_reducer, NULL), GIVES(NUMBER, "total_g", "what the cup held"),
       OR_NULL(NUMBER, "total_ml", "the same by volume"), OR_NULL(NUMBER, "density_g_per_ml", "of the mix"),
       OBJECT_OR_NULL("voc", &voc, NULL), OR_NULL(NUMBER, "cost", "null: a price is missing"),
       GIVES(TEXT, "currency", NULL), OBJECT_OR_NULL("shelf", &shelf, NULL),
       GIVES_LIST("events", OBJECT, &record_event, "oldest first"),
       OR_NULL(COUNT, "events_before", "`before` of the next page"), GIVES(FLAG, "activated", "it holds hardener"),
       GIVES_LIST("caution", TEXT, NULL, "in English"), GIVES_LIST("cautions", SAID, NULL, NULL),
       OR_NULL(TEXT, "use_by", "when the pot life ended"), OR_NULL(NUMBER, "waste_g", "what was thrown away"),
       GIVES(NUMBER, "evaporated_g", "what it lost of its reducer while it was held; in voc_g, not in the counts"),
       OBJECT_OR_NULL("uncertainty", &uncertainty, NULL), OBJECT_OR_NULL("de00", &de00, NULL),
       GIVES_LIST("facts", SAID, NULL, "what stays true of it"),
       OR_NULL(COUNT, "formula_revision", "of the formula that was mixed"), OR_NULL(TEXT, "product", "its code"),
       OR_NULL(TEXT, "made", "what was agreed to, in English"), OR_NULL(SAID, "made_said", "the same by its code"),
       OR_NULL(NUMBER, "wanted_g", "what was asked for"),
       GIVES(LIST, "have", "{batch, grams} each of what was in the cup"),
       GIVES_LIST("premixes", OBJECT, &amount, "what was taken of premixes; `parts` count it as what they are made of"),
       OR_NULL(ANY, "check", "the last check weight before it"), GIVES_LIST("tinted", OBJECT, &amount, "added by eye"),
       GIVES_LIST("foreign", OBJECT, &amount, "not in the formula"));
/* Enough for a list; batch.get has the rest. */
SHAPE(batch_row, "batch_row", "one batch of a list", GIVES(TEXT, "batch", NULL), OR_NULL(TEXT, "station", NULL),
      GIVES_ONE_OF("state", batch_states, NULL), OR_NULL(TEXT, "formula", NULL),
      OR_NULL(TEXT, "name", "the colour's name"), OR_NULL(TEXT, "variant", NULL), OR_NULL(TEXT, "coat", NULL),
      OR_NULL(TEXT, "order", NULL), OR_NULL(TEXT, "painter", NULL), OR_NULL(TIME, "begun", NULL),
      OR_NULL(TIME, "finished", NULL), OR_NULL(NUMBER, "total_g", "what the cup held"),
      OR_NULL(NUMBER, "left_g", "null until it was weighed back"), OR_NULL(TEXT, "place", NULL),
      OR_NULL(TEXT, "use_by", NULL), OR_NULL(FLAG, "activated", "it holds hardener; null: not known"),
      GIVES(FLAG, "touch_up", "paint can still be poured from its cup: weigh it back then, with the order"),
      GIVES_LIST("tinted", OBJECT, &amount, NULL), GIVES_LIST("foreign", OBJECT, &amount, NULL));
RESULT(result_batches, NULL, NULL, GIVES_LIST("batches", OBJECT, &batch_row, "newest first"),
       OR_NULL(TEXT, "next", "`after` of the next page"));
static const char *const due[] = {"past", "activated", NULL};
SHAPE(shelf_cup, "shelf_cup", "a cup of the shelf", GIVES_ALL_OF(batch_row),
      ONE_OF_OR_NULL("why", due, "why it must go: past its date, or its pot life runs; null: it need not"));
RESULT(result_shelf, NULL, NULL, GIVES_LIST("cups", OBJECT, &shelf_cup, "oldest first"),
       OR_NULL(TEXT, "next", "`after` of the next page"));
/* `label` is what poise-label draws, so that a page can show it before it is printed. */
/* All of it is text in the label's own language, ready to be drawn. */
SHAPE(label, "label", "what stands on a label", GIVES(TEXT, "size_mm", "such as `62x29`"),
      GIVES_ONE_OF("language", languages, "its own"), GIVES(COUNT, "copies", "0: it is told, not printed"),
      GIVES(FLAG, "lid", "a small one for the lid"), GIVES(TEXT, "batch", NULL), GIVES(TEXT, "code", "of the colour"),
      GIVES(TEXT, "name", "of the colour"), GIVES(TEXT, "coat", NULL),
      GIVES(TEXT, "variant", "empty: a product has none"), GIVES(TEXT, "made", "how it was reduced, its ratio"),
      GIVES(TEXT, "order", NULL), GIVES(TEXT, "vehicle", "of that order"), GIVES(TEXT, "painter", NULL),
      GIVES_LIST("with", TEXT, NULL, "numbers of the batches that came into it"),
      GIVES(TEXT, "time", "when it was mixed, for a person"), OR_NULL(TEXT, "use_by", "the end of its pot life"),
      GIVES(FLAG, "activated", "its pot life runs"), GIVES(TEXT, "signal", "`danger`, `warning`; empty: none"),
      GIVES_LIST("hazard_words", TEXT, NULL, "gravest first"),
      GIVES(COUNT, "gravest", "how many of these are never left out"),
      GIVES_LIST("deviations", TEXT, NULL, "what was left with an error"),
      GIVES_LIST("tinted", TEXT, NULL, "what was added by eye"),
      GIVES_LIST("foreign", TEXT, NULL, "what is not in the formula"), GIVES(TEXT, "content", "what the cup holds"));
RESULT(result_label, NULL, NULL, GIVES_OBJECT("label", &label, NULL), GIVES(COUNT, "printed", "how many"));

/* ---- arithmetic ---- */

/* aim_ml is null without a density. */
SHAPE(component, "component", "one tin of a plan", GIVES(TEXT, "toner", NULL), OR_NULL(TEXT, "name", "its name"),
      OR_NULL(NUMBER, "share", "of the colour, 1 is all"), GIVES(NUMBER, "aim_g", "what to pour"),
      OR_NULL(NUMBER, "aim_ml", "the same by volume"));
/* On top of the colour, by the basis that the shop or the call named. */
SHAPE(plan_reducer, "plan_reducer", "reducer on top", GIVES(TEXT, "toner", NULL), OR_NULL(TEXT, "name", "its name"),
      GIVES(NUMBER, "pct", "of the paint"), GIVES_ONE_OF("basis", bases, NULL), GIVES(NUMBER, "grams", NULL),
      OR_NULL(NUMBER, "ml", NULL));
SHAPE(addition, "addition", "what goes on top", GIVES(TEXT, "toner", NULL), OR_NULL(TEXT, "name", "its name"),
      OR_NULL(NUMBER, "pct", "of the paint"), OR_NULL(TEXT, "basis", NULL), GIVES(NUMBER, "grams", NULL),
      OR_NULL(NUMBER, "ml", NULL));
SHAPE(plan_cup, "plan_cup", "the cup for it", GIVES(NUMBER, "ml", "what it holds"),
      GIVES(FLAG, "fits", "it holds the mix"));
/* Nothing that stops a begin: a painter may know better. */
SHAPE(warning, "warning", "what is doubtful about a plan", GIVES(TEXT, "code", "such as below_smallest"),
      OR_NULL(TEXT, "toner", NULL), PERHAPS(ANY, "args", "figures by name, to fill the code's words"),
      PERHAPS(SAID, "said", "its sentence by code"), GIVES(TEXT, "text", "the same in English"));
/* Learnt from the cups that this painter weighed back after this coat. */
SHAPE(correction, "correction", "what an estimate by panels was multiplied by",
      GIVES(NUMBER, "factor", "(n x median of used by estimated + 4) / (n + 4)"),
      GIVES(COUNT, "jobs", "how many jobs it is learnt from"));
SHAPE(run_out, "run_out", "how much is worth mixing",
      GIVES(NUMBER, "ml", "ready to spray, where waste weighed against a second mix costs least"),
      GIVES(NUMBER, "chance_pct", "of this plan being too little"));
/* The figures of mix.premix, with their toners by name. */
SHAPE(plan_premix, "plan_premix", "a premix of the toners that are too small for the scale",
      GIVES_LIST("toners", TEXT, NULL, "the small ones"), GIVES_LIST("toner_g", NUMBER, NULL, "to weigh of each"),
      GIVES(TEXT, "diluent", "the main component that thins them"), GIVES(NUMBER, "diluent_g", "to weigh of it"),
      GIVES(NUMBER, "total_g", "the premix"), GIVES(NUMBER, "take_g", "what of it doses this batch"),
      GIVES_LIST("dose_error_pct", NUMBER, NULL, "what each dose may be off"),
      OR_NULL(TEXT, "kept", "the premix of the bank that this batch takes from"));
/* total_g, total_ml and components are colour; what goes on top stands apart, and ready_ml holds all of it. */
SHAPE(plan_touch_up, "touch_up", "a cup of the shelf", GIVES(TEXT, "batch", "its number"),
      GIVES(NUMBER, "left_g", "what is left in it"), OR_NULL(TEXT, "place", NULL), OR_NULL(TEXT, "use_by", NULL),
      GIVES(SAID, "said", "what to do with it"));
SHAPE(of_a_plan, NULL, NULL, OR_NULL(TEXT, "formula", NULL), OR_NULL(TEXT, "name", "the colour's name"),
      OR_NULL(TEXT, "variant", NULL), OR_NULL(TEXT, "coat", NULL), OR_NULL(TEXT, "finish", NULL),
      GIVES(NUMBER, "total_g", "colour"), OR_NULL(NUMBER, "total_ml", "colour by volume"),
      OR_NULL(TEXT, "part", "what both are of where a product is mixed: its first part; null: colour"),
      OR_NULL(NUMBER, "ready_ml", "ready to spray"), GIVES_LIST("components", OBJECT, &component, "colour"),
      OBJECT_OR_NULL("reducer", &plan_reducer, NULL), GIVES_LIST("additions", OBJECT, &addition, NULL),
      OR_NULL(NUMBER, "cost", "null: a price is missing"), GIVES(TEXT, "currency", NULL),
      OBJECT_OR_NULL("voc", &voc, NULL), OBJECT_OR_NULL("cup", &plan_cup, NULL),
      OR_NULL(NUMBER, "smallest_g", "the smallest batch that the scale can weigh"),
      OBJECT_OR_NULL("card", &result_card, "the spray-out card that matched this variant"),
      OBJECT_OR_NULL("correction", &correction, "applied to panels; null: nothing is learnt yet"),
      OBJECT_OR_NULL("run_out", &run_out, "null: fewer than three jobs, or a price is missing"),
      GIVES_LIST("learnt", SAID, NULL, "both as sentences"),
      OBJECT_OR_NULL("touch_up", &plan_touch_up,
                     "a cup of the shelf that holds so much of it already; pour from it and weigh it back"),
      OBJECT_OR_NULL("premix", &plan_premix, "null: the scale weighs all of it, or no premix helps"),
      GIVES_LIST("warnings", OBJECT, &warning, NULL));
SHAPE(layer_cup, "layer_cup", "a cup to fill for a coat", GIVES(TEXT, "cup", "its kind"),
      GIVES(NUMBER, "ml", "what goes into it"));
SHAPE(layer, "layer", "the plan of one coat of an order", GIVES_ALL_OF(of_a_plan),
      GIVES_LIST("cups", OBJECT, &layer_cup, "what it fills"),
      OR_NULL(NUMBER, "wait_min", "for it to flash off, all its coats"),
      GIVES(COUNT, "coat_n", "its place in the order"),
      GIVES(FLAG, "edges", "jambs and edges alone, which are mixed first"));
/* Of one coat all but layers and wait_min; of an order alone only these, cost and currency. */
RESULT(result_plan, "plan",
       "of one coat all but `layers` and `wait_min`; of `order` alone these two, cost and currency",
       PERHAPS_ALL_OF(of_a_plan), PERHAPS_LIST("layers", &layer, "of `order` alone: jambs and edges first"),
       PERHAPS_OR_NULL(NUMBER, "wait_min", "of `order` alone: for all coats to flash off"));
/* Each on its own; which is cheapest is for a person to judge. */
RESULT(result_remedies, NULL, NULL, OBJECT_OR_NULL("grow", &grow, NULL), OBJECT_OR_NULL("dip", &dip, NULL),
       GIVES_OBJECT("leave", &leave, NULL), PERHAPS(TEXT, "grow_why", "`foreign`: no total holds what is not in it"));
RESULT(result_ratio, NULL, NULL, GIVES_LIST("weight_g", NUMBER, NULL, "of each part"),
       NUMBERS_OR_NULL("volume_ml", "null: no density"), GIVES(NUMBER, "total_g", NULL),
       OR_NULL(NUMBER, "total_ml", NULL));
RESULT(result_reduce, NULL, NULL, GIVES(NUMBER, "reducer_g", NULL), OR_NULL(NUMBER, "reducer_ml", NULL));
/* component is a place and not a name: the call knows no toners. */
RESULT(result_weighable, NULL, NULL, GIVES(NUMBER, "smallest_g", "the smallest total that can be weighed"),
       GIVES(COUNT, "component", "the place in `parts`, from 0, of the one that asks for it"));
RESULT(result_premix, NULL, NULL,
       GIVES_LIST("toner_g", NUMBER, NULL, "weigh this much of each toner, in the order of `grams`"),
       GIVES(NUMBER, "diluent_g", "and this much of the main component, then stir"),
       GIVES(NUMBER, "take_g", "this much of the premix doses every one of them"),
       GIVES(NUMBER, "total_g", "the premix as made"),
       GIVES_LIST("dose_error_pct", NUMBER, NULL, "what each dose may be off, both weighings at their worst"));
RESULT(result_workoff, NULL, NULL, GIVES_LIST("use_g", NUMBER, NULL, "of each leftover"),
       GIVES_LIST("add_g", NUMBER, NULL, "fresh toner of each component"),
       GIVES(NUMBER, "total_g", "uses and additions; of the shop's own cups the colour alone"),
       OR_NULL(NUMBER, "cost", "of the additions; null: a price is missing"),
       GIVES_LIST("why", ANY, NULL,
                  "what held a leftover at 0: `line`, `activated`, `past`, `unweighed` (weigh it back first), "
                  "`foreign`, `small`, `too_rich`, `many` (a beginning takes eight cups); null: it is "
                  "used, or there is no room left"),
       PERHAPS(LIST, "batches", "of the shop's own cups: their numbers, in the order of use_g"),
       PERHAPS(LIST, "toners", "of the shop's own cups: the colour's toners, in the order of add_g"),
       PERHAPS(NUMBER, "reducer_g", "of the shop's own cups: reducer that is still to be added"),
       PERHAPS(NUMBER, "pour_g", "of the shop's own cups: fresh colour in all"),
       PERHAPS_OR_NULL(NUMBER, "saved", "of the shop's own cups: what they spare; null: a price is missing"),
       PERHAPS(LIST, "have", "of the shop's own cups: {batch, grams} each, as batch.begin takes it"));
RESULT(result_rescue, NULL, NULL, GIVES(NUMBER, "take_g", "taken out of the whole cup first"),
       GIVES_LIST("use_g", NUMBER, NULL, "of each leftover"),
       GIVES_LIST("add_g", NUMBER, NULL, "fresh toner of each component"), GIVES(NUMBER, "total_g", NULL),
       OR_NULL(NUMBER, "cost", "of what is added and taken out; null: a price is missing, and grams were compared"),
       GIVES(FLAG, "fits", "the cup holds it"));
RESULT(result_de00, NULL, NULL, GIVES(NUMBER, "de00", "about 1 where a trained eye begins to see it"));
RESULT(result_uncertainty, NULL, NULL, GIVES_LIST("u_g", NUMBER, NULL, "standard uncertainty of each weighing"),
       GIVES_LIST("share_u_pct", NUMBER, NULL, "that of its share, in per cent of the cup"));
RESULT(result_spread, NULL, NULL, GIVES(NUMBER, "volume_ml", "ready to spray"),
       GIVES(NUMBER, "m2_per_l", "at one coat"));
RESULT(result_voc, NULL, NULL, OR_NULL(NUMBER, "actual_g_per_l", "per litre as applied"),
       OR_NULL(NUMBER, "regulatory_g_per_l", "less water and exempt compounds"),
       OR_NULL(NUMBER, "density_g_per_ml", "of the mix"), OR_NULL(NUMBER, "volume_ml", "of the mix"),
       OR_NULL(NUMBER, "voc_g", "all of it"), PERHAPS(TEXT, "why", "why one is not known"));
RESULT(result_voc_stages, NULL, NULL, GIVES(NUMBER, "average_g_per_l", "over the stages"));

/* ---- the shop's settings and its store ---- */

SHAPE(offer, "offer", "a value that a key may have", GIVES(ANY, "value", "as settings.put takes it"),
      GIVES(SAID, "said", "what it is called"));
/* Any kind of value: what a key takes is its own. */
RESULT(result_setting, "setting", "one key of poised.ini", GIVES(LINES, "key", "its section, the bench and its name"),
       GIVES(ANY, "value", "what holds now"), GIVES(ANY, "default", "what holds where nobody says anything"),
       OR_NULL(TEXT, "unit", "the unit of both"),
       GIVES(ANY, "choices", "the values it may have; null: any of its kind"), GIVES(SAID, "said", "what it is"),
       GIVES(SAID, "shown", "the value with its unit"),
       {.name = "offers",
        .type = SHAPE_LIST,
        .required = true,
        .nullable = true,
        .entry = SHAPE_OBJECT,
        .of = &offer,
        .about = "the values it may have; null: any of its kind"},
       OR_NULL(TEXT, "fixed",
               "the file and line that set it, such as `poised.ini:12`: then it is changed there alone"));
RESULT(result_settings, NULL, NULL, GIVES_LIST("settings", OBJECT, &result_setting, "the shop's, then each bench's"));
RESULT(result_copied, NULL, NULL, GIVES(COUNT, "events", "the last event in the copy"),
       GIVES(TEXT, "head", "its hash: kept elsewhere it shows that no tail was cut off"));
RESULT(result_verified, NULL, NULL, GIVES(FLAG, "whole", "whether chain and file are sound"),
       GIVES(COUNT, "events", "the last event"), GIVES(TEXT, "head", "its hash"),
       OR_NULL(COUNT, "bad", "the first event that does not follow; null with whole false: the file is damaged"),
       OR_NULL(COUNT, "batches", "how many were held against the journal; null where that is not whole"),
       OR_NULL(COUNT, "wrong",
               "of which the row differs, and so what find and the lists say; store.mend writes it anew"),
       OR_NULL(TEXT, "wrong_batch", "the newest of them"));
RESULT(result_mended, NULL, NULL, GIVES(COUNT, "batches", "how many were held against the journal"),
       GIVES(COUNT, "wrong", "how many differed"),
       GIVES(COUNT, "mended", "how many of them were written anew; call again where it is less"));
static const struct shape_member no_members[] = {END};
const struct shape result_openrpc = {NULL, no_members, "an OpenRPC 1.3 document of all methods"};

/* ---- practice ---- */

RESULT(result_learn_start, NULL, NULL, GIVES(TEXT, "station", "its name, for every call of a batch"));
RESULT(result_learn_hand, NULL, NULL, GIVES(TEXT, "station", NULL), GIVES(TEXT, "act", "what the hand did"),
       OR_NULL(SAID, "said", "the mishap, where it came just now"));
RESULT(result_learn_end, NULL, NULL, GIVES_LIST("well", SAID, NULL, "what was done well"),
       GIVES_LIST("next_time", SAID, NULL, "what to do next time"));

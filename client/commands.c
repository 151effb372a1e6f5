/* commands.c - the one table of commands: name, words, options, group, example, function. It must not know what a
 * command says: the files in words/ do, under `command.NAME`. Help, completion, manual page and the check of what
 * was typed are all read from it, so a command that is added here is known everywhere. Within a group commands stand
 * in the order in which a person meets them. The words are a small grammar: `[...]` may be left out, `...` may
 * repeat, `a|b` is a choice. */
#include "client/commands.h"

#include "client/options.h"

/* What a plan and a beginning have in common: which coat of which formula, how much of it, with what on top and in
 * which cup. */
#define AMOUNT                                                                                                         \
    (OPTION_BIT(OPTION_VARIANT) | OPTION_BIT(OPTION_COAT) | OPTION_BIT(OPTION_GRAMS) | OPTION_BIT(OPTION_ML) |         \
     OPTION_BIT(OPTION_PANEL) | OPTION_BIT(OPTION_REDUCE) | OPTION_BIT(OPTION_REDUCER) | OPTION_BIT(OPTION_CUP))
/* Which of a product's own tins, and how panels come to litres. */
#define TINS                                                                                                           \
    (OPTION_BIT(OPTION_PRODUCT) | OPTION_BIT(OPTION_PARTS) | OPTION_BIT(OPTION_HARDENER) | OPTION_BIT(OPTION_SPEED) |  \
     OPTION_BIT(OPTION_TEMPERATURE))
#define PANELS                                                                                                         \
    (OPTION_BIT(OPTION_FILM) | OPTION_BIT(OPTION_TRANSFER) | OPTION_BIT(OPTION_LOSS) | OPTION_BIT(OPTION_MIDS) |       \
     OPTION_BIT(OPTION_CONTROL_COAT) | OPTION_BIT(OPTION_EDGES) | OPTION_BIT(OPTION_OUTSIDES))
/* Alone: all coats of an order, or one of them. */
#define OF_ORDER (OPTION_BIT(OPTION_ORDER) | OPTION_BIT(OPTION_COAT_N) | OPTION_BIT(OPTION_PAINTER))
/* What a beginning has beside: for whom it is mixed, and what stands in the cup already. */
#define JOB (OPTION_BIT(OPTION_HAVE) | OPTION_BIT(OPTION_ORDER) | OPTION_BIT(OPTION_PAINTER))

/* What every list of the books takes. */
#define LISTED OPTION_BIT(OPTION_CSV)

/* Two commands may share a function where only the row differs: the function finds its own row by the command's
 * name. An example is what help prints; NULL where it holds words of a language. */
const struct command commands[] = {
    {"bench", "[STATION]", 0, GROUP_MIX, "poise bench bench", command_bench},
    {"kiosk", "[STATION]", 0, GROUP_MIX, "poise kiosk bench", command_kiosk},
    {"practice", "[SCENARIO]", OPTION_BIT(OPTION_PAINTER), GROUP_MIX, "poise practice overpour --painter Ines",
     command_practice},
    {"plan", "[CODE]", AMOUNT | TINS | PANELS | OF_ORDER | OPTION_BIT(OPTION_HAVE) | OPTION_BIT(OPTION_PREMIX),
     GROUP_MIX, "poise plan TI-207 --coat ground --grams 250", command_move},
    {"begin", "[CODE]",
     AMOUNT | TINS | PANELS | JOB | OPTION_BIT(OPTION_COAT_N) | OPTION_BIT(OPTION_POUR_ORDER) |
         OPTION_BIT(OPTION_PREMIX) | OPTION_BIT(OPTION_PREMIX_FIRST),
     GROUP_MIX, "poise begin TI-207 --coat ground --grams 250 --order 4417", command_move},
    {"workoff", "CODE [BATCH...]",
     OPTION_BIT(OPTION_VARIANT) | OPTION_BIT(OPTION_COAT) | OPTION_BIT(OPTION_GRAMS) | OPTION_BIT(OPTION_ML) |
         OPTION_BIT(OPTION_PANEL) | OPTION_BIT(OPTION_REDUCE) | OPTION_BIT(OPTION_REDUCER),
     GROUP_MIX, "poise workoff TI-207 --coat ground --grams 300", command_workoff},
    {"accept", "",
     OPTION_BIT(OPTION_SHORT) | OPTION_BIT(OPTION_LESS) | OPTION_BIT(OPTION_TARED) | OPTION_BIT(OPTION_SURE) |
         OPTION_BIT(OPTION_LOT) | OPTION_BIT(OPTION_REALLY) | OPTION_BIT(OPTION_GLANCE),
     GROUP_MIX, "poise accept --lot A17", command_move},
    {"tin", "CODE...", OPTION_BIT(OPTION_LOT), GROUP_MIX, "poise tin TIN10-A17", command_move},
    {"scan", "CODE...", 0, GROUP_MIX, "poise scan POISE:1042", command_scan},
    {"undo", "", 0, GROUP_MIX, "poise undo", command_move},
    {"remedy", "grow|dip|leave|rescue|again", 0, GROUP_MIX, "poise remedy grow", command_move},
    {"retare", "", OPTION_BIT(OPTION_UNCOUNTED) | OPTION_BIT(OPTION_LOST), GROUP_MIX, "poise retare --lost 1.5",
     command_move},
    {"tint", "TONER", 0, GROUP_MIX, "poise tint V23", command_move},
    {"note", "TEXT...", 0, GROUP_MIX, NULL, command_move},
    {"hold", "", 0, GROUP_MIX, "poise hold", command_move},
    {"resume", "BATCH", 0, GROUP_MIX, "poise resume 1042", command_move},
    {"finish", "", OPTION_BIT(OPTION_KEEP) | OPTION_BIT(OPTION_PLACE), GROUP_MIX, "poise finish", command_move},
    {"scrap", "WHY...", 0, GROUP_MIX, NULL, command_move},
    {"people", "[PAINTER...]",
     OPTION_BIT(OPTION_GLANCES) | OPTION_BIT(OPTION_TRAINED) | OPTION_BIT(OPTION_RETIRED) | LISTED, GROUP_MIX,
     "poise people Ines --glances 5", command_people},
    {"sign-in", "PAINTER...", 0, GROUP_MIX, "poise sign-in Ines", command_sign},
    {"sign-out", "", 0, GROUP_MIX, "poise sign-out", command_sign},
    {"status", "", OPTION_BIT(OPTION_FOLLOW) | OPTION_BIT(OPTION_PAGE), GROUP_MIX, "poise status --follow",
     command_status},
    {"find", "[TEXT...]",
     OPTION_BIT(OPTION_ORDER) | OPTION_BIT(OPTION_FORMULA) | OPTION_BIT(OPTION_VARIANT) | OPTION_BIT(OPTION_COAT) |
         OPTION_BIT(OPTION_PAINTER) | OPTION_BIT(OPTION_PLACE) | OPTION_BIT(OPTION_FROM) | OPTION_BIT(OPTION_TO) |
         OPTION_BIT(OPTION_LIMIT),
     GROUP_RECORD, "poise find copper --order 4417 --from 2026-11-01", command_find},
    {"show", "BATCH", 0, GROUP_RECORD, "poise show 1042", command_show},
    {"why", "BATCH [FIELD]", 0, GROUP_RECORD, "poise why 1042 N10", command_why},
    {"repeat", "BATCH",
     OPTION_BIT(OPTION_GRAMS) | OPTION_BIT(OPTION_ML) | OPTION_BIT(OPTION_PANEL) | OPTION_BIT(OPTION_AS) |
         OPTION_BIT(OPTION_CUP) | JOB,
     GROUP_RECORD, "poise repeat 1042 --grams 80", command_repeat},
    {"keep", "BATCH [VARIANT...]", 0, GROUP_RECORD, "poise keep 1042 warmer", command_keep},
    {"label", "BATCH",
     OPTION_BIT(OPTION_OUT) | OPTION_BIT(OPTION_COPIES) | OPTION_BIT(OPTION_SIZE) | OPTION_BIT(OPTION_LID),
     GROUP_RECORD, "poise label 1042 --size 62x29 --out cup.pdf", command_label},
    {"shelf", "", OPTION_BIT(OPTION_FORMULA) | OPTION_BIT(OPTION_PLACE) | OPTION_BIT(OPTION_DUE) | LISTED, GROUP_RECORD,
     "poise shelf --due", command_book},
    {"shelve", "BATCH PLACE...", OPTION_BIT(OPTION_USE_BY), GROUP_RECORD, "poise shelve 1042 rack 2", command_shelf},
    {"leftover", "BATCH", OPTION_BIT(OPTION_GROSS) | OPTION_BIT(OPTION_TARE) | OPTION_BIT(OPTION_ORDER), GROUP_RECORD,
     "poise leftover 1042 --gross 118.4", command_shelf},
    {"discard", "BATCH [WHY...]", OPTION_BIT(OPTION_GRAMS), GROUP_RECORD, "poise discard 1042", command_shelf},
    {"orders", "[TEXT...]", OPTION_BIT(OPTION_ALL) | LISTED, GROUP_BOOKS, "poise orders --all", command_book},
    {"order", "ORDER [COAT...]",
     OPTION_BIT(OPTION_VEHICLE) | OPTION_BIT(OPTION_PAINTER) | OPTION_BIT(OPTION_BY) | OPTION_BIT(OPTION_CLOSE),
     GROUP_BOOKS, "poise order 4417 TI-207:ground=250 CLEAR-40@door:2 --by 2026-12-01", command_order},
    {"cards", "[TEXT...]", OPTION_BIT(OPTION_FORMULA) | OPTION_BIT(OPTION_ORDER) | OPTION_BIT(OPTION_VERDICT) | LISTED,
     GROUP_BOOKS, "poise cards --formula TI-207 --verdict match", command_book},
    {"card", "BATCH|CODE [match|near|no] [NOTE...]",
     OPTION_BIT(OPTION_COAT) | OPTION_BIT(OPTION_VARIANT) | OPTION_BIT(OPTION_COATS) | OPTION_BIT(OPTION_MIDS) |
         OPTION_BIT(OPTION_LIGHT) | OPTION_BIT(OPTION_ORDER),
     GROUP_BOOKS, "poise card 1042 match --coats 2 --light sun,shade", command_card},
    {"stock", "[receive|count|stir] [TONER] [GRAMS]",
     OPTION_BIT(OPTION_LOT) | OPTION_BIT(OPTION_COST) | OPTION_BIT(OPTION_REORDER) | LISTED, GROUP_BOOKS,
     "poise stock receive N10 3500 --lot A17", command_stock},
    {"substitute", "TONER [GRAMS]", 0, GROUP_BOOKS, "poise substitute N10 250", command_substitute},
    {"formulas", "[TEXT...]", LISTED, GROUP_BOOKS, "poise formulas copper", command_book},
    {"toners", "[TEXT...]", LISTED, GROUP_BOOKS, "poise toners white", command_book},
    {"products", "[TEXT...]", LISTED, GROUP_BOOKS, "poise products clear", command_book},
    {"cups", "", LISTED, GROUP_BOOKS, "poise cups", command_book},
    {"panels", "", LISTED, GROUP_BOOKS, "poise panels --json", command_book},
    {"settings", "[KEY] [VALUE]", OPTION_BIT(OPTION_DEFAULT), GROUP_BOOKS,
     "poise settings station.bench.accept_after_s 3", command_settings},
    {"import", "FILE...", 0, GROUP_BOOKS, "poise import formulas/toners.ini", command_import},
    {"export", "[DIR]", 0, GROUP_BOOKS, "poise export /media/stick/catalogue", command_export},
    {"backup", "FILE", 0, GROUP_BOOKS, "poise backup /media/stick/poise.db", command_backup},
    {"verify", "[FILE]", 0, GROUP_BOOKS, "poise verify /media/stick/poise.db", command_verify},
    {"restore", "FILE", OPTION_BIT(OPTION_STATE), GROUP_BOOKS, "poise restore /media/stick/poise.db", command_restore},
    {"scales", "", 0, GROUP_SCALE, "poise scales", command_scales},
    {"seek", "PORT", OPTION_BIT(OPTION_ASK) | OPTION_BIT(OPTION_SPEED), GROUP_SCALE,
     "poise seek /dev/serial/by-id/usb-scale --ask", command_seek},
    {"record", "PORT FILE",
     OPTION_BIT(OPTION_PROFILE) | OPTION_BIT(OPTION_SPEED) | OPTION_BIT(OPTION_FRAME) | OPTION_BIT(OPTION_POLL) |
         OPTION_BIT(OPTION_SECONDS) | OPTION_BIT(OPTION_WHAT),
     GROUP_SCALE, "poise record tcp:127.0.0.1:4001 scale.log --seconds 60", command_record},
    {"check-weight", "STATION [GRAMS]",
     OPTION_BIT(OPTION_TOLERANCE) | OPTION_BIT(OPTION_DRIFT) | OPTION_BIT(OPTION_SECONDS) | OPTION_BIT(OPTION_PAINTER),
     GROUP_SCALE, "poise check-weight bench 200", command_check_weight},
    {"checks", "", OPTION_BIT(OPTION_FROM) | OPTION_BIT(OPTION_TO) | OPTION_BIT(OPTION_CSV), GROUP_SCALE,
     "poise checks --from 2026-11-01 --csv", command_checks},
    {"decode", "[RECORDING]", OPTION_BIT(OPTION_PROFILE), GROUP_SCALE, "poise decode scale.log", command_decode},
    {"call", "METHOD [JSON|-]", 0, GROUP_REST, "poise call mix.plan '{\"formula\":\"TI-207\",\"grams\":250}'",
     command_call},
    {"completion", "", 0, GROUP_REST, "eval \"$(poise completion)\"", command_completion},
    {"man", "", 0, GROUP_REST, "poise man | man -l -", command_man},
    {"help", "[COMMAND]", 0, GROUP_REST, "poise help begin", command_help_run},
    {0},
};

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
/* What a beginning has beside: for whom it is mixed, and what stands in the cup already. */
#define JOB (OPTION_BIT(OPTION_HAVE) | OPTION_BIT(OPTION_ORDER) | OPTION_BIT(OPTION_PAINTER))

/* Two commands may share a function where only the row differs: the function finds its own row by the command's
 * name. An example is what help prints; NULL where it holds words of a language. */
const struct command commands[] = {
    {"bench", "[STATION]", 0, GROUP_MIX, "poise bench bench", command_bench},
    {"kiosk", "[STATION]", 0, GROUP_MIX, "poise kiosk bench", command_kiosk},
    {"plan", "CODE", AMOUNT, GROUP_MIX, "poise plan TI-207 --coat ground --grams 250", command_move},
    {"begin", "CODE", AMOUNT | JOB | OPTION_BIT(OPTION_PRODUCT) | OPTION_BIT(OPTION_PARTS), GROUP_MIX,
     "poise begin TI-207 --coat ground --grams 250 --order 4417", command_move},
    {"accept", "",
     OPTION_BIT(OPTION_SHORT) | OPTION_BIT(OPTION_LESS) | OPTION_BIT(OPTION_TARED) | OPTION_BIT(OPTION_SURE) |
         OPTION_BIT(OPTION_LOT) | OPTION_BIT(OPTION_REALLY),
     GROUP_MIX, "poise accept --lot A17", command_move},
    {"undo", "", 0, GROUP_MIX, "poise undo", command_move},
    {"remedy", "grow|dip|leave|rescue|again", 0, GROUP_MIX, "poise remedy grow", command_move},
    {"retare", "", OPTION_BIT(OPTION_UNCOUNTED) | OPTION_BIT(OPTION_LOST), GROUP_MIX, "poise retare --lost 1.5",
     command_move},
    {"tint", "TONER", 0, GROUP_MIX, "poise tint V23", command_move},
    {"note", "TEXT...", 0, GROUP_MIX, NULL, command_move},
    {"hold", "", 0, GROUP_MIX, "poise hold", command_move},
    {"resume", "BATCH", 0, GROUP_MIX, "poise resume 1042", command_move},
    {"finish", "", 0, GROUP_MIX, "poise finish", command_move},
    {"scrap", "WHY...", 0, GROUP_MIX, NULL, command_move},
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
    {"label", "BATCH",
     OPTION_BIT(OPTION_OUT) | OPTION_BIT(OPTION_COPIES) | OPTION_BIT(OPTION_SIZE) | OPTION_BIT(OPTION_LID),
     GROUP_RECORD, "poise label 1042 --size 62x29 --out cup.pdf", command_label},
    {"formulas", "[TEXT...]", 0, GROUP_BOOKS, "poise formulas copper", command_book},
    {"toners", "[TEXT...]", 0, GROUP_BOOKS, "poise toners white", command_book},
    {"products", "[TEXT...]", 0, GROUP_BOOKS, "poise products clear", command_book},
    {"cups", "", 0, GROUP_BOOKS, "poise cups", command_book},
    {"panels", "", 0, GROUP_BOOKS, "poise panels --json", command_book},
    {"import", "FILE...", 0, GROUP_BOOKS, "poise import formulas/toners.ini", command_import},
    {"backup", "FILE", 0, GROUP_BOOKS, "poise backup /media/stick/poise.db", command_backup},
    {"verify", "", 0, GROUP_BOOKS, "poise verify", command_verify},
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

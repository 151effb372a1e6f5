#include "client/commands.h"

#include "client/options.h"

#define AMOUNT                                                                                                         \
    (OPTION_BIT(OPTION_VARIANT) | OPTION_BIT(OPTION_COAT) | OPTION_BIT(OPTION_GRAMS) | OPTION_BIT(OPTION_ML) |         \
     OPTION_BIT(OPTION_PANEL) | OPTION_BIT(OPTION_REDUCE) | OPTION_BIT(OPTION_REDUCER) | OPTION_BIT(OPTION_CUP))
#define JOB (OPTION_BIT(OPTION_HAVE) | OPTION_BIT(OPTION_ORDER) | OPTION_BIT(OPTION_PAINTER))

const struct command commands[] = {
    {"bench", "[STATION]", 0, GROUP_MIX, "the full-screen pour in a terminal",
     "Every move is one key, on a number pad too, and is printed at the foot of the page. Leave it with 0 and q; the "
     "batch stays as it is.",
     command_bench},
    {"plan", "CODE", AMOUNT, GROUP_MIX, "what a coat takes, before anything is poured",
     "Give one of --grams, --ml and --panel. Grams are colour before reduction; millilitres and panels are ready to "
     "spray.",
     command_plan},
    {"begin", "CODE", AMOUNT | JOB | OPTION_BIT(OPTION_PRODUCT) | OPTION_BIT(OPTION_PARTS), GROUP_MIX,
     "begin a batch of a formula, or of a product mixed by ratio",
     "Give one of --grams, --ml and --panel. --have names what stands in the cup already.", command_begin},
    {"accept", "",
     OPTION_BIT(OPTION_SHORT) | OPTION_BIT(OPTION_LESS) | OPTION_BIT(OPTION_TARED) | OPTION_BIT(OPTION_LOT) |
         OPTION_BIT(OPTION_REALLY),
     GROUP_MIX, "take what stands on the scale: the cup, then each pour",
     "Waits up to 3 s for a steady weight. A pour below its aim is refused unless --short or --less says why.",
     command_accept},
    {"undo", "", 0, GROUP_MIX, "take back the last accept: the record, not the paint", NULL, command_undo},
    {"remedy", "grow|dip|leave|again", 0, GROUP_MIX, "what is done about a pour past its aim",
     "grow: pour on to a larger batch. dip: stir, take out, pour on. leave: accept the error. again: begin anew, the "
     "cup becomes a leftover.",
     command_remedy},
    {"retare", "", OPTION_BIT(OPTION_UNCOUNTED) | OPTION_BIT(OPTION_LOST), GROUP_MIX,
     "what stands on the scale now is the cup with all that is counted", NULL, command_retare},
    {"tint", "TONER", 0, GROUP_MIX, "add a toner by eye; its accept makes it part of the colour", NULL, command_tint},
    {"note", "TEXT...", 0, GROUP_MIX, "write a remark into the batch", NULL, command_note},
    {"hold", "", 0, GROUP_MIX, "set the batch aside and free the bench", NULL, command_hold},
    {"resume", "BATCH", 0, GROUP_MIX, "take a held batch up again, here or at another bench", NULL, command_resume},
    {"finish", "", 0, GROUP_MIX, "the batch is mixed", NULL, command_finish},
    {"scrap", "WHY...", 0, GROUP_MIX, "give the batch up: what is in the cup is waste", NULL, command_scrap},
    {"status", "", OPTION_BIT(OPTION_FOLLOW) | OPTION_BIT(OPTION_PAGE), GROUP_MIX, "what the bench shows", NULL,
     command_status},
    {"find", "[TEXT...]",
     OPTION_BIT(OPTION_ORDER) | OPTION_BIT(OPTION_FORMULA) | OPTION_BIT(OPTION_VARIANT) | OPTION_BIT(OPTION_COAT) |
         OPTION_BIT(OPTION_PAINTER) | OPTION_BIT(OPTION_PLACE) | OPTION_BIT(OPTION_FROM) | OPTION_BIT(OPTION_TO) |
         OPTION_BIT(OPTION_LIMIT),
     GROUP_RECORD, "find batches, newest first", NULL, command_find},
    {"show", "BATCH", 0, GROUP_RECORD, "one batch as it was really poured", NULL, command_show},
    {"why", "BATCH [FIELD]", 0, GROUP_RECORD, "how a number of a batch came about: the events behind it",
     "FIELD is a toner of the batch, or a member of its record such as total_g.", command_why},
    {"repeat", "BATCH",
     OPTION_BIT(OPTION_GRAMS) | OPTION_BIT(OPTION_ML) | OPTION_BIT(OPTION_PANEL) | OPTION_BIT(OPTION_AS) |
         OPTION_BIT(OPTION_CUP) | JOB,
     GROUP_RECORD, "begin a batch like an earlier one", "As it was poured, unless --as corrected says otherwise.",
     command_repeat},
    {"label", "BATCH",
     OPTION_BIT(OPTION_OUT) | OPTION_BIT(OPTION_COPIES) | OPTION_BIT(OPTION_SIZE) | OPTION_BIT(OPTION_LID),
     GROUP_RECORD, "the label of a batch, as a PDF or on paper",
     "Writes the PDF; with --copies the daemon prints instead, with --out and --copies both.", command_label},
    {"formulas", "[TEXT...]", 0, GROUP_BOOKS, "the colours", NULL, command_formulas},
    {"toners", "[TEXT...]", 0, GROUP_BOOKS, "the toners on the bank", NULL, command_toners},
    {"products", "[TEXT...]", 0, GROUP_BOOKS, "what is mixed by ratio", NULL, command_products},
    {"cups", "", 0, GROUP_BOOKS, "the cups", NULL, command_cups},
    {"panels", "", 0, GROUP_BOOKS, "the panels with their areas", NULL, command_panels},
    {"import", "FILE...", 0, GROUP_BOOKS, "read files of toners, formulas, products, cups and panels again",
     "A file with an error changes nothing; a section that did not change is left alone.", command_import},
    {"scales", "", 0, GROUP_SCALE, "the benches' scales as they are now", NULL, command_scales},
    {"seek", "PORT", OPTION_BIT(OPTION_ASK) | OPTION_BIT(OPTION_SPEED), GROUP_SCALE,
     "find out what a port speaks, and print the section for it",
     "PORT as in the configuration: /dev/serial/by-id/..., tcp:HOST:PORT, hid:/dev/hidrawN, pty:PATH. Listens at all "
     "speeds, twice. With --ask the scale is asked too, where listening gave clean bytes or at --speed: only with "
     "questions that read a weight, never with one that tares, zeroes, prints, calibrates or switches off.",
     command_seek},
    {"record", "PORT FILE",
     OPTION_BIT(OPTION_PROFILE) | OPTION_BIT(OPTION_SPEED) | OPTION_BIT(OPTION_FRAME) | OPTION_BIT(OPTION_POLL) |
         OPTION_BIT(OPTION_SECONDS) | OPTION_BIT(OPTION_WHAT),
     GROUP_SCALE, "keep what a port sends, with times, for a test or a bug report",
     "Needs no daemon, and the port to itself. Ends with Ctrl-C or after --seconds. poise decode FILE tells what was "
     "sent, "
     "poise-sim --replay FILE plays it.",
     command_record},
    {"check-weight", "STATION [GRAMS]",
     OPTION_BIT(OPTION_TOLERANCE) | OPTION_BIT(OPTION_DRIFT) | OPTION_BIT(OPTION_SECONDS) | OPTION_BIT(OPTION_PAINTER),
     GROUP_SCALE, "is the scale right: a check weight off, on and off again",
     "Says what to do and waits for each reading. Ends with 65 where the scale is beyond the tolerance. With --drift "
     "the empty pan is watched: steady, drift, or draught.",
     command_check_weight},
    {"checks", "", OPTION_BIT(OPTION_FROM) | OPTION_BIT(OPTION_TO) | OPTION_BIT(OPTION_CSV), GROUP_SCALE,
     "the log of check weights, oldest first",
     "Of all benches, or of --station. Below a check that failed stand the batches weighed until the next one. --csv "
     "and --json hold all readings.",
     command_checks},
    {"decode", "[RECORDING]", OPTION_BIT(OPTION_PROFILE), GROUP_SCALE, "what a scale's bytes say, a line a frame",
     "Reads a file made by poise record, else bytes from stdin. Needs no daemon. auto, where --profile is left out, "
     "finds the family out from three frames in a row.",
     command_decode},
    {"call", "METHOD [JSON|-]", 0, GROUP_REST, "any method of the daemon; - reads the params from stdin",
     "The result goes to stdout, an error object to stderr.", command_call},
    {"completion", "", 0, GROUP_REST, "completion for bash", "Use it so: eval \"$(poise completion)\"",
     command_completion},
    {"man", "", 0, GROUP_REST, "the manual page, for man -l -", NULL, command_man},
    {"help", "[COMMAND]", 0, GROUP_REST, "explain a command", NULL, command_help},
    {0},
};

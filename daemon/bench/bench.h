/* bench.h - one station at work: its scale, its batch, and the calls that move it on.
 *
 * The shell around station/ (pure). A reading is folded and shown; a command becomes an event, is written by the store,
 * and only then applied, acknowledged and published. One call at a time: the next waits until the one before is on
 * disk, so a double tap finds a newer revision.
 * Owner   main, through struct daemon. Thread: the loop's.
 */
#pragma once

#include "daemon.h"
#include "drivers/decode/profile.h"
#include "station/batch_record.h"
#include "station/decide.h"

/* Makes the bench and folds its open batch from the journal. NULL: *fault says why (a damaged journal, no memory). */
struct bench *bench_create(struct daemon *d, const struct config_station *config, struct fault *fault);
/* The family that a shop declares in a file of its own (drivers/profiles/README.md). `profile = NAME` of a station is a
 * built-in family, else the section [profile NAME] of NAME.ini in the folder `profiles` of the catalogue's folder
 * (`data`), else in the folder `profiles` beside the configuration. Reads files: for start and --check only. NULL with
 * an empty fault->why: built in, or to be found out. Else the family, malloc'd for the caller to free after its port is
 * closed; or NULL and *fault: file, line and what fixes it. */
struct scale_profile *declared_family(const struct config *c, const struct config_station *s, struct file_fault *fault);
/* Opens the port. False: the settings name no known family; *fault names the key. */
bool bench_open_port(struct bench *b, struct fault *fault);
/* Closes port and timers; closed() when nothing is left. */
void bench_close(struct bench *b, void (*closed)(void *arg), void *arg);

/* A call that moves the station: `request` and `revision` are read from params, the rest is the command's. Answers
 * the call, now or later. command.part may be malloc'd by the maker; the bench frees it. */
void bench_command(struct bench *b, struct rpc_call *call, const json_t *params, struct command *command);
/* The same for a finish; once it is on disk, then() prints so many labels of the batch, 0: none. */
typedef void bench_then(struct daemon *d, struct bench *b, const char *batch, int labels);
void bench_finish(struct bench *b, struct rpc_call *call, const json_t *params, struct command *command, int labels,
                  bench_then *then);
/* How that printing went, said exactly once for each then(); code "": well. Shown as trouble until the next act. */
void bench_printed(struct bench *b, const struct said *why);
/* batch.wait: a key or a touch stops the count to an accept by itself. No act: no revision, nothing is journalled. */
void bench_wait(struct bench *b, struct rpc_call *call);
void bench_begin(struct bench *b, struct rpc_call *call, const json_t *params);
void bench_resume(struct bench *b, struct rpc_call *call, const json_t *params);

/* Lends the port to a search: closed first, then lent(arg) is called, unless a scale is live there. The station is
 * absent meanwhile. */
bool bench_may_lend_port(const struct bench *b);
void bench_lend_port(struct bench *b, void (*lent)(void *arg), void *arg);
void bench_take_port_back(struct bench *b);
/* scale.check (bench/scale_check.h): one reading of a check weight, or an empty pan watched. Answers now or later. */
void bench_check(struct bench *b, struct rpc_call *call, const json_t *params);
/* The last check weight for the scale's row, null: none was ever made. */
json_t *bench_check_row(const struct bench *b);
/* A failed check in words, of its body as journalled. */
void bench_check_words(const json_t *body, int64_t wall_ms, bool comma, char *out, size_t size);

/* Answers the call with the screen: at once, but where the pot life's beginning is just being written, with it. */
void bench_show(struct bench *b, struct rpc_call *call);
/* The whole screen, and the scale's row of scale.list; new references. */
json_t *bench_screen(const struct bench *b);
/* The screen that an act left: batch and track as they stood then, which may be long ago; the scale as it is now. */
json_t *bench_screen_of(const struct bench *b, const struct batch *after, const struct track *track, int64_t revision);
/* Who works here from now on, once that is on disk; NULL: nobody. And who does; "": nobody. */
void bench_sign(struct bench *b, const char *painter);
const char *bench_signed_in(const struct bench *b);
/* A reading of a practice's pan, in place of a port's. */
struct scale_reading;
void bench_hear(struct bench *b, const struct scale_reading *r);
/* A person was put: each bench reads anew what its painter owes. */
void bench_person_changed(struct daemon *d);
/* Settings were changed: all open screens are sent anew with a higher `settings`, so that their clients read
 * daemon.info again. An idle bench would else keep its old words and decimal sign until somebody pours. */
void bench_settings_changed(struct daemon *d);
json_t *bench_scale(const struct bench *b);
const struct config_station *bench_config(const struct bench *b);
struct event_settings bench_settings(const struct daemon *d, const struct config_station *config);

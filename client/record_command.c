/* record_command.c - `poise record PORT FILE`: keeps what a port sends, byte for byte and with times, for a bug
 * report or a test. It must not know what the bytes mean: a family is named only for the head of the file, and to
 * show that something comes. Needs no daemon: it opens the port by itself, so a station must not have it open. The
 * port opens itself again after a cable was pulled, and the recording goes on with a pause in its times; a file that
 * is there is never written over. */
#include "client/commands.h"
#include "client/family_names.h"
#include "client/options.h"
#include "client/output.h"

#include "drivers/decode/recording.h"
#include "drivers/port.h"
#include "drivers/scale.h"
#include "text/timestamp.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sysexits.h>
#include <time.h>
#include <unistd.h>
#include <uv.h>

/* All that the loop's callbacks share. `bytes` counts what the port gave; `readings` what the named family made of
 * it. */
struct recording {
    uv_loop_t loop;
    uv_signal_t interrupt, term;
    uv_timer_t limit;
    struct port *port;
    struct record *record;
    bool known; /* the family was named: its readings are shown */
    unsigned long long bytes, readings;
    bool ending;
    int code;
    struct output_style style;
    struct said why;
};

/* Once only: libuv aborts where a handle is closed twice. The loop ends when all have closed. The code of the first
 * reason stands: a disk that is full is not made good by the Ctrl-C that follows. */
static void end(struct recording *r, int code)
{
    if (r->ending)
        return;
    r->ending = true;
    r->code = code;
    port_close(r->port, NULL);
    uv_close((uv_handle_t *)&r->interrupt, NULL);
    uv_close((uv_handle_t *)&r->term, NULL);
    uv_close((uv_handle_t *)&r->limit, NULL);
}

/* Ctrl-C is the usual end of a recording, so it is no failure: what was kept until then is whole. */
static void on_signal(uv_signal_t *handle, int number)
{
    (void)number;
    end(handle->data, 0);
}

/* --seconds have passed. */
static void on_limit(uv_timer_t *timer)
{
    end(timer->data, 0);
}

/* Bytes are written before they are looked at: the recording is for the case that nobody can read them. A disk that
 * is full ends it at once. */
static void on_bytes(void *owner, const uint8_t *bytes, size_t len, uint64_t at_ms)
{
    struct recording *r = owner;
    r->bytes += len;
    record_bytes(r->record, bytes, len, at_ms);
    if (record_fault(r->record))
        end(r, EX_IOERR);
}

/* A sign of life on a terminal, on one line that is written over; a script sees nothing of it. Without --profile
 * nothing is read, and nothing is shown that might be wrong. */
static void on_reading(void *owner, const struct scale_reading *reading, const uint8_t *frame, size_t len)
{
    struct recording *r = owner;
    (void)frame, (void)len;
    r->readings++;
    if (r->known && isatty(STDERR_FILENO)) {
        fputs("\r\033[K", stderr);
        output_say(r->style, stderr, "record.reads bytes=%lld reading=%s unit=%s", (long long)r->bytes, reading->digits,
                   scale_unit_name(reading->unit));
    }
}

/* A port that will not open at all ends it; one that goes later comes back by itself, and the file goes on. */
static void on_state(void *owner, enum port_state state, const struct said *why)
{
    struct recording *r = owner;
    if (state != PORT_ABSENT)
        return;
    if (r->bytes > 0) {
        char words[SAID_TEXT_MAX];
        said_text(why, r->style.language, NULL, words, sizeof words);
        failure_say(r->style, 0, "record", "record_paused text=%s", words);
        return;
    }
    r->why = *why;
    end(r, EX_TEMPFAIL);
}

/* The port as it stands in a configuration. A pseudo terminal is one without its prefix too. A name under
 * /dev/serial/by-id is kept as it was typed, since that is what should stand in the head of the file; a relative one
 * is made whole. */
static int port_of(struct output_style style, const char *port, struct port_settings *set)
{
    struct stat node;
    char *whole = strchr(port, ':') ? NULL : realpath(port, NULL);
    bool pty = whole && strncmp(whole, "/dev/pts/", 9) == 0;
    bool wrong = whole && stat(whole, &node) == 0 && !S_ISCHR(node.st_mode);
    int n = snprintf(set->port, sizeof set->port, "%s%s", pty ? "pty:" : "", whole && port[0] != '/' ? whole : port);
    wrong = wrong || n < 0 || (size_t)n >= sizeof set->port || (!whole && !strchr(port, ':') && port[0] != '/');
    free(whole);
    return wrong ? failure_say(style, EX_DATAERR, "record", "record_no_port port=%s", port) : 0;
}

/* Speed in bits a second; 0 is the family's usual one. Beyond 10 million no port goes, and the settings' own check
 * says so. */
static int numbers_of(const struct poise_options *opt, struct port_settings *set, double *seconds)
{
    double speed = 0;
    const char *baud = opt->text[OPTION_SPEED], *limit = opt->text[OPTION_SECONDS];
    int code = baud ? number_read_above_0(opt->style, "--speed", baud, &speed) : 0;
    if (code == 0 && limit)
        code = number_read_above_0(opt->style, "--seconds", limit, seconds);
    set->speed = (int)(speed < 1e7 ? speed : 0);
    return code;
}

/* The same settings as a section [station NAME] holds, checked by the same function, so a recording is made as the
 * daemon would listen. */
static int settings_of(const struct poise_options *opt, struct port_settings *set, double *seconds)
{
    const char *profile = opt->text[OPTION_PROFILE], *poll = opt->text[OPTION_POLL];
    const char *frame = opt->text[OPTION_FRAME];
    *set = (struct port_settings){.poll_ms = 0};
    int code = port_of(opt->style, opt->word[0], set);
    if (code == 0)
        code = numbers_of(opt, set, seconds);
    if (code)
        return code;
    if (profile && strcmp(profile, "auto") == 0)
        return failure_say(opt->style, EX_USAGE, "--profile", "record_auto");
    if (profile && !scale_family_find(profile))
        return families_no_such(opt->style, profile);
    if (poll && polltext_read(poll, set->poll, &set->poll_len) != POLLTEXT_FINE)
        return failure_say(opt->style, EX_USAGE, "--poll", "record_poll text=%s", poll);
    /* Bytes are kept as they come, whatever the family: any one will do where none is named. */
    snprintf(set->profile, sizeof set->profile, "%.47s", profile ? profile : "plain");
    snprintf(set->frame, sizeof set->frame, "%.3s", frame && strlen(frame) == 3 ? frame : frame ? "no" : "");
    const struct said why = port_settings_fault(set);
    return why.code[0] ? failure_said(opt->style, EX_DATAERR, "record", &why) : 0;
}

/* Never over a file that is there: a recording cannot be made again. The date bears the offset of the shop's time
 * zone, so a report from elsewhere can be placed. */
static int open_file(struct recording *r, const struct poise_options *opt, const struct port_settings *set)
{
    char date[TIMESTAMP_ROOM];
    timestamp_text((int64_t)time(NULL) * 1000, date);
    const struct recording_head head = {.family = r->known ? set->profile : "not told",
                                        .speed = set->speed ? set->speed : 9600,
                                        .frame = set->frame[0] ? set->frame : "8N1",
                                        .port = set->port,
                                        .date = date,
                                        .what = opt->text[OPTION_WHAT]};
    r->record = record_create(opt->word[1], &head);
    if (r->record)
        return 0;
    if (errno == EEXIST)
        return failure_say(opt->style, EX_IOERR, opt->word[1], "record_exists");
    return failure_say(opt->style, failure_errno(errno), opt->word[1], "file_not_made why=%s",
                       wording_errno(opt->style, errno));
}

/* One loop, until `end` has closed the port, the signals and the timer. A recording without a limit starts no timer. */
static void run(struct recording *r, const struct port_settings *set, double seconds)
{
    static const struct port_events events = {.reading = on_reading, .state = on_state, .bytes = on_bytes};
    uv_loop_init(&r->loop);
    uv_signal_init(&r->loop, &r->interrupt);
    uv_signal_init(&r->loop, &r->term);
    uv_timer_init(&r->loop, &r->limit);
    r->interrupt.data = r->term.data = r->limit.data = r;
    uv_signal_start(&r->interrupt, on_signal, SIGINT);
    uv_signal_start(&r->term, on_signal, SIGTERM);
    if (seconds > 0 && seconds < 1e7)
        uv_timer_start(&r->limit, on_limit, (uint64_t)(seconds * 1000), 0);
    r->port = port_create(&r->loop, set, &events, r);
    if (!r->port)
        end(r, EX_SOFTWARE);
    uv_run(&r->loop, UV_RUN_DEFAULT);
    uv_loop_close(&r->loop);
}

/* Order matters: settings before the file, so that a typing error leaves no empty file behind; the file before the
 * port, so that no byte is lost. A port that never opened takes its file with it. */
int command_record(struct poise_options *opt)
{
    struct recording r = {.known = opt->text[OPTION_PROFILE] != NULL, .style = opt->style};
    struct port_settings set;
    double seconds = 0;
    int code = settings_of(opt, &set, &seconds);
    if (code == 0)
        code = open_file(&r, opt, &set);
    if (code)
        return code;
    if (seconds <= 0) {
        output_say(opt->style, stderr, "record.running port=%s", set.port);
        fputc('\n', stderr);
    }
    run(&r, &set, seconds);
    int fault = record_destroy(r.record);
    if (fault)
        return failure_say(opt->style, EX_IOERR, opt->word[1], "not_written why=%s", wording_errno(opt->style, fault));
    if (r.code) {
        unlink(opt->word[1]); /* ours: made a moment ago, with a head and nothing else */
        return r.why.code[0] ? failure_said(opt->style, r.code, "record", &r.why)
                             : failure_say(opt->style, r.code, "record", "record_failed");
    }
    fputs(r.known && isatty(STDERR_FILENO) ? "\n" : "", stdout);
    output_line(opt->style, "record.done bytes=%lld file=%s", (long long)r.bytes, opt->word[1]);
    return 0;
}

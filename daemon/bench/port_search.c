/* port_search.c - a search for what a port speaks, told while it goes. It must not know how a family is recognised. */
#include "bench/port_search.h"

#include "bench/bench.h"
#include "bench/bench_parts.h"
#include "drivers/port.h"
#include "drivers/scale.h"
#include "text/utf8.h"

#include <ctype.h>
#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

/* SAMPLE: bytes of a try that are shown, enough for two lines of most families. BELIEVED: readings of one family tried
 * alone before it is taken for found. */
enum { SAMPLE = 48, PASSES_MOST = 100, BELIEVED = 3 };

struct search {
    struct daemon *daemon;
    struct search *next;   /* of daemon->searches */
    struct rpc_call *call; /* NULL: its search is over */
    struct rpc_call *told; /* then: answered once the port is let go, so that who hears it may search anew */
    json_t *answer;        /* owned: what it is told; NULL: `fault` */
    struct fault fault;
    struct bench *lender; /* NULL: no station names the port */
    struct port *port;    /* owned, profile `auto` unless one was named */
    struct port_settings settings;
    char name[ID_MAX];      /* of the section */
    int passes, rounds;     /* rounds to make, rounds made */
    bool heard_any;         /* a byte came in any of them */
    json_t *tried;          /* owned: one entry a try, as the answer has it */
    uint8_t sample[SAMPLE]; /* of the try that runs */
    size_t bytes;           /* that came in it, kept or not */
    int readings;           /* where one family is tried alone */
};

/* ---- what is told ---- */

static json_t *sample_text(const struct search *s)
{
    char text[4 * SAMPLE + 1];
    return json_string(utf8_escape(text, sizeof text, s->sample, s->bytes < SAMPLE ? s->bytes : SAMPLE));
}

/* The note bears no station: a port that is searched may belong to none, and watchers of the search know it by the
 * port. */
static void publish(struct search *s, const char *what, const json_t *try)
{
    if (!try)
        return;
    json_t *note = json_copy((json_t *)(uintptr_t)try);
    json_object_set_new(note, "station", json_null());
    json_object_set_new(note, "port", json_string(s->settings.port));
    json_object_set_new(note, "state", json_string("seeking"));
    json_object_set_new(note, "what", json_string(what));
    hub_publish(&s->daemon->hub, s->settings.port, HUB_SCALE, note);
}

/* Closes the try that runs: how many bytes came, and the first of them. A try that was closed already is left alone. */
static void try_over(struct search *s)
{
    json_t *try = json_array_get(s->tried, json_array_size(s->tried) - 1);
    if (!try || json_object_get(try, "bytes"))
        return;
    json_object_set_new(try, "bytes", json_integer((json_int_t)s->bytes));
    json_object_set_new(try, "came", sample_text(s));
    s->heard_any = s->heard_any || s->bytes > 0;
    publish(s, "heard", try);
}

/* Each combination of speed, frame and question is a try of its own in the answer, also one that heard nothing: that is
 * how a person sees which settings were ruled out. */
static void try_begins(struct search *s, const struct port_note *note)
{
    try_over(s);
    json_t *try = json_pack("{s:o, s:s, s:s, s:i, s:i}", "speed", note->speed ? json_integer(note->speed) : json_null(),
                            "frame", note->speed ? note->frame : "", "question", note->question, "ms", (int)note->ms,
                            "pass", (int)note->pass);
    s->bytes = 0;
    json_array_append_new(s->tried, try);
    publish(s, "trying", try);
}

/* ---- the end ---- */

/* The descriptor is gone, so its bench may open the device again. */
static void closed(void *owner)
{
    struct search *s = owner;
    struct search **at = &s->daemon->searches;
    while (*at && *at != s)
        at = &(*at)->next;
    if (*at)
        *at = s->next;
    if (s->lender)
        bench_take_port_back(s->lender);
    if (s->told && s->answer)
        rpc_answer(s->told, s->answer);
    else if (s->told)
        rpc_fail(s->told, &s->fault);
    json_decref(s->tried);
    free(s);
}

/* Lets the port go, then answers. Takes the answer; the port and the tries are added to it. */
static void end(struct search *s, json_t *answer)
{
    s->told = s->call;
    s->call = NULL;
    s->answer = answer;
    json_object_set_new(answer, "port", json_string(s->settings.port));
    json_object_set(answer, "tried", s->tried);
    port_close(s->port, closed);
}

/* The same without a result. A search is not repeated: what ails the port is for a person to fix. */
static void fail(struct search *s, const struct said *why)
{
    s->told = s->call;
    s->call = NULL;
    bench_fault_port(&s->fault, "port", "absent", why);
    port_close(s->port, closed);
}

/* Names apart by commas, as the port gives the families of a tie. */
static json_t *list_of(const char *names)
{
    json_t *list = json_array();
    while (*names) {
        size_t n = strcspn(names, ", ");
        if (n)
            json_array_append_new(list, json_stringn(names, n));
        names += n + (names[n] != '\0');
    }
    return list;
}

/* heard: `frames`, `noise` or `nothing`, which tells a wrong cable from a scale that none of us reads. */
static json_t *unknown(const char *heard, json_t *candidates, struct said why)
{
    char text[SAID_TEXT_MAX];
    return json_pack("{s:b, s:n, s:n, s:n, s:s, s:o, s:s, s:o, s:n}", "found", 0, "family", "speed", "frame", "heard",
                     heard, "candidates", candidates, "why", said_text(&why, WORDS_EN, NULL, text, sizeof text), "said",
                     said_json(&why, NULL), "section");
}

/* section: what to put into poised.ini; null where it would be cut, since a cut setting is a wrong one. */
static void end_found(struct search *s)
{
    char section[1024];
    const struct port_settings *set = port_settings(s->port);
    bool whole = port_section(s->port, s->name, section, sizeof section);
    bool serial = set->port[0] == '/';
    try_over(s);
    end(s, json_pack("{s:b, s:s, s:o, s:o, s:s, s:[s], s:n, s:o}", "found", 1, "family", port_profile(s->port), "speed",
                     serial ? json_integer(set->speed) : json_null(), "frame",
                     serial ? json_string(set->frame) : json_null(), "heard", "frames", "candidates",
                     port_profile(s->port), "why", "section", whole ? json_string(section) : json_null()));
}

/* ---- what the port says ---- */

/* A round is over with `nothing` or `noise`; the search ends after as many rounds as the caller asked for. */
static void on_sought(void *owner, const struct port_note *note)
{
    struct search *s = owner;

    if (!s->call)
        return;
    if (rpc_is_gone(s->call)) { /* Ctrl-C, or a client that crashed: the port goes back to its station */
        const struct said gone = say("caller_gone");
        fail(s, &gone);
        return;
    }
    switch (note->what) {
    case PORT_SOUGHT_TRYING:
        try_begins(s, note);
        break;
    case PORT_SOUGHT_NOTHING:
    case PORT_SOUGHT_NOISE:
        try_over(s);
        if (s->passes > 0 && ++s->rounds >= s->passes)
            end(s, s->heard_any ? unknown("noise", json_array(), say("seek_noise"))
                                : unknown("nothing", json_array(), say("seek_nothing")));
        break;
    case PORT_SOUGHT_TIE:
        try_over(s);
        end(s, unknown("frames", list_of(note->families), say("seek_tie families=%s", note->families)));
        break;
    case PORT_SOUGHT_FOUND:
        end_found(s);
        break;
    }
}

/* Only the first SAMPLE bytes are kept; all are counted. */
static void on_bytes(void *owner, const uint8_t *bytes, size_t len, uint64_t at_ms)
{
    struct search *s = owner;
    (void)at_ms;
    for (size_t i = 0; i < len && s->bytes + i < SAMPLE; i++)
        s->sample[s->bytes + i] = bytes[i];
    s->bytes += len;
}

/* Absent: the device went away. Stale: what was found fell silent. Seeking and live are told by on_sought. */
static void on_state(void *owner, enum port_state state, const struct said *why)
{
    struct search *s = owner;
    if (s->call && (state == PORT_ABSENT || state == PORT_STALE))
        fail(s, why);
}

/* Only where one family is tried alone: a tie that a person has settled. */
static void on_reading(void *owner, const struct scale_reading *reading, const uint8_t *frame, size_t len)
{
    struct search *s = owner;
    (void)reading, (void)frame, (void)len;
    if (s->call && ++s->readings >= BELIEVED)
        end_found(s);
}

/* The port is ours now, or was never anybody's. A call that was refused meanwhile (the daemon stops) opens nothing. */
static void start(void *arg)
{
    static const struct port_events events = {on_reading, on_state, on_sought, on_bytes};
    struct search *s = arg;
    struct fault f = {0};
    s->port = s->call ? port_create(s->daemon->loop, &s->settings, &events, s) : NULL;
    if (s->port)
        return;
    if (s->call) {
        fault_said(&f, FAULT_INTERNAL, NULL, NULL, "out_of_memory");
        rpc_fail(s->call, &f);
    }
    closed(s);
}

/* ---- which ports may be opened ---- */

static bool begins(const char *text, const char *with)
{
    return strncmp(text, with, strlen(with)) == 0;
}

/* The path of a port's device; NULL: it has none. */
static const char *device_of(const char *port)
{
    if (begins(port, "tcp:"))
        return NULL;
    return begins(port, "hid:") || begins(port, "pty:") ? port + 4 : port;
}

/* Serial devices: ttyS0, ttyUSB0, ttyACM0, rfcomm0; not the consoles tty, tty1. */
static bool is_serial(const char *path)
{
    const char *name = begins(path, "/dev/") ? path + strlen("/dev/") : "";
    return begins(name, "rfcomm") || (begins(name, "tty") && isalpha((unsigned char)name[3]));
}

/* A wrong path must not start a watchdog or write to a disk: the port as a station would name it, a plain path to a
 * pseudo-terminal as `pty:PATH`. False: *fault. */
static bool port_path(const char *text, char *out, size_t size, struct fault *fault)
{
    char path[PATH_MAX];
    struct stat st;
    const char *device = device_of(text);
    snprintf(out, size, "%s", text);
    if (strlen(text) >= size || (device && device[0] != '/'))
        return fault_said(fault, FAULT_INVALID, "port", "form", "seek_port_form port=%s", text);
    if (!device || !realpath(device, path)) /* not there: the driver says so */
        return true;
    bool is_device = stat(path, &st) == 0 && S_ISCHR(st.st_mode);
    bool pty = is_device && begins(path, "/dev/pts/");
    bool fits = begins(text, "hid:")   ? is_device && begins(path, "/dev/hidraw")
                : begins(text, "pty:") ? pty
                                       : pty || (is_device && is_serial(path));
    if (!fits)
        return fault_said(fault, FAULT_INVALID, "port", "form", "seek_port_other port=%s", text);
    if (pty && text[0] == '/' && snprintf(out, size, "pty:%s", text) >= (int)size)
        return fault_said(fault, FAULT_INVALID, "port", "form", "member_too_long field=%s most=%zu", "port", size - 1);
    return true;
}

/* By the device, since a station may name it by-id and the search by its kernel name. A far end (tcp:) has only its
 * text. */
bool port_path_same(const char *a, const char *b)
{
    char at[PATH_MAX], bt[PATH_MAX];
    const char *da = device_of(a), *db = device_of(b);
    if (strcmp(a, b) == 0)
        return true;
    return da && db && realpath(da, at) && realpath(db, bt) && strcmp(at, bt) == 0;
}

/* ---- the call ---- */

/* What a search may be given: a port, and of speed, frame and profile whatever is known already, so that fewer tries
 * are left. `ask` permits questions that a scale answers; without it nothing is ever sent. */
static bool read_settings(const json_t *params, struct port_settings *set, double *passes, struct fault *f)
{
    const char *port = json_string_value(json_object_get(params, "port")), *frame = NULL, *profile = "auto";
    double speed = 0;
    *passes = 1;
    *set = (struct port_settings){.poll_ms = 0};
    if (!rpc_get_flag(params, "ask", &set->may_ask, f) || !rpc_get_number(params, "speed", &speed, f) ||
        !rpc_get_text(params, "frame", &frame, f) || !rpc_get_number(params, "passes", passes, f) ||
        !rpc_get_text(params, "profile", &profile, f) || !port_path(port, set->port, sizeof set->port, f))
        return false;
    if (!(speed >= 0 && speed <= 921600 && speed == floor(speed)))
        return fault_said(f, FAULT_INVALID, "speed", "range", "seek_speed");
    if (!(*passes >= 1 && *passes <= PASSES_MOST && *passes == floor(*passes)))
        return fault_said(f, FAULT_INVALID, "passes", "range", "member_from_to field=%s least=%d most=%d", "passes", 1,
                          PASSES_MOST);
    if (frame && strlen(frame) != 3)
        return fault_said(f, FAULT_INVALID, "frame", "form", "seek_frame");
    set->speed = (int)speed;
    snprintf(set->frame, sizeof set->frame, "%s", frame ? frame : "");
    snprintf(set->profile, sizeof set->profile, "%.47s", profile);
    const struct scale_family *family = scale_family_find(profile);
    if (family && family->ask && set->may_ask) {
        set->poll_len = strlen(family->ask);
        memcpy(set->poll, family->ask, set->poll_len);
    }
    const struct said why = port_settings_fault(set);
    if (!why.code[0])
        return true;
    bench_fault_port(f, said_is(&why, "port_no_profile") ? "profile" : "port", "form", &why);
    f->kind = FAULT_INVALID;
    return false;
}

/* Whether somebody here has the port: a station that is live there, or another search. */
static bool is_free(struct daemon *d, const char *port, struct bench **lender, struct fault *f)
{
    *lender = NULL;
    for (struct search *s = d->searches; s; s = s->next)
        if (port_path_same(s->settings.port, port))
            return fault_said(f, FAULT_STATE, "port", "busy", "seek_under_way");
    for (size_t i = 0; i < d->config.station_count; i++) {
        if (!port_path_same(d->config.station[i].port, port))
            continue;
        if (!bench_may_lend_port(d->bench[i]))
            return fault_said(f, FAULT_STATE, "port", "busy", "seek_live_there station=%s", d->config.station[i].name);
        *lender = d->bench[i];
    }
    return true;
}

/* A search watches its own notes (rpc_watch), so that the caller sees the tries while it waits for the answer. */
void search_begin(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct search *s = calloc(1, sizeof *s);
    double passes;
    const char *name = NULL;
    struct fault f = {0};
    if (!s) {
        fault_said(&f, FAULT_INTERNAL, NULL, NULL, "out_of_memory");
        rpc_fail(call, &f);
        return;
    }
    bool ok = read_settings(params, &s->settings, &passes, &f) && rpc_get_text(params, "name", &name, &f) &&
              is_free(d, s->settings.port, &s->lender, &f);
    if (ok && name && !id_fits(name))
        ok = fault_said(&f, FAULT_INVALID, "name", "form", "member_not_id field=%s given=%s", "name", name);
    if (!ok) {
        free(s);
        rpc_fail(call, &f);
        return;
    }
    s->daemon = d;
    s->call = call;
    s->passes = (int)passes;
    s->tried = json_array();
    snprintf(s->name, sizeof s->name, "%s", name ? name : s->lender ? bench_config(s->lender)->name : "bench");
    s->next = d->searches;
    d->searches = s;
    rpc_watch(call, s->settings.port);
    if (s->lender)
        bench_lend_port(s->lender, start, s);
    else
        start(s);
}

/* Benches are closing too: none gets its port back. */
void search_stop_all(struct daemon *d)
{
    struct fault f = {0};
    fault_said(&f, FAULT_STATE, NULL, "busy", "stopping");
    for (struct search *s = d->searches; s; s = s->next) {
        if (s->call)
            rpc_fail(s->call, &f);
        s->call = NULL;
        s->lender = NULL;            /* it closes as well, and opens nothing any more */
        port_close(s->port, closed); /* not opened yet: start() sees that there is no call */
    }
}

/* main.c - poised: options, parts, loop, signals. The only file with a global: the daemon itself. */
#include "bench/bench.h"
#include "bench/port_search.h"
#include "bench/practice.h"
#include "catalogue/files.h"
#include "clock.h"
#include "config_settings.h"
#include "daemon.h"
#include "http/http.h"
#include "log.h"
#include "poised_options.h"
#include "print/print.h"
#include "reload.h"
#include "rpc/methods/methods.h"
#include "start_code.h"
#include "store/restore.h"
#include "text/json_write.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

enum exit_code {
    EXIT_GOOD = 0,
    EXIT_DATA = 65,
    EXIT_NO_INPUT = 66,
    EXIT_SOFTWARE = 70,
    EXIT_IO = 74,
    EXIT_BUSY = 75,
    EXIT_CONFIG = 78
};

static struct main_daemon {
    struct daemon daemon;
    struct options options;
    uv_loop_t loop;
    uv_signal_t term, interrupt, hangup;
    int exit_code;
    struct print_jobs prints;
    size_t open_parts; /* that may still write: benches, and the labels under way as one */
    bool stopping, signals;
    const char *name; /* `poise`: it was the command that started us; NULL: it was not */
} self;

/* One line on stderr, in the language of whoever started us: `poised: WHAT: WHY. HELP`; `poise:` where the command does
 * its work through us. */
static void complain(const char *what, const struct said *why)
{
    char text[SAID_TEXT_MAX], help[SAID_TEXT_MAX];
    enum words_language language = words_language_of_environment();
    fprintf(stderr, "%s: %s: %s. %s\n", self.name ? self.name : "poised", what,
            said_text(why, language, NULL, text, sizeof text),
            said_part(why, "help", language, NULL, help, sizeof help));
}

/* Says why we do not start. Returns the exit code: 75 another poised holds the store, 78 the configuration or a store
 * of a later version, 74 the disk, 70 our own bug. */
static int say_fault(const struct fault *f)
{
    const char *what = f->place[0] ? f->place : f->field[0] ? f->field : "start";
    if (f->said.code[0])
        complain(what, &f->said);
    else
        fprintf(stderr, "%s: %s: %s. %s\n", self.name ? self.name : "poised", what, f->message, f->help);
    if (f->kind == FAULT_NOT_PERMITTED)
        return EXIT_BUSY;
    if (strcmp(f->why, "newer") == 0 || strcmp(f->why, "open") == 0) /* of a later version; others may write there */
        return EXIT_CONFIG;
    return f->kind == FAULT_STORE ? EXIT_IO : f->kind == FAULT_INTERNAL ? EXIT_SOFTWARE : EXIT_CONFIG;
}

/* In place of a field and a sentence, the place in the file: a person goes there with an editor. */
static int say_file_fault(const struct file_fault *f)
{
    fputs("poised: ", stderr);
    file_fault_print(f, words_language_of_environment(), stderr);
    return EXIT_CONFIG;
}

/* The first station whose profile is neither known nor declared well, from `from` on; the count of stations: all
 * are known. */
static size_t unknown_profile(const struct config *c, size_t from, struct file_fault *f)
{
    for (; from < c->station_count; from++) {
        free(declared_family(c, &c->station[from], f));
        if (f->why[0])
            break;
    }
    return from;
}

/* `--check`: all faults of the configuration, its data files and the declared scales, one a line. Opens no store. */
static int check(void)
{
    struct config *c = &self.daemon.config;
    struct file_fault f;
    bool fine = files_check(self.options.config, NULL, stderr);
    (void)config_read(self.options.config, c, &f); /* its faults are said; what could be read is looked at */
    for (size_t i = 0; (i = unknown_profile(c, i, &f)) < c->station_count; i++) {
        file_fault_print(&f, words_language_of_environment(), stderr);
        fine = false;
    }
    return fine ? EXIT_GOOD : EXIT_CONFIG;
}

/* Of a copy that is not there or not ours the file is named. Returns the exit code. */
static int say_copy_fault(const char *file, const struct fault *f)
{
    if (f->kind != FAULT_UNKNOWN && f->kind != FAULT_INVALID)
        return say_fault(f);
    complain(file, &f->said);
    return f->kind == FAULT_UNKNOWN ? EXIT_NO_INPUT : EXIT_DATA;
}

/* `--verify FILE`: what store.verify answers of the journal, of a copy of it, as one JSON object. */
static int verify(void)
{
    struct verified v;
    struct fault f = {0};
    if (!store_verify_file(self.options.verify, &v, &f))
        return say_copy_fault(self.options.verify, &f);
    printf("{\"whole\":%s,\"events\":%lld,\"head\":\"%s\",\"bad\":", v.whole ? "true" : "false", (long long)v.events,
           v.head);
    if (v.bad)
        printf("%lld}\n", (long long)v.bad);
    else
        puts("null}");
    return EXIT_GOOD;
}

/* `--restore FILE`: one line of what was put in place and where the old one is, or one of why not. */
static int restore(void)
{
    enum words_language language = words_language_of_environment();
    struct restored r;
    struct fault f = {0};
    char text[SAID_TEXT_MAX];
    if (!store_restore(self.options.state, self.options.restore, &r, &f))
        return say_copy_fault(self.options.restore, &f);
    const struct said done = r.kept[0]
                                 ? say("restored_kept events=%lld head=%s kept=%s", (long long)r.events, r.head, r.kept)
                                 : say("restored events=%lld head=%s", (long long)r.events, r.head);
    puts(said_text(&done, language, NULL, text, sizeof text));
    return EXIT_GOOD;
}

/* ---- stopping: clients, then benches, then the store, then the loop is empty ---- */
/* For parts that tell when they are closed, where nobody waits. */
static void nothing(void *arg)
{
    (void)arg;
}

/* Its thread finishes what is queued; the loop then has no handle left and uv_run returns. */
static void close_store(void)
{
    if (self.daemon.store)
        store_close(self.daemon.store, nothing, NULL);
    self.daemon.store = NULL;
}

/* The store may go once nothing can write any more. */
static void part_closed(void *arg)
{
    (void)arg;
    if (--self.open_parts == 0)
        close_store();
}

/* arg: its place among the benches; who goes through them meanwhile, such as a reload that ends late, must not find it.
 */
static void bench_closed(void *arg)
{
    *(struct bench **)arg = NULL;
    part_closed(NULL);
}

/* The order matters: benches finish what they write, so the store goes last, after the last of them has told that it
 * is closed. A second call is let pass. */
static void stop(int exit_code)
{
    if (self.stopping)
        return;
    self.stopping = self.daemon.ending = true;
    self.exit_code = exit_code;
    notify_service("STOPPING=1");
    self.open_parts = 1;
    for (size_t i = 0; i < self.daemon.config.station_count; i++)
        self.open_parts += self.daemon.bench[i] != NULL;
    for (size_t i = 0; i < self.daemon.config.station_count; i++)
        if (self.daemon.bench[i])
            bench_close(self.daemon.bench[i], bench_closed, &self.daemon.bench[i]);
    practice_end_all(&self.daemon);
    search_stop_all(&self.daemon);
    if (self.daemon.http)
        http_close(self.daemon.http, nothing, NULL);
    self.daemon.http = NULL;
    if (self.daemon.rpc)
        rpc_close(self.daemon.rpc, nothing, NULL);
    self.daemon.rpc = NULL;
    if (self.signals) {
        uv_close((uv_handle_t *)&self.term, NULL);
        uv_close((uv_handle_t *)&self.interrupt, NULL);
        uv_close((uv_handle_t *)&self.hangup, NULL);
    }
    print_stop(&self.prints, part_closed, NULL);
}

/* A second signal while we stop changes nothing: writes under way are waited for, however often somebody asks. */
static void on_signal(uv_signal_t *handle, int number)
{
    (void)handle;
    (void)number;
    stop(EXIT_GOOD);
}

/* While we start, what was asked for is being read anyway; while we stop, nobody needs it. */
static void on_hangup(uv_signal_t *handle, int number)
{
    (void)handle;
    (void)number;
    if (self.daemon.rpc)
        reload(&self.daemon, self.options.config);
}

/* A write's outcome is unknown: nothing more is acknowledged. Replay at the next start finds out. */
static void on_store_dead(void *arg, const char *why)
{
    (void)arg;
    const struct said said = say("poised_write_unknown why=%s", why);
    complain("state", &said);
    _exit(EXIT_IO);
}

/* ---- starting ---- */
/* Beside our own program, so that a tree that was built and not installed draws and solves with its own. */
static void find_program(const char *name, char *out, size_t size)
{
    char path[480];
    ssize_t n = readlink("/proc/self/exe", path, sizeof path - 1);
    if (n < 0)
        n = 0;
    path[n] = '\0';
    char *slash = strrchr(path, '/');
    if (slash)
        *slash = '\0';
    snprintf(out, size, "%s/%s", slash ? path : "/usr/bin", name);
}

/* In the order of the file. One that cannot be restored ends the start: an idle bench in its place would lose a cup. */
static bool make_benches(struct fault *f)
{
    struct daemon *d = &self.daemon;
    for (size_t i = 0; i < d->config.station_count; i++) {
        d->bench[i] = bench_create(d, &d->config.station[i], f);
        if (!d->bench[i])
            return false;
    }
    return true;
}

/* After all benches and the socket: the first reading finds a bench that is whole and somebody to tell. */
static bool open_ports(struct fault *f)
{
    for (size_t i = 0; i < self.daemon.config.station_count; i++)
        if (!bench_open_port(self.daemon.bench[i], f))
            return false;
    return true;
}

/* HTTP is served where the command line or the configuration asks for it. False: *f. */
static bool serve_http(struct fault *f)
{
    struct daemon *d = &self.daemon;
    int port = self.options.port_http >= 0 ? self.options.port_http : d->config.http_port;
    if (self.options.port_http < 0 && !d->config.http)
        return true;
    d->http = http_listen(d->loop, d, port, f);
    if (d->http)
        snprintf(d->http_url, sizeof d->http_url, "%s://%s", d->config.http_cert[0] ? "https" : "http",
                 http_address(d->http));
    return d->http != NULL;
}

/* The files are in the store: the rest can begin. */
static void start(void *arg, const struct store_outcome *o)
{
    struct daemon *d = &self.daemon;
    struct fault f = {0};
    (void)arg;
    if (o->result == STORE_DEAD) /* on_store_dead says why */
        return;
    /* A full disk is no reason to leave a cup half poured: what was taken in before is still there. */
    if (o->result == STORE_FULL) {
        log_warnx("the disk is full: formulas that changed since the last start are not taken in");
    } else if (o->result != STORE_DONE) {
        const struct said said = say("poised_import why=%s", o->why ? o->why : "write refused");
        complain("state", &said);
        stop(EXIT_IO);
        return;
    }
    enum store_found held = store_any_held(d->store);
    d->holds = held != STORE_NONE;
    if (held == STORE_UNREAD || !settings_load(&d->config, d->store) ||
        store_last_batch(d->store, &d->last_batch) == STORE_UNREAD) {
        store_say_unread(d->store, &f);
        stop(say_fault(&f));
        return;
    }
    if (!make_benches(&f) || !(d->rpc = rpc_listen(d->loop, d, d->socket_path, &f)) || !serve_http(&f) ||
        !open_ports(&f)) {
        stop(say_fault(&f));
        return;
    }
    store_serve(d->store);
    start_code_let_go();
    if (self.options.foreground) {
        printf(d->http ? "ready socket=%s http=%s\n" : "ready socket=%s\n", d->socket_path,
               d->http ? http_address(d->http) : "");
        fflush(stdout);
    }
    notify_service("READY=1");
}

/* What changed in the files since the last start becomes new revisions in the store; files that did not change at all
 * are not even parsed (100,000 formulas take two seconds). The rest of the start goes on in start(), when they are on
 * disk. */
static bool import_files(void)
{
    struct daemon *d = &self.daemon;
    struct file_items items = {0};
    struct file_fault fault;
    const char *path = d->config.data;
    struct fault unread = {0};
    struct files_mark mark = {.times = ""};
    uint64_t before = store_unread(d->store);
    size_t changed;
    if (path[0] && files_known_again(d->store, path, &mark, start, NULL))
        return true;
    if (path[0] && !files_read(&path, 1, files_known_by_store, d->store, &items, &fault)) {
        /* A toner that could not be looked up is no toner missing: the files are not at fault then. */
        bool files_at_fault = catalogue_was_read(d->store, before, &unread);
        self.exit_code = files_at_fault ? say_file_fault(&fault) : say_fault(&unread);
        return false;
    }
    if (path[0])
        files_mark_sure(path, &mark);
    items.mark = mark;
    bool fine = files_import(d->store, &items, NULL, "poised", start, NULL, &changed, &unread);
    if (!fine)
        self.exit_code = say_fault(&unread);
    file_items_finish(&items);
    return fine;
}

/* What would end a program that does not know it. Ours are told with uv_signal; of the others none is a reason to leave
 * a cup half poured. A child gets them back as they were (uv_spawn). */
static void ignore_signals(void)
{
    static const int others[] = {SIGHUP, SIGPIPE, SIGUSR1, SIGUSR2, SIGALRM, SIGXFSZ /* a full disk, not the end */};
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        signal(others[i], SIG_IGN);
}

/* A shell's usual 1,024 are fewer than the clients, ports and files that we may have. */
static void raise_descriptors(void)
{
    struct rlimit limit;
    if (getrlimit(RLIMIT_NOFILE, &limit) != 0 || limit.rlim_cur == limit.rlim_max)
        return;
    limit.rlim_cur = limit.rlim_max;
    if (setrlimit(RLIMIT_NOFILE, &limit) != 0)
        log_warn("the limit of open files stays as it is");
}

/* The first two end the daemon cleanly: what was asked for is written first. */
static void watch_signals(void)
{
    uv_signal_init(&self.loop, &self.term);
    uv_signal_init(&self.loop, &self.interrupt);
    uv_signal_start(&self.term, on_signal, SIGTERM);
    uv_signal_start(&self.interrupt, on_signal, SIGINT);
    uv_signal_init(&self.loop, &self.hangup);
    uv_signal_start(&self.hangup, on_hangup, SIGHUP);
    self.signals = true;
}

/* The store is opened before anything listens: a second daemon on the same folder ends here, having touched nothing. */
static int run(void)
{
    struct daemon *d = &self.daemon;
    struct fault f = {0};
    umask(S_IRWXG | S_IRWXO); /* whatever we make is our own; the socket's mode is set by hand */
    raise_descriptors();
    json_watch();
    uv_loop_init(&self.loop);
    d->loop = &self.loop;
    snprintf(d->socket_path, sizeof d->socket_path, "%s", self.options.socket);
    find_program("poise-label", d->label_program, sizeof d->label_program);
    find_program("poise-solve", d->solver_program, sizeof d->solver_program);
    clock_text(clock_wall_ms(), d->started);
    clock_boot_id(d->boot);
    d->again = method_again;
    d->prints = &self.prints;
    d->store = store_open(d->loop, self.options.state, on_store_dead, NULL, &f);
    if (!d->store)
        return say_fault(&f);
    watch_signals();
    if (!import_files())
        stop(self.exit_code);
    uv_run(&self.loop, UV_RUN_DEFAULT);
    hub_finish(&d->hub);
    uv_loop_close(&self.loop);
    return self.exit_code;
}

/* --check and a fault of the configuration end before the store is opened. */
int main(int argc, char **argv)
{
    struct file_fault fault;
    int exit_code;
    ignore_signals();
    self.name = argc > 0 && strcmp(argv[0], "poise") == 0 ? argv[0] : NULL;
    if (!options_read(argc, argv, &self.options, &exit_code))
        return exit_code;
    tzset();
    if (self.options.check)
        return check();
    if (self.options.verify)
        return verify();
    if (self.options.restore)
        return restore();
    if (!config_read(self.options.config, &self.daemon.config, &fault) ||
        unknown_profile(&self.daemon.config, 0, &fault) < self.daemon.config.station_count)
        return say_file_fault(&fault);
    return run();
}

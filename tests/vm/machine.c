/* machine.c - qemu's life and the loop; machine_talk.c holds what is said to it. */
#include "tests/vm/machine.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <poll.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/pidfd.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

enum { STEP_MS = 8, CHANNELS = 4, ENDS = CHANNELS + MACHINE_LINES, WORDS = 96, OLD_MS = 1000 };

/* Each with its channel of the same name in qemu; hid and its kin come out of a port of the guest's. */
static const struct {
    const char *channel;
    const char *station; /* NULL: none reads it */
    int speed;
    enum line_form form;
    const char *asked_by;
} lines[MACHINE_LINES] = {
    [LINE_UART] = {"uart", "uart", 9600, LINE_TEXT, NULL},
    [LINE_USB] = {"usb", "usb", 9600, LINE_TEXT, NULL},
    [LINE_OTHER_USB] = {"other", NULL, 9600, LINE_TEXT, NULL},
    [LINE_SLOW] = {"slow", "slow", 1200, LINE_TEXT, NULL},
    [LINE_ASKED] = {"asked", "asked", 1200, LINE_TEXT, "Q\r\n"},
    [LINE_FOUND] = {"found", NULL, 9600, LINE_TEXT, NULL},
    [LINE_SHY] = {"shy", NULL, 1200, LINE_TEXT, "SI\r\n"},
    [LINE_SILENT] = {"silent", NULL, 9600, LINE_TEXT, NULL},
    [LINE_HID] = {"hid", "hid", 115200, LINE_REPORT, NULL},
    [LINE_OTHER_HID] = {"other-hid", NULL, 115200, LINE_REPORT_USUAL, NULL},
};

static int64_t now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

int64_t machine_deadline(int wait_ms)
{
    return now_ms() + wait_ms;
}

/* Our end of a socket pair; *theirs is qemu's. */
static int pair(int *theirs)
{
    int both[2];
    if (socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, both) < 0)
        fail_msg("a socket: %s", strerror(errno));
    *theirs = both[1];
    return both[0];
}

/* In the child: qemu with its ends of the channels. The first four are console, control, daemon and shell. */
_Noreturn static void become_qemu(const struct machine_files *files, const int ends[ENDS], int log)
{
    static const char *const channels[CHANNELS] = {"console", "control", "daemon", "shell"};
    static char chardev[ENDS][48];
    const char *argv[WORDS] = {"qemu-system-x86_64",
                               "-accel",
                               "tcg",
                               "-cpu",
                               "max",
                               "-m",
                               "256",
                               "-nodefaults",
                               "-display",
                               "none",
                               "-no-reboot",
                               "-kernel",
                               files->kernel,
                               "-initrd",
                               files->initrd,
                               "-append",
                               "console=ttyS0 quiet panic=-1 8250.nr_uarts=12"};
    static const char *const devices[] = {
        "-serial", "chardev:console",
        "-serial", "chardev:uart",
        "-mon",    "chardev=control,mode=control",
        "-device", "qemu-xhci,id=xhci,addr=4",
        "-device", "usb-serial,chardev=usb,id=usb,bus=xhci.0,port=1",
        "-device", "virtio-serial-pci",
        "-device", "virtserialport,chardev=daemon,nr=1",
        "-device", "virtserialport,chardev=shell,nr=2",
        "-device", "virtserialport,chardev=hid,nr=3",
        "-device", "virtserialport,chardev=other-hid,nr=4",
        "-device", "pci-serial-4x,chardev1=slow,chardev2=asked,chardev3=found,chardev4=shy",
        "-device", "pci-serial,chardev=silent"};
    size_t n = 0;
    prctl(PR_SET_PDEATHSIG, SIGKILL); /* it never outlives the test */
    while (argv[n])
        n++;
    for (size_t i = 0; i < ENDS; i++) {
        fcntl(ends[i], F_SETFD, 0);
        snprintf(chardev[i], sizeof chardev[i], "socket,id=%s,fd=%d",
                 i < CHANNELS ? channels[i] : lines[i - CHANNELS].channel, ends[i]);
        argv[n++] = "-chardev";
        argv[n++] = chardev[i];
    }
    for (size_t i = 0; i < sizeof devices / sizeof *devices; i++)
        argv[n++] = devices[i];
    if (dup2(log, 1) >= 0 && dup2(log, 2) >= 0)
        execvp(argv[0], (char *const *)(uintptr_t)argv);
    _exit(127);
}

void machine_begin(struct machine *m, const struct machine_files *files)
{
    int ends[ENDS];
    struct channel_text *channels[CHANNELS] = {&m->console, &m->control, &m->daemon, &m->shell};
    for (size_t i = 0; i < CHANNELS; i++)
        channels[i]->fd = pair(&ends[i]);
    for (size_t i = 0; i < MACHINE_LINES; i++) {
        int room = 2048; /* what a stopped guest leaves waiting is old when it goes on: little, as on a real line */
        m->line[i] = (struct scale_line){.fd = pair(&ends[CHANNELS + i]),
                                         .form = lines[i].form,
                                         .speed = lines[i].speed,
                                         .asked_by = lines[i].asked_by,
                                         .mute = true};
        setsockopt(m->line[i].fd, SOL_SOCKET, SO_SNDBUF, &room, sizeof room);
        m->station[i].name = lines[i].station;
    }
    m->line[LINE_OTHER_USB].cut = m->line[LINE_HID].cut = m->line[LINE_OTHER_HID].cut = true;
    m->log = open(files->log, O_WRONLY | O_CREAT | O_TRUNC | O_APPEND | O_CLOEXEC, 0644);
    if (m->log < 0)
        fail_msg("%s: %s", files->log, strerror(errno));
    m->qemu = fork();
    if (m->qemu == 0)
        become_qemu(files, ends, m->log);
    for (size_t i = 0; i < ENDS; i++)
        close(ends[i]);
    m->ended = m->qemu > 0 ? pidfd_open(m->qemu, 0) : -1;
    if (m->ended < 0)
        fail_msg("qemu: %s", strerror(errno));
    m->at_ms = now_ms();
    static const char hello[] = "{\"execute\":\"qmp_capabilities\"}\n"; /* before it qemu takes no command */
    if (send(m->control.fd, hello, sizeof hello - 1, MSG_NOSIGNAL) < 0)
        fail_msg("qemu: %s", strerror(errno));
}

void machine_end(struct machine *m)
{
    if (m->qemu > 0) {
        kill(m->qemu, SIGKILL);
        waitpid(m->qemu, NULL, 0);
        close(m->ended);
        close(m->log);
        int open[] = {m->console.fd, m->control.fd, m->daemon.fd, m->shell.fd};
        for (size_t i = 0; i < CHANNELS; i++)
            close(open[i]);
    }
    for (size_t i = 0; i < MACHINE_LINES && m->qemu > 0; i++) {
        close(m->line[i].fd);
        json_decref(m->station[i].screen);
        json_decref(m->station[i].weight);
    }
    json_decref(m->answer);
    json_decref(m->reply);
    m->answer = m->reply = NULL;
    m->qemu = 0;
}

static void keep(json_t **slot, json_t *newest)
{
    json_decref(*slot);
    *slot = json_incref(newest);
}

/* A note that the scale is back repeats the weight of before the gap, with its age: that is no new reading. */
static void take_weight(struct machine_station *s, json_t *note)
{
    json_t *grams = json_object_get(note, "weight_g");
    bool fresh = json_integer_value(json_object_get(note, "age_ms")) < OLD_MS;
    keep(&s->weight, note);
    if (fresh && json_is_number(grams) && s->seen_count < MACHINE_SEEN)
        s->seen[s->seen_count++] = lround(json_number_value(grams) * 100);
}

/* A note goes to its station, an answer to whoever asked. */
static void take_daemon(struct machine *m, json_t *said)
{
    const char *method = json_string_value(json_object_get(said, "method"));
    json_t *params = json_object_get(said, "params");
    const char *name = json_string_value(json_object_get(params, "station"));
    if (!method)
        keep(&m->answer, said);
    for (size_t i = 0; method && name && i < MACHINE_LINES; i++) {
        struct machine_station *s = &m->station[i];
        if (!s->name || strcmp(s->name, name) != 0)
            continue;
        if (strcmp(method, "weight") == 0)
            take_weight(s, params);
        else if (strcmp(method, "screen") == 0)
            keep(&s->screen, params);
    }
}

static void take_control(struct machine *m, json_t *said)
{
    const char *event = json_string_value(json_object_get(said, "event"));
    const char *device = json_string_value(json_object_get(json_object_get(said, "data"), "device"));
    if (event && device && strcmp(event, "DEVICE_DELETED") == 0)
        snprintf(m->unplugged, sizeof m->unplugged, "%s", device);
    if (!event)
        keep(&m->reply, said);
}

static void take_console(struct machine *m)
{
    size_t before = m->console.len;
    bool open = inbox_take(&m->console);
    if (open && m->console.len > before && write(m->log, m->console.text + before, m->console.len - before) < 0)
        fail_msg("the log: %s", strerror(errno));
}

static void take_all(struct machine *m)
{
    json_t *said;
    take_console(m);
    inbox_take(&m->control);
    inbox_take(&m->daemon);
    inbox_take(&m->shell);
    while ((said = inbox_json(&m->control))) {
        take_control(m, said);
        json_decref(said);
    }
    while ((said = inbox_json(&m->daemon))) {
        take_daemon(m, said);
        json_decref(said);
    }
    for (size_t i = 0; i < MACHINE_LINES; i++)
        line_hear(&m->line[i]);
}

void machine_step(struct machine *m, int64_t deadline_ms, const char *waiting_for)
{
    int ours[] = {m->console.fd, m->control.fd, m->daemon.fd, m->shell.fd, m->ended};
    struct pollfd fds[CHANNELS + 1 + MACHINE_LINES];
    nfds_t n = 0;
    for (size_t i = 0; i < CHANNELS + 1; i++)
        fds[n++] = (struct pollfd){.fd = ours[i], .events = POLLIN};
    for (size_t i = 0; i < MACHINE_LINES; i++)
        fds[n++] = (struct pollfd){.fd = m->line[i].fd, .events = POLLIN};
    (void)poll(fds, n, STEP_MS);
    take_all(m);
    if (fds[CHANNELS].revents)
        fail_msg("the machine ended while the test waited for %s; it last said: %s", waiting_for, m->console.text);
    int64_t now = now_ms();
    if (now > deadline_ms)
        fail_msg("waited in vain for %s; the console last said: %s", waiting_for, m->console.text);
    for (size_t i = 0; i < MACHINE_LINES; i++)
        line_tick(&m->line[i], (int)(now - m->at_ms));
    m->at_ms = now;
}

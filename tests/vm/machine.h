/* machine.h - a machine under qemu: its console, its serial lines, its USB sockets, a shell in it, and the daemon in
 * it.
 *
 * machine_begin starts qemu (without KVM, so that it runs anywhere) as a child that ends with the test. Every channel
 * is a socket pair whose other end qemu inherits. Everything goes on in machine_step: it waits for the next thing to
 * happen, at most a few ms, moves the scales on and takes in what came. A helper whose deadline passes, or a machine
 * that ends, fails the test (cmocka's fail_msg) with the end of the console.
 * Owner   The caller owns the struct, zeroed before machine_begin; machine_end stops the machine, also a half-begun
 * one. Notes and answers handed out as json_t* are borrowed, valid until the next step.
 */
#pragma once

#include "tests/vm/scale_line.h"

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/types.h>

enum { MACHINE_SEEN = 4096, MACHINE_BOOT_MS = 180000, MACHINE_WAIT_MS = 40000 };

enum machine_line {
    LINE_UART,
    LINE_USB,
    LINE_OTHER_USB,
    LINE_SLOW,
    LINE_ASKED,
    LINE_FOUND,  /* no station names it, nor the two below: what is there is found out */
    LINE_SHY,    /* says something only when asked */
    LINE_SILENT, /* says nothing, ever */
    LINE_HID,
    LINE_OTHER_HID,
    MACHINE_LINES
};

/* Text from one channel; `text` is what came since it was last taken, always a string. */
struct channel_text {
    int fd;
    char text[1 << 17];
    size_t len;
};

/* What the daemon says of the station of the same place as its line; some lines have none. */
struct machine_station {
    const char *name;
    json_t *screen;          /* the newest */
    json_t *weight;          /* the newest note */
    long seen[MACHINE_SEEN]; /* all weights told, 0.01 g each, since seen_count was last set to 0 */
    size_t seen_count;
};

struct machine {
    pid_t qemu;
    int ended; /* readable once qemu has ended */
    struct channel_text console, control, daemon, shell;
    struct scale_line line[MACHINE_LINES];
    struct machine_station station[MACHINE_LINES];
    json_t *answer;     /* the last of the daemon */
    json_t *reply;      /* the last of qemu */
    char unplugged[32]; /* the device that qemu let go of last */
    int next_id;
    int64_t at_ms; /* when the scales were last moved on */
    int log;
};

struct machine_files {
    const char *kernel, *initrd, *log;
};

void machine_begin(struct machine *m, const struct machine_files *files);
void machine_end(struct machine *m);

/* When a wait that begins now gives up; monotonic ms. */
int64_t machine_deadline(int wait_ms);
void machine_step(struct machine *m, int64_t deadline_ms, const char *waiting_for);
/* Until the console has said this, from the last such call on. */
void machine_wait_console(struct machine *m, const char *text, int wait_ms);
/* Runs a line of the guest's shell; its exit code, and what it said. */
int machine_shell(struct machine *m, const char *command, char *said, size_t size);
/* Puts a USB adapter with a scale, or a USB scale, into a socket of the machine, or pulls it out. */
void machine_plug(struct machine *m, enum machine_line line);
void machine_pull(struct machine *m, enum machine_line line);
/* A call to the daemon: the whole answer. `params` is taken over. */
json_t *machine_call(struct machine *m, const char *method, json_t *params);

/* machine_inbox.c: takes what a channel has; false once it is closed. */
bool inbox_take(struct channel_text *channel);
/* One line of JSON from the channel's text, or NULL where no whole line is there. */
json_t *inbox_json(struct channel_text *channel);
/* The channel's text from its beginning to behind `mark` is dropped; false where it is not there. */
bool inbox_drop_through(struct channel_text *channel, const char *mark);

/* machine_talk.c - what the test says to the machine: to its shell, to qemu, and to the daemon in it. */
#include "tests/vm/machine.h"

#include <errno.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>

#include <cmocka.h>

/* The test's lines are far below what a socket holds, so it takes each whole. */
static void say_it(const struct channel_text *channel, const char *text)
{
    size_t len = strlen(text);
    if (send(channel->fd, text, len, MSG_NOSIGNAL) != (ssize_t)len)
        fail_msg("could not say %s: %s", text, strerror(errno));
}

static void say_json(const struct channel_text *channel, json_t *value)
{
    char *text = json_dumps(value, JSON_COMPACT);
    json_decref(value);
    if (!text)
        fail_msg("no memory");
    say_it(channel, text);
    say_it(channel, "\n");
    free(text);
}

void machine_wait_console(struct machine *m, const char *text, int wait_ms)
{
    int64_t deadline = machine_deadline(wait_ms);
    while (!inbox_drop_through(&m->console, text))
        machine_step(m, deadline, text);
}

int machine_shell(struct machine *m, const char *command, char *said, size_t size)
{
    int64_t deadline = machine_deadline(MACHINE_WAIT_MS);
    m->shell.len = 0;
    m->shell.text[0] = '\0';
    say_it(&m->shell, command);
    say_it(&m->shell, "\n");
    /* The last line is `=` and the exit code. */
    const char *last = NULL;
    while (!last || !strchr(last, '\n')) {
        machine_step(m, deadline, command);
        last = m->shell.text[0] == '=' ? m->shell.text : strstr(m->shell.text, "\n=");
    }
    last += *last == '\n';
    snprintf(said, size, "%.*s", (int)(last - m->shell.text), m->shell.text);
    return (int)strtol(last + 1, NULL, 10);
}

/* A command of qemu's; fails the test where it refuses. */
static void control(struct machine *m, const char *command, json_t *arguments)
{
    int64_t deadline = machine_deadline(MACHINE_WAIT_MS);
    json_decref(m->reply);
    m->reply = NULL;
    say_json(&m->control, json_pack("{s:s, s:o*}", "execute", command, "arguments", arguments));
    while (!json_object_get(m->reply, "return")) {
        machine_step(m, deadline, command);
        if (json_object_get(m->reply, "error"))
            fail_msg("qemu refused %s: %s", command,
                     json_string_value(json_object_get(json_object_get(m->reply, "error"), "desc")));
    }
}

static bool is_hid(enum machine_line line)
{
    return line == LINE_HID || line == LINE_OTHER_HID;
}

/* To usb_scale.c in the guest, between two reports. */
static void say_to_scale(struct machine *m, enum machine_line line, const char *text)
{
    int64_t deadline = machine_deadline(MACHINE_WAIT_MS);
    struct scale_line *l = &m->line[line];
    bool mute = l->mute;
    l->mute = true;
    while (l->gone < l->len)
        machine_step(m, deadline, "the report before to go");
    l->mute = mute;
    if (send(l->fd, text, strlen(text), MSG_NOSIGNAL) != (ssize_t)strlen(text))
        fail_msg("could not say %s: %s", text, strerror(errno));
}

static const char *adapter(enum machine_line line)
{
    return line == LINE_USB ? "usb" : "other";
}

void machine_plug(struct machine *m, enum machine_line line)
{
    char hex[HID_HEX], plug[HID_HEX + 8];
    if (is_hid(line)) {
        hid_descriptor(m->line[line].form == LINE_REPORT, hex);
        snprintf(plug, sizeof plug, "plug %s\n", hex);
        say_to_scale(m, line, plug);
    } else {
        control(m, "device_add",
                json_pack("{s:s, s:s, s:s, s:s, s:s}", "driver", "usb-serial", "id", adapter(line), "chardev",
                          adapter(line), "bus", "xhci.0", "port", line == LINE_USB ? "1" : "2"));
    }
    m->line[line].cut = false;
}

void machine_pull(struct machine *m, enum machine_line line)
{
    int64_t deadline = machine_deadline(MACHINE_WAIT_MS);
    if (is_hid(line))
        say_to_scale(m, line, "pull\n");
    m->line[line].cut = true;
    if (is_hid(line))
        return;
    m->unplugged[0] = '\0';
    control(m, "device_del", json_pack("{s:s}", "id", adapter(line)));
    while (strcmp(m->unplugged, adapter(line)) != 0)
        machine_step(m, deadline, "qemu to let the adapter go");
}

json_t *machine_call(struct machine *m, const char *method, json_t *params)
{
    int64_t deadline = machine_deadline(MACHINE_WAIT_MS);
    int id = ++m->next_id;
    json_decref(m->answer);
    m->answer = NULL;
    say_json(&m->daemon, json_pack("{s:s, s:i, s:s, s:o}", "jsonrpc", "2.0", "id", id, "method", method, "params",
                                   params ? params : json_object()));
    while (json_integer_value(json_object_get(m->answer, "id")) != id)
        machine_step(m, deadline, method);
    return m->answer;
}

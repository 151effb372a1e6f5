/* usb_scale.c - runs in the guest: a USB scale of the HID class, made through /dev/uhid as the test says.
 *
 * usb_scale PORT NAME. Lines that come from PORT: `plug DESCRIPTOR` makes the device, with NAME as its serial number,
 * `pull` takes it away, and anything else is one input report. Descriptor and reports are hexadecimal digits, spaces
 * between them mean nothing. */
#include <errno.h>
#include <fcntl.h>
#include <linux/input.h>
#include <linux/uhid.h>
#include <poll.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

struct scale {
    int uhid;
    const char *name;
    bool plugged;
    char line[2048];
    size_t len;
};

static size_t read_hex(const char *hex, uint8_t *out, size_t room)
{
    size_t n = 0;
    while (hex[0] && hex[1] && n < room) {
        if (*hex == ' ') {
            hex++;
            continue;
        }
        out[n++] = (uint8_t)strtoul((const char[]){hex[0], hex[1], '\0'}, NULL, 16);
        hex += 2;
    }
    return n;
}

/* To the kernel. A report to a device that has no driver yet is refused, which is as on a real bus. */
static void tell(const struct scale *s, const struct uhid_event *event)
{
    if (write(s->uhid, event, sizeof *event) < 0 && event->type != UHID_INPUT2)
        fprintf(stderr, "usb_scale %s: %s\n", s->name, strerror(errno));
}

static void obey(struct scale *s)
{
    struct uhid_event event = {.type = UHID_INPUT2};
    if (strncmp(s->line, "plug ", 5) == 0) {
        struct uhid_create2_req *made = &event.u.create2;
        event.type = UHID_CREATE2;
        snprintf((char *)made->name, sizeof made->name, "Bench scale");
        snprintf((char *)made->uniq, sizeof made->uniq, "%s", s->name);
        made->rd_size = (uint16_t)read_hex(s->line + 5, made->rd_data, sizeof made->rd_data);
        made->bus = BUS_USB;
        s->plugged = true;
    } else if (strcmp(s->line, "pull") == 0) {
        event.type = UHID_DESTROY;
        s->plugged = false;
    } else {
        event.u.input2.size = (uint16_t)read_hex(s->line, event.u.input2.data, sizeof event.u.input2.data);
        if (!s->plugged)
            return;
    }
    tell(s, &event);
}

static void take(struct scale *s, const char *bytes, size_t len)
{
    for (size_t i = 0; i < len; i++) {
        if (bytes[i] == '\n') {
            s->line[s->len] = '\0';
            obey(s);
            s->len = 0;
        } else if (s->len < sizeof s->line - 1) {
            s->line[s->len++] = bytes[i];
        }
    }
}

int main(int argc, char **argv)
{
    if (argc != 3)
        return 64;
    struct scale s = {.uhid = open("/dev/uhid", O_RDWR | O_CLOEXEC), .name = argv[2]};
    struct pollfd both[] = {{.fd = open(argv[1], O_RDWR | O_CLOEXEC), .events = POLLIN},
                            {.fd = s.uhid, .events = POLLIN}};
    if (both[0].fd < 0 || s.uhid < 0) {
        fprintf(stderr, "usb_scale: %s\n", strerror(errno));
        return 69;
    }
    while (poll(both, 2, -1) >= 0 || errno == EINTR) {
        char bytes[4096];
        struct uhid_event said; /* that somebody opened it, for one: nothing to do */
        ssize_t got = both[0].revents ? read(both[0].fd, bytes, sizeof bytes) : 0;
        if (both[0].revents && got <= 0)
            return 0;
        take(&s, bytes, (size_t)got);
        if (both[1].revents && read(s.uhid, &said, sizeof said) < 0)
            return 69;
    }
    return 69;
}

/* A USB scale of the HID class, by the kernel's hidraw node. Each read is one report. */
#include "drivers/transport.h"

#include "drivers/decode/hid.h"
#include "drivers/scale.h"

#include <errno.h>
#include <fcntl.h>
#include <linux/hidraw.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

/* The kernel keeps the descriptor from the time of plugging: no question goes to the device. */
static bool read_layout(int fd, struct hid_layout *layout)
{
    struct hidraw_report_descriptor descriptor = {0};
    int size = 0;
    if (ioctl(fd, HIDIOCGRDESCSIZE, &size) < 0 || size <= 0 || size > HID_MAX_DESCRIPTOR_SIZE)
        return false;
    descriptor.size = (unsigned)size;
    return ioctl(fd, HIDIOCGRDESC, &descriptor) >= 0 && hid_layout_read(descriptor.value, (size_t)size, layout);
}

static bool hid_open(struct channel *channel, const struct port_settings *settings, const struct sockaddr *far_end,
                     struct said *why)
{
    (void)far_end;
    const char *path = settings->port + strlen("hid:");
    struct hid_layout *layout = malloc(sizeof *layout);
    int fd = layout ? open(path, O_RDWR | O_NONBLOCK | O_CLOEXEC) : -1;
    if (fd < 0) {
        *why = refusal_said(path, layout ? errno : ENOMEM);
        free(layout);
        return false;
    }
    bool ours = refusal_lock(fd, path, why);
    if (ours && read_layout(fd, layout)) {
        channel->fd = fd;
        channel->held = layout;
        return true;
    }
    if (ours)
        *why = say("port_not_scale port=%s", path);
    close(fd);
    free(layout);
    return false;
}

static void hid_close(struct channel *channel)
{
    close(channel->fd);
    free(channel->held);
    channel->fd = -1;
    channel->held = NULL;
}

/* A report that the family does not take, as one in carats, must not reach the framer: looking for a beginning within
 * it, that would take its weight and the next report's state for one. */
static size_t hid_convert(struct channel *channel, const uint8_t *bytes, size_t len, uint8_t *out, size_t room)
{
    const struct scale_family *family = scale_family_find("hid");
    size_t skip;
    if (room < HID_CANON || !hid_layout_apply(channel->held, bytes, len, out))
        return 0;
    return family->frame(family, out, HID_CANON, &skip) == HID_CANON ? HID_CANON : 0;
}

const struct transport transport_hidraw = {
    .prefix = "hid:",
    .open = hid_open,
    .close = hid_close,
    .convert = hid_convert,
    .zero_is_gone = true,
};

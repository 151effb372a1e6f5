/* port_path.c - which ports a search may open. It must not open any. */
#include "bench/port_path.h"

#include <ctype.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

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

bool port_path(const char *text, char *out, size_t size, struct fault *fault)
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

bool port_path_same(const char *a, const char *b)
{
    char at[PATH_MAX], bt[PATH_MAX];
    const char *da = device_of(a), *db = device_of(b);
    if (strcmp(a, b) == 0)
        return true;
    return da && db && realpath(da, at) && realpath(db, bt) && strcmp(at, bt) == 0;
}

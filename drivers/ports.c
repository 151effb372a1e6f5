/* ports.c - what is plugged in. It opens no port for reading, so it disturbs no scale; rights are looked at only. */
#include "drivers/ports.h"

#include "drivers/transport.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <libserialport.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* The name under /dev/serial/by-id that leads to the device, which stays the same when cables are moved. */
static void find_by_id(const char *device, char out[PORT_PATH])
{
    static const char folder[] = "/dev/serial/by-id";
    DIR *dir = opendir(folder);
    for (struct dirent *e; dir && (e = readdir(dir));) {
        char link[PORT_PATH], target[PATH_MAX];
        int len = snprintf(link, sizeof link, "%s/%s", folder, e->d_name);
        if (e->d_name[0] == '.' || len >= PORT_PATH || !realpath(link, target) || strcmp(target, device) != 0)
            continue;
        memcpy(out, link, sizeof link);
        break;
    }
    if (dir)
        closedir(dir);
}

static void look_at_rights(struct port_found *found)
{
    if (access(found->device, R_OK | W_OK) != 0)
        found->why = refusal_said(found->device, errno);
}

/* A description that only repeats the device's name helps nobody and is left out. */
static void serial_ports(void (*each)(void *arg, const struct port_found *found), void *arg)
{
    struct sp_port **ports = NULL;
    if (sp_list_ports(&ports) != SP_OK)
        return;
    for (size_t i = 0; ports[i]; i++) {
        struct port_found found = {.port = ""};
        const char *name = sp_get_port_name(ports[i]), *description = sp_get_port_description(ports[i]);
        if (!name || strlen(name) >= sizeof found.device)
            continue;
        snprintf(found.device, sizeof found.device, "%s", name);
        snprintf(found.port, sizeof found.port, "%s", name);
        if (description && strcmp(description, strrchr(name, '/') ? strrchr(name, '/') + 1 : name) != 0)
            snprintf(found.description, sizeof found.description, "%s", description);
        find_by_id(name, found.port);
        look_at_rights(&found);
        each(arg, &found);
    }
    sp_free_port_list(ports);
}

/* True: its report descriptor speaks of usage page 0x8D, that of scales, in an item of one byte or of two. */
static bool is_scale(const char *hidraw)
{
    char path[300];
    unsigned char bytes[4096];
    snprintf(path, sizeof path, "/sys/class/hidraw/%s/device/report_descriptor", hidraw);
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    ssize_t n = fd >= 0 ? read(fd, bytes, sizeof bytes) : -1;
    if (fd >= 0)
        close(fd);
    for (ssize_t i = 0; i + 1 < n; i++)
        if (bytes[i + 1] == 0x8d && (bytes[i] == 0x05 || (bytes[i] == 0x06 && i + 2 < n && bytes[i + 2] == 0)))
            return true;
    return false;
}

/* The path of a hidraw node counts up at each plugging; there is no by-id name for it. */
static void hid_scales(void (*each)(void *arg, const struct port_found *found), void *arg)
{
    DIR *dir = opendir("/sys/class/hidraw");
    for (struct dirent *e; dir && (e = readdir(dir));) {
        struct port_found found = {.description = "USB scale"};
        if (strncmp(e->d_name, "hidraw", 6) != 0 || strlen(e->d_name) > 20 || !is_scale(e->d_name))
            continue;
        snprintf(found.device, sizeof found.device, "/dev/%.20s", e->d_name);
        snprintf(found.port, sizeof found.port, "hid:%s", found.device);
        look_at_rights(&found);
        each(arg, &found);
    }
    if (dir)
        closedir(dir);
}

void ports_list(void (*each)(void *arg, const struct port_found *found), void *arg)
{
    serial_ports(each, arg);
    hid_scales(each, arg);
}

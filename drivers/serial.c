/* A real serial port, by libserialport, whose descriptor goes to the loop.
 *
 * by-id and by-path names are links whose target moves when the cable is plugged in again, so the link is followed at
 * each opening. Close flushes first: a port whose far end stopped us by flow control would hold close() for 30 s. */
#include "drivers/transport.h"

#include <errno.h>
#include <libserialport.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <termios.h>

/* USB adapters hold bytes of before: dropped for so long after a change of speed (frames page, "What goes wrong"). */
enum { SETTLE_MS = 200, SPEED = 9600 };

/* Letters as people write them; N E O M S are all that libserialport knows. */
bool serial_frame(const char *frame, int *bits, char *parity, int *stop)
{
    if (strlen(frame) != 3 || frame[0] < '5' || frame[0] > '8' || !strchr("NEOMS", frame[1]) ||
        (frame[2] != '1' && frame[2] != '2'))
        return false;
    *bits = frame[0] - '0';
    *parity = frame[1];
    *stop = frame[2] - '0';
    return true;
}

static enum sp_parity parity_of(char letter)
{
    switch (letter) {
    case 'E':
        return SP_PARITY_EVEN;
    case 'O':
        return SP_PARITY_ODD;
    case 'M':
        return SP_PARITY_MARK;
    case 'S':
        return SP_PARITY_SPACE;
    default:
        return SP_PARITY_NONE;
    }
}

/* libserialport lets any byte start us again that XOFF stopped (IXANY): the rest of the frame in which a scale said
 * stop would do so at once. Only XON may. */
static bool only_xon_starts(struct sp_port *port)
{
    int fd;
    struct termios now;
    if (sp_get_port_handle(port, &fd) != SP_OK || tcgetattr(fd, &now) != 0)
        return false;
    now.c_iflag &= ~(tcflag_t)IXANY;
    return tcsetattr(fd, TCSANOW, &now) == 0;
}

/* All at once: each single setting would reach the adapter by itself, with bytes coming in between. */
static bool configure(struct sp_port *port, const struct port_settings *settings)
{
    int bits, stop;
    char parity;
    if (!serial_frame(settings->frame[0] ? settings->frame : "8N1", &bits, &parity, &stop))
        return false;
    /* RTS and DTR stand: some scales are silent without. Hardware handshake drives RTS itself. */
    bool hard = settings->flow == PORT_FLOW_RTSCTS;
    bool soft = settings->flow == PORT_FLOW_XONXOFF;
    struct sp_port_config *config = NULL;
    if (sp_new_config(&config) != SP_OK)
        return false;
    bool done = sp_set_config_baudrate(config, settings->speed ? settings->speed : SPEED) == SP_OK &&
                sp_set_config_bits(config, bits) == SP_OK && sp_set_config_parity(config, parity_of(parity)) == SP_OK &&
                sp_set_config_stopbits(config, stop) == SP_OK &&
                sp_set_config_rts(config, hard ? SP_RTS_FLOW_CONTROL : SP_RTS_ON) == SP_OK &&
                sp_set_config_cts(config, hard ? SP_CTS_FLOW_CONTROL : SP_CTS_IGNORE) == SP_OK &&
                sp_set_config_dtr(config, SP_DTR_ON) == SP_OK && sp_set_config_dsr(config, SP_DSR_IGNORE) == SP_OK &&
                sp_set_config_xon_xoff(config, soft ? SP_XONXOFF_INOUT : SP_XONXOFF_DISABLED) == SP_OK &&
                sp_set_config(port, config) == SP_OK && (!soft || only_xon_starts(port));
    sp_free_config(config);
    return done;
}

static void serial_close(struct channel *channel)
{
    struct sp_port *port = channel->held;
    sp_flush(port, SP_BUF_BOTH);
    ioctl(channel->fd, TIOCNXCL);
    sp_close(port);
    sp_free_port(port);
    channel->held = NULL;
    channel->fd = -1;
}

/* Opened; takes it for us alone and sets it up. */
static bool take(struct channel *channel, const struct port_settings *settings, const char *path, struct said *why)
{
    if (!refusal_lock(channel->fd, path, why))
        return false;
    if (ioctl(channel->fd, TIOCEXCL) != 0) {
        *why = refusal_said(path, errno);
        return false;
    }
    if (!configure(channel->held, settings)) {
        *why = say("port_no_settings port=%s speed=%d frame=%s", path, settings->speed ? settings->speed : SPEED,
                   settings->frame[0] ? settings->frame : "8N1");
        return false;
    }
    return true;
}

/* errno first set to 0: libserialport fails for reasons of its own as well. */
static bool serial_open(struct channel *channel, const struct port_settings *settings, const struct sockaddr *far_end,
                        struct said *why)
{
    (void)far_end;
    char path[PATH_MAX];
    struct sp_port *port = NULL;
    if (!realpath(settings->port, path)) {
        *why = refusal_said(settings->port, errno);
        return false;
    }
    if (sp_get_port_by_name(path, &port) != SP_OK) {
        *why = refusal_said(settings->port, ENOTTY);
        return false;
    }
    errno = 0;
    if (sp_open(port, SP_MODE_READ_WRITE) != SP_OK) {
        *why = refusal_said(path, errno);
        sp_free_port(port);
        return false;
    }
    channel->held = port;
    if (sp_get_port_handle(port, &channel->fd) == SP_OK && take(channel, settings, path, why))
        return true;
    serial_close(channel);
    return false;
}

static void serial_flush(struct channel *channel)
{
    sp_flush(channel->held, SP_BUF_BOTH);
}

const struct transport transport_serial = {
    .prefix = "",
    .open = serial_open,
    .close = serial_close,
    .flush = serial_flush,
    .settle_ms = SETTLE_MS,
};
